"""The notes and rests of one voice, bar by bar, as events that fill each bar."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from music21 import note

from scribe.exchange.m21.heads import DOUBT, FROM_NOWHERE, Flags, heads_of, lyrics_of, marks_of
from scribe.exchange.m21.pitches import span_of
from scribe.exchange.model import Event, Grace, Head, Printed
from scribe.music.written import VALUES
from scribe.source.tree import Connector, Mark

CODES = {name: code for code, (name, _, _) in VALUES.items()}
UNKNOWN = "?"  # the code of a value that we do not write


@dataclass
class Struck:
    """One thing in the order of playing, in the making: an event, or a grace note before one (length 0)."""

    onset: Fraction
    length: Fraction
    heads: list[Head] = field(default_factory=list)
    connector: Connector = ""
    marks: list[Mark] = field(default_factory=list)
    held: bool = False
    todo: bool = False
    graces: list[Struck] = field(default_factory=list)
    sources: list[int] = field(default_factory=list)  # ids of the source's notes
    names: list[str] = field(default_factory=list)  # and what the source calls them
    bar: int = -1  # index of its bar

    def event(self) -> Event:
        graces = tuple(Grace(grace.heads[0], grace.connector) for grace in self.graces)
        return Event(
            self.onset,
            self.length,
            tuple(self.heads),
            graces,
            self.connector,
            tuple(self.marks),
            self.held,
            self.todo,
        )


class Place(NamedTuple):
    """Where something sounds or is silent: index of the bar, onset and length there."""

    bar: int
    onset: Fraction
    length: Fraction


@dataclass
class Row:
    """The events of one bar in the making."""

    events: list[Struck]
    printed: tuple[Printed, ...]
    unsaid: list[str]


class Thread:
    """Follows one voice through its bars.

    `played`: everything struck, in order, silences too. `places`: by the id of a source's note or rest, each of those
    that are tied, its bar, onset, length.
    """

    def __init__(self, flags: Flags) -> None:
        self.flags = flags
        self.played: list[Struck] = []
        self.places: dict[int, Place] = {}
        self.bars = 0
        self.waiting: list[Struck] = []  # grace notes before the barline

    def bar(
        self,
        things: Sequence[tuple[Fraction, note.GeneralNote]],
        length: Fraction,
        entry: Struck | None,
    ) -> Row:
        """Take in one bar's notes and rests, sorted. `entry`: what a tie at the bar's start reaches back to."""
        row = Row([], _printed(things, length), [])
        first = len(self.played)
        graces, self.waiting = self.waiting, []
        if graces:
            row.unsaid.append("grace notes stand before the barline")
        verses: dict[int, list[str]] = defaultdict(list)
        at = Fraction(0)
        for onset, thing in things:
            size = span_of(onset, thing.duration.quarterLength)
            for verse, syllable in lyrics_of(thing):
                verses[verse].append(syllable)
            if thing.duration.isGrace or (size == 0 and not thing.isRest):
                graces += self._grace(thing, onset, row)
                continue
            if size <= 0 or onset >= length:
                continue
            size = min(size, length - onset)
            if onset < at:
                at = self._overlap(row, thing, onset, size, at)
                continue
            if onset > at:
                self._silence(row, at, onset - at, thing, hidden=True)
            if thing.isRest:
                if graces:
                    row.unsaid.append("grace notes before a rest")
                    graces = []
                self._silence(row, onset, size, thing)
            else:
                self._note(row, thing, onset, size, graces, entry)
                graces = []
            at = onset + size
        if at < length:
            self._silence(row, at, length - at, None, hidden=True)
        self.waiting = graces
        if verses:
            row.unsaid.append("lyrics " + " / ".join(" ".join(verses[verse]) for verse in sorted(verses)))
        for each in self.played[first:]:
            each.bar = self.bars
        self.bars += 1
        return row

    def end(self) -> bool:
        """Whether grace notes are left with no note behind them."""
        return bool(self.waiting)

    def _silence(
        self,
        row: Row,
        at: Fraction,
        length: Fraction,
        source: note.GeneralNote | None,
        *,
        hidden: bool = False,
    ) -> None:
        todo = False
        if source is not None and not hidden:
            said = self.flags.get(str(source.id)) or ()
            self.places[id(source)] = Place(self.bars, at, length)
            todo = (source.style.color or "").upper() == DOUBT or "to do" in said
            marks, _, lost = marks_of(source)
            row.unsaid += lost + [f"{mark} on a rest" for mark in marks]
        last = row.events[-1] if row.events else None
        if last is not None and not last.heads and last.todo == todo:
            last.length += length
            return
        row.events.append(Struck(at, length, todo=todo))
        self.played.append(row.events[-1])

    def _note(
        self,
        row: Row,
        each: note.GeneralNote,
        onset: Fraction,
        size: Fraction,
        graces: list[Struck],
        entry: Struck | None,
    ) -> None:
        heads, lost = heads_of(each, self.flags)
        marks, connector, more = marks_of(each)
        self.places[id(each)] = Place(self.bars, onset, size)
        row.unsaid += lost
        before = row.events[-1] if row.events else None
        tied = each.tie is not None and each.tie.type in ("stop", "continue") and not graces
        same = [(head.pitch, head.kind) for head in heads]
        if tied and before is not None and [(h.pitch, h.kind) for h in before.heads] == same:
            before.length += size
            before.sources.append(id(each))
            before.names += _names(each)
            before.marks += [mark for mark in marks if mark not in before.marks]
            row.unsaid += more
            return
        made = Struck(
            onset, size, heads, connector, marks, graces=graces, sources=[id(each)], names=_names(each)
        )
        if tied and not row.events and entry is not None and [(h.pitch, h.kind) for h in entry.heads] == same:
            made.held = True
            more += [f"{mark} on a held note" for mark in marks]
            made.marks, made.connector = [], ""
        elif tied:
            more.append("a tie that leads here from nowhere")
        if made.connector and self.played and (graces or self.played[-1].heads):
            more.append(
                FROM_NOWHERE[made.connector]
            )  # behind a note a draft's slide would lead here from that one
            made.connector = ""
        row.unsaid += more
        row.events.append(made)
        self.played.append(made)

    def _grace(self, each: note.GeneralNote, onset: Fraction, row: Row) -> list[Struck]:
        heads, lost = heads_of(each, self.flags)
        marks, connector, more = marks_of(each)
        self.places[id(each)] = Place(self.bars, onset, Fraction(0))
        row.unsaid += lost + more + [f"{mark} on a grace note" for mark in marks]
        if len(heads) > 1:
            row.unsaid.append("the upper notes of a grace stack")
        made = Struck(onset, Fraction(0), heads[:1], connector, sources=[id(each)], names=_names(each))
        if heads:
            self.played.append(made)
        return [made] if heads else []

    def _overlap(
        self, row: Row, each: note.GeneralNote, onset: Fraction, size: Fraction, at: Fraction
    ) -> Fraction:
        """A note begins before the one before ended: notes that begin together become a stack."""
        if each.isRest:
            return at
        heads, _ = heads_of(each, self.flags)
        self.places[id(each)] = Place(self.bars, onset, size)
        last = row.events[-1]
        if last.onset == onset and last.heads:
            if last.length != size:
                row.unsaid.append("notes of other lengths in a stack")
            pitches = [head.pitch for head in last.heads]
            last.heads += [head for head in heads if head.pitch not in pitches]
            last.heads.sort(key=lambda head: (head.pitch.midi, head.pitch.staff))
            last.sources.append(id(each))
            return at
        row.unsaid.append("a note that begins while another one sounds")
        if last.onset < onset:
            last.length = onset - last.onset
            row.events.append(
                Struck(onset, max(size, at - onset), heads, sources=[id(each)], names=_names(each))
            )
            self.played.append(row.events[-1])
        return max(at, onset + size)


def _names(each: note.GeneralNote) -> list[str]:
    """The ids that the source gives a note, or the notes of a stack."""
    return [str(n.id) for n in (each, *getattr(each, "notes", ())) if isinstance(n.id, str)]


def _printed(things: Sequence[tuple[Fraction, note.GeneralNote]], length: Fraction) -> tuple[Printed, ...]:
    """The written values, all of them; silence all through is one whole-bar rest, as we write it."""
    shown = [(onset, each) for onset, each in things if not each.duration.isGrace]
    if all(each.isRest for _, each in shown):
        return (Printed(Fraction(0), length, "W", True, (), True),)
    return tuple(_one(onset, each) for onset, each in shown)


def _one(onset: Fraction, each: note.GeneralNote) -> Printed:
    duration = each.duration
    code = CODES.get(duration.type, UNKNOWN)
    chain = tuple((t.numberNotesActual, t.numberNotesNormal) for t in duration.tuplets)
    code = code + "." * duration.dots if code != UNKNOWN else code
    return Printed(onset, span_of(onset, duration.quarterLength), code, each.isRest, chain)
