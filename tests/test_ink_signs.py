"""Tempo marks, feels, boxes, signs of the form, the title block."""

from __future__ import annotations

from fractions import Fraction

import pytest

from scribe.engrave.ink import (
    Drawn,
    Use,
    box,
    coda,
    note,
    page_number,
    question,
    running_head,
    segno,
    swing,
    tempo,
    title_block,
    to_coda,
    to_do,
    volta,
)
from scribe.music.inforce import Feel, Tempo


def _codes(ink) -> list[str]:
    return [m.glyph.id for m in ink.marks if isinstance(m, Use) and m.glyph.id.startswith("E")]


@pytest.mark.parametrize(
    ("value", "codes"),
    [
        # SMuFL: notehead whole E0A2, half E0A3, black E0A4; flag8thUp E240, flag16thUp E242, flag32ndUp E244
        ("W", ["E0A2"]),
        ("H", ["E0A3"]),
        ("Q", ["E0A4"]),
        ("E", ["E0A4", "E240"]),
        ("S", ["E0A4", "E242"]),
        ("T", ["E0A4", "E244"]),
    ],
)
def test_a_note_value_has_its_head_and_flag(value: str, codes: list[str]) -> None:
    """Heads and flags are the music font's; only the whole note has no stem."""
    drawn = note(value)
    assert _codes(drawn) == codes
    assert any(isinstance(mark, Drawn) for mark in drawn.marks) == (value != "W")


def test_dots_stand_clear_to_the_right() -> None:
    """A dot does not touch the note, and widens it."""
    for value in ("Q", "E", "H"):
        plain, dotted = note(value), note(value + ".")
        dot = dotted.marks[-1].box
        assert dot is not None
        assert plain.box is not None
        assert dot.left > plain.box.right
        assert dotted.advance > plain.advance
    with pytest.raises(ValueError, match="note value"):
        note("X")


def test_tempo_says_words_value_and_beats() -> None:
    """Words, then the note, then the number; only what is there."""
    assert tempo(Tempo("Medium", "Q", Fraction(152))).text == "Medium quarter = 152"
    assert tempo(Tempo("", "Q.", Fraction(185, 2))).text == "dotted quarter = 92.5"
    assert tempo(Tempo("Ballad", "Q", None)).text == "Ballad"
    assert tempo(Tempo("", "Q", None)).marks == ()


def test_swing_is_an_equation_with_a_triplet() -> None:
    """Two eighths = quarter and eighth of a triplet; for 16ths = eighth and 16th: three or four flags and heads."""
    assert _codes(swing(Feel("swing", "8"))) == ["E0A4"] * 4 + ["E240"]
    assert _codes(swing(Feel("swing", "16"))) == ["E0A4"] * 3 + ["E240", "E0A4", "E242"]
    assert swing(Feel("straight")).marks == ()


def test_a_ratio_is_said_in_words() -> None:
    """`3:2` is no triplet: the notes and the numbers instead of the equation."""
    assert swing(Feel("swing", "8", (3, 2))).text == "(eighths swung 3:2)"
    assert swing(Feel("swing", "16", (3, 2))).text == "(16ths swung 3:2)"


def test_boxes_are_one_height_and_start_at_the_edge() -> None:
    """Boxes in a column line up, whatever letters they hold; the frame goes round all of them."""
    short, long = box("A"), box("Bridge")
    assert short.box is not None
    assert long.box is not None
    assert (short.box.top, short.box.bottom) == (long.box.top, long.box.bottom)
    assert short.box.left == long.box.left == 0
    frame = long.marks[0].box
    assert frame is not None
    for mark in long.marks[1:]:
        inner = mark.box
        assert inner is not None
        assert frame.left < inner.left
        assert inner.right < frame.right
        assert frame.top < inner.top
        assert inner.bottom < frame.bottom


def test_signs_of_the_form_stand_on_the_baseline() -> None:
    """Segno and coda have their foot where letters have theirs."""
    for sign in (segno(), coda()):
        assert sign.box is not None
        assert sign.box.bottom == pytest.approx(0)
        assert sign.box.left == pytest.approx(0)
    assert to_coda().text == "To Coda"
    assert volta((1, 2)).text == "1. 2."


def test_doubts_and_bars_to_do_are_words_and_colour() -> None:
    """Neither depends on colour alone; the label keeps the staff lines off with a white patch."""
    assert question().text == "?"
    label = to_do()
    assert label.text == "to do"
    patch = label.marks[0]
    assert patch.color == "#fff"
    assert patch.box is not None
    assert patch.box.top < 0 < patch.box.bottom


def test_a_title_is_centred_and_never_wider_than_the_page() -> None:
    """Long titles are set smaller, then on two lines."""
    width = 18000.0
    for title, lines in (
        ("Night Bus", 1),
        ("A Fairly Long Title for a Line of Walking Quarters", 1),
        ("Words " * 20, 2),
    ):
        block = title_block(title, ["Bass"], ["A. Writer"], width)
        titles = [piece for piece in block.pieces if piece.kind == "title"]
        assert len(titles) == lines
        for piece in titles:
            assert piece.x >= 0
            assert piece.x + piece.ink.advance <= width + 0.01
            assert piece.x + piece.ink.advance / 2 == pytest.approx(width / 2)


def test_credits_stand_at_the_edges_and_never_meet() -> None:
    """Left at the left edge, right ending at the right edge; very long ones go below each other."""
    for left, right in (("Bass", "A. Writer"), ("transcribed " * 8, "composed " * 10)):
        block = title_block("T", [left], [right], 18000.0)
        part, credit = block.pieces[1:]
        assert part.x == 0
        assert credit.x + credit.ink.advance == pytest.approx(18000)
        assert part.ink.box is not None
        assert credit.ink.box is not None
        assert not part.ink.box.shift(part.x, part.y).meets(credit.ink.box.shift(credit.x, credit.y))
        assert block.height >= max(part.y, credit.y)


def test_no_title_leaves_no_hole() -> None:
    """A draft without a heading needs no room at the top."""
    assert title_block("", [], [], 18000.0).height == 0


def test_a_running_head_is_cut_but_still_says_all() -> None:
    """Too long a title is cut short in print and whole for search."""
    title = "Very long words " * 12
    head = running_head(title, 18000.0)
    assert head.advance <= 0.8 * 18000
    assert head.text == title
    assert page_number(2, 3).text == "2 / 3"
