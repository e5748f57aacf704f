"""Words as outlines: right letters, right widths, nothing lost."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from scribe.engrave.ink import FACES, Face, defs, join, text
from scribe.engrave.ink.faces import font, letter, music
from scribe.engrave.ink.outline import Box, bounds, move, read, write

fonts = pytest.importorskip("fontTools.ttLib")

LETTERS = "AQgj0?&éŁßčøĀ“–½"


def _reference(face: Face):
    """The same file opened by fontTools: an independent reader of TrueType."""
    family, _, style = face.partition("-")
    from scribe.engrave.ink.faces import _STYLES, _package

    name = f"Source{family.title()}Pro-{_STYLES[style]}.ttf"
    return fonts.TTFont(_package(f"font_source_{family}_pro") / "files" / name, lazy=True)


@pytest.mark.parametrize("face", FACES)
def test_outlines_and_advances_are_those_of_the_font(face: Face) -> None:
    """Each letter has the contours and the width that fontTools reads from the same file."""
    from fontTools.pens.svgPathPen import SVGPathPen

    reference = _reference(face)
    glyphs, names = reference.getGlyphSet(), reference.getBestCmap()
    ours = font(face)
    for char in LETTERS:
        pen = SVGPathPen(glyphs)
        glyphs[names[ord(char)]].draw(pen)
        number = ours.glyph(char)
        assert number == reference.getGlyphID(names[ord(char)])
        assert write(ours.outline(number)) == write(read(pen.getCommands())), char
        assert ours.advance(number) == glyphs[names[ord(char)]].width


def _kern(reference, left: str, right: str) -> int:
    """GPOS pair adjustment looked up the long way: first subtable that covers the pair."""
    table = reference["GPOS"].table
    wanted = [
        i
        for f in table.FeatureList.FeatureRecord
        if f.FeatureTag == "kern"
        for i in f.Feature.LookupListIndex
    ]
    for index in dict.fromkeys(wanted):
        for sub in table.LookupList.Lookup[index].SubTable:
            sub = getattr(sub, "ExtSubTable", sub)
            if sub.LookupType != 2 or left not in sub.Coverage.glyphs:
                continue
            if sub.Format == 1:
                pairs = sub.PairSet[sub.Coverage.glyphs.index(left)].PairValueRecord
                for pair in pairs:
                    if pair.SecondGlyph == right:
                        return pair.Value1.XAdvance
            else:
                first = sub.ClassDef1.classDefs.get(left, 0)
                second = sub.ClassDef2.classDefs.get(right, 0)
                value = sub.Class1Record[first].Class2Record[second].Value1
                return value.XAdvance if value else 0
    return 0


@pytest.mark.parametrize("face", ["sans-semibold", "serif", "serif-italic"])
def test_kerning_is_that_of_the_font(face: Face) -> None:
    """Pairs are moved together as the font's own table says."""
    reference = _reference(face)
    names, ours = reference.getBestCmap(), font(face)
    found = []
    for left, right in ("AV", "To", "Ta", "P.", "LT", "Ye", "nn", "7/", "ďa", "Vé"):
        expected = _kern(reference, names[ord(left)], names[ord(right)])
        assert ours.kern(ours.glyph(left), ours.glyph(right)) == expected, left + right
        found.append(expected)
    assert min(found) < 0  # the faces do kern


def test_advance_is_the_sum_of_letters_and_kerns() -> None:
    """A word's advance is what its letters and their kerning add up to, in proportion to its size."""
    face: Face = "serif"
    word = "AVATAR"
    source = font(face)
    numbers = [source.glyph(char) for char in word]
    units = sum(source.advance(n) for n in numbers) + sum(source.kern(a, b) for a, b in pairwise(numbers))
    assert text(word, face, 450).advance == pytest.approx(units * 0.45)
    assert text(word, face, 900).advance == pytest.approx(units * 0.9)


def test_accents_are_drawn_whether_composed_or_not() -> None:
    """`é` as one character or as two is the same drawing."""
    assert text("Café", "serif-semibold", 900).marks == text("Cafe\u0301", "serif-semibold", 900).marks


def test_a_letter_that_the_face_lacks_comes_from_its_sister() -> None:
    """Source Sans italic has no Greek, the upright serif has: it is drawn from there."""
    assert font("sans-italic").glyph("α") == 0
    borrowed = letter("sans-italic", "α")
    assert borrowed.glyph.id != "no-glyph"
    assert borrowed.glyph.box is not None


def test_what_no_face_has_is_a_visible_box() -> None:
    """An emoji does not vanish and does not fail."""
    drawn = text("a🎸b", "serif", 450)
    assert [mark.glyph.id for mark in drawn.marks].count("no-glyph") == 1
    assert drawn.text == "a🎸b"


def test_accidentals_in_words_are_the_music_fonts() -> None:
    """`♭` and `♯` in a title are drawn as on the staff, near the letter that they belong to."""
    flat, sharp = text("♭", "serif", 450), text("♯", "serif", 450)
    assert {g.id.partition("-")[0] for g in flat.glyphs | sharp.glyphs} == {"E260", "E262"}
    assert 0 < flat.advance < 225


def test_the_box_is_exact() -> None:
    """The bounding box follows the curve, not its control points: a full circle of cubic curves."""
    k = 55.22847
    path = read(f"M100 0C100 {k} {k} 100 0 100S-100 {k}-100 0S{-k}-100 0-100S100 {-k} 100 0Z")
    assert bounds(path) == pytest.approx((-100, -100, 100, 100))
    assert bounds(read("M0 0Q50 100 100 0")) == pytest.approx((0, 0, 100, 50))
    assert bounds(read("M0 0C0 100 100 100 100 0")) == pytest.approx((0, 0, 100, 75))


def test_path_data_survives_reading_and_writing() -> None:
    """Relative, shortened and implicit commands mean what the SVG recommendation says."""
    assert (
        write(read("m10 10l5 0 5 5h-3v2zm1 1q1 1 2 0t2 0"))
        == "M10 10L15 10L20 15L17 15L17 17ZM11 11Q12 12 13 11Q14 10 15 11"
    )
    with pytest.raises(ValueError, match="arcs"):
        read("M0 0A1 1 0 0 0 2 2")
    with pytest.raises(ValueError, match="too few"):
        read("M0 0L1")
    with pytest.raises(ValueError, match="number"):
        read("1 2")


def test_shift_and_scale_move_the_box_with_the_marks() -> None:
    """After any move, the box is that of the moved marks."""
    word = text("Agj", "serif", 450)
    moved = word.scale(2).shift(10, -20)
    boxes = [mark.box for mark in moved.marks]
    assert moved.box is not None
    assert moved.box.left == pytest.approx(min(box.left for box in boxes if box))
    assert moved.box.bottom == pytest.approx(max(box.bottom for box in boxes if box))
    assert moved.advance == pytest.approx(2 * word.advance)


def test_join_puts_the_second_after_the_advance_of_the_first() -> None:
    """A row of Inks is as wide as its parts and gaps; the text reads on."""
    a, b = text("a", "serif", 450), text("b", "serif", 450)
    row = join(a, b, gap=50)
    assert row.advance == pytest.approx(a.advance + 50 + b.advance)
    assert row.text == "a b"
    assert row.box is not None
    assert b.box is not None
    assert row.box.right == pytest.approx(a.advance + 50 + b.box.right)


def test_each_outline_stands_once_in_the_file() -> None:
    """A letter used many times is defined once; ids do not depend on what else is drawn."""
    word, other = text("banana", "serif", 450), text("nab", "serif", 300)
    assert len(word.marks) == 6
    assert len(word.glyphs) == 3
    assert word.glyphs == other.glyphs
    written = etree.fromstring(f"<defs>{defs(word.glyphs | other.glyphs)}</defs>")
    assert [path.get("id") for path in written] == sorted({g.id for g in word.glyphs})


def test_our_music_glyphs_are_upright() -> None:
    """SMuFL: a flat's stem rises from its bowl; y grows downwards on the page, so the box reaches far above 0."""
    box = music("E260").glyph.box
    assert box is not None
    assert -box.top > 2 * box.bottom > 0
    with pytest.raises(KeyError):
        music("EFFF")


def test_moved_paths_measure_as_moved_boxes() -> None:
    """Moving the outline and moving its box agree."""
    path = read("M0 0Q50 100 100 0Z")
    assert bounds(move(path, 5, 7)) == Box(0, 0, 100, 50).shift(5, 7)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.text(max_size=12), st.sampled_from(FACES))
def test_any_text_can_be_drawn_and_is_valid_xml(string: str, face: Face) -> None:
    """No string crashes the drawing; the SVG group is well-formed whatever it holds."""
    drawn = text(string, face, 450)
    assert drawn.advance >= 0
    etree.fromstring(f'<g xmlns:xlink="x">{drawn.svg(1, 2)}{defs(drawn.glyphs)}</g>'.encode())
