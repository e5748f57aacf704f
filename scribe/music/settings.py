"""What the values of directives mean. Pure functions: the text of a value in, what it says or None out.

`key`, `time`, `strings` and `instrument` are read beside their types (`parse_key`, `parse_metre`,
`parse_tuning`, `find_instrument`); this module gives them too, so that one place knows every directive.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal, NamedTuple, TypedDict, cast

from scribe.music.inforce import Feel, Tempo
from scribe.music.instrument import find_instrument
from scribe.music.interval import Interval, parse_interval, simplest
from scribe.music.key import Key, parse_key
from scribe.music.metre import Metre, parse_metre
from scribe.music.pitch import Pitch, name_at, parse_pitch
from scribe.music.tuning import FRETS, Tuning, fret_pitch_midi, parse_tuning, string_of
from scribe.music.written import VALUES

__all__ = [
    "SHOWABLE",
    "LayoutChange",
    "Position",
    "Use",
    "beats_length",
    "find_instrument",
    "parse_beats",
    "parse_degrees",
    "parse_ending",
    "parse_enharmonic",
    "parse_feel",
    "parse_home",
    "parse_key",
    "parse_layout",
    "parse_metre",
    "parse_position",
    "parse_rest",
    "parse_show",
    "parse_tempo",
    "parse_tuning",
    "parse_use",
]

SHOWABLE = frozenset({"tab", "strings", "fingers", "positions", "degrees", "names", "tones"})

_BEATS = {
    "whole": "W",
    "half": "H",
    "quarter": "Q",
    "eighth": "E",
    "8th": "E",
    "sixteenth": "S",
    "16th": "S",
}
_BEAT = r"(?:(dotted)[-\s]+)?(whole|half|quarter|eighth|8th|sixteenth|16th)"
_UNITS = {"": "8", "8ths": "8", "eighths": "8", "16ths": "16", "sixteenths": "16"}
_FASTEST = 999  # beats a minute
LONGEST_REST = 999  # bars
_MOST_BARS = 16  # a system
_HIGHEST_POSITION = 24
_DENOMINATORS = (2, 3, 4, 6, 8, 12, 16)  # parts of a beat that a pickup may be
_C_MAJOR = Key("C", 0, "major")

Enharmonic = Literal["check", "fix", "sharps", "flats", "free"]
Degrees = Literal["key", "chord"]


def parse_tempo(text: str) -> Tempo | None:
    """Read `126`, `dotted-quarter 92`, `Medium swing 152`, `Rubato`.

    The number counts the beat named just before it, else quarters. Words alone give no `bpm`; a beat without
    a number, nothing at all, or a number of 0 or over 999 give None.
    """
    words = " ".join(text.split())
    found = re.fullmatch(
        rf"(?P<words>.*?)(?:(?:^|(?<=\s)){_BEAT}\s*(?:=\s*|\s))?(?:(?<![^\s=]))(?P<bpm>\d+(?:\.\d+)?)",
        words,
        re.IGNORECASE,
    )
    if not found:
        alone = re.fullmatch(_BEAT, words, re.IGNORECASE)
        words = _unquoted(words)
        return Tempo(words, "Q", None) if words and not alone else None
    bpm = Fraction(found["bpm"])
    if not 0 < bpm <= _FASTEST:
        return None
    value = _BEATS[(found[3] or "quarter").lower()] + ("." if found[2] else "")
    return Tempo(_unquoted(found["words"].strip()), value, bpm)


def _unquoted(words: str) -> str:
    """The words of a tempo without the double quotes around them, as texts above the staff have them."""
    return words[1:-1].strip() if words[:1] == words[-1:] == '"' and words.count('"') == 2 else words


def parse_feel(text: str) -> Feel | None:
    """Read `straight`, `swing`, `swing 16ths`, `shuffle`, `triplet`, with a ratio or not: `swing 3:2`.

    The ratio is long to short, so at least 1:1; `straight` takes none.
    """
    found = re.fullmatch(
        r"(straight|swing|shuffle|triplet)(?:\s+(8ths|eighths|16ths|sixteenths))?(?:\s+(\d{1,2}):(\d{1,2}))?",
        text.strip().lower(),
    )
    if not found:
        return None
    ratio = (int(found[3]), int(found[4])) if found[3] else None
    if ratio and not ratio[0] >= ratio[1] > 0:
        return None
    if found[1] == "straight":
        return Feel() if ratio is None else None
    return Feel(found[1], _UNITS[found[2] or ""], ratio)


def parse_home(text: str, tuning: Tuning, key: Key = _C_MAJOR) -> Pitch | None:
    """Read `A1`, `Bb2` (sounding) or `A:0` (string and fret of `tuning`, named as the key would have it)."""
    place = re.fullmatch(r"([A-Ga-g][#b]?):(\d{1,2})", text.strip())
    if not place:
        return parse_pitch(text.strip())
    string, fret = string_of(tuning, place[1]), int(place[2])
    if string is None or fret > FRETS:
        return None
    if fret == 0:
        return tuning[-string]
    return _named(fret_pitch_midi(tuning, string, fret), key)


def _named(midi: int, key: Key) -> Pitch:
    """Return the pitch under its name within -3 … +8 fifths of the signature, or the simpler name of that."""
    lowest = key.fifths - 3
    letter, alter = name_at(lowest + (7 * midi - lowest) % 12)
    octave = (midi - alter) // 12 - 1
    return simplest(Pitch(letter, alter, octave))


def parse_beats(text: str) -> Fraction | None:
    """Read `1`, `1/2`, `1 1/2` of `pickup` and `short`: so many beats of the metre, more than none."""
    found = re.fullmatch(r"(?:(\d{1,2})(?:\s+(\d{1,2})/(\d{1,2}))?|(\d{1,2})/(\d{1,2}))", text.strip())
    if not found:
        return None
    whole, top, bottom = int(found[1] or 0), int(found[2] or found[4] or 0), int(found[3] or found[5] or 1)
    if bottom not in (1, *_DENOMINATORS):
        return None
    return whole + Fraction(top, bottom) or None


def beats_length(beats: Fraction, metre: Metre, *, at_end: bool) -> Fraction | None:
    """Return how long so many beats are, in quarters: the last ones of the bar (a pickup) or the first.

    None if the bar is shorter than that. In asymmetric metre beats are the groups, so it matters which.
    """
    lengths = metre.beat_lengths[::-1] if at_end else metre.beat_lengths
    whole, part = divmod(beats, 1)
    if beats > len(lengths):
        return None
    total = sum(lengths[: int(whole)], Fraction(0))
    return total + part * lengths[int(whole)] if part else total


def parse_ending(text: str) -> tuple[int, ...] | None:
    """Read `1`, `2`, `1,2`: the passes that an ending is for, rising."""
    if not re.fullmatch(r"[1-9]\d?(\s*,\s*[1-9]\d?)*", text.strip()):
        return None
    passes = tuple(int(n) for n in text.split(","))
    return passes if list(passes) == sorted(set(passes)) else None


class LayoutChange(TypedDict, total=False):
    """The fields of a `Layout` that one `layout` line sets."""

    per_system: int | None
    fit: bool
    page: Literal["A4", "letter"]


def parse_layout(text: str) -> LayoutChange | None:
    """Read `lines`, `4` (bars a system, up to 16), `fit`, `page A4`, `page letter`, or a way and a page."""
    found = re.fullmatch(r"(?:(lines|fit|\d{1,2})\b\s*)?(?:page\s+(a4|letter))?", text.strip(), re.IGNORECASE)
    if not found or not (found[1] or found[2]):
        return None
    change: LayoutChange = {}
    if found[1]:
        way = found[1].lower()
        if way.isdecimal() and not 1 <= int(way) <= _MOST_BARS:
            return None
        change["per_system"] = int(way) if way.isdecimal() else None
        change["fit"] = way == "fit"
    if found[2]:
        change["page"] = "A4" if found[2].lower() == "a4" else "letter"
    return change


def parse_show(text: str) -> frozenset[str] | None:
    """Read `tab fingers`: the things to print, with blanks or commas between; `none` gives the empty set."""
    words = text.replace(",", " ").lower().split()
    if words == ["none"]:
        return frozenset()
    return frozenset(words) if words and SHOWABLE.issuperset(words) else None


class Position(NamedTuple):
    """The fret under the first finger, None where the hand is free."""

    fret: int | None


def parse_position(text: str) -> Position | None:
    """Read `5` or `free`."""
    word = text.strip().lower()
    if word == "free":
        return Position(None)
    if not re.fullmatch(r"\d{1,2}", word) or not 1 <= int(word) <= _HIGHEST_POSITION:
        return None
    return Position(int(word))


def parse_rest(text: str) -> int | None:
    """Read a number of bars of rest, 1 to 999."""
    word = text.strip()
    return int(word) if re.fullmatch(r"[1-9]\d{0,2}", word) and int(word) <= LONGEST_REST else None


class Use(NamedTuple):
    """The bars of a section again. `bars`: first and last, counted from 1 in the section; None for all."""

    section: str
    interval: Interval | None
    bars: tuple[int, int] | None


def parse_use(text: str) -> Use | None:
    """Read `A`, `A up P4`, `A bars 3-4`, `A bars 3 down m3`; a section's name may hold blanks.

    None without a section, with an interval or with bars that do not exist in any piece (`P3`, `4-3`, `0`).
    """
    rest = " ".join(text.split())
    interval: Interval | None = None
    bars: tuple[int, int] | None = None
    while True:
        moved = re.fullmatch(r"(.*?)\s*\b(up|down) ([A-Za-z]{1,2}\d+)", rest)
        some = re.fullmatch(r"(.*?)\s*\bbars? (\d{1,4})(?:\s?-\s?(\d{1,4}))?", rest)
        if moved and interval is None:
            interval = parse_interval(f"{moved[2]} {moved[3]}")
            if interval is None:
                return None
            rest = moved[1]
        elif some and bars is None:
            bars = (int(some[2]), int(some[3] or some[2]))
            if not 1 <= bars[0] <= bars[1]:
                return None
            rest = some[1]
        else:
            break
    section = rest.removeprefix("[").removesuffix("]").strip()
    return Use(section, interval, bars) if section else None


def parse_enharmonic(text: str) -> Enharmonic | None:
    """Read `check`, `fix`, `sharps`, `flats`, `free`."""
    word = text.strip().lower()
    return cast(Enharmonic, word) if word in ("check", "fix", "sharps", "flats", "free") else None


def parse_degrees(text: str) -> Degrees | None:
    """Read `key` or `chord`."""
    word = text.strip().lower()
    return cast(Degrees, word) if word in ("key", "chord") else None


def seconds_a_quarter(tempo: Tempo) -> float | None:
    """Return how long a quarter lasts, None if the tempo is words alone."""
    if tempo.bpm is None:
        return None
    length = VALUES[tempo.value[0]][2] * (Fraction(3, 2) if tempo.value.endswith(".") else 1)
    return float(60 / (tempo.bpm * length))
