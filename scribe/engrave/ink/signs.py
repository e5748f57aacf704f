"""Rehearsal boxes, the signs of the form, and the small letters and numbers of the page."""

from __future__ import annotations

from collections.abc import Sequence

from scribe.engrave.ink.faces import Face, music
from scribe.engrave.ink.model import DOUBT, GREY, Ink, Use, ink, join, lay
from scribe.engrave.ink.shapes import frame, rectangle
from scribe.engrave.ink.words import text

BOX = 460.0  # em of a rehearsal mark
FORM = 450.0  # em of To Coda, D.S. and the like
_SEGNO = 0.62  # page units for one unit of the music font
_CODA = 0.62


def box(string: str) -> Ink:
    """A rehearsal mark in a box: outer left edge at the origin, letters on the baseline."""
    words = text(string, "sans-bold", BOX)
    air, line = 0.30 * BOX, 26.0
    high = 0.66 * BOX + air
    wide = max(words.advance, 0.5 * BOX) + 2 * (air - 0.06 * BOX)
    edge = frame(0.0, -high, wide, air, line)
    return lay(ink((edge,)), words.shift((wide - words.advance) / 2), text=string, size=BOX, advance=wide)


def segno() -> Ink:
    """The sign to go back to, standing on the baseline."""
    return _sign("E047", _SEGNO, "segno")


def coda() -> Ink:
    """The coda sign, standing on the baseline."""
    return _sign("E048", _CODA, "coda")


def _sign(code: str, scale: float, said: str) -> Ink:
    glyph = music(code).glyph
    assert glyph.box is not None
    use = Use(glyph, -glyph.box.left * scale, -glyph.box.bottom * scale, scale)
    return ink((use,), glyph.box.width * scale, said, FORM)


def form_words(string: str) -> Ink:
    """A direction of the form: `D.S. al Coda`, `Fine`."""
    return text(string, "serif-italic", FORM)


def to_coda() -> Ink:
    """`To Coda` and the sign."""
    return join(form_words("To Coda"), coda().scale(0.8).shift(0.0, 40.0), gap=90.0, text="To Coda")


def volta(numbers: Sequence[int]) -> Ink:
    """The number of an ending: `1.` or `1. 2.`."""
    return text(" ".join(f"{number}." for number in numbers), "serif-semibold", 400.0)


def bar_number(number: int) -> Ink:
    """The number of a system's first bar, grey, above the staff."""
    return text(str(number), "sans", 300.0).tinted(GREY)


def letters(string: str) -> Ink:
    """The letters of a technique over a slur or note: H, P, T, ..."""
    return text(string, "sans-semibold", 290.0)


def direction(string: str) -> Ink:
    """Words above the staff."""
    return text(string, "serif-italic", 400.0)


def question() -> Ink:
    """The question mark of a doubtful note."""
    return text("?", "sans-bold", 420.0).tinted(DOUBT)


def to_do(string: str = "to do") -> Ink:
    """The label of a bar still to do, on a white patch, centred in height on the origin."""
    words = text(string, "serif-italic", 420.0)
    assert words.box is not None
    drop = 0.24 * 420.0
    patch = words.box.grow(45.0)
    return lay(
        ink((rectangle(patch.left - 30.0, patch.top, patch.right + 30.0, patch.bottom, "#fff"),)),
        words.tinted(DOUBT),
        text=string,
        size=420.0,
        advance=words.advance,
    ).shift(0.0, drop)


def fret(string: str, face: Face = "sans-semibold", size: float = 400.0) -> Ink:
    """A fret number or (3) of the tablature, its height's middle on the origin."""
    return text(string, face, size).shift(0.0, 0.33 * size)
