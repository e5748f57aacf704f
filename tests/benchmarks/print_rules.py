"""Which of our rules of notation a printed bar breaks, and where a bar gives the chance to break one.

The verdicts on single values are those of the notate stage itself (`Rules`); here they only get names.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from scribe.exchange.model import Printed
from scribe.music.metre import Metre
from scribe.music.notate import DEFAULT
from scribe.music.notate.grid import QUARTER, Tree, metre_tree
from scribe.music.notate.values import SINGLE, is_finer, rules


class Kind(NamedTuple):
    """A kind of difference. `rule`: the rule of ours that print breaks there; `sourced`: it has a source."""

    name: str
    rule: str
    sourced: bool


# Rules and sources as in `scribe/music/notate/style.py`.
MIDDLE = Kind("a note over the middle of the bar", "rule 3, L: Berklee Book 1 p. 16", True)
FINE = Kind("16ths beside it, a beat hidden", "rules 5 and 6, L: McCormick 2008", True)
OFF = Kind("a beat hidden two levels down", "rules 5 and 11, L: McCormick 2008, Puget Sound 4.6", True)
COMPOUND = Kind("a beat and a part of the next", "rule 9, L: Harris 1917 sec. 13", True)
GROUP = Kind("a note out of an uneven group", "C", False)
DOUBLE = Kind("double dots", "C", False)
REST = Kind("a rest over parts of beats, or dotted", "rules 4, 7, 8, L: Harris 1917 sec. 12", True)
COMPOUND_REST = Kind("compound: a rest over parts of beats", "rule 9, L: Harris 1917 fig. 8", True)
MORE_NOTES = Kind("more notes tied than needed", "rule 1, L: Berklee Book 1 p. 16", True)
MORE_RESTS = Kind("more rests than needed", "rule 1, L: Berklee Book 1 p. 16", True)
ELSEWHERE = Kind("as many values, cut elsewhere", "C", False)
NUMBER = Kind("the same tuplet, another number", "rules 14 and 15, L: LearnMusicTheory.net 1.7", True)
NEEDLESS = Kind("a tuplet where plain values do", "C", False)
TUPLETS = Kind("other tuplets", "C", False)
UNKNOWN = Kind("a value that we do not write", "C", False)
NOT_WRITABLE = Kind("not writable", "", False)


class Place(NamedTuple):
    """Where a bar stands: its metre and the metric position (quarters) at which it begins."""

    metre: Metre
    offset: Fraction

    def ticks(self, time: Fraction) -> Fraction:
        return (time + self.offset) * QUARTER


def kind_of(theirs: Sequence[Printed], ours: Sequence[Printed], place: Place) -> Kind:
    """Return how two ways to write the same times differ: the rule of ours that print breaks, if there is one."""
    if not ours:
        return NOT_WRITABLE
    if any(p.code == "?" for p in theirs):
        return UNKNOWN
    if {p.tuplets for p in theirs} != {p.tuplets for p in ours}:
        if _numbers(theirs) == _numbers(ours):
            return NUMBER
        return TUPLETS if any(p.tuplets for p in ours) else NEEDLESS
    edges = _edges(theirs, place)
    for value in theirs:
        if not value.tuplets:
            broken = verdict(value.onset, value.length, value.rest, edges, place)
            if broken:
                return broken
    notes, mine = ([p for p in way if not p.rest] for way in (theirs, ours))
    if len(notes) > len(mine):
        return MORE_NOTES
    return MORE_RESTS if len(theirs) > len(ours) else ELSEWHERE


def chances(
    ours: Sequence[Printed], spans: Sequence[tuple[Fraction, Fraction, bool]], place: Place
) -> Iterator[tuple[Kind, Fraction, Fraction]]:
    """Yield stretches (onset, end) where one value would say what we write with several, and the rule against it."""
    edges = _edges(ours, place)
    ends = [onset + length for onset, length, _ in spans]
    numbered = [(p, -1 if p.rest else bisect_right(ends, p.onset)) for p in ours]
    for _, run in groupby(numbered, key=lambda pair: pair[1]):
        values = [p for p, _ in run if not p.tuplets]
        for first in range(len(values)):
            for last in range(first + 1, len(values)):
                onset, end = values[first].onset, values[last].onset + values[last].length
                if sum((p.length for p in values[first : last + 1]), Fraction(0)) != end - onset:
                    continue  # a tuplet stands between
                if place.ticks(end - onset) - place.ticks(Fraction(0)) in SINGLE:
                    broken = verdict(onset, end - onset, values[first].rest, edges, place)
                    if broken:
                        yield broken, onset, end


def verdict(onset: Fraction, length: Fraction, rest: bool, edges: Sequence[int], place: Place) -> Kind | None:
    """Return the rule that forbids one value here, None if none does. `edges`: ticks where anything begins or ends."""
    start, end = place.ticks(onset), place.ticks(onset + length)
    if start.denominator != 1 or end.denominator != 1:
        return None
    tree = metre_tree(place.metre)
    low, high = int(start), int(end)
    if (low, high) == (0, tree.root.size) and rest:  # the rest of a whole bar
        return None
    ruling = rules(tree, DEFAULT)
    if rest:
        if ruling.rest(low, high):
            return None
        return COMPOUND_REST if place.metre.kind == "compound" else REST
    if SINGLE.get(high - low, ("", 0))[1] > 1:
        return DOUBLE
    fits, _, fine = ruling.note(low, high)
    if not fits:
        return _named(tree, low, high, place.metre)
    return FINE if fine and is_finer(edges, fine) else None


def _named(tree: Tree, low: int, high: int, metre: Metre) -> Kind:
    node = tree.holder(low, high)
    if metre.kind == "simple" and tree.is_middle(node):
        return MIDDLE
    if metre.kind == "compound" and node.above:
        return COMPOUND
    return OFF if node.step else GROUP


def _edges(way: Sequence[Printed], place: Place) -> list[int]:
    """Where values begin and end, in whole ticks; a tuplet is finer than anything plain."""
    found: set[int] = set()
    for value in way:
        for time in (value.onset, value.onset + value.length):
            at = place.ticks(time)
            found.add(int(at))
            if value.tuplets:
                found.add(int(at) + 1)
    return sorted(found)


def _numbers(way: Sequence[Printed]) -> list[tuple[Fraction, Fraction, bool, bool]]:
    """Values without the numbers of their tuplets: two triplets and a sextuplet, 4:3 eighths and 4:6 16ths are one."""
    return [(p.onset, p.length, p.rest, bool(p.tuplets)) for p in way]
