"""Chord symbols: large root, smaller quality, raised extensions, dropped slash bass, our own signs."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from scribe.engrave.ink.faces import Face
from scribe.engrave.ink.model import DOUBT, Drawn, Ink, ink, join
from scribe.engrave.ink.shapes import line, polygon, ring
from scribe.engrave.ink.words import accidental, text
from scribe.music.chord import Name, Sign, chord_parts

ROOT = 520.0  # the root's em in page units: read at arm's length from a stand
_QUALITY = 0.86
_RAISED, _LIFT = 0.74, 0.24
_BASS, _DROP = 0.94, 0.08
_CAPITAL = 0.66  # height of a capital in em of the face
_FACE: Face = "sans-semibold"


@lru_cache(maxsize=1024)
def chord(name: str, doubtful: bool = False, size: float = ROOT) -> Ink:
    """A chord symbol, its root's em `size`, from the left edge of the root. A name not understood: as typed.

    A doubtful one has a question mark and the colour of doubt.
    """
    parts = chord_parts(name)
    pieces = []
    if parts.root:
        pieces.append(_note(parts.root, size))
    if parts.base:
        pieces.append(text(parts.base, _FACE, size * _QUALITY))
    if parts.raised:
        pieces += [_space(0.02 * size), *_raised(parts.raised, size)]
    if parts.bass:
        pieces += [
            _space(0.02 * size),
            _slash(size),
            _note(parts.bass, size * _BASS).shift(0.0, _DROP * size),
        ]
    drawn = join(*pieces)
    if doubtful:
        mark = text("?", _FACE, size * _RAISED).shift(0.0, -_LIFT * size)
        drawn = join(drawn, _space(0.03 * size), mark).tinted(DOUBT)
        name += "?"
    return drawn.named(name, size)


def _note(name: Name, size: float) -> Ink:
    """A root or bass: the letter and its accidental."""
    letter, alter = name
    drawn = text(letter, _FACE, size)
    if not alter:
        return drawn
    return join(drawn, _accidental({-2: "𝄫", -1: "♭", 1: "♯", 2: "𝄪"}[alter], size))


def _accidental(sign: str, size: float) -> Ink:
    mark, advance = accidental(sign, _FACE, size)
    return ink((mark,), advance)


def _raised(pieces: tuple[str | Sign, ...], size: float) -> list[Ink]:
    """The extensions, each where it stands after the one before, with a hair of space where a word or sign follows."""
    small, lift = size * _RAISED, -_LIFT * size
    hair = _space(0.045 * small)
    out: list[Ink] = []
    for place, piece in enumerate(pieces):
        if place and piece not in (")", ",") and pieces[place - 1] != "(":
            out.append(hair)
        drawn = _SIGNS[piece](small) if isinstance(piece, Sign) else text(piece, _FACE, small)
        out.append(drawn.shift(0.0, lift))
        if piece in (Sign.FLAT, Sign.SHARP):
            out.append(hair)
    return out


def _slash(size: float) -> Ink:
    """The slash before the bass: longer than the font's, so that it is not taken for a 1."""
    return ink((line(0.06 * size, 0.15 * size, 0.30 * size, -0.70 * size, 0.062 * size),), 0.33 * size)


def _triangle(small: float) -> Ink:
    """The sign of the major seventh."""
    height, weight = _CAPITAL * small, 0.09 * small
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


_SIGNS: dict[Sign, Callable[[float], Ink]] = {
    Sign.TRIANGLE: _triangle,
    Sign.DIM: _circle,
    Sign.HALF_DIM: _half_circle,
    Sign.AUG: _plus,
    Sign.FLAT: lambda small: _accidental("♭", small),
    Sign.SHARP: lambda small: _accidental("♯", small),
}


def _space(width: float) -> Ink:
    return Ink(advance=width)
