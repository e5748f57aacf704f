"""What `show` prints at the notes."""

from __future__ import annotations

import pytest

from scribe.engrave.labels import roman
from tests.test_page_words import drawn, words


def test_degrees_are_counted_against_the_major_scale_of_the_tonic() -> None:
    """In G minor b is flat three, whatever the mode (common practice)."""
    assert words(drawn("key G minor\nshow degrees\n| g b d F# |")[0], "degrees") == ["1", "♭3", "5", "7"]


def test_names_are_those_that_stand_on_the_page() -> None:
    """Letters with their accidentals; dead notes have none; a held note is not named again."""
    assert words(drawn("key Eb\nshow names\n| e b x D | - c c c |")[0], "names") == [
        "E♭",
        "B♭",
        "D",
        "C",
        "C",
        "C",
    ]


def test_chord_tones_are_named_against_the_chord_in_force() -> None:
    """Over Cm7 then F7: root, flat third, fifth, flat seventh; what is no chord tone has no label."""
    found = drawn("show tones\n| @Cm7 C Eb G Bb | @F7 F A D Eb |")[0]
    assert words(found, "tones") == ["1", "♭3", "5", "♭7", "1", "3", "♭7"]


def test_strings_are_named_where_they_change() -> None:
    """By their open notes."""
    assert words(drawn("show strings\n| A:2 A:3 D:0 D:2 |")[0], "strings") == ["A", "D"]


def test_positions_are_roman_numerals_where_they_change() -> None:
    """Trade's way of writing positions."""
    first, second = drawn("show positions\nposition 5\n| g b d f | a c e d |\nposition 2\n| g b d f |")
    assert words(first, "position") == ["V"]
    assert words(second, "position") == ["II"]


@pytest.mark.parametrize(("number", "written"), [(1, "I"), (4, "IV"), (9, "IX"), (12, "XII"), (24, "XXIV")])
def test_roman_numerals(number: int, written: str) -> None:
    """As every clock face has them."""
    assert roman(number) == written


def test_nothing_of_it_without_show() -> None:
    """A page is not cluttered with what nobody asked for."""
    kinds = {each.kind for each in drawn("position 5\n| @Cm7 C A:3 G Bb |")[0].placed}
    assert not kinds & {"degrees", "names", "tones", "strings", "position"}
