"""A walked draft as music: its bars in their places, the systems of its lines, everything there is to say about it.

Bars keep places and numbers that count from their own line, so that they stay the same objects while lines are put
in or taken out above them; `Sketch` knows how to make both absolute.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Span
from scribe.live.walk import Step, Walk
from scribe.music.assemble import no_bars
from scribe.music.draught import REPEAT_ENDS, REPEAT_STARTS, Draught
from scribe.music.events import Head
from scribe.music.form import (
    NO_ENDING,
    Passes,
    bar_id,
    barlines,
    endings,
    home_for,
    in_place,
    numbered,
    remarks,
    stem_of,
    way_through,
)
from scribe.music.piece import Bar, Heading, Layout, Piece
from scribe.music.progress import Progress, progress
from scribe.music.roadmap import LOOKED_AT, Remark
from scribe.music.slips import gathered, tempo_slips
from scribe.music.spelling.bars import AS_IT_IS, respelled, spelled
from scribe.source.read import MOST_FAULTS, faults_left_out

_FEW = 8  # ways to settle one line that are remembered


class _Facts(NamedTuple):
    """What the lines around must know of a line's bars."""

    ending: bool
    winding: bool
    first: tuple[object, ...]
    last: tuple[object, ...]


class Settled(NamedTuple):
    """A line's bars in their places; remarks with the index of their bar, places counted from the bar."""

    bars: tuple[Bar, ...]
    remarks: tuple[tuple[int, Diagnostic], ...]
    last: Head | None
    progress: Progress


@dataclass(frozen=True)
class Sketch:
    """A draft's music. Lists of the same length tell for each bar: itself, the draught it was made of, the line
    (from 0) that plays it, the line that it is written in.
    """

    walk: Walk
    bars: Sequence[Bar]
    draughts: Sequence[Draught]
    played: Sequence[int]
    written: Sequence[int]
    bases: Sequence[int]  # for each line, what to add to its bars' numbers
    systems: tuple[tuple[int, int], ...]
    settled: Sequence[tuple[int, Settled]]  # with the index of the first bar
    winding: bool  # whether there are repeats, endings or signs

    @property
    def heading(self) -> Heading:
        return self.walk.heading

    @property
    def layout(self) -> Layout:
        return self.walk.layout

    def number(self, bar: int) -> int:
        """The printed number of a bar by its index."""
        return self.bases[self.played[bar]] + self.draughts[bar].number

    def offset(self, bar: int) -> int:
        """Where a bar's text begins in the draft."""
        return self.walk.starts[self.written[bar]] + self.draughts[bar].offset

    @cached_property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """Everything there is to say about the draft, in order of place."""
        starts = self.walk.starts
        found = [fault.shift(starts[line]) for line, fault in self.faults()]
        for first, settled in self.settled:
            for index, remark in settled.remarks:
                bar = first + index
                found.append(numbered(remark, self.number(bar)).shift(self.offset(bar)))
        found += [remark.shift(self.offset(bar)) for bar, remark in self.way_through()]
        found.sort(key=lambda d: (d.span, d.code))
        return tuple(filter(None, gathered(found, lambda: home_for(self.draughts))))

    def way_through(self) -> list[Remark]:
        """What there is to say about repeats, endings and signs, each with the index of its bar."""
        return way_through(self.draughts, self.number) if self.winding else []

    def faults(self) -> list[tuple[int, Diagnostic]]:
        """Faults of lines as such, each with its line (from 0); places count from the start of that line."""
        reading: list[tuple[int, Diagnostic]] = []
        meaning: list[tuple[int, Diagnostic]] = []
        broken = unsaid = last = 0
        for line, step in enumerate(self.walk.steps):
            if step.reading:
                broken += 1
                if broken <= MOST_FAULTS:
                    reading += [(line, fault) for fault in step.reading]
                else:
                    unsaid, last = unsaid + 1, line
            if step.faults:
                meaning += [(line, fault) for fault in step.faults]
        if unsaid:
            start = self.walk.starts[last]
            end = self.walk.text.find("\n", start)
            length = (len(self.walk.text) if end < 0 else end) - start
            reading.append((last, faults_left_out(unsaid, Span(0, length))))
        found = reading + meaning
        if not self.bars:
            found += [(0, fault) for fault in no_bars(fault for _, fault in found)]
        else:
            found += tempo_slips(step.line for step in self.walk.steps)
        return found

    @cached_property
    def progress(self) -> Progress:
        """How much of the draft is still open."""
        counts = zip(*(settled.progress for _, settled in self.settled), strict=True)
        return Progress(*map(sum, counts)) if self.settled else Progress(0, 0, 0, 0, 0, 0)

    def piece(self) -> Piece:
        """The whole piece, as a fresh compilation of the text would make it. Takes time for every bar."""
        seen: dict[int, int] = {}
        bars = []
        for index, bar in enumerate(self.bars):
            stem = stem_of(bar.text)
            seen[stem] = seen.get(stem, 0) + 1
            id = bar_id(stem, seen[stem])
            bars.append(replace(bar, id=id, number=self.number(index), offset=self.offset(index)))
        return Piece(self.heading, tuple(bars), self.systems, self.layout, self.diagnostics)


def sketch(walk: Walk) -> Sketch:
    """Settle the form of a walked draft. Lines settled in the same surroundings before are taken as they were."""
    draughts: list[Draught] = []
    played: list[int] = []
    written: list[int] = []
    bases = [0] * len(walk.steps)
    starts: list[int] = []
    music: list[tuple[int, Step, _Facts]] = []  # lines with bars: index of the first bar, line
    base = 0
    for line, step in enumerate(walk.steps):
        bases[line] = base
        if not step.bars:
            continue
        first, count = len(draughts), len(step.bars)
        music.append((first, step, _facts(step)))
        starts += [first + start for start in step.systems]
        draughts += step.bars
        played += [line] * count
        written += walk.origins.get(line) or [line] * count
        base += step.advance
    passes: Sequence[Passes] | None = None
    if any(facts.ending for _, _, facts in music):
        lines = list(zip(played, (bar.line for bar in draughts), strict=True))
        passes = endings(draughts, lines)
    spellings = spelled(draughts)
    as_it_is = all(each is AS_IT_IS for each in spellings)
    bars: list[Bar] = []
    settled: list[tuple[int, Settled]] = []
    last: Head | None = None
    for place, (first, step, _) in enumerate(music):
        before = music[place - 1][2].last if place else None
        behind = music[place + 1][2].first if place + 1 < len(music) else None
        end = first + len(step.bars)
        here = None if passes is None else tuple(passes[first:end])
        if here is not None and all(each is NO_ENDING for each in here):
            here = None
        names = None if as_it_is else tuple(spellings[first:end])
        if names is not None and all(each is AS_IT_IS for each in names):
            names = None
        key = (before, behind, last and last.pitch, here, names)
        found = step.settled.get(key)
        if found is None:
            if len(step.settled) > _FEW:
                step.settled.clear()
            low, high = max(0, first - 1), min(end + 1, len(draughts))
            window = [respelled(draughts[i], spellings[i]) for i in range(low, high)]
            found = _settle(window, first - low, len(step.bars), last, here)
            step.settled[key] = found
        assert isinstance(found, Settled)
        settled.append((first, found))
        bars += found.bars
        last = found.last
    starts = list(dict.fromkeys(starts))
    systems = tuple(zip(starts, [*starts[1:], len(draughts)], strict=True)) if starts else ()
    winding = any(facts.ending or facts.winding for _, _, facts in music)
    return Sketch(walk, bars, draughts, played, written, bases, systems, settled, winding)


def _settle(
    window: Sequence[Draught], start: int, count: int, last: Head | None, passes: tuple[Passes, ...] | None
) -> Settled:
    """Settle a line; `window` holds its bars and the ones beside it."""
    lefts, rights = barlines(window)
    said: list[tuple[int, Diagnostic]] = []
    bars: list[Bar] = []
    for index in range(count):
        here = start + index
        local, last = remarks(window, here, last)
        said += [(index, remark) for remark in local]
        bar = window[here]
        ending = passes[index] if passes else NO_ENDING
        bars.append(in_place(bar, bar_id(stem_of(bar.text), 1), lefts[here], rights[here], ending))
    part = Piece(Heading(), tuple(bars), (), Layout(), ())
    return Settled(tuple(bars), tuple(said), last, progress(part))


def _facts(step: Step) -> _Facts:
    if step.facts is None:
        first, last = step.bars[0], step.bars[-1]
        edges = {edge for bar in step.bars for edge in bar.edge}
        step.facts = _Facts(
            any(bar.ending for bar in step.bars),
            bool(edges & (REPEAT_ENDS | REPEAT_STARTS)) or _signs(step),
            (first.edge.left, bool(first.section), first.shape),
            (last.edge.right, last.shape),
        )
    assert isinstance(step.facts, _Facts)
    return step.facts


def _signs(step: Step) -> bool:
    return any(
        word.kind == "direction" and word.text in LOOKED_AT for bar in step.bars for word in bar.music.words
    )
