"""The faces: which font file stands for which face, and one glyph of a face as an outline.

Text is set in Source Sans Pro and Source Serif Pro (SIL Open Font License 1.1), notes and signs in the
music font that Verovio carries. All are read from installed packages, never from the reader's machine.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Literal, NamedTuple, get_args

from scribe.engrave.ink.model import Glyph
from scribe.engrave.ink.outline import Box, bounds, move, read, write
from scribe.engrave.ink.truetype import TrueType

Face = Literal[
    "serif",
    "serif-semibold",
    "serif-bold",
    "serif-italic",
    "sans",
    "sans-semibold",
    "sans-bold",
    "sans-italic",
    "sans-semibold-italic",
]
FACES: tuple[Face, ...] = get_args(Face)

MUSIC_FONT = "Leland"
_FALLBACK_MUSIC = ("Leipzig", "Bravura")
_STYLES = {
    "": "Regular",
    "semibold": "Semibold",
    "bold": "Bold",
    "italic": "It",
    "semibold-italic": "SemiboldIt",
}
_SHORT = {"": "", "semibold": "6", "bold": "7", "italic": "i", "semibold-italic": "6i"}


class Letter(NamedTuple):
    """A character in a face: outline, advance in 1/1000 em, its number there for kerning (0: borrowed)."""

    glyph: Glyph
    advance: float
    number: int


@lru_cache(maxsize=4096)
def letter(face: Face, character: str) -> Letter:
    """The character in the face, else in the other family, else a visible box. Never fails."""
    number = font(face).glyph(character)
    if number:
        return _outlined(face, number)
    family, _, style = face.partition("-")
    other = "sans" if family == "serif" else "serif"
    for stand_in in (f"{other}-{style}" if style else other, family, other):
        if stand_in in FACES:
            number = font(stand_in).glyph(character)
            if number:
                return _outlined(stand_in, number)._replace(number=0)
    return Letter(_BOX, 560, 0)


# What stands for a character that no face has: an open box of a capital's height.
_BOX = Glyph(
    "no-glyph",
    "M60 0V-660H500V0ZM120-60H440V-600H120Z",
    Box(60, -660, 500, 0),
)


@lru_cache(maxsize=4096)
def _outlined(face: Face, number: int) -> Letter:
    source = font(face)
    units = 1000 / source.units_per_em
    segments = move(source.outline(number), 0.0, 0.0, units, -units)
    family, _, style = face.partition("-")
    name = f"{'n' if family == 'sans' else 'r'}{_SHORT[style]}-{number:x}"
    return Letter(Glyph(name, write(segments), bounds(segments)), source.advance(number) * units, number)


@cache
def font(face: Face) -> TrueType:
    """The font of a face."""
    family, _, style = face.partition("-")
    name = "Sans" if family == "sans" else "Serif"
    folder = _package(f"font_source_{family}_pro")
    return TrueType(folder / "files" / f"Source{name}Pro-{_STYLES[style]}.ttf")


@lru_cache(maxsize=512)
def music(code: str, stroke: float = 0.0) -> Letter:
    """A glyph of the music font by its SMuFL code such as `E260`, made bolder by a `stroke` in 1/1000 em.

    Raises:
        KeyError: no music font at hand has the glyph.
    """
    for name in (MUSIC_FONT, *_FALLBACK_MUSIC):
        path = _package("verovio") / "data" / name / f"{code}.xml"
        if path.is_file():
            found = re.search(r' d="([^"]+)"', path.read_text("ascii"))
            segments = move(read(found[1]), 0.0, 0.0, 1.0, -1.0) if found else ()
            box = bounds(segments)
            suffix = f"-{stroke:g}" if stroke else ""
            if box and stroke:
                box = box.grow(stroke / 2)
            glyph = Glyph(f"{code}{suffix}", write(segments), box, stroke)
            return Letter(glyph, _advances(name).get(code, box.right if box else 0.0), 0)
    raise KeyError(f"no music glyph {code}")


@cache
def _advances(name: str) -> dict[str, float]:
    table = (_package("verovio") / "data" / f"{name}.xml").read_text("utf-8")
    return {code: float(value) for code, value in re.findall(r'<g c="(\w+)"[^>]* h-a-x="([\d.]+)"', table)}


@cache
def _package(name: str) -> Path:
    """The folder of an installed package, found without importing it."""
    spec = find_spec(name)
    if spec is None or not spec.submodule_search_locations:
        raise ModuleNotFoundError(f"package `{name}` is not installed")
    return Path(next(iter(spec.submodule_search_locations)))


def plain(text: str) -> str:
    """Text as it is set: composed accents, blanks for tabs and line ends, no invisible characters."""
    text = unicodedata.normalize("NFC", text)
    return "".join(
        " " if char.isspace() else char
        for char in text
        if char.isspace()
        or (unicodedata.category(char) not in ("Cc", "Cf") and not "\ufe00" <= char <= "\ufe0f")
    )
