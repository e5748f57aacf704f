"""Bars to systems by density: the best breaks over the whole piece at once, as a paragraph is broken into lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.music.piece import Bar

EASY = 0.76  # how far a system's natural width fills it when it is easy to read
_TIGHT = 1.05  # … and at most
_NEVER = 1e9
_SHORT_LAST = 0.55  # a last system with less than this share of music is a lonely one


class Bars(NamedTuple):
    """What the breaking knows of the bars: natural widths, where a section begins, where no break may be."""

    widths: Sequence[float]
    sections: frozenset[int]
    joined: frozenset[int]  # indices of bars that must stand beside the one before


def facts(bars: Sequence[Bar], widths: Sequence[float]) -> Bars:
    """Gather what the breaking must know."""
    return Bars(
        widths,
        frozenset(i for i, bar in enumerate(bars) if bar.section),
        frozenset(
            i
            for i, bar in enumerate(bars)
            if (bar.repeat == 2 and bar.repeat_part == 2) or (i and bars[i - 1].in_force.pickup)
        ),
    )


def best_breaks(
    bars: Bars, room: float, signs: float, start: int, end: int, target: float = EASY
) -> list[tuple[int, int]]:
    """Return the systems of bars `start` … `end` (exclusive) that together look best.

    `room`: the width of a system; `signs`: what clef and key take of it; `target`: the share of it that the bars'
    natural widths are to fill. Every system is to be filled alike, a section is to begin a system, even numbers of
    bars are liked, a lonely last bar is not. Exact: all ways are compared (dynamic programming, linear in the
    number of bars).
    """
    cost = {start: 0.0}
    came: dict[int, int] = {}
    for stop in range(start + 1, end + 1):
        wide, best, where = 0.0, _NEVER * 10, stop - 1
        for first in range(stop - 1, start - 1, -1):
            wide += bars.widths[first]
            fill = (signs + wide) / room
            if fill > _TIGHT and first < stop - 1 and first + 1 not in bars.joined:
                break
            if first not in cost:
                continue
            total = cost[first] + _cost(bars, fill / target, first, stop, last=stop == end)
            if total < best:
                best, where = total, first
        cost[stop], came[stop] = best, where
    found: list[tuple[int, int]] = []
    stop = end
    while stop > start:
        found.append((came[stop], stop))
        stop = came[stop]
    return found[::-1]


def _cost(bars: Bars, fill: float, first: int, stop: int, *, last: bool) -> float:
    """What a system costs; `fill` 1 is just as full as it should be."""
    count = stop - first
    if first in bars.joined:
        return _NEVER
    if fill > 1.0:
        cost = 8.0 * (fill - 1.0) ** 2
    elif last:
        cost = 4.0 * max(0.0, _SHORT_LAST - fill) ** 2
    else:
        cost = 4.0 * (1.0 - fill) ** 2
    if count == 1 and fill < _SHORT_LAST:
        cost += 1.5
    cost += sum(2.0 for index in range(first + 1, stop) if index in bars.sections)
    if count % 2:
        cost += 0.12
    elif count % 4:
        cost += 0.04
    return cost + 0.02
