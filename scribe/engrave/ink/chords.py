"""Chord symbols: large root, smaller quality, raised extensions, dropped slash bass, our own signs."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from scribe.engrave.ink.faces import Face
from scribe.engrave.ink.model import DOUBT, Drawn, Ink, ink, join
from scribe.engrave.ink.shapes import line, polygon, ring
from scribe.engrave.ink.words import accidental, text

ROOT = 520.0  # the root's em in page units: read at arm's length from a stand
_QUALITY = 0.86
_RAISED, _LIFT = 0.74, 0.24
_BASS, _DROP = 0.94, 0.08
_CAPITAL = 0.66  # height of a capital in em of the face
_FACE: Face = "sans-semibold"


class Parts(NamedTuple):
    """A chord's name taken apart for drawing: `raised` pieces are words or one of △ ø ° + ♭ ♯."""

    root: str
    base: str
    raised: tuple[str, ...]
    bass: str


@lru_cache(maxsize=1024)
def chord(name: str, doubtful: bool = False, size: float = ROOT) -> Ink:
    """A chord symbol, its root's em `size`, from the left edge of the root. A name not understood: as typed.

    A doubtful one has a question mark and the colour of doubt.
    """
    parts = _parts(name)
    if parts is None:
        drawn = text(name, _FACE, size * _QUALITY)
    else:
        pieces = [_note(parts.root, size)]
        if parts.base:
            pieces.append(text(parts.base, _FACE, size * _QUALITY))
        if parts.raised:
            pieces.append(_space(0.02 * size))
            pieces += _raised(parts.raised, size)
        if parts.bass:
            pieces.append(_slash(size))
            pieces.append(_note(parts.bass, size * _BASS).shift(0.0, _DROP * size))
        drawn = join(*pieces)
    if doubtful:
        mark = text("?", _FACE, size * _RAISED).shift(0.0, -_LIFT * size)
        drawn = join(drawn, _space(0.03 * size), mark).tinted(DOUBT)
        name += "?"
    return drawn.named(name, size)


def _note(name: str, size: float) -> Ink:
    """A root or bass: letter and accidentals (one ♭ or ♯ glyph, or double)."""
    letter = text(name[0], _FACE, size)
    if len(name) == 1:
        return letter
    sign = {"♭♭": "𝄫", "♯♯": "𝄪"}.get(name[1:], name[1:])
    mark, advance = accidental(sign, _FACE, size)
    return join(letter, ink((mark,), advance))


def _raised(pieces: tuple[str, ...], size: float) -> list[Ink]:
    """The extensions, each where it stands after the one before."""
    small, lift = size * _RAISED, -_LIFT * size
    out = []
    for piece in pieces:
        if piece in _SIGNS:
            drawn = _SIGNS[piece](small)
        elif piece in "♭♯":
            mark, advance = accidental(piece, _FACE, small)
            drawn = ink((mark,), advance)
        else:
            drawn = text(piece, _FACE, small)
        out.append(drawn.shift(0.0, lift))
    return out


def _slash(size: float) -> Ink:
    """The slash before the bass: longer than the font's, so that it is not taken for a 1."""
    return ink((line(0.06 * size, 0.15 * size, 0.30 * size, -0.70 * size, 0.062 * size),), 0.33 * size)


def _triangle(small: float) -> Ink:
    """The sign of the major seventh."""
    height, weight = _CAPITAL * small, 0.075 * small
    half = height * 0.60
    middle = half + 0.05 * small
    # Inner edge parallel to the outer: the corners stay sharp.
    outer = [(middle - half, 0.0), (middle, -height), (middle + half, 0.0)]
    slant = (half**2 + height**2) ** 0.5
    inner_half = half - weight * (slant + half) / height
    inner_top = -height + weight * slant / half
    inner = [(middle - inner_half, -weight), (middle + inner_half, -weight), (middle, inner_top)]
    path = polygon(outer).path + polygon(inner).path
    return ink((Drawn(path),), 2 * half + 0.09 * small)


def _circle(small: float) -> Ink:
    """The sign of the diminished chord."""
    radius, weight = 0.185 * small, 0.085 * small
    middle = radius + weight / 2 + 0.04 * small
    return ink((ring(middle, -(_CAPITAL * small - radius - weight / 2), radius, weight),), 2 * middle)


def _half_circle(small: float) -> Ink:
    """The sign of the half-diminished chord: the circle struck through."""
    radius, weight = 0.20 * small, 0.085 * small
    middle, height = radius + weight / 2 + 0.09 * small, _CAPITAL * small - radius - weight / 2
    reach = radius * 1.2
    stroke = line(middle - reach, -height + reach, middle + reach, -height - reach, weight * 0.9)
    return ink((ring(middle, -height, radius, weight), stroke), 2 * middle)


def _plus(small: float) -> Ink:
    """The sign of the augmented chord."""
    return text("+", "sans-bold", small * 1.15)


_SIGNS = {"△": _triangle, "°": _circle, "ø": _half_circle, "+": _plus}


def _space(width: float) -> Ink:
    return Ink(advance=width)


_NAME = re.compile(r"([A-G])(##|bb|#|b|♯♯|♭♭|♯|♭)?(.*?)(?:/([A-G])(##|bb|#|b|♯|♭)?)?$")
_RAISED_PIECE = re.compile(
    r"(?P<triangle>maj(?=\d)|ma(?=\d)|M(?=\d)|△|Δ)|(?P<half>ø|m7b5)|(?P<dim>dim|°|o(?=\d|$))|(?P<aug>aug|\+)"
    r"|(?P<flat>[b♭](?=\d))|(?P<sharp>[#♯](?=\d))|(?P<word>sus|add|alt|omit|no|\d+|[(),/])"
)


def _parts(name: str) -> Parts | None:
    """The parts of a chord's name, or None when it is not understood."""
    if name in ("N.C.", "NC"):
        return None
    found = _NAME.match(name)
    if not found:
        return None
    letter, sign, rest, bass, bass_sign = (group or "" for group in found.groups())
    base = ""
    if rest in ("maj", "M"):
        rest = ""
    minor = re.match(r"min|mi(?!n)|m(?!aj)|-", rest)
    if minor and not rest.startswith("m7b5"):
        base, rest = "m", rest[minor.end() :]
    raised: list[str] = []
    while rest:
        piece = _RAISED_PIECE.match(rest)
        if not piece:
            return None
        signs = {"triangle": "△", "half": "ø", "dim": "°", "aug": "+", "flat": "♭", "sharp": "♯"}
        raised.append(signs.get(piece.lastgroup or "", piece[0]))
        rest = rest[piece.end() :]

    def nice(sign: str) -> str:
        return sign.replace("#", "♯").replace("b", "♭")

    return Parts(letter + nice(sign), base, tuple(raised), bass and bass + nice(bass_sign))
