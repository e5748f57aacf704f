"""Tablature under the staff."""

from __future__ import annotations

from itertools import pairwise

import pytest

from scribe.engrave.compose import System
from scribe.engrave.options import SPACE
from scribe.engrave.tab import _STRINGS
from tests.test_page_words import drawn, words


def strings(system: System) -> dict[str, int]:
    """The string (1 = highest) that each number of the tablature stands on, from left to right by text."""
    lowest = system.bottom
    frets = [each for each in system.placed if each.kind == "fret"]
    count = {each.ink.text + f"@{round(each.x)}": round((lowest - each.y) / _STRINGS) for each in frets}
    return {key.split("@")[0]: value for key, value in count.items()}


def test_no_tablature_unless_it_is_asked_for() -> None:
    """`show tab` turns it on, `show none` off again."""
    assert words(drawn("| E:0 A:2 D:3 G:5 |")[0], "fret") == []
    assert words(drawn("show tab\n| E:0 A:2 D:3 G:5 |")[0], "fret") == ["0", "2", "3", "5"]
    first, second = drawn("show tab\n| E:0 A:2 D:3 G:5 |\nshow none\n| E:0 A:2 D:3 G:5 |")
    assert words(first, "fret") == ["0", "2", "3", "5"]
    assert words(second, "fret") == []


def test_numbers_stand_on_their_strings_under_their_notes() -> None:
    """The lowest line is the lowest string; each number is centred under its head."""
    system = drawn("show tab\n| E:0 A:2 D:3 G:5 |")[0]
    assert strings(system) == {"0": 0, "2": 1, "3": 2, "5": 3}
    frets = [each for each in system.placed if each.kind == "fret"]
    for each, head in zip(frets, system.engraved.heads.values(), strict=True):
        assert each.ink.box is not None
        middle = each.x + (each.ink.box.left + each.ink.box.right) / 2
        assert middle == pytest.approx(head.middle, abs=1)
    assert all(each.y > system.engraved.bottom + 2 * SPACE for each in frets)


@pytest.mark.parametrize(("tuning", "count"), [("E A D G", 4), ("B E A D G", 5), ("B E A D G C", 6)])
def test_as_many_lines_as_strings(tuning: str, count: int) -> None:
    """Four, five and six strings."""
    system = drawn(f"strings {tuning}\nshow tab\n| E:0 A:2 D:3 G:5 |")[0]
    frets = {each.ink.text: each.y for each in system.placed if each.kind == "fret"}
    from_bottom = (system.bottom - frets["0"]) / _STRINGS
    assert round(from_bottom) == (0 if count == 4 else 1)
    (lines,) = [each for each in system.placed if each.kind == "strings"]
    assert lines.ink.box is not None
    assert lines.ink.box.height == pytest.approx((count - 1) * _STRINGS, abs=20)


def test_dead_notes_are_crosses_and_ghosts_stand_in_parentheses() -> None:
    """No fret for a dead note; a tied note's number is in parentheses too."""
    system = drawn("show tab\n| E:0 x:E qE:3 A:2 | - A:2 A:3 A:5 |")[0]
    assert words(system, "fret") == ["0", "x", "(3)", "2", "(2)", "2", "3", "5"]


def test_two_digit_frets_in_sixteenths_do_not_touch() -> None:
    """They are set smaller until each is clear of its neighbour."""
    system = drawn("show tab\n| E:10E:12E:13E:15 E:10E:12E:13E:15 E:10E:12E:13E:15 E:10E:12E:13E:15 |")[0]
    boxes = sorted(
        (each.box for each in system.placed if each.kind == "fret" and each.box), key=lambda b: b.left
    )
    assert len(boxes) == 16
    assert all(b.left > a.right for a, b in pairwise(boxes))


def test_letters_of_hammer_ons_stand_in_the_tablature_only() -> None:
    """H is written once, under the staff; where no tablature is shown, at the staff."""
    for show, under in (("tab", [True]), ("none", [False])):
        system = drawn(f"show {show}\n| D:2hD:4 D:5 |")[0]
        letters = [each for each in system.placed if each.kind == "letters"]
        assert [each.y > system.engraved.bottom + 2 * SPACE for each in letters] == under


def test_slides_are_drawn_in_both() -> None:
    """One line on the staff, one on the string."""
    system = drawn("show tab\n| A:2 /A:5 D:2 . |")[0]
    slides = [each.box for each in system.placed if each.kind == "slide" and each.box]
    assert len(slides) == 2
    assert sum(box.top > system.engraved.bottom + SPACE for box in slides) == 1


@pytest.mark.parametrize("second", ["- A:2 A:3 A:5", "~A:5 A:2 A:3 A:5"])
def test_ties_and_slurs_of_the_tablature_go_on_over_a_system_s_end(second: str) -> None:
    """Half a curve over the numbers on either system."""
    for place, system in enumerate(drawn(f"show tab\n| A:2 A:3 A:5 A:2 |\n| {second} |")):
        boxes = [each.box for each in system.placed if each.kind == "slur" and each.box]
        (half,) = [box for box in boxes if box.top > system.engraved.bottom + SPACE]
        if place == 0:
            assert half.right == pytest.approx(system.engraved.right, abs=60)
        else:
            assert half.left < min(head.left for head in system.engraved.heads.values())


def test_tablature_is_never_empty() -> None:
    """Notes typed as letters get the place where the hand plays them; what cannot be played stays empty."""
    system = drawn("show tab\n| A B D:0 E |")[0]
    frets = [each.ink.text for each in sorted(system.placed, key=lambda each: each.x) if each.kind == "fret"]
    assert frets == ["0", "2", "0", "2"]
    assert not [
        each for each in drawn("instrument flute\nshow tab\n| a b d e |")[0].placed if each.kind == "fret"
    ]


def test_fingers_and_positions_are_found() -> None:
    """Open strings are 0; fifth fret under the first finger is fifth position (common practice)."""
    system = drawn("show fingers positions\n| E:0 A:5 A:7 A:8 |")[0]
    assert words(system, "fingers") == ["0", "1", "3", "4"]
    assert words(system, "position") == ["V"]
