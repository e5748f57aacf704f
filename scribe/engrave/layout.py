"""Which bars stand together on a system."""

from __future__ import annotations

from collections.abc import Sequence

from scribe.music.piece import Bar, Piece

Run = tuple[int, int]  # bars by index: first, end (exclusive)


def runs(piece: Piece, start: int = 0, end: int | None = None) -> list[Run]:
    """Return the systems of bars `start` … `end` (exclusive) as source lines or `layout 4` ask for them."""
    stop = len(piece.bars) if end is None else end
    if piece.layout.per_system is not None:
        return by_count(piece.bars, piece.layout.per_system, start, stop)
    cut = [(max(a, start), min(b, stop)) for a, b in piece.systems]
    return _with_pickups(piece.bars, [(a, b) for a, b in cut if a < b])


def by_count(bars: Sequence[Bar], count: int, start: int, end: int) -> list[Run]:
    """Return systems of `count` bars; a section begins a new one, a pickup does not count (common practice)."""
    found: list[Run] = []
    first, held = start, 0
    for index in range(start, end):
        bar = bars[index]
        if index > first and (held >= count or bar.section) and bar.repeat_part != 2:
            found.append((first, index))
            first, held = index, 0
        held += 0 if bar.number == 0 else 1
    if first < end:
        found.append((first, end))
    return found


def _with_pickups(bars: Sequence[Bar], cut: list[Run]) -> list[Run]:
    """Let a pickup on a source line of its own lead into the next line's system."""
    found: list[Run] = []
    for start, end in cut:
        if found and found[-1][1] == start and _only_pickup(bars, found[-1]):
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return found


def _only_pickup(bars: Sequence[Bar], run: Run) -> bool:
    start, end = run
    return end == start + 1 and bars[start].in_force.pickup
