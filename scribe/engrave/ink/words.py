"""Words as outlines."""

from __future__ import annotations

from functools import lru_cache

from scribe.engrave.ink.faces import Face, font, letter, music, plain
from scribe.engrave.ink.model import Ink, Mark, Use, ink

# Accidentals are taken from the music font: SMuFL code, size against the text's em, and how far above the
# baseline the glyph's middle line sits, in em of the text.
ACCIDENTALS = {
    "♭": ("E260", 1 / 0.78, 0.157),
    "♯": ("E262", 1.08, 0.33),
    "♮": ("E261", 1.05, 0.33),
    "𝄫": ("E264", 1 / 0.78, 0.157),
    "𝄪": ("E263", 1 / 0.9, 0.30),
}
# What the accidental is stroked with to match the weight of the letters, in 1/1000 of its own em.
_WEIGHT = {"semibold": 26.0, "bold": 34.0, "": 0.0, "italic": 0.0, "semibold-italic": 26.0}


@lru_cache(maxsize=4096)
def text(string: str, face: Face, size: float) -> Ink:
    """A line of words set in `face`, its em `size` page units, kerned; the pen starts at the origin.

    Characters that the face lacks come from its sister face, accidentals from the music font, and what
    nobody has is drawn as an open box. Tabs and line ends become blanks.
    """
    marks: list[Mark] = []
    pen = 0.0
    before = 0
    scale = size / 1000
    for character in plain(string):
        if character in ACCIDENTALS:
            mark, advance = accidental(character, face, size)
            marks.append(mark.moved(pen, 0.0, 1.0))
            pen += advance
            before = 0
            continue
        found = letter(face, character)
        if before and found.number:
            pen += font(face).kern(before, found.number) * scale
        if found.glyph.box:
            marks.append(Use(found.glyph, pen, 0.0, scale))
        pen += found.advance * scale
        before = found.number
    return ink(marks, pen, plain(string), size)


def accidental(sign: str, face: Face, size: float) -> tuple[Use, float]:
    """An accidental of the music font fitted to letters of `face` and `size`; and its advance."""
    code, large, raised = ACCIDENTALS[sign]
    found = music(code, _WEIGHT[face.partition("-")[2]])
    scale = size * large / 1000
    own = found.glyph.box
    assert own is not None
    side = 0.035 * size
    return Use(found.glyph, side - own.left * scale, -raised * size, scale), own.width * scale + 2 * side
