"""One bar as a music21 measure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from music21 import expressions, note, spanner, stream
from music21 import tie as ties
from music21.base import Music21Object

from scribe.diagnostics import Span
from scribe.music.events import Event
from scribe.music.piece import Bar
from scribe.score.beams import beams
from scribe.score.heads import Ground, graces, rest, struck
from scribe.score.label import DOUBT, at
from scribe.score.marks import add_marks
from scribe.score.pitches import Accidentals
from scribe.score.symbols import symbol
from scribe.score.values import durations, whole_bar
from scribe.score.words import above, changes_loudness, word
from scribe.source.tree import Connector


@dataclass(frozen=True, slots=True)
class Link:
    """One thing in the order of playing, as connectors see it.

    `notes`: its written notes, tied, in order; empty for a silence. `held`: it goes on from the bar before.
    """

    notes: tuple[note.NotRest, ...]
    connector: Connector
    held: bool
    span: Span


@dataclass(frozen=True, slots=True)
class Level:
    """A dynamic, or `cresc`, `dim`, and the note or rest that stands at its place (None at the bar's end)."""

    name: str
    here: note.GeneralNote | None
    span: Span


@dataclass(frozen=True, slots=True)
class BuiltMeasure:
    """A measure, and what is still to be joined to its neighbours: ties, slurs, slides, wedges."""

    measure: stream.Measure
    links: tuple[Link, ...]
    levels: tuple[Level, ...]


@dataclass(frozen=True, slots=True)
class Form:
    """What a bar must know of the piece to word its D.S.: whether there is a coda to leave for, a Fine."""

    coda: bool = False
    fine: bool = False


def build_measure(bar: Bar, *, offset: int = 0, form: Form | None = None) -> BuiltMeasure:
    """Return one bar: notes, rests, beams, tuplets, chord symbols, words; no barlines, key, metre or tempo.

    The measure is new at each call and depends on nothing but the arguments, so it can be kept as long as the
    bar stays the same. Spans count from the bar's start, plus `offset`. Pitches are as the player of
    `bar.in_force.instrument` reads them.
    """
    return _Building(bar, offset, form or Form()).build()


class _Building:
    def __init__(self, bar: Bar, offset: int, form: Form) -> None:
        self.bar = bar
        self.form = form
        self.written = bar.written
        self.whole = Span(offset, offset + len(bar.text))
        self.offset = offset
        copied = bar.repeat > 0
        self.ground = Ground(
            Accidentals(bar.in_force.key, bar.in_force.instrument),
            offset,
            self.whole if copied else None,
        )
        self.measure = stream.Measure(number=bar.number)
        self.links: list[Link] = []
        self.row: list[tuple[Fraction, note.GeneralNote]] = []

    def build(self) -> BuiltMeasure:
        at(self.measure, self.whole, scribeBar=self.bar.id)
        music = self.bar.music
        if music.todo or music.broken or not self.written.notes or not self.bar.events:
            self.empty()
        else:
            self.notes()
        levels = self.words()
        for placed in music.chords:
            sign = symbol(placed, self.ground.accidentals.up, placed.span.shift(self.offset))
            self.put(placed.onset, sign)
        self.measure.coreElementsChanged()
        return BuiltMeasure(self.measure, tuple(self.links), tuple(levels))

    def put(self, place: Fraction, thing: Music21Object) -> None:
        self.measure.coreInsert(place, thing)

    # --- notes and rests

    def empty(self) -> None:
        """Fill the bar with one rest: a silence, or nothing yet."""
        silence = rest(whole_bar(self.bar.music.length), self.whole, whole_bar=True)
        self.row.append((Fraction(0), silence))
        self.put(Fraction(0), silence)
        for state, name in ((self.bar.music.todo, "scribeTodo"), (self.bar.music.broken, "scribeBroken")):
            if state:
                silence.editorial[name] = self.measure.editorial[name] = True
                silence.style.color = DOUBT
        if self.bar.music.todo:
            self.put(Fraction(0), self.question(self.whole))
        self.links.append(Link((), "", False, self.whole))

    def question(self, span: Span) -> expressions.TextExpression:
        made = at(above("?"), span, scribeTodo=True)
        made.style.color = DOUBT
        return made

    def notes(self) -> None:
        events = self.bar.events
        lengths = durations(self.written)
        lines = beams(self.written, self.bar.in_force.metre)
        parts: dict[int, list[note.GeneralNote]] = {}
        for index, each in enumerate(self.written.notes):
            event = events[each.event]
            earlier = parts.setdefault(each.event, [])
            made: note.GeneralNote
            if not each.rest:
                again = bool(earlier) or (each.event == 0 and self.bar.tied)
                made = struck(event, lengths[index], self.ground, repeat=again)
                beaming = lines[index]
                if beaming is not None:
                    made.beams = beaming
                if earlier:
                    tie(earlier[-1], made)
            else:
                made = rest(lengths[index], self.ground.place(event.span), whole_bar=each.measure_rest)
                if event.todo:
                    made.editorial["scribeTodo"] = True
                    made.style.color = DOUBT
                    if not earlier:
                        self.put(each.onset, self.question(self.ground.place(event.span)))
            if not earlier:
                self.open(event, each.onset)
            earlier.append(made)
            self.put(each.onset, made)
            self.row.append((each.onset, made))
            if index + 1 == len(self.written.notes) or self.written.notes[index + 1].event != each.event:
                self.close(each.event, parts[each.event])

    def open(self, event: Event, place: Fraction) -> None:
        for grace, made in zip(event.graces, graces(event.graces, self.ground), strict=True):
            self.put(place, made)
            self.links.append(Link((made,), grace.connector, False, self.ground.place(grace.span)))

    def close(self, index: int, parts: list[note.GeneralNote]) -> None:
        event = self.bar.events[index]
        span = self.ground.place(event.span)
        notes = tuple(part for part in parts if isinstance(part, note.NotRest))
        self.links.append(Link(notes, event.connector, index == 0 and self.bar.tied, span))
        if notes:
            for line in add_marks(notes, event.marks, span):
                self.put(Fraction(0), line)

    # --- words

    def words(self) -> list[Level]:
        levels = []
        for placed in self.bar.music.words:
            span = placed.span.shift(self.offset)
            if changes_loudness(placed):
                here = next((made for start, made in self.row if start >= placed.onset), None)
                levels.append(Level(placed.text, here, span))
            made = word(placed, span, coda=self.form.coda, fine=self.form.fine)
            if made is not None:
                self.put(placed.onset, made)
        return levels


def tie(left: note.GeneralNote | None, right: note.GeneralNote) -> None:
    """Tie two notes, or two chords tone by tone; a note tied on both sides becomes a `continue`."""
    for each, kind in ((left, "start"), (right, "stop")):
        if each is None:
            continue
        if each.tie is not None and each.tie.type != kind:
            each.tie = ties.Tie("continue")
        else:
            each.tie = ties.Tie(kind)


def multi_rest(bar: Bar, offset: int = 0) -> tuple[list[stream.Measure], spanner.MultiMeasureRest | None]:
    """Return the measures of `rest N`, and the sign over them where there is more than one."""
    whole = Span(offset, offset + len(bar.text))
    measures, rests = [], []
    for index in range(bar.rests):
        measure = at(stream.Measure(number=bar.number + index), whole, scribeBar=bar.id)
        silence = rest(whole_bar(bar.music.length), whole, whole_bar=True)
        measure.append(silence)
        measures.append(measure)
        rests.append(silence)
    sign = at(spanner.MultiMeasureRest(rests, useSymbols=False), whole) if len(rests) > 1 else None
    return measures, sign
