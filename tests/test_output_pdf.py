"""Pages as PDF: the same ink as the picture, words that can be found."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scribe.engrave.ink import Ink, chord, defs, join, swing, tempo, text
from scribe.engrave.output import pdf, png
from scribe.engrave.output.paint import Matrix, matrix, rgb
from scribe.engrave.output.pdf import searchable
from scribe.music.inforce import Feel, Tempo
from tests import output_help
from tests.output_help import HAS_POPPLER, picture, rendered, unlike, words_of

poppler = pytest.mark.skipif(not HAS_POPPLER, reason="poppler's pdftoppm and pdftotext are not installed")
XLINK = "http://www.w3.org/1999/xlink"


def sheet(*inks: Ink, more: str = "") -> str:
    """A small page, 100 by 60 mm, with Inks below each other."""
    glyphs = {glyph for ink in inks for glyph in ink.glyphs}
    rows = "".join(ink.svg(500, 900 * (row + 1), color="#000") for row, ink in enumerate(inks))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="{XLINK}" viewBox="0 0 10000 6000" width="100mm"'
        f' height="60mm"><defs>{defs(glyphs)}</defs>{more}{rows}</svg>'
    )


@pytest.fixture(scope="module", name="page")
def engraved() -> str:
    return output_help.page()


SIGNS = sheet(
    join(chord("Bbmaj7"), chord("F#dim7"), chord("Aø"), chord("Gm7", doubtful=True), gap=400),
    join(tempo(Tempo("Medium", "Q.", None)), swing(Feel("swing", "16")), gap=200),
    text("Łódź, Çava — “ß”", "serif-italic", 450),
    more='<rect width="100%" height="100%" fill="#fff"/>'
    '<rect x="5000" y="3000" width="2000" height="900" fill="#b3400e" fill-opacity="0.3"/>'
    '<g transform="translate(7000 4000) rotate(30) scale(2)" stroke="#555">'
    '<line x1="0" y1="0" x2="500" y2="0" stroke-width="30"/></g>'
    '<path d="M1000 4500H9000" stroke="#000" stroke-width="40" stroke-dasharray="200 120" stroke-linecap="square"/>'
    '<ellipse cx="8500" cy="1500" rx="700" ry="300" fill="none" stroke="#000" stroke-width="50"/>'
    '<g fill="#fff"><circle cx="6000" cy="3400" r="200"/></g>'
    '<svg x="0"><polygon points="500,5000 900,5000 700,5600"/></svg>'
    '<polyline points="1500,5500 2000,5000 2500,5500" fill="none" stroke="#000"'
    ' stroke-width="60" stroke-linejoin="round"/>',
)


@poppler
@pytest.mark.parametrize("which", ["page", "signs"])
def test_the_pdf_shows_the_same_ink_as_the_picture(which: str, page: str, tmp_path: Path) -> None:
    """Rendered back by poppler, each spot of the page has the ink that the PNG has there."""
    svg = page if which == "page" else SIGNS
    (back,) = rendered(pdf([svg]), tmp_path, 150)
    assert unlike(back, picture(png(svg, dpi=150))) < 0.2


@poppler
def test_the_comparison_sees_one_missing_letter(page: str, tmp_path: Path) -> None:
    """The check above can fail: without the chord, the pictures are unlike."""
    less = re.sub(r'<g [^>]*aria-label="Ebm7b5/Bb".*?</g>', "", page)
    assert less != page
    (back,) = rendered(pdf([less]), tmp_path, 150)
    assert unlike(back, picture(png(page, dpi=150))) > 0.4


@poppler
def test_words_can_be_found(page: str, tmp_path: Path) -> None:
    """Title and chord names are in the text layer, in letters that a keyboard has."""
    found = words_of(pdf([page, SIGNS], "T"), tmp_path)
    for words in ("Head & Tail", "Ebm7b5/Bb", "Bbmaj7", "F#dim7", "Gm7?", "let ring", "Lódz, Çava — “ß”"):
        assert words in found, words


def test_equal_pages_give_equal_bytes(page: str) -> None:
    """No date, no random id."""
    first = pdf([page], "T", "A")
    assert first == pdf([page], "T", "A")
    assert b"Date" not in first


@poppler
def test_every_page_has_its_size(page: str, tmp_path: Path) -> None:
    """A page is as large as its SVG says, or as asked; pages share their glyphs."""
    one, two = pdf([page]), pdf([page, page])
    assert len(two) < 1.6 * len(one)
    backs = rendered(pdf([page, SIGNS]), tmp_path, 72)
    assert [back.shape[::-1] for back in backs] == [(596, 842), (284, 171)]  # points, rounded up
    (letter,) = rendered(pdf([page], size_mm=(215.9, 279.4)), tmp_path / "letter", 72)
    assert letter.shape[::-1] == (612, 792)


def test_title_and_author_are_in_the_document(page: str) -> None:
    """Any characters: readers show the true title."""
    made = pdf([page], "Night (Bus", "Me")
    assert rb"/Title (Night \(Bus)" in made
    assert b"/Author (Me)" in made


def test_what_is_no_page_is_refused() -> None:
    """Broken XML and pages without a size raise, they do not draw nothing."""
    with pytest.raises(ValueError, match="XML"):
        pdf(["<svg"])
    with pytest.raises(ValueError, match="viewBox"):
        pdf(['<svg xmlns="http://www.w3.org/2000/svg"/>'])


def test_hidden_words_are_plain() -> None:
    """What WinAnsi lacks is written as close as can be."""
    assert searchable("B♭△7 ♯11 Łódź Ж") == "Bbmaj7 #11 Lódz "


def test_transforms_multiply_as_svg_says() -> None:
    """SVG 1.1, 7.6: the list applies from the right."""
    assert matrix("translate(10, 20) scale(2)") == Matrix(2, 0, 0, 2, 10, 20)
    assert matrix("scale(2) translate(10 20)") == Matrix(2, 0, 0, 2, 20, 40)
    assert matrix("rotate(90 5 5)") == pytest.approx((0, 1, -1, 0, 10, 0))
    with pytest.raises(ValueError, match="skewX"):
        matrix("skewX(3)")


def test_colours() -> None:
    """Short and long hex, names, none; others raise rather than turn black."""
    assert rgb("#fff") == rgb("white") == (1, 1, 1)
    assert rgb("none") is None
    with pytest.raises(ValueError, match="colour"):
        rgb("hsl(1,2,3)")
