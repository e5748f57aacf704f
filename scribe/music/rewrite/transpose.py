"""Moving a whole draft into another key, every word in the way it was written."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Span
from scribe.music.chord import move_chord_text, parse_chord
from scribe.music.interval import Interval, move, move_key, parse_interval
from scribe.music.key import Key, parse_key
from scribe.music.pitch import name_at
from scribe.music.rewrite.bar import Name, Typed, Wanted, as_typed
from scribe.music.rewrite.draft import Rewritten, Source, cannot, chord_words, done, rewrite_source, walk
from scribe.music.rewrite.edit import Edit
from scribe.music.tuning import FRETS
from scribe.source.tree import Directive, Draft, Music

C_MAJOR = Key("C", 0, "major")  # where a draft without a `key` line stands


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


def first_key(draft: Draft) -> Key:
    """The key that the first bar stands in."""
    key = C_MAJOR
    for line in draft.lines:
        if isinstance(line, Music) and line.cells:
            break
        if isinstance(line, Directive) and line.name == "key":
            key = parse_key(line.text) or key
    return key


def interval_to(key: Key, target: Target) -> Interval | str:
    """Return the shortest way from a key to the one asked for (up, where both are as far), or why there is none."""
    if target.interval is not None:
        return target.interval
    if target.mode and target.mode != key.mode:
        return (
            f"the draft begins in {key}, and transposing keeps the mode: expected `to` and a {key.mode} key"
        )
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
    goal = Key(target.letter or key.letter, target.alter if target.letter else key.alter, key.mode)
    return 7 if abs(goal.fifths) == 7 else 6


def transpose(text: str, interval: Interval, signs: int = 6) -> Rewritten:
    """Move a draft: notes, key lines, chord symbols, `home`, `position`; spelled for the new key.

    Letters stay letters (small ones small where that can be), degrees stay degrees, frets move along their string and
    pins stay on theirs: what would leave the fretboard is a fault, and the text is left alone. A draft without a `key`
    line before its first bar gets one. `signs`: how many (6 or 7) a new key may have before its enharmonic is taken.
    """
    walked = walk(text)
    edits: list[Edit] = []
    faults: list[Diagnostic] = []
    for line in walked.draft.lines:
        if isinstance(line, Directive):
            edit = _directive(line, interval, signs)
            edits += [edit] if edit else []
    edits += _key_line(text, walked.draft, interval, signs)
    changed = 0
    for source in walked.sources:
        here, failed = _bar(source, interval, signs)
        edits += here
        faults += failed
        changed += bool(here)
    return done(text, edits, faults, changed)


def moved(key: Key, interval: Interval, signs: int = 6) -> tuple[Key, Interval]:
    """Return the key an interval away and the interval between the two as they are named.

    With more signs the new key is the enharmonic one, and everything moves by an interval that ends there.
    """
    new = move_key(key, interval)
    if abs(new.fifths) > signs:
        letter, alter = name_at(new.tonic_fifths - (12 if new.fifths > 0 else -12))
        new = Key(letter, alter, key.mode)
    more = (new.tonic_fifths - key.tonic_fifths - interval.fifths) // 12
    return new, Interval(interval.steps - more, interval.semitones)


# --- lines -------------------------------------------------------------------------------------------------


def _directive(line: Directive, interval: Interval, signs: int) -> Edit | None:
    if line.name == "key":
        key = parse_key(line.text)
        return key and _tonic(line.value_span, line.text, moved(key, interval, signs)[0])
    if line.name == "position" and line.text.isdigit():
        fret = int(line.text) + interval.semitones
        return Edit(line.value_span, str(fret)) if 1 <= fret <= FRETS else None
    return None


def _tonic(span: Span, typed: str, key: Key) -> Edit | None:
    found = re.match(r"[A-Ga-g][#b]?", typed)
    if found is None:
        return None
    letter = key.letter if typed[0].isupper() else key.letter.lower()
    name = letter + {1: "#", -1: "b", 0: ""}[key.alter]
    return Edit(Span(span.start, span.start + found.end()), name)


def _key_line(text: str, draft: Draft, interval: Interval, signs: int) -> list[Edit]:
    """A `key` line before the first bar of a draft that has none."""
    for line in draft.lines:
        if isinstance(line, Directive) and line.name == "key":
            return []
        if isinstance(line, Music) and line.cells:
            key, _ = moved(C_MAJOR, interval, signs)
            if key == C_MAJOR:
                return []
            at = text.rfind("\n", 0, line.span.start) + 1
            end = "\r\n" if "\r\n" in text else "\n"
            return [Edit(Span(at, at), f"key {str(key).removesuffix(' major')}{end}")]
    return []


# --- bars --------------------------------------------------------------------------------------------------


def _bar(source: Source, interval: Interval, signs: int) -> tuple[list[Edit], list[Diagnostic]]:
    before = source.draught.in_force
    key, by = moved(before.key, interval, signs)
    missing: list[Diagnostic] = []

    def wanted(typed: Typed) -> Wanted:
        head = typed.head
        pitch = move(head.pitch, by)
        fret = (head.fret or 0) + by.semitones
        if (typed.form == "fret" or typed.tone.pin) and not 0 <= fret <= FRETS:
            below = f"{-fret} semitone{'s' if fret < -1 else ''} below its open string"
            where = below if fret < 0 else f"at fret {fret}"
            missing.append(cannot(source, "off-fretboard", head.span, f"{pitch} would lie {where}"))
        if not 0 <= pitch.midi <= 127:
            missing.append(
                cannot(source, "out-of-range", head.span, f"{pitch} lies outside what can be heard")
            )
        return as_typed(typed)._replace(pitch=pitch, fret=fret)

    def chords(plain: str) -> list[Edit]:
        found = [(span, name, move_chord_text(name, by, key)) for span, name in chord_words(plain)]
        return [Edit(span, new) for span, name, new in found if new != name]

    chord = before.chord
    after = before._replace(
        key=key, chord=parse_chord(move_chord_text(chord.text, by, key)) if chord else None
    )
    roots: list[tuple[Fraction, Name]] = []
    for placed in source.draught.music.chords:
        new = parse_chord(move_chord_text(placed.name, by, key))
        if new is not None:
            roots.append((placed.onset, new.root))
    edits, faults = rewrite_source(source, after, roots, wanted, chords)
    return edits, [*missing, *faults]
