"""Chord symbols as they are drawn."""

from __future__ import annotations

from itertools import combinations

import pytest

from scribe.engrave.ink import DOUBT, Drawn, Ink, Use, chord, defs
from scribe.engrave.ink.words import text

# The table of symbols and aliases with MusicXML's kinds, and what combines from it.
TABLE = """
C Cmaj CM C5 Cm Cmin C- C+ Caug Cdim Co C6 Cm6 C6/9 C7 Cmaj7 CM7 C△7 Cm7 C-7 Cm(maj7) Cm7b5 Cø Cdim7 Co7
C7#5 Caug7 C+7 C7b5 C9 Cmaj9 Cm9 C11 Cm11 C13 Cmaj13 Cm13 C7b9 C7#9 C7#11 C7b13 C7alt
Csus2 Csus4 Csus C7sus4 Cadd9 C/E C/Bb
"""
SYMBOLS = TABLE.split()
ROOTS = ("Ab", "B", "C#", "Db", "Eb", "F#", "Gb")


def _boxes(drawn: Ink):
    return [mark.box for mark in drawn.marks if mark.box]


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_every_symbol_is_drawn_whole(symbol: str) -> None:
    """No glyph is missing, and no two pieces of the symbol run into each other."""
    drawn = chord(symbol)
    assert drawn.text == symbol
    assert "no-glyph" not in {glyph.id for glyph in drawn.glyphs}
    pieces = [mark for mark in drawn.marks if mark.box]
    touching = [(a, b) for a, b in combinations(pieces, 2) if a.box and b.box and a.box.meets(b.box)]
    # The circle of the half-diminished chord is struck through: two lines of our own, meant to meet.
    meant = 1 if symbol == "Cø" else 0
    assert len(touching) == meant, touching
    assert all(isinstance(mark, Drawn) for pair in touching for mark in pair)


@pytest.mark.parametrize("root", ROOTS)
def test_other_roots_keep_clear_of_their_suffix(root: str) -> None:
    """The accidental of the root stands free between letter and suffix."""
    for suffix in ("", "m7", "maj7", "7#9", "dim7", "/C#"):
        boxes = _boxes(chord(root + suffix))
        assert not any(a.meets(b) for a, b in combinations(boxes, 2)), root + suffix


def test_root_is_larger_than_the_suffix_and_the_suffix_is_raised() -> None:
    """At arm's length the root is read first: capital height of the root against that of a raised 7."""
    root, seven = _boxes(chord("C7"))
    assert seven.height < 0.8 * root.height
    assert seven.bottom < root.bottom - 0.15 * root.height
    assert seven.top < root.top


def test_the_bass_hangs_below_the_root() -> None:
    """The foot of a slash bass is lower than the foot of the root."""
    boxes = _boxes(chord("E/D"))
    assert boxes[-1].bottom > boxes[0].bottom


def test_one_quality_has_one_look() -> None:
    """However it was typed, a chord is drawn in one way."""
    for same in (
        ("Cmaj7", "CM7", "C△7"),
        ("Cm7", "C-7", "Cmin7"),
        ("Cdim", "Co"),
        ("C+", "Caug"),
        ("C", "Cmaj"),
    ):
        assert len({chord(name).marks for name in same}) == 1, same


def test_accidentals_are_as_bold_as_the_letters() -> None:
    """The music font's light flat is stroked; the stroke is part of its box."""
    (flat,) = (m for m in chord("Bb").marks if isinstance(m, Use) and m.glyph.id.startswith("E260"))
    assert flat.glyph.stroke > 0


def test_signs_are_drawn_not_set() -> None:
    """Triangle, circle and struck circle are our own: music fonts at hand have none of them."""
    for symbol, lines in (("Cmaj7", 1), ("Cdim7", 1), ("Cø", 2)):
        assert sum(isinstance(mark, Drawn) for mark in chord(symbol).marks) == lines


def test_a_name_not_understood_is_shown_as_typed() -> None:
    """Letter for letter, in the face of the chords."""
    assert chord("H7foo").marks == text("H7foo", "sans-semibold", 520 * 0.86).marks
    assert chord("N.C.").text == "N.C."


def test_a_doubtful_chord_has_a_question_mark_as_well_as_a_colour() -> None:
    """Readable in black and white too."""
    plain, doubtful = chord("Cm7"), chord("Cm7", doubtful=True)
    assert len(doubtful.marks) == len(plain.marks) + 1
    assert {mark.color for mark in doubtful.marks} == {DOUBT}
    assert doubtful.text == "Cm7?"


def test_no_symbol_needs_a_font() -> None:
    """What is written to the file is paths and uses of paths alone."""
    drawn = chord("F#m7b5/A")
    assert "<text" not in drawn.svg(0, 0) + defs(drawn.glyphs)
