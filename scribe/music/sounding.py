"""The note list: every sounding event once, ties over barlines joined, with where it stands and what it is called."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from scribe.diagnostics import Span
from scribe.music.events import Event, GraceNote, Head
from scribe.music.inforce import InForce
from scribe.music.passes import later_ending
from scribe.music.piece import Bar, Piece
from scribe.music.pitch import ACCIDENTAL, FIFTHS, LETTERS, Pitch
from scribe.music.written import WrittenBar


class Sounding(NamedTuple):
    """One sounding note; the notes of a stack come one by one, lowest first.

    `onset` and `length` in quarters; `onset` from the bar's start. `pitch` None (and `midi`) for dead and unheard
    notes. `values`: the written values, tied ones in order, a tuplet's as `{3:2 E}`. `chord`: the symbol in force,
    empty if none. `degree`: against the major scale of the key's tonic. `marks`: everything typed about it, and `tied`
    for a note that goes on into a second or later ending from before the first one: it is listed again there. Grace
    notes have length 0 and come before their note.
    """

    bar: int
    onset: Fraction
    length: Fraction
    midi: int | None
    pitch: Pitch | None
    values: tuple[str, ...]
    chord: str
    degree: str
    marks: tuple[str, ...]
    grace: bool
    string: int | None
    fret: int | None
    span: Span


def degree_name(pitch: Pitch, in_force: InForce) -> str:
    """Return `5`, `b3`, `#4`: the pitch against the major scale of the tonic in force (common practice)."""
    number = (LETTERS.index(pitch.letter) - LETTERS.index(in_force.key.letter)) % 7 + 1
    plain = FIFTHS[LETTERS.index(pitch.letter)] + 7 * pitch.alter - in_force.key.tonic_fifths
    alter = (plain - (0, 2, 4, -1, 1, 3, 5)[number - 1]) // 7
    return ACCIDENTAL.get(alter, ("#" if alter > 0 else "b") * abs(alter)) + str(number)


def codes_of(written: WrittenBar, event: int) -> tuple[str, ...]:
    """Return the written values of one event of a bar, each inside its tuplets: `{3:2 E}`."""
    found = []
    for note in written.notes:
        if note.event != event:
            continue
        code, at = note.code, note.tuplet
        while at is not None:
            tuplet = written.tuplets[at]
            code = f"{{{tuplet.actual}:{tuplet.normal} {code}}}"
            at = tuplet.parent
        found.append(code)
    return tuple(found)


def sounding(piece: Piece) -> tuple[Sounding, ...]:
    """Return the note list of a piece, in the order of the page (repeats not unfolded)."""
    rows: list[Sounding] = []
    open_rows: list[int] = []  # rows of the last event, which a hold at the next bar's start makes longer
    before: Bar | None = None
    for bar in piece.bars:
        later, before = later_ending(before, bar), bar
        changes = [(c.onset, c.name) for c in bar.music.chords]
        chord = bar.in_force.chord.text if bar.in_force.chord else ""
        for index, event in enumerate(bar.events):
            while changes and changes[0][0] <= event.onset:
                chord = changes.pop(0)[1]
            if not event.heads:
                open_rows = []
                continue
            values = codes_of(bar.written, index)
            goes_on = index == 0 and event.held and bar.tied
            if goes_on and not later and len(open_rows) == len(event.heads):
                for row in open_rows:
                    old = rows[row]
                    rows[row] = old._replace(length=old.length + event.length, values=old.values + values)
                continue
            rows += [_grace(bar, event, g, chord) for g in event.graces]
            first = len(rows)
            rows += [_note(bar, event, h, values, chord, tied=goes_on and later) for h in event.heads]
            open_rows = list(range(first, len(rows)))
        if not bar.events:
            open_rows = []
    return tuple(rows)


def _note(bar: Bar, event: Event, head: Head, values: tuple[str, ...], chord: str, *, tied: bool) -> Sounding:
    marks: list[str] = ["tied"] if tied else [event.connector] if event.connector else []
    marks += [*event.marks, *_head_marks(head)]
    return _row(bar, event, head, event.length, values, chord, marks, grace=False)


def _grace(bar: Bar, event: Event, grace: GraceNote, chord: str) -> Sounding:
    marks: list[str] = [grace.connector] if grace.connector else []
    marks += _head_marks(grace.head)
    return _row(bar, event, grace.head, Fraction(0), (), chord, marks, grace=True)


def _head_marks(head: Head) -> list[str]:
    marks = [] if head.kind == "note" else [str(head.kind)]
    return marks + [n for n, on in (("ghost", head.ghost), ("doubtful", head.doubtful)) if on]


def _row(
    bar: Bar,
    event: Event,
    head: Head,
    length: Fraction,
    values: tuple[str, ...],
    chord: str,
    marks: Sequence[str],
    grace: bool,
) -> Sounding:
    pitch = head.pitch if head.kind == "note" else None
    return Sounding(
        bar=bar.number,
        onset=event.onset,
        length=length,
        midi=pitch.midi if pitch else None,
        pitch=pitch,
        values=values,
        chord=chord,
        degree=degree_name(pitch, bar.in_force) if pitch else "",
        marks=tuple(marks),
        grace=grace,
        string=head.string,
        fret=head.fret,
        span=head.span.shift(bar.offset),
    )
