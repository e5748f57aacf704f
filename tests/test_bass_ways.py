"""More than one way to finger a line, and what is hard about each."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.bass.fingered import bill_of, fingering
from scribe.bass.fingering import places_of
from scribe.bass.line import Line, line_of
from scribe.bass.ways import DIFFERENT, Way, hand_before, part_of, ways

LINE = "key F\ntempo 138\n| g b d f | ^e c b g | a c f e | d f b a |"


def line(text: str) -> Line:
    return line_of(compile(text).piece)


def apart(a: Way, b: Way) -> float:
    """The share of notes that lie elsewhere."""
    pairs = [(x, y) for x, y in zip(a.grips, b.grips, strict=True) if x and y]
    return sum(places_of(x) != places_of(y) for x, y in pairs) / len(pairs)


def test_the_ways_are_really_different() -> None:
    """At least a fifth of the notes lie elsewhere in each; the first asks the least of the hand."""
    found = ways(line(LINE), 3)
    assert len(found) == 3
    for i, one in enumerate(found):
        for other in found[:i]:
            assert apart(one, other) >= DIFFERENT
    assert found[0].cost.total == min(way.cost.total for way in found)
    assert found[0].name.startswith("the least work")


def test_the_first_way_is_the_fingering_of_the_page() -> None:
    """`fingering` and the first way are one search."""
    piece = compile(LINE).piece
    assert ways(line_of(piece), 1)[0].grips == fingering(piece).grips


def test_a_way_says_what_it_is() -> None:
    """A line that stays in one position says so; its shifts are none."""
    found = ways(line("key Ab\ntempo 100\n| ab cd ef ga |"), 4)
    held = [way for way in found if way.name.startswith("in one position")]
    assert held
    assert not held[0].shifts
    hands = {grip.hand for grip in held[0].grips if grip and not grip.frees_the_hand}
    assert len(hands) == 1


def test_a_line_along_one_string_is_among_the_ways_of_a_scale_on_it() -> None:
    """Four notes up one string: one of the ways crosses no string at all."""
    found = ways(line("key G\ntempo 60\n| g a b ^c |"), 5)
    assert any(way.name.startswith("along one string") for way in found)


def test_where_all_is_pinned_there_is_one_way() -> None:
    """Pins leave nothing to choose."""
    assert len(ways(line("| E:3 A:1 D:0 D:3 |"), 3)) == 1


def test_the_bill_adds_up_and_the_hardest_moment_is_its_dearest() -> None:
    """Cost by kind is the sum over the moments."""
    for way in ways(line(LINE), 3):
        assert way.cost.total == pytest.approx(sum(cost.total for cost in way.bill))
        assert way.hardest is not None
        assert way.bill[way.hardest].total == max(cost.total for cost in way.bill)
        assert way.cost.impossible == 0


def test_a_shift_says_how_far_and_how_long() -> None:
    """Fret 1 to fret 12 on one string: 38.3 cm on a 34-inch neck (computed), in 0.4 of a quarter at 60."""
    (way,) = ways(line("tempo 60\nposition 1\n| E:1 - - - |\nposition 12\n| E:12 - - - |"), 1)
    (shift,) = way.shifts
    assert (shift.here, shift.there) == (1, 12)
    assert shift.mm == pytest.approx(431.80 - 48.47, abs=0.02)
    assert shift.seconds == pytest.approx(0.4 * 4)


def test_some_bars_alone_begin_where_the_hand_comes_from() -> None:
    """The bars asked for, and the hand of the bar before them."""
    whole = fingering(compile(LINE).piece)
    part = part_of(whole.line, 2, 3)
    assert [place.bar for place in part.places] == [2] * 4 + [3] * 4
    hand = hand_before(whole.line, whole.grips, 2)
    assert hand is not None
    assert hand.grip == whole.grips[7]
    rest = sum(cost.total for cost in bill_of(whole.line, whole.grips)[8:])
    assert ways(part, 1, hand=hand)[0].cost.total == pytest.approx(rest)
    assert part_of(whole.line, 7, 9).moments == []
