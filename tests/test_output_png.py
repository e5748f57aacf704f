"""Pages as pictures."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from scribe.engrave.ink import chord, defs
from scribe.engrave.output import png

DRAWN = chord("Bbmaj7")
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 2540 1270"'
    f' width="25.4mm" height="12.7mm"><defs>{defs(DRAWN.glyphs)}</defs>{DRAWN.svg(200, 800)}</svg>'
)


def test_dots_an_inch_give_the_size() -> None:
    """An inch wide at 300 dots an inch is 300 dots, and the file says so to a printer."""
    picture = Image.open(BytesIO(png(SVG, dpi=300)))
    assert picture.size == (300, 150)
    assert picture.info["dpi"] == pytest.approx((300, 300), abs=0.1)


def test_width_on_paper_can_be_asked_for() -> None:
    """Two inches wide: twice the dots."""
    assert Image.open(BytesIO(png(SVG, dpi=100, width_mm=50.8))).size == (200, 100)


def test_paper_is_white_or_nothing() -> None:
    """A transparent picture has ink alone."""
    white = Image.open(BytesIO(png(SVG, dpi=72))).convert("RGBA")
    clear = Image.open(BytesIO(png(SVG, dpi=72, transparent=True))).convert("RGBA")
    assert white.getpixel((0, 0)) == (255, 255, 255, 255)
    assert clear.getpixel((0, 0)) == (0, 0, 0, 0)
    assert clear.getchannel("A").getextrema() == (0, 255)


def test_the_ink_is_where_its_box_says() -> None:
    """The exact box of a chord symbol encloses its ink to the dot."""
    ink = (
        Image.open(BytesIO(png(SVG, dpi=300, transparent=True)))
        .getchannel("A")
        .point(lambda a: 255 if a > 20 else 0)
    )
    assert DRAWN.box is not None
    units = 2540 / 300
    expected = DRAWN.box.shift(200, 800)
    assert ink.getbbox() == pytest.approx([side / units for side in expected], abs=1.01)


def test_a_picture_without_size_is_refused() -> None:
    """No width in millimetres and none asked for, or no dots: an error."""
    with pytest.raises(ValueError, match="width"):
        png('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>')
    with pytest.raises(ValueError, match="no picture"):
        png(SVG, dpi=0.1)


def test_the_same_page_gives_the_same_bytes() -> None:
    """Reference pictures can be compared."""
    assert png(SVG, dpi=50) == png(SVG, dpi=50)
