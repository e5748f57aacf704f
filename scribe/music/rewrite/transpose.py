"""Moving a whole draft into another key, every word in the way it was written."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from scribe.diagnostics import Diagnostic
from scribe.music.chord import parse_chord
from scribe.music.interval import Interval, move
from scribe.music.rewrite.bar import Name, Typed, Wanted, as_typed
from scribe.music.rewrite.draft import (
    Rewritten,
    Source,
    Walked,
    cannot,
    chord_words,
    done,
    rewrite_source,
    walk,
)
from scribe.music.rewrite.edit import Edit
from scribe.music.rewrite.habit import only_as_capital, writes_small
from scribe.music.rewrite.keys import SIGNS
from scribe.music.rewrite.lines import Stand, move_lines
from scribe.music.rewrite.symbols import move_symbol
from scribe.music.tuning import FRETS
from scribe.source.tree import Letter


def transpose(text: str, interval: Interval, signs: int = SIGNS) -> Rewritten:
    """Move a draft: notes, key lines, chord symbols, `home`, `position`; spelled for the new key.

    Every note keeps the way in which it was typed: letters stay letters (small ones small where that can be), degrees
    stay degrees, frets move along their string and pins stay on theirs: what would leave the fretboard is a fault, and
    the text is left alone. Octave marks stay, for the home that they are measured from moves along; a draft without a
    `key` or `home` line gets one where it is needed, marked as added, and loses it on the way back. `signs`: how many
    (6 or 7) a new key may have before its enharmonic is taken.
    """
    walked = walk(text)
    small = writes_small(walked.sources)
    tried = _moved(text, walked, interval, signs, small, add_home=False)
    if tried.marks:
        other = _moved(text, walked, interval, signs, small, add_home=True)
        tried = other if other.marks < tried.marks else tried
    return done(text, tried.edits, tried.faults, tried.bars)


class _Moved(NamedTuple):
    """`marks`: in how many places other octave marks are needed; `bars`: how many change."""

    edits: list[Edit]
    faults: list[Diagnostic]
    marks: int
    bars: int


def _moved(text: str, walked: Walked, interval: Interval, signs: int, small: bool, add_home: bool) -> _Moved:
    lines = move_lines(text, walked.draft, interval, signs, add_home)
    edits = list(lines.edits)
    faults: list[Diagnostic] = []
    marks = bars = 0
    for source in walked.sources:
        here, failed = _bar(source, lines.bars[source.offset], small)
        edits += here
        faults += failed
        marks += sum(_marks(edit.text) != _marks(text[slice(*edit.span)]) for edit in here)
        bars += bool(here)
    return _Moved(edits, faults, marks, bars)


def _marks(typed: str) -> tuple[int, int]:
    return typed.count("^"), typed.count("v")


# --- bars --------------------------------------------------------------------------------------------------


def _bar(source: Source, stand: Stand, small: bool) -> tuple[list[Edit], list[Diagnostic]]:
    before = source.draught.in_force
    by = stand.by
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
        as_it_is = as_typed(typed)
        either = small and isinstance(typed.tone.name, Letter) and only_as_capital(typed, before.key)
        return as_it_is._replace(pitch=pitch, fret=fret, small=as_it_is.small or either, sign=typed.sign)

    def symbol(name: str) -> str:
        return move_symbol(name, before.key, stand.key)

    def chords(plain: str) -> list[Edit]:
        found = [(span, name, symbol(name)) for span, name in chord_words(plain)]
        return [Edit(span, new) for span, name, new in found if new != name]

    chord = before.chord and parse_chord(symbol(before.chord.text))
    after = before._replace(key=stand.key, home=stand.home, chord=chord)
    found = [(placed.onset, parse_chord(symbol(placed.name))) for placed in source.draught.music.chords]
    roots: list[tuple[Fraction, Name]] = [(onset, chord.root) for onset, chord in found if chord]
    edits, faults = rewrite_source(source, after, roots, wanted, chords)
    return edits, [*missing, *faults]
