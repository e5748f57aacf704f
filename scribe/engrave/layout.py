"""Which bars stand together on a system."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil

from scribe.engrave.breaks import best_breaks, facts
from scribe.music.piece import Bar, Layout, Piece

Run = tuple[int, int]  # bars by index: first, end (exclusive)
Widths = Callable[[], Sequence[float]]  # natural widths of all bars, worked out when needed

SIGNS = 1400.0  # what clef and key take of a system, about
_FULL = 1.14  # a source line with more music than that is set on more than one system


def runs(piece: Piece, room: float, estimate: Widths, measure: Widths) -> list[Run]:
    """Return the systems of a piece as its `layout` asks for them.

    `room`: the width of a system in page units. `estimate` gives quick, `measure` exact natural widths of all bars.
    Lines with more bars than a reader could tell apart on one system are divided evenly.
    """
    bars = piece.bars
    if piece.layout.fit:
        return best_breaks(facts(bars, measure()), room, SIGNS, 0, len(bars))
    return _divided(bars, undivided(bars, piece.systems, piece.layout), room, estimate())


def undivided(bars: Sequence[Bar], lines: Sequence[Run], layout: Layout) -> list[Run]:
    """Return the systems that source lines (`lines`) or a number of bars ask for, however full they are."""
    if layout.per_system is not None:
        return by_count(bars, layout.per_system)
    return _with_pickups(bars, list(lines))


def part(cut: Sequence[Run], start: int, end: int) -> list[Run]:
    """Return the systems of bars `start` … `end` (exclusive) alone, cut where the whole piece is."""
    inside = [(max(a, start), min(b, end)) for a, b in cut]
    return [(a, b) for a, b in inside if a < b]


def by_count(bars: Sequence[Bar], count: int) -> list[Run]:
    """Return systems of `count` bars; a section begins a new one, a pickup does not count (common practice)."""
    found: list[Run] = []
    first, held = 0, 0
    for index, bar in enumerate(bars):
        new = held >= count or (bar.section and held)
        if index > first and new and not (bar.repeat == 2 and bar.repeat_part == 2):
            found.append((first, index))
            first, held = index, 0
        held += 0 if bar.in_force.pickup else 1
    if first < len(bars):
        found.append((first, len(bars)))
    return found


def _with_pickups(bars: Sequence[Bar], cut: list[Run]) -> list[Run]:
    """Let a pickup on a source line of its own lead into the next line's system."""
    found: list[Run] = []
    for start, end in cut:
        before = found[-1] if found else None
        if before and before[1] == before[0] + 1 and bars[before[0]].in_force.pickup:
            found[-1] = (before[0], end)
        else:
            found.append((start, end))
    return found


def _divided(bars: Sequence[Bar], cut: Sequence[Run], room: float, widths: Sequence[float]) -> list[Run]:
    """Set lines that are far too full on several systems."""
    known = facts(bars, widths)
    found: list[Run] = []
    for start, end in cut:
        total = sum(widths[start:end])
        if SIGNS + total <= _FULL * room or end - start < 2:
            found.append((start, end))
            continue
        parts = ceil((SIGNS + total) / (1.02 * room))
        alike = (SIGNS + total / parts) / room
        found.extend(best_breaks(known, room, SIGNS, start, end, alike))
    return found
