"""How a bar is divided into words and slots: every way that holds its onsets, the shortest readable one first."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache
from math import lcm
from typing import NamedTuple

from scribe.music.events import Cell
from scribe.music.inforce import InForce
from scribe.music.metre import Metre, Share
from scribe.music.place import FREE_SLOTS, shares

DEEPEST = 2  # groups inside groups
BRACES = 5  # keys of `2{` and `}`: a digit and two shifted signs
MOST_WORDS = 32  # in one group
PATIENCE = (
    30_000  # stretches that are looked at for one bar; made-up bars full of tuplets in tuplets take 11,000
)
MOST_SLOTS = 64  # of a word that fills its bar


class Slots(NamedTuple):
    """A beat word of `count` slots."""

    start: Fraction
    length: Fraction
    count: int  # type: ignore[assignment]  # hides tuple.count, which nobody needs


class Group(NamedTuple):
    """`2{…}`: `words` share the time of `beats` beat words."""

    start: Fraction
    length: Fraction
    beats: int
    words: tuple[Word, ...]


Word = Slots | Group


class Division(NamedTuple):
    """One way to divide a bar. `cost`: keys it takes, and for what reads badly a few more."""

    cost: float
    words: tuple[Word, ...]

    @property
    def cells(self) -> tuple[Cell, ...]:
        """The same as the notate stage takes it."""
        return tuple(map(_cell, self.words))


class Tuplet(NamedTuple):
    """A tuplet of the source: `count` equal members over a stretch."""

    start: Fraction
    length: Fraction
    count: int  # type: ignore[assignment]  # hides tuple.count, which nobody needs

    @property
    def end(self) -> Fraction:
        return self.start + self.length


class Needs(NamedTuple):
    """What a bar must hold: slots begin at `edges`, words begin at `breaks`."""

    edges: frozenset[Fraction]
    breaks: frozenset[Fraction] = frozenset()
    tuplets: tuple[Tuplet, ...] = ()


@lru_cache(maxsize=20_000)
def divisions(metre: Metre, length: Fraction | None, pickup: bool, needs: Needs) -> tuple[Division, ...]:
    """Return the ways to divide a bar, cheapest first; none if the language cannot say these onsets.

    `length`: of a pickup or short bar, None for a full one. Where the source has tuplets that its words do not
    show, there is one more way with a group for each.
    """
    table = shares(InForce(metre=metre, length=length, pickup=pickup))
    found: dict[tuple[Word, ...], float] = {}
    for count, row in table.items():
        style = _Style(metre, count, len(table) > 1 and length is None)
        for tuplets in {(), needs.tuplets}:
            best = _Search(needs, tuplets, style).row(row, 0)
            if best is not None:
                found[best.words] = min(best.cost + style.bar, found.get(best.words, 1e9))
    ways = [Division(cost, words) for words, cost in found.items()]
    return tuple(sorted(ways, key=lambda way: (way.cost, -len(way.words))))


class _Style(NamedTuple):
    """What is told about readability: how many slots a word of this row may well have."""

    metre: Metre
    count: int  # type: ignore[assignment]  # hides tuple.count, which nobody needs
    choice: bool  # there are other numbers of words

    @property
    def bar(self) -> float:
        """What the number of words costs."""
        return 1.0 if self.count > self.beats else 0.0

    @property
    def beats(self) -> int:
        """How many words a bar usually has: the groups of an asymmetric metre only where it has some."""
        metre = self.metre
        return metre.count if metre.kind == "asymmetric" and not metre.groups else len(metre.beat_lengths)

    def word(self, slots: int, depth: int) -> float:
        """What the number of slots of one word costs, above its keys."""
        compound = self.metre.kind == "compound"
        beats = self.beats
        cost = max(0, slots - (6 if compound else 4)) * 0.75
        if depth or slots == 1 or not self.choice or self.count >= beats:
            return cost
        if self.count == 1:
            return cost + (0 if self.metre.length <= Fraction(3, 2) else 2.1 if beats < 4 else 3.5)
        return cost + (2.5 if slots < 4 or compound else 0)


class _Search:
    """Looks for the cheapest words of one bar with one number of words; what it finds for a stretch is kept."""

    def __init__(self, needs: Needs, tuplets: tuple[Tuplet, ...], style: _Style) -> None:
        self.edges = sorted(needs.edges)
        self.breaks = sorted(needs.breaks)
        self.tuplets = tuplets
        self.style = style
        self.kept: dict[
            tuple[Fraction, Fraction, int, int, tuple[Tuplet, ...]], tuple[float, Word] | None
        ] = {}

    def row(self, row: Sequence[Share], depth: int, outer: tuple[Tuplet, ...] = ()) -> Division | None:
        """The cheapest words for a row of shares: every word a share, or a group over several equal ones."""
        best: list[Division | None] = [Division(-1, ())] + [None] * len(row)
        whole = len(row) == 1 and not depth
        for end in range(1, len(row) + 1):
            for start in range(end - 1, -1, -1):
                before = best[start]
                word = None if before is None else self.word(row[start:end], depth, outer, whole=whole)
                if before is None or word is None:
                    continue
                cost = before.cost + 1 + word[0]
                old = best[end]
                if old is None or cost < old.cost:
                    best[end] = Division(cost, (*before.words, word[1]))
        return best[len(row)]

    def word(
        self, span: Sequence[Share], depth: int, outer: tuple[Tuplet, ...], *, whole: bool
    ) -> tuple[float, Word] | None:
        start = span[0].start
        length = span[-1].start + span[-1].length - start
        key = (start, length, len(span), depth, outer)
        if key not in self.kept:
            if len(self.kept) >= PATIENCE:
                return None
            self.kept[key] = self.find(span, start, length, depth, outer, whole=whole)
        return self.kept[key]

    def find(
        self,
        span: Sequence[Share],
        start: Fraction,
        length: Fraction,
        depth: int,
        outer: tuple[Tuplet, ...],
        *,
        whole: bool,
    ) -> tuple[float, Word] | None:
        end = start + length
        inside = self.inside(start, end)
        forced = [t for t in self.tuplets if t not in outer and t.start < end and start < t.end]
        if any(t.start < start or t.end > end for t in forced):
            return None  # a tuplet lies over an end of this word
        slots = _count(start, length, inside)
        if not _divides(slots, DEEPEST - depth):
            return None
        if len(span) == 1 and not any(t.length < length or t.count != slots for t in forced):
            units = self.style.metre.count
            if bisect_right(self.breaks, start) != bisect_left(self.breaks, end):
                pass  # a word has to begin inside
            elif slots in FREE_SLOTS or (whole and slots % units == 0 and slots <= MOST_SLOTS):
                return slots + self.style.word(slots, depth), Slots(start, length, slots)
        if depth >= DEEPEST or not inside or any(share.length != span[0].length for share in span):
            return None
        if len(span) > 1 and not forced and not any(map(self.stuck, span)):
            return None
        fit = next((t for t in forced if (t.start, t.length) == (start, length)), None)
        best: tuple[float, Word] | None = None
        for count in (fit.count,) if fit else _parts(slots):
            part = length / count
            row = [Share(start + part * i, part) for i in range(count)]
            found = self.row(row, depth + 1, (*outer, fit) if fit else outer)
            if found is None:
                continue
            cost = BRACES + len(str(len(span))) - 1 + found.cost
            if best is None or cost < best[0]:
                best = cost, Group(start, length, len(span), found.words)
        return best

    def inside(self, start: Fraction, end: Fraction) -> list[Fraction]:
        return self.edges[bisect_right(self.edges, start) : bisect_left(self.edges, end)]

    def stuck(self, share: Share) -> bool:
        """Whether a share cannot be one beat word."""
        inside = self.inside(share.start, share.start + share.length)
        return _count(share.start, share.length, inside) not in FREE_SLOTS


def _divides(slots: int, deep: int) -> bool:
    """Whether so many slots may come of words in groups in words, so many groups deep; most damaged lengths do not."""
    if slots > MOST_SLOTS * MOST_WORDS**deep:
        return False
    for number in range(2, MOST_WORDS):
        while slots % number == 0:
            slots //= number
    return slots == 1


def _parts(slots: int) -> list[int]:
    """Into how many words a stretch that needs so many slots may be divided: other numbers help nothing."""
    return [n for n in (*range(2, 10), *((slots,) if 9 < slots <= MOST_WORDS else ())) if slots % n == 0]


def _count(start: Fraction, length: Fraction, inside: Sequence[Fraction]) -> int:
    """The least number of equal slots that begin at every edge."""
    return lcm(*(((edge - start) / length).denominator for edge in inside))


def _cell(word: Word) -> Cell:
    if isinstance(word, Slots):
        return Cell(word.start, word.length, word.count)
    parts = [w.length for w in word.words]
    count = int(word.length / min(parts)) if parts else 1
    beats = sum(w.beats if isinstance(w, Group) else 1 for w in word.words)
    return Cell(word.start, word.length, max(beats, 1) if beats else count, tuple(map(_cell, word.words)))


def leaves(words: Iterable[Word]) -> list[Slots]:
    """Return the beat words, those in groups too, in order."""
    out: list[Slots] = []
    for word in words:
        out += [word] if isinstance(word, Slots) else leaves(word.words)
    return out


def tuplets_of(notes: Sequence[tuple[Fraction, Fraction, tuple[tuple[int, int], ...]]]) -> tuple[Tuplet, ...]:
    """Return the tuplets that printed values make: (onset, length, (actual, normal) outermost first).

    Formats mark the ends of tuplets badly or not at all: one ends where the notes since its start fill `normal`
    values of one kind (a power of two).
    """
    found: list[Tuplet] = []
    depth = max((len(chain) for _, _, chain in notes), default=0)
    for level in range(depth):
        start: Fraction | None = None
        ratio = (0, 0)
        outer = Fraction(1)
        end = Fraction(0)
        for onset, length, chain in notes:
            here = chain[level] if len(chain) > level else None
            if here is None or start is None or here != ratio or onset != end:
                start = onset if here is not None else None
                ratio = here or (0, 0)
                outer = Fraction(1)
                for actual, normal in chain[:level]:
                    outer *= Fraction(normal, actual)
            end = onset + length
            if start is None:
                continue
            unit = (end - start) / outer / ratio[1] if ratio[1] else Fraction(0)
            if _binary(unit) and (end - start) > length:
                found.append(Tuplet(start, end - start, ratio[0]))
                start = None
    return tuple(sorted(found, key=lambda t: (t.start, -t.length)))


def _binary(value: Fraction) -> bool:
    """Whether a length is an undotted value."""
    top, bottom = value.numerator, value.denominator
    return top > 0 and top & (top - 1) == 0 and bottom & (bottom - 1) == 0


def onsets_apart(edges: Iterable[Fraction]) -> bool:
    """Whether some edges ask for more than halves of halves: only then the division changes what is printed."""
    return any(edge.denominator & (edge.denominator - 1) for edge in edges)


__all__ = [
    "Division",
    "Group",
    "Needs",
    "Slots",
    "Tuplet",
    "Word",
    "divisions",
    "leaves",
    "onsets_apart",
    "tuplets_of",
]
