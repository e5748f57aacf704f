"""Where a draft is to be moved to, as a user says it: by an interval, or to a key."""

from __future__ import annotations

import re
from typing import NamedTuple

from scribe.music.interval import Interval, parse_interval
from scribe.music.key import Key, parse_key
from scribe.music.rewrite.keys import SIGNS


class Target(NamedTuple):
    """What was asked for: an interval, or a key (its mode as given, empty for the draft's own)."""

    interval: Interval | None = None
    letter: str = ""
    alter: int = 0
    mode: str = ""


def parse_target(text: str) -> Target | None:
    """Read `up P4`, `down m3`, `to Ab minor`, `to Ab`; None if it is none of these."""
    words = text.split()
    if words and words[0] == "to":
        key = parse_key(" ".join(words[1:]))
        return key and Target(None, key.letter, key.alter, key.mode if len(words) > 2 else "")
    interval = parse_interval(" ".join(words))
    return Target(interval) if interval else None


def interval_to(key: Key, target: Target) -> Interval | str:
    """Return the shortest way from a key to the one asked for (up, where both are as far), or why there is none."""
    if target.interval is not None:
        return target.interval
    if target.mode and target.mode != key.mode:
        same = Key(target.letter, target.alter, key.mode)
        expected = f"expected `to {same}` or another {key.mode} key"
        return f"the draft begins in {key}, and transposing keeps the mode: {expected}"
    goal = Key(target.letter, target.alter, key.mode)
    if not -7 <= goal.fifths <= 7:
        return f"{goal} would need more than seven signs"
    fifths = goal.tonic_fifths - key.tonic_fifths
    semitones = 7 * fifths % 12
    if semitones > 6:
        semitones -= 12
    return Interval((7 * semitones - fifths) // 12, semitones)


def signs_of(key: Key, target: Target) -> int:
    """How many signs a new key may have: six, and seven where such a key was asked for by name."""
    return 7 if target.letter and abs(Key(target.letter, target.alter, key.mode).fifths) == 7 else SIGNS


# --- slips -------------------------------------------------------------------------------------------------

_SEMITONES = ("P1", "m2", "M2", "m3", "M3", "P4", "A4", "P5", "m6", "M6", "m7", "M7", "P8")
_NUMBERS = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave")
_QUALITIES = {
    "minor": "m",
    "min": "m",
    "major": "M",
    "maj": "M",
    "perfect": "P",
    "augmented": "A",
    "diminished": "d",
}
_STEPS = {"semitone": 1, "half step": 1, "half tone": 1, "tone": 2, "whole step": 2, "whole tone": 2}
_KEY = re.compile(
    r"(?:to |in |into )?(?P<letter>[a-g])(?P<sign>#|b|is|es| ?flat| ?sharp)? ?"
    r"(?P<mode>m|min|moll|-|maj|dur|[a-z]{5,})?",
    re.IGNORECASE,
)
_SIZE = re.compile(
    r"(?P<way>up|down|\+|-)? ?(?:by )?(?:an? )?"
    r"(?:(?P<quality>perfect|minor|major|min|maj|augmented|diminished|[pmad]) ?)?"
    rf"(?:(?P<number>\d\d?)(?:st|nd|rd|th)?|(?P<word>{'|'.join(_NUMBERS)}))",
    re.IGNORECASE,
)
_COUNT = re.compile(
    rf"(?P<way>up|down|\+|-)? ?(?:by )?(?:an? |(?P<count>\d\d?) ?)?(?P<step>{'|'.join(_STEPS)})s?",
    re.IGNORECASE,
)


def suggest_target(typed: str) -> str:
    """Return what was probably meant by a target that is none, as it is typed; empty if nothing comes near.

    Half steps and semitones by count, numbers and names of intervals without their quality (then perfect or major),
    keys without `to`, in chord style (`Gm`) or in words (`B flat`).
    """
    text = " ".join(typed.split())
    if found := _COUNT.fullmatch(text):
        size = int(found["count"] or 1) * _STEPS[found["step"].lower()]
        return f"{_way(found['way'])} {_SEMITONES[size]}" if 0 < size < len(_SEMITONES) else ""
    if found := _SIZE.fullmatch(text):
        number = int(found["number"]) if found["number"] else _NUMBERS.index(found["word"].lower()) + 1
        usual = "P" if number % 7 in (1, 4, 5) else "M"
        quality = found["quality"] or usual
        quality = _QUALITIES.get(quality.lower(), quality)
        meant = next((q for q in (quality, usual) if parse_interval(f"{q}{number}")), None)
        return f"{_way(found['way'])} {meant}{number}" if meant else ""
    if found := _KEY.fullmatch(text):
        sign = {"": "", "#": "#", "is": "#", "sharp": "#"}.get((found["sign"] or "").strip().lower(), "b")
        mode = found["mode"] or ""
        mode = " minor" if mode in ("m", "-") or mode.lower() in ("min", "moll") else f" {mode.lower()}"
        meant = found["letter"].upper() + sign + ("" if mode.strip() in ("", "maj", "dur") else mode)
        return f"to {meant}" if parse_key(meant) else ""
    return ""


def _way(typed: str | None) -> str:
    return "down" if typed in ("down", "-") else "up"
