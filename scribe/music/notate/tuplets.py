"""Which stretches of a bar need a tuplet, and which one.

The writer's divisions (`Cell`) are brought to the coarsest grid that holds what happens in them; what then fits plain
time stays plain, so that values may run over the writer's words; the rest is cut at beats where its grid allows.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import lcm
from typing import NamedTuple

from scribe.music.events import Cell
from scribe.music.notate.grid import QUARTER, Node, Tree
from scribe.music.notate.style import Style, normal
from scribe.music.notate.values import NotWritable

Ticks = int | Fraction  # 128ths of the time around; whole except at the members of tuplets


class Division(NamedTuple):
    """A cell in ticks of the time around it; `slot` is the length of one of its shares."""

    start: Ticks
    length: Ticks
    slot: Ticks
    inner: tuple[Division, ...]

    @property
    def end(self) -> Ticks:
        return self.start + self.length


class Plan(NamedTuple):
    """A tuplet to be: `actual` members of `unit` ticks in the time of `normal`, over start … start + length."""

    start: int
    length: int
    actual: int
    normal: int
    unit: int
    inner: tuple[Division, ...]

    @property
    def end(self) -> int:
        return self.start + self.length


def division(cell: Cell, origin: Fraction, scale: Fraction | int) -> Division:
    """Return a cell in ticks: position = (quarters - origin) * scale."""
    start, length = (cell.start - origin) * scale, cell.length * scale
    inner = tuple(division(c, origin, scale) for c in cell.inner)
    return Division(whole(start), whole(length), Fraction(length) / cell.slots, inner)


def whole(number: Ticks) -> Ticks:
    """Return an int where the number is one: the common case, and much quicker."""
    return int(number) if number.denominator == 1 else number


def plan(tree: Tree, divisions: Sequence[Division], edges: Sequence[Ticks], style: Style) -> list[Plan]:
    """Return the tuplets that the divisions need, in order; none overlap. `edges`: where
    events begin and end, sorted."""
    planner = _Planner(tree, edges, style)
    for each in divisions:
        planner.divide(each.start, each.end, each.slot, each.inner)
    return planner.plans


class _Planner:
    """One pass over the divisions of one space (a bar or the inside of a tuplet)."""

    def __init__(self, tree: Tree, edges: Sequence[Ticks], style: Style) -> None:
        self.tree = tree
        self.edges = edges
        self.style = style
        self.plans: list[Plan] = []

    def divide(self, start: Ticks, end: Ticks, slot: Ticks, inner: Sequence[Division]) -> None:
        """Plan one stretch, which the writer divided equally."""
        length = end - start
        kept = self.kept(slot, inner)
        marks = self.marks(start, end, kept)
        count = grid(start, length, marks)
        step = Fraction(length) / count
        if self.is_plain(step):
            if count > 1 and self.tree.unit and not kept:
                self.beat_by_beat(start, end, slot)
            for each in kept:
                self.divide(each.start, each.end, each.slot, each.inner)
            return
        if length.denominator != 1 or start.denominator != 1:
            raise NotWritable
        if count == 1:  # one value or several tied: nothing is divided (half a dotted beat, as a pickup)
            return
        own = Fraction(length) / slot
        if own.denominator == 1 and not _is_power(int(own)) and count % own == 0:
            count = int(
                own
            )  # words in a group divided its members further: the group keeps the writer's number
        for low, high in self.cuts(int(start), int(end), count, marks, kept):
            if (low, high) == (start, end):
                self.tuplet(int(start), int(length), count, marks, kept)
            else:
                self.divide(low, high, slot, [c for c in kept if low <= c.start and c.end <= high])

    def kept(self, slot: Ticks, inner: Sequence[Division]) -> list[Division]:
        """Return the inner divisions that do not dissolve into halves (quarters …) of the outer slots.

        Where beats divide in three, the half of a beat is a duplet and dissolves in nothing plain.
        """
        kept: list[Division] = []
        for each in inner:
            below = self.kept(each.slot, each.inner)
            count = grid(each.start, each.length, self.marks(each.start, each.end, below))
            step = Fraction(each.length) / count
            if not _is_power((step / slot).denominator) or (
                self.is_plain(Fraction(slot)) and not self.is_plain(step)
            ):
                kept.append(each)
            else:
                kept.extend(below)
        return kept

    def marks(self, start: Ticks, end: Ticks, kept: Sequence[Division]) -> list[Ticks]:
        """Return what the grid of a stretch must hold: ends of events, save those inside kept divisions."""
        edges = self.edges[bisect_right(self.edges, start) : bisect_left(self.edges, end)]
        if not kept:
            return list(edges)
        marks = {e for e in edges if not any(c.start < e < c.end for c in kept)}
        marks.update(p for c in kept for p in (c.start, c.end) if start < p < end)
        return sorted(marks)

    def is_plain(self, step: Fraction) -> bool:
        """Return whether members of this length are written without a tuplet."""
        unit = self.tree.unit
        if unit and self.style.duplets:
            ratio = step / unit
            return ratio.denominator == 1 or (ratio.numerator == 1 and _is_power(ratio.denominator))
        odd = step.numerator // (step.numerator & -step.numerator)
        if odd == 3 and step.denominator != 1:  # no dotted 128th: a tuplet may still write it
            return False
        return _is_power(step.denominator) and (odd in (1, 3) or (step * 2 / QUARTER).denominator == 1)

    def beat_by_beat(self, start: Ticks, end: Ticks, slot: Ticks) -> None:
        """Where beats divide in three, look for duplets beat by beat inside a plain stretch."""
        node = self.holder(start, end)
        if not node.above:
            return
        points = [start, *(k.start for k in node.kids if start < k.start < end), end]
        if all(p in self.edges for p in points[1:-1]):
            for low, high in pairwise(points):
                if (low, high) != (start, end):
                    self.divide(low, high, slot, ())
        else:
            for kid in node.kids:
                if (
                    start <= kid.start
                    and kid.end <= end
                    and kid.start in self.edges
                    and kid.end in self.edges
                ):
                    self.divide(kid.start, kid.end, slot, ())

    def holder(self, start: Ticks, end: Ticks) -> Node:
        return self.tree.holder(int(start), -int(-end // 1))

    def cuts(
        self, start: int, end: int, count: int, marks: Sequence[Ticks], kept: Sequence[Division]
    ) -> list[tuple[int, int]]:
        """Return the stretches into which a division is cut: itself if it stays whole."""
        node = self.tree.holder(start, end)
        length = end - start
        points = [kid.start for kid in node.kids if start < kid.start < end]
        stay = [(start, end)]
        if not points or any(c.start < p < c.end for c in kept for p in points):
            return stay
        parts = list(zip([start, *points], [*points, end], strict=True))
        crossed = [p for p in points if p not in marks]
        on_grid = all((p - start) * count % length == 0 for p in points)
        middle = self.tree.is_middle(node)
        if not node.above:
            around = self.confined(node, start, end, marks)
            if around:
                return around
            whole_parts = list(pairwise([start, *(p for p in points if p not in crossed), end]))
            return whole_parts if on_grid and self.eases(count, whole_parts) else stay
        if on_grid:
            return (
                stay
                if crossed and not middle and self.is_slower(start, length, count, crossed, marks)
                else parts
            )
        if middle and (start, end) != (node.start, node.end):
            # Case 46: where the middle falls on half a member.
            return parts if (points[0] - start) * count * 2 % length == 0 else stay
        odd = length // (length & -length)
        finer = lcm(*(Fraction((p - start) * count, length).denominator for p in points))
        if odd not in (1, 3) and node.step and count * finer <= 9 * len(parts):
            return parts
        return stay

    def confined(
        self, node: Node, start: int, end: int, marks: Sequence[Ticks]
    ) -> list[tuple[int, int]] | None:
        """Return the stretch with all that does not fit plain time between what does, None if it is all of it."""
        uneven = [mark for mark in marks if mark.denominator != 1]
        if not uneven:
            return None
        edges = {start, *marks, end}
        best = None
        while inside := [k for k in node.kids if k.start < uneven[0] and uneven[-1] < k.end]:
            node = inside[0]
            if start <= node.start and node.end <= end and node.start in edges and node.end in edges:
                best = node
        if best is None or (best.start, best.end) == (start, end):
            return None
        points = sorted({start, best.start, best.end, end})
        return list(pairwise(points))

    def eases(self, count: int, parts: Sequence[tuple[int, int]]) -> bool:
        """Return whether a division inside one beat is better cut: a part becomes plain, it is very long, or its
        halves are both uneven triplets (`E S E S`)."""
        if len(parts) == 1:
            return False
        if count >= 12 or len(parts) == 3:
            return True
        if count == 6 and len(parts) == 2 and self.is_uneven(parts):
            return True
        for low, high in parts:
            part = grid(low, high - low, self.marks(low, high, ()))
            if self.is_plain(Fraction(high - low, part)):
                return True
        return False

    def is_uneven(self, halves: Sequence[tuple[int, int]]) -> bool:
        """Return whether six members held as long and short are two triplets (`E S E S`), not three pairs."""
        start, end = halves[0][0], halves[-1][1]
        marks = self.marks(start, end, ())
        return len(marks) == 3 and not self.holds_pairs(start, end - start, 6, marks)

    def is_slower(
        self, start: int, length: int, count: int, crossed: Sequence[int], marks: Sequence[Ticks]
    ) -> bool:
        """Return whether every event over a crossed beat is made of members of the tuplet with half as many."""
        if count % 2:
            return False
        member = Fraction(2 * length, count)
        edges = [start, *marks, start + length]
        if any((p - start) % member == 0 for p in crossed):
            return False
        for point in crossed:
            after = bisect_right(edges, point)
            if any((edges[i] - start) % member for i in (after - 1, after)):
                return False
        return True

    def tuplet(
        self, start: int, length: int, count: int, marks: Sequence[Ticks], kept: Sequence[Division]
    ) -> None:
        """Settle the numbers of a tuplet that stays whole."""
        while count % 2 == 0 and not _is_power(count // 2) and self.holds_pairs(start, length, count, marks):
            count //= 2
        under = normal(length, count)
        unit = Fraction(length, under)
        if unit.denominator != 1:
            raise NotWritable
        self.plans.append(Plan(start, length, count, under, int(unit), tuple(kept)))

    @staticmethod
    def holds_pairs(start: int, length: int, count: int, marks: Sequence[Ticks]) -> bool:
        """Return whether the slower tuplet shows better: no event straddles its members, and one fills some."""
        member = Fraction(2 * length, count)
        edges = [start, *marks, start + length]
        fills = False
        for low, high in pairwise(edges):
            first, last = (low - start) / member, (high - start) / member
            if first.denominator == 1 and last.denominator == 1:
                fills = True
            elif first // 1 != -(-last // 1) - 1:
                return False
        return fills


def found(tree: Tree, edges: Sequence[Ticks]) -> list[Division]:
    """Return divisions that explain times which came without any, stretch by stretch down the tree."""
    out: list[Division] = []
    _find(tree.root, edges, tree.unit, out)
    return out


def _find(node: Node, edges: Sequence[Ticks], unit: int | None, out: list[Division]) -> None:
    marks = edges[bisect_right(edges, node.start) : bisect_left(edges, node.end)]
    if all(mark.denominator == 1 for mark in marks) and not (unit and any(mark % unit for mark in marks)):
        return
    count = grid(node.start, node.size, marks)
    split = all(kid.start in edges for kid in node.kids[1:])
    if not node.above or (count in (3, 5, 6, 7, 9) and not split):
        slot = Fraction(node.size, count)
        out.append(Division(node.start, node.size, slot, ()))
        return
    for kid in node.kids:
        _find(kid, edges, unit, out)


def grid(start: Ticks, length: Ticks, marks: Sequence[Ticks]) -> int:
    """Return the least number of equal parts of a stretch whose edges hold all marks."""
    if not marks:
        return 1
    return lcm(*(Fraction(mark - start, length).denominator for mark in marks))


def _is_power(number: int) -> bool:
    return number & (number - 1) == 0
