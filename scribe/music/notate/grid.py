"""The metric tree: a bar, its halves, beats and their divisions. Every point of the bar has a strength.

Positions are whole ticks of a 128th note from the start of a full bar (32 ticks a quarter).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from scribe.music.metre import Metre, usual_groups

QUARTER = 32


class Node:
    """A stretch of the bar that stands for itself, divided into `kids`.

    `step`: a value that crosses from one kid to the next begins and ends on this grid (0: on the edges of kids only).
    `above`: the kids are beats or longer. `dotted_rest`: one dotted rest may fill the node. `thirds`: an undotted rest
    may fill the first two of three kids. `flat`: the kids are members of a tuplet and pairs of them count as nodes.
    """

    __slots__ = ("_kids", "above", "depth", "dotted_rest", "end", "flat", "start", "step", "thirds")

    def __init__(self, start: int, size: int, depth: int, kids: tuple[Node, ...] | None = None) -> None:
        self.start = start
        self.end = start + size
        self.depth = depth
        self.dotted_rest = self.thirds = self.flat = False
        self._kids = kids
        if kids is None:
            self.step = size // 4 or 1
            self.above = size // 2 >= QUARTER
        else:
            first = kids[0]
            halves = len(first.kids) == 2
            equal = all(kid.size == first.size for kid in kids)
            self.step = (first.size // 2 if halves else first.size) if equal else 0
            self.above = first.size >= QUARTER

    @property
    def size(self) -> int:
        return self.end - self.start

    @property
    def kids(self) -> tuple[Node, ...]:
        """The parts; a node without given ones is halved, down to one tick (which has none)."""
        if self._kids is None:
            half = self.size // 2
            self._kids = (
                (Node(self.start, half, self.depth + 1), Node(self.start + half, half, self.depth + 1))
                if half
                else ()
            )
        return self._kids

    def kid_at(self, position: int) -> Node:
        """Return the kid that holds the tick beginning at `position`."""
        kids = self.kids
        if self.step:
            return kids[(position - self.start) // kids[0].size]
        return next(kid for kid in kids if position < kid.end)


class Tree:
    """The metric tree of one metre or of the inside of a tuplet.

    `unit`: where beats divide in three, the third; divisions that do not fit it are tuplets even if they could be
    written with dots. `wide`, `narrow`: edges of the stretches that one beam may cover, for plain eighths and for
    anything else.
    """

    __slots__ = ("narrow", "root", "unit", "wide")

    def __init__(self, root: Node, unit: int | None, wide: Sequence[int], narrow: Sequence[int]) -> None:
        self.root = root
        self.unit = unit
        self.wide = tuple(wide)
        self.narrow = tuple(narrow)

    def strength(self, position: int) -> int:
        """Return 0 for the start, 1 for the edges inside the root, more for weaker points."""
        node = self.root
        if position in (node.start, node.end):
            return 0
        while True:
            kid = node.kid_at(position)
            if kid.start == position:
                return node.depth + 1
            node = kid

    def holder(self, start: int, end: int) -> Node:
        """Return the smallest node that holds the whole stretch (whole ticks, start < end)."""
        node = self.root
        while node.size > 1:
            kid = node.kid_at(start)
            if end > kid.end:
                break
            node = kid
        return node

    def is_middle(self, node: Node) -> bool:
        """Tell whether the one edge inside `node` is the middle of a bar of four beats or more."""
        return node is self.root and len(node.kids) == 2 and node.kids[0].above


@lru_cache(maxsize=256)
def metre_tree(metre: Metre) -> Tree:
    """Return the tree of a metre.

    2/2 and 4/8 divide as 4/4 and 2/4 do; 3/8 is one compound beat (common practice); groups as typed or usual.
    """
    unit = metre.unit_length * QUARTER
    u = int(unit)
    if metre.kind == "simple" and metre.count == 3 and u < QUARTER:
        return Tree(_beat(0, u, 0), u, (0, 3 * u), (0, 3 * u))
    if metre.kind == "simple":
        root = _even(0, metre.count, u, 0)
        narrow = _every(QUARTER, root.size)
        wide = (0, root.size) if metre.count == 3 and u == QUARTER else _every(2 * QUARTER, root.size)
        return Tree(root, None, wide, narrow)
    if metre.kind == "compound":
        root = _beats(0, metre.count // 3, u, 0)
        return Tree(root, u, *_edges([3 * u] * (metre.count // 3), u))
    groups = metre.groups or usual_groups(metre.count, metre.unit)
    kids, at = [], 0
    for group in groups:
        kids.append(_beat(at, u, 1) if group == 3 and u < QUARTER else _even(at, group, u, 1))
        at += group * u
    if len(kids) == 1:
        root = _even(0, metre.count, u, 0)
    else:
        root = Node(0, at, 0, tuple(kids))
        root.step = 0  # whole groups only, also where all are of one length
        root.above = True
    return Tree(root, u if u < QUARTER else None, *_edges([g * u for g in groups], u))


@lru_cache(maxsize=256)
def tuplet_tree(actual: int, unit: int) -> Tree:
    """Return the tree inside a tuplet of `actual` members of `unit` ticks each, in written time."""
    size = actual * unit
    if actual & (actual - 1) == 0:
        root = Node(0, size, 0)
        root.above = unit < size
    else:
        root = Node(0, size, 0, tuple(Node(i * unit, unit, 1) for i in range(actual)))
        root.above = True
        root.thirds = actual == 3
        root.flat = actual > 3
    part = min(unit, QUARTER) if unit > QUARTER // 2 else size
    edges = _every(part, size)
    return Tree(root, None, edges, edges)


def _even(start: int, count: int, unit: int, depth: int) -> Node:
    """`count` equal units, halved as long as the number is even."""
    size = count * unit
    if count & (count - 1) == 0:
        return Node(start, size, depth)
    if count % 2 == 0:
        half = count // 2
        kids = tuple(_even(start + i * half * unit, half, unit, depth + 1) for i in range(2))
    else:
        kids = tuple(Node(start + i * unit, unit, depth + 1) for i in range(count))
    return Node(start, size, depth, kids)


def _beat(start: int, unit: int, depth: int) -> Node:
    """A beat of three units."""
    node = Node(start, 3 * unit, depth, tuple(Node(start + i * unit, unit, depth + 1) for i in range(3)))
    node.above = False
    node.dotted_rest = node.thirds = True
    return node


def _beats(start: int, count: int, unit: int, depth: int) -> Node:
    """`count` compound beats, halved as long as the number is even."""
    if count == 1:
        return _beat(start, unit, depth)
    parts = 2 if count % 2 == 0 else count
    each = count // parts
    kids = tuple(_beats(start + i * each * 3 * unit, each, unit, depth + 1) for i in range(parts))
    node = Node(start, count * 3 * unit, depth, kids)
    node.step = kids[0].size // 2 if each % 2 == 0 else kids[0].size
    node.above = True
    node.dotted_rest = count & (count - 1) == 0
    return node


def _edges(groups: list[int], unit: int) -> tuple[list[int], list[int]]:
    """Edges of beams for compound beats and asymmetric groups."""
    total = sum(groups)
    if unit > QUARTER:
        return _every(2 * QUARTER, total), _every(QUARTER, total)
    wide = [0]
    for group in groups:
        if group == 4 * QUARTER == 4 * unit:  # as in 4/4: by half bar
            wide.append(wide[-1] + 2 * QUARTER)
            group -= 2 * QUARTER
        wide.append(wide[-1] + group)
    if unit == QUARTER:
        return wide, _every(QUARTER, total)
    narrow = [0]
    for group in groups:
        end = narrow[-1] + group
        if group % (2 * QUARTER) == 0:
            narrow.extend(range(narrow[-1] + QUARTER, end, QUARTER))
        narrow.append(end)
    return wide, narrow


def _every(step: int, total: int) -> list[int]:
    return [*range(0, total, step), total]
