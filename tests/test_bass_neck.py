"""The picture of the neck for a bar."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from scribe import compile
from scribe.bass.fingered import fingering
from scribe.bass.grips import Grip, Stop
from scribe.bass.neck import Dot, dots_of, neck_diagram, window_of
from scribe.bass.words import roman

SVG = "{http://www.w3.org/2000/svg}"


def picture(text: str, bar: int = 0) -> ElementTree.Element:
    """The diagram of one bar, parsed."""
    return ElementTree.fromstring(neck_diagram(fingering(compile(text).piece), bar))


def texts(svg: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in svg.iter(f"{SVG}text")]


def test_the_picture_has_strings_fingers_and_the_position() -> None:
    """Four strings by name, a dot for every place with its finger, a Roman numeral over the first finger's fret."""
    svg = picture("tempo 100\nposition 5\n| E:5 E:8 A:5 A:7 |")
    words = texts(svg)
    assert [w for w in words if w in ("E", "A", "D", "G")] == ["G", "D", "A", "E"]
    assert "V" in words
    fingers = [t.text for t in svg.iter(f"{SVG}text") if t.get("fill") == "#fff"]
    assert fingers == ["1", "4", "1", "3"]
    assert svg.findtext(f"{SVG}title") == "bar 1 on the neck"


def test_dots_stand_on_their_strings_and_between_their_frets() -> None:
    """Higher frets further right, lower strings further down."""
    svg = picture("tempo 100\n| E:5 E:8 A:5 A:7 |")
    dots = [c for c in svg.iter(f"{SVG}circle") if c.get("r") == "8.2"]
    places = [(float(c.get("cx", "0")), float(c.get("cy", "0"))) for c in dots]
    (e5, e8, a5, a7) = places
    assert e5[0] == a5[0] < a7[0] < e8[0]
    assert e5[1] == e8[1] > a5[1] == a7[1]


def test_open_strings_are_rings_and_dead_notes_crosses() -> None:
    """Neither has a finger."""
    svg = picture("| E:0 x:A D:2 D:0 |")
    rings = [c for c in svg.iter(f"{SVG}circle") if c.get("fill") == "none"]
    assert len(rings) == 2
    diagonal = [
        line for line in svg.iter(f"{SVG}line")
        if line.get("x1") != line.get("x2") and line.get("y1") != line.get("y2")
    ]  # fmt: skip
    assert len(diagonal) == 2


def test_a_place_that_two_fingers_take_names_both() -> None:
    """Played twice in one bar with another finger, it is one dot."""
    stop = Stop(4, 5, 1)
    grips = [Grip((stop,), 5), Grip((stop._replace(finger=4),), 3), Grip((stop,), 5)]
    assert dots_of(grips) == [Dot(4, 5, "1/4")]


@pytest.mark.parametrize(
    ("frets", "window"),
    [([1, 3], (1, 5)), ([2, 2], (1, 5)), ([12, 14], (11, 15)), ([23, 24], (22, 24)), ([], (1, 5))],
)
def test_the_window_holds_the_dots(frets: list[int], window: tuple[int, int]) -> None:
    """From the nut if they are low, with some air else, never beyond the neck."""
    assert window_of([Dot(1, fret, "") for fret in frets], 24) == window


def test_five_and_six_strings_and_bars_without_notes() -> None:
    """As many lines as strings; nothing at all for an empty bar."""
    svg = picture("strings B E A D G C\n| C:3 B:3 . . |")
    assert [w for w in texts(svg) if w in "BEADGC"] == list("CGDAEB")
    assert neck_diagram(fingering(compile("| g . . . | . |").piece), 1) == ""


def test_roman_numerals() -> None:
    """As positions are written."""
    assert [roman(n) for n in (0, 1, 4, 5, 9, 12, 14, 19, 24)] == [
        "", "I", "IV", "V", "IX", "XII", "XIV", "XIX", "XXIV",
    ]  # fmt: skip
