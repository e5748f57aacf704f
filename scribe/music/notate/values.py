"""Which single values may stand where, and the exact search for the best way to write a length with them."""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Callable, Sequence
from functools import lru_cache

from scribe.music.notate.grid import QUARTER, Node, Tree
from scribe.music.notate.style import Style
from scribe.music.written import VALUES

Fine = tuple[
    int, int, int
]  # a value is allowed if no edge between lo and hi lies off the grid `step` from lo

# Length in ticks -> code and dots; a dotted 128th would need half a tick.
UNDOTTED = {int(length * QUARTER): code for code, (_, _, length) in VALUES.items()}
SINGLE = {
    **{ticks: (code, 0) for ticks, code in UNDOTTED.items()},
    **{ticks * 3 // 2: (code, 1) for ticks, code in UNDOTTED.items() if ticks > 1},
    **{ticks * 7 // 4: (code, 2) for ticks, code in UNDOTTED.items() if ticks > 2},
}


class NotWritable(ValueError):
    """The rhythm needs values shorter than a 128th note, or tuplets inside a division that has none."""

    def __init__(self) -> None:
        super().__init__("it needs values shorter than a 128th note")


class Rules:
    """The rules of one style in one tree. Verdicts depend on nothing else and are kept."""

    __slots__ = ("_notes", "_rests", "lengths", "style", "tree")

    def __init__(self, tree: Tree, style: Style) -> None:
        self.tree = tree
        self.style = style
        size = tree.root.size
        dots = 2 if style.double_dots else 1
        self.lengths = sorted(ticks for ticks, (_, d) in SINGLE.items() if ticks <= size and d <= dots)
        self._notes: dict[tuple[int, int], tuple[bool, bool, Fine | None]] = {}
        self._rests: dict[tuple[int, int], bool] = {}

    def note(self, start: int, end: int) -> tuple[bool, bool, Fine | None]:
        """Return whether one value may stand here, whether it hides a stronger point, and on what condition."""
        found = self._notes.get((start, end))
        if found is None:
            found = self._notes[start, end] = self._judge_note(start, end)
        return found

    def rest(self, start: int, end: int) -> bool:
        """Return whether one rest may stand here."""
        found = self._rests.get((start, end))
        if found is None:
            found = self._rests[start, end] = self._judge_rest(start, end)
        return found

    def _judge_note(self, start: int, end: int) -> tuple[bool, bool, Fine | None]:
        node = self.tree.holder(start, end)
        size = end - start
        if size == node.size:
            return self.style.whole_beats or not self._holds_beats(node), False, None
        kids = node.kids
        if not node.step:
            edges = {kid.start for kid in kids} | {node.end}
            return start in edges and end in edges, False, None
        each = kids[0].size
        if (
            8 * size == 7 * node.size and start == node.start
        ):  # double dots, if the style has such lengths at all
            return True, False, None
        if (start - node.start) % node.step or (end - node.start) % node.step:
            latin = (
                self.style.latin
                and self.tree.is_middle(node)
                and size == QUARTER * 3 // 2
                and start % (QUARTER // 2) == 0
            )
            # Rule 3 by its word, where a beat is a half or longer: a dotted one that begins on a beat.
            dotted = node.above and node.step >= 2 * QUARTER and 2 * size == 3 * node.step
            return latin or (dotted and (start - node.start) % node.step == 0), True, None
        if (start - node.start) % each == 0:
            return self.style.whole_beats or not self._holds_beats(node), False, None
        if 2 * size > 3 * each:
            return False, True, None
        if size > each and len(kids) == 3 and not self.style.triple_dots:
            return False, True, None
        first, last = kids[(start - node.start) // each], kids[(end - 1 - node.start) // each]
        if first.above:  # it begins on a beat: rule 3
            return True, True, None
        return True, True, (first.start, last.end, node.step)

    def _holds_beats(self, node: Node) -> bool:
        """Whether the node consists of several compound beats."""
        return self.tree.unit is not None and node.above

    def _judge_rest(self, start: int, end: int) -> bool:
        node = self.tree.holder(start, end)
        size = end - start
        if size == node.size:
            return size in UNDOTTED or (node.dotted_rest and SINGLE.get(size, ("", 9))[1] == 1)
        if node.thirds:
            return start == node.start and size == 2 * node.kids[0].size
        if node.flat:
            return size in UNDOTTED and (start - node.start) % size == 0 and size % node.kids[0].size == 0
        return False

    def cut(self, start: int, end: int, rest: bool, edges: Sequence[int]) -> list[int]:
        """Return the ends of the values that write start … end, in order.

        `edges`: where anything else begins or ends in the same bar, sorted; they decide rule 5.
        """
        if rest:
            if self.rest(start, end) and end - start in SINGLE:
                return [end]
            return self.search(start, end, lambda a, b: 0 if self.rest(a, b) else None)

        def allowed(a: int, b: int) -> int | None:
            fits, hides, fine = self.note(a, b)
            if not fits or (fine and is_finer(edges, fine)):
                return None
            return int(hides)

        if end - start in self.lengths and allowed(start, end) is not None:
            return [end]
        return self.search(start, end, allowed)

    def search(self, start: int, end: int, allowed: Callable[[int, int], int | None]) -> list[int]:
        """Search breadth first, one more value a round: exact for the number of values.

        Of equally many values it takes the strongest cuts, then the fewest hiding values, then the latest first cut.
        All three orders hold part by part, so the best way to each point is enough.
        """
        reached: dict[int, Way] = {start: Way((), 0, ())}
        seen = {start}
        while reached:
            nearer: dict[int, Way] = {}
            for at, way in reached.items():
                for length in self.lengths[: bisect_right(self.lengths, end - at)]:
                    to = at + length
                    if to in seen:
                        continue
                    hides = allowed(at, to)
                    if hides is None:
                        continue
                    new = way.on(to, hides, None if to == end else self.tree.strength(to))
                    old = nearer.get(to)
                    if old is None or new < old:
                        nearer[to] = new
            if end in nearer:
                return [-cut for cut in nearer[end].cuts]
            seen.update(nearer)
            reached = nearer
        raise NotWritable  # pragma: no cover - every tick is a value


class Way(tuple[tuple[int, ...], int, tuple[int, ...]]):
    """A way to write a stretch; the lesser one is better: strengths of its cuts, hiding values, negative cuts."""

    __slots__ = ()

    def __new__(cls, strengths: tuple[int, ...], hiding: int, cuts: tuple[int, ...]) -> Way:
        return super().__new__(cls, (strengths, hiding, cuts))

    @property
    def cuts(self) -> tuple[int, ...]:
        return self[2]

    def on(self, to: int, hides: int, strength: int | None) -> Way:
        strengths = list(self[0])
        if strength is not None:
            insort(strengths, strength)
        return Way(tuple(strengths), self[1] + hides, (*self[2], -to))


def is_finer(edges: Sequence[int], fine: Fine) -> bool:
    """Return whether something off the grid stands in the stretch."""
    low, high, step = fine
    return any((edge - low) % step for edge in edges if low < edge < high)


@lru_cache(maxsize=512)
def rules(tree: Tree, style: Style) -> Rules:
    """Return the rules of a style in a tree (trees are kept by `metre_tree` and `tuplet_tree`)."""
    return Rules(tree, style)
