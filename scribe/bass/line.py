"""From a piece to what the hand has to do: notes in order, with the time that the tempo leaves between them."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from scribe.bass.breaking_off import checkpoint
from scribe.bass.fretboard import Fretboard, neck_of
from scribe.music.events import Event, Head
from scribe.music.piece import Bar, Piece
from scribe.music.settings import seconds_a_quarter
from scribe.music.tuning import FRETS
from scribe.source.tree import Connector, Mark

DEAD = -1000  # stands for the pitch of a dead note; no octave brings a note there
USUAL = Fraction(120)  # quarters a minute where the draft names no speed: the default of a MIDI file
GRACE = 0.07  # s, what a grace note takes (from memory)
BREATH = 1.0  # s of silence, after which the hand may be anywhere: a phrase begins
SHORTEST_FIGURE = 3  # notes in a bar that is to be fingered alike each time
_NEEDS_A_FINGER: frozenset[Mark] = frozenset(("vibrato", "bent", "fall"))


class Tone(NamedTuple):
    """One note head for the hand. `string` (1 = highest) and `fret` where the draft pins them."""

    midi: int  # sounding; DEAD for a dead note
    string: int | None = None
    fret: int | None = None
    harmonic: bool = False


class Moment(NamedTuple):
    """Notes that start together: `sounds` and then `silence`, both in seconds, lead to the next moment."""

    tones: tuple[Tone, ...]  # lowest first, as in the draft
    sounds: float
    silence: float
    lead: Connector = ""  # how the moment before leads here
    ghost: bool = False
    finger: bool = False  # vibrato, a bend or a fall: no open string can do it
    position: int | None = None  # where the draft holds the hand


class Place(NamedTuple):
    """Where a moment stands in the piece; `grace` is -1 or the number of the grace note before the event."""

    bar: int
    event: int
    grace: int
    heads: tuple[int, ...]


@dataclass(slots=True)
class Line:
    """Everything the hand has to do in a piece.

    `copies[i]`: the moment whose fingering moment `i` must share (`/`, `%` and `use` repeat a text), or -1.
    `figures[i]`: the same pair for the same note of bars with the same notes and rhythm, or None; the first of the
    pair is an index into `shapes`, which says what such bars have in common.
    `starts`: the first moment of every phrase; `necks` one for each phrase. `loose`: dead notes on no string of
    their own (place, moment before or -1, moment behind or -1). `tied`: heads that go on, and their moment.
    """

    moments: list[Moment] = field(default_factory=list)
    places: list[Place] = field(default_factory=list)
    copies: list[int] = field(default_factory=list)
    figures: list[tuple[int, int] | None] = field(default_factory=list)
    shapes: list[Hashable] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    necks: list[Fretboard] = field(default_factory=list)
    loose: list[tuple[Place, int, int]] = field(default_factory=list)
    tied: list[tuple[Place, int]] = field(default_factory=list)

    def phrases(self) -> list[tuple[int, int, Fretboard]]:
        """Return (start, end, neck) of every phrase."""
        ends = [*self.starts[1:], len(self.moments)]
        return list(zip(self.starts, ends, self.necks, strict=False))  # without notes no phrase at all


def line_of(
    piece: Piece, frets: int = FRETS, scale: float | None = None, neck: Fretboard | None = None
) -> Line:
    """Return the line of a piece, in the order of the page (repeats not unfolded).

    Bars of instruments without strings are left out, unless `neck` says what they are to be played on.
    """
    return _Reader(frets, scale, neck).run(piece)


class _Reader:
    """Walks through the events of a piece once."""

    def __init__(self, frets: int, scale: float | None, neck: Fretboard | None) -> None:
        self.frets, self.scale, self.given = frets, scale, neck
        self.line = Line()
        self.quarter = float(60 / USUAL)
        self.neck: Fretboard | None = None
        self.fresh = True  # a phrase begins with the next moment
        self.waiting: list[tuple[Place, int]] = []  # loose dead notes that wait for the moment behind them
        self.first_of: list[int] = []  # of every bar: its first moment
        self.broken_off = True  # silence or a note without a place lies before the next moment

    def run(self, piece: Piece) -> Line:
        by_offset: dict[int, int] = {}
        figures: dict[Hashable, int] = {}
        for index, bar in enumerate(piece.bars):
            checkpoint()
            self._enter(bar)
            first = len(self.line.moments)
            self.first_of.append(first)
            if self.neck is not None:
                for number, event in enumerate(bar.events):
                    self._event(index, number, event, bar)
            else:
                self._pause(float(bar.music.length) * self.quarter)
            self._repeat_signs(bar, first)
            source = self._source(piece, index, by_offset)
            if source is not None:
                self._share(first, source)
            self._figure(first, piece, index, figures)
            if bar.text:
                by_offset.setdefault(bar.offset, index)
        self.line.loose += [(place, before, -1) for place, before in self.waiting]
        return self.line

    def _enter(self, bar: Bar) -> None:
        if bar.tempo is not None:
            self.quarter = seconds_a_quarter(bar.tempo) or self.quarter
        in_force = bar.in_force
        neck = self.given or neck_of(in_force.instrument, in_force.tuning, self.frets, self.scale)
        if neck != self.neck or bar.section:
            self.fresh = True
        self.neck = neck

    def _event(self, index: int, number: int, event: Event, bar: Bar) -> None:
        length = float(event.length) * self.quarter
        if event.held and event.heads:
            self._hold(Place(index, number, -1, tuple(range(len(event.heads)))), event, length)
            return
        for g, grace in enumerate(event.graces):
            self._add(Place(index, number, g, (0,)), (grace.head,), grace.connector, GRACE, (), bar)
        if event.heads:
            heads = tuple(range(len(event.heads)))
            place = Place(index, number, -1, heads)
            self._add(place, event.heads, event.connector, length, event.marks, bar)
        else:
            self._pause(length)

    def _add(
        self,
        place: Place,
        heads: tuple[Head, ...],
        lead: Connector,
        length: float,
        marks: tuple[Mark, ...],
        bar: Bar,
    ) -> None:
        line = self.line
        tones, kept = [], []
        for i, head in enumerate(heads):
            if head.kind == "note":
                typed = head.fret if head.string is not None else None
                tones.append(Tone(head.pitch.midi, head.string, typed, "harmonic" in marks))
                kept.append(i)
            elif head.kind == "dead" and head.string is not None:
                tones.append(Tone(DEAD, head.string))
                kept.append(i)
            elif head.kind == "dead":
                self.waiting.append((place._replace(heads=(i,)), len(line.moments) - 1))
        if not tones:
            self._pause(length)
            return
        here = len(line.moments)
        silent = line.moments[-1].silence if line.moments else BREATH
        if self.fresh or silent >= BREATH:
            assert self.neck is not None
            line.starts.append(here)
            line.necks.append(self.neck)
            self.fresh = False
        line.loose += [(loose, before, here) for loose, before in self.waiting]
        self.waiting.clear()
        line.moments.append(
            Moment(
                tuple(tones),
                length,
                0.0,
                "" if self.broken_off else lead,
                all(head.ghost for head in heads),
                bool(_NEEDS_A_FINGER & set(marks)),
                bar.position,
            )
        )
        line.places.append(place._replace(heads=tuple(kept)))
        line.copies.append(-1)
        line.figures.append(None)
        self.broken_off = False

    def _pause(self, length: float) -> None:
        """Time in which the hand has nothing to hold."""
        self.broken_off = True
        if self.line.moments:
            last = self.line.moments[-1]
            self.line.moments[-1] = last._replace(silence=last.silence + length)

    def _hold(self, place: Place, event: Event, length: float) -> None:
        """A tied note goes on; after an ending it may belong to a moment further back."""
        midis = [head.pitch.midi for head in event.heads if head.kind == "note"]
        moments = self.line.moments
        for i in range(len(moments) - 1, -1, -1):
            if [tone.midi for tone in moments[i].tones if tone.midi != DEAD] == midis and midis:
                self.line.tied.append((place, i))
                if i == len(moments) - 1 and not self.broken_off:
                    moments[i] = moments[i]._replace(sounds=moments[i].sounds + length)
                    return
                break
        self._pause(length)

    # --- what is to be fingered alike ------------------------------------------------------------------------

    def _repeat_signs(self, bar: Bar, first: int) -> None:
        """A `/` repeats the beat word before it: the same note at the same part of the cell before."""
        events = {event.onset: number for number, event in enumerate(bar.events)}
        moment_of = {
            (self.line.places[i].event, self.line.places[i].grace): i
            for i in range(first, len(self.line.moments))
        }
        for before, cell in zip(bar.music.cells, bar.music.cells[1:], strict=False):
            for (number, grace), i in moment_of.items():
                event = bar.events[number]
                inside = cell.start <= event.onset < cell.start + cell.length
                if not inside or bar.text[event.span.start : event.span.end] != "/":
                    continue
                share = (event.onset - cell.start) / cell.length
                source = events.get(before.start + share * before.length)
                if source is not None:
                    self.line.copies[i] = moment_of.get((source, grace), -1)

    def _source(self, piece: Piece, index: int, by_offset: dict[int, int]) -> int | None:
        """The bar whose text a bar repeats: that of `%`, `%%` or `use`."""
        bar = piece.bars[index]
        if bar.repeat == 1:
            return next((i for i in range(index - 1, -1, -1) if not piece.bars[i].repeat), None)
        if bar.repeat == 2:
            return index - 2 if index >= 2 else None
        return by_offset.get(bar.offset) if bar.text else None

    def _share(self, first: int, source: int) -> None:
        """Tie every moment of the last bar to its twin in the source bar, counted from the bars' ends."""
        line = self.line
        own = range(first, len(line.moments))
        twins = range(self.first_of[source], self.first_of[source + 1])
        for i, j in zip(reversed(own), reversed(twins), strict=False):
            if _sounds_as(line.moments[i], line.moments[j]):
                line.copies[i] = j

    def _figure(self, first: int, piece: Piece, index: int, figures: dict[Hashable, int]) -> None:
        line = self.line
        own = range(first, len(line.moments))
        pitches = {tone.midi for i in own for tone in line.moments[i].tones}
        if len(own) < SHORTEST_FIGURE or len(pitches) < 2:
            return
        events = piece.bars[index].events
        key = (
            self.neck,
            tuple(
                (events[line.places[i].event].onset, line.places[i].grace, _asks(line.moments[i]))
                for i in own
            ),
        )
        number = figures.get(key)
        if number is None:
            number = figures[key] = len(figures)
            line.shapes.append(key)
        for k, i in enumerate(own):
            line.figures[i] = (number, k)


def _sounds_as(a: Moment, b: Moment) -> bool:
    return [tone.midi for tone in a.tones] == [tone.midi for tone in b.tones]


def _asks(moment: Moment) -> tuple[object, ...]:
    """What a moment asks of the hand, its time left out. The first connector of a bar is led over from outside."""
    return (moment.tones, moment.lead, moment.ghost, moment.finger, moment.position)
