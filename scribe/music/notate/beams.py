"""Beams: which neighbours share one, by rule 12, so that beams and tuplets always nest."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence

from scribe.music.notate.grid import QUARTER, Tree, tuplet_tree
from scribe.music.notate.style import Style
from scribe.music.notate.tuplets import Plan, Ticks

BEAMABLE = frozenset("ESTXY")


class Leaf:
    """A written note or rest in the making. `start`, `end`: in ticks of the space it stands in."""

    __slots__ = ("beam", "code", "dots", "end", "event", "rest", "start", "tuplet")

    def __init__(
        self, event: int, rest: bool, start: int, end: int, code: str, dots: int, tuplet: int
    ) -> None:
        self.event = event
        self.rest = rest
        self.start = start
        self.end = end
        self.code = code
        self.dots = dots
        self.tuplet = tuplet  # index, -1 for none
        self.beam: int | None = None

    @property
    def beamable(self) -> bool:
        return not self.rest and self.code in BEAMABLE

    @property
    def leaves(self) -> list[Leaf]:
        return [self]


class Group:
    """A tuplet in the making.

    `items`: what it holds, in written ticks of its own from 0. `zero`, `scale`: where it begins, and how long such a
    tick lasts, in ticks of the bar. `parent`: index of the tuplet around it, -1 for none.
    """

    __slots__ = ("index", "items", "parent", "plan", "scale", "zero")

    def __init__(self, index: int, parent: int, plan: Plan, zero: Ticks, scale: Ticks) -> None:
        self.index = index
        self.parent = parent
        self.plan = plan
        self.zero = zero
        self.scale = scale
        self.items: list[Leaf | Group] = []

    @property
    def start(self) -> int:
        return self.plan.start

    @property
    def end(self) -> int:
        return self.plan.end

    @property
    def leaves(self) -> list[Leaf]:
        return [leaf for item in self.items for leaf in item.leaves]

    @property
    def beamable(self) -> bool:
        return all(item.beamable for item in self.items)


Item = Leaf | Group


def beam(tree: Tree, items: Sequence[Item], style: Style, numbers: Iterator[int]) -> None:
    """Give every beamed leaf the number of its beam."""
    narrow, wide = tree.narrow, tree.wide
    if not (style.triple_beam if len(wide) == 2 and len(narrow) == 4 else style.halves):
        wide = narrow
    at = 0
    while at < len(items):
        after = bisect_right(wide, items[at].start)
        low, high = wide[after - 1], wide[after]
        stop = at
        while stop < len(items) and items[stop].start < high:
            stop += 1
        window = items[at:stop]
        if all(isinstance(i, Leaf) and (not i.beamable or (i.code == "E" and not i.dots)) for i in window):
            _runs(window, (low, high), narrow if high - low > 2 * QUARTER else (), style, numbers)
        else:
            _runs(window, narrow, (), style, numbers)
        at = stop


def _runs(
    items: Sequence[Item], edges: Sequence[int], beats: Sequence[int], style: Style, numbers: Iterator[int]
) -> None:
    """Beam runs of neighbours inside the same stretch.

    `beats`: if given, a beam that begins off these points ends at the next one (triple time: E E EE, not E EEE).
    """
    run: list[Item] = []
    limit = 0
    for item in items:
        if run and (item.start >= limit or not item.beamable):
            _close(run, numbers)
            run = []
        if isinstance(item, Group) and not (
            item.beamable and item.end <= edges[bisect_right(edges, item.start)]
        ):
            if run:
                _close(run, numbers)
                run = []
            beam(tuplet_tree(item.plan.actual, item.plan.unit), item.items, style, numbers)
        elif item.beamable:
            if not run:
                limit = edges[bisect_right(edges, item.start)]
                if beats and item.start not in beats:
                    limit = beats[bisect_left(beats, item.start)]
            run.append(item)
    if run:
        _close(run, numbers)


def _close(run: Sequence[Item], numbers: Iterator[int]) -> None:
    """End a beam; a note alone keeps its flag."""
    leaves = [leaf for item in run for leaf in item.leaves]
    if len(leaves) < 2:
        return
    number = next(numbers)
    for leaf in leaves:
        leaf.beam = number
