"""What the place and pitch stages make of a bar: sounds with exact onsets, lengths and spelled pitches.

Times are in quarters from the bar's start, exact fractions. Spans count from the start of the bar's own text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.diagnostics import Diagnostic, Span
from scribe.music.chord import Chord
from scribe.music.pitch import Pitch
from scribe.source.tree import Connector, Mark

HeadKind = Literal["note", "dead", "unheard"]
Way = Literal["letter", "degree", "fret", "none"]


@dataclass(frozen=True, slots=True)
class Head:
    """One note head. `pitch` is the sounding pitch; of a dead or unheard note, only its place on the staff."""

    pitch: Pitch
    kind: HeadKind
    ghost: bool
    doubtful: bool
    meant: bool
    string: int | None  # 1 = highest string, as in MusicXML and MEI; None while no string is chosen
    fret: int | None
    way: Way
    span: Span


def sound_alike(heads: Sequence[Head], others: Sequence[Head]) -> bool:
    """Whether what is struck together is the same, so that it can be held on. Without a pitch, the place on the staff
    that a note has by chance says nothing.
    """
    return _sounds(heads) == _sounds(others)


def _sounds(heads: Sequence[Head]) -> list[tuple[HeadKind, int | None]]:
    return [(head.kind, head.pitch.midi if head.kind == "note" else None) for head in heads]


@dataclass(frozen=True, slots=True)
class GraceNote:
    """A grace note before an event; `connector` leads to it."""

    head: Head
    connector: Connector
    span: Span


@dataclass(frozen=True, slots=True)
class Event:
    """A note, a stack (`heads` lowest first) or a silence (`heads` empty)."""

    onset: Fraction
    length: Fraction
    heads: tuple[Head, ...]
    graces: tuple[GraceNote, ...]
    connector: Connector  # how the note before leads here
    marks: tuple[Mark, ...]
    held: bool  # goes on from the bar before (first event only): tied if a note, one silence if not
    todo: bool  # a stretch still to do (`?`): no heads, drawn open
    span: Span

    @property
    def end(self) -> Fraction:
        return self.onset + self.length


class Cell(NamedTuple):
    """How the writer divided a stretch: `slots` equal shares, some of them divided again (`inner`).

    A beat word `gbd` over one quarter: Cell(0, 1, 3). A group `2{g bd e}`: Cell(0, 2, 3, inner=(…1 slot, 2, 1)).
    """

    start: Fraction
    length: Fraction
    slots: int
    inner: tuple[Cell, ...] = ()


@dataclass(frozen=True, slots=True)
class PlacedChord:
    """A chord symbol at its onset. `chord` is None when the name was not understood: `name` is shown all the same."""

    onset: Fraction
    name: str
    chord: Chord | None
    doubtful: bool
    span: Span


class PlacedWord(NamedTuple):
    """Words above the staff, or a direction (`kind` "direction": a key of `scribe.source.directions`)."""

    onset: Fraction
    kind: Literal["text", "direction"]
    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class BarMusic:
    """Everything a bar says, given what was in force: a pure function of (text, InForce, Entry), memoised on them.

    `repeat`: 0, or 1 (`%`) or 2 (`%%`): then `events` are empty and the piece fills them in from the bars before.
    `todo`: the whole bar is still to do. `broken`: it holds an error and is drawn as an empty, marked bar.
    `length`: the bar's length in quarters.
    """

    length: Fraction
    events: tuple[Event, ...]
    cells: tuple[Cell, ...]
    chords: tuple[PlacedChord, ...]
    words: tuple[PlacedWord, ...]
    repeat: int
    todo: bool
    broken: bool
    diagnostics: tuple[Diagnostic, ...]
