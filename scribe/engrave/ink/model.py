"""Ink: something drawn, with its exact size. Words and signs of the page are Inks; placing them is done
elsewhere.

Units are those of Verovio's page (1/100 mm on paper), y downwards; the origin is the left end of the
baseline.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from scribe.engrave.ink.outline import Box, Segment, bounds, move, number, union, write

BLACK = "#000"
GREY = "#555"
DOUBT = "#b3400e"  # doubtful notes and chords; never without a question mark beside it


@dataclass(frozen=True, slots=True)
class Glyph:
    """An outline that may be used many times. `id` is made from face and glyph alone, the same in every file.

    `d` is path data with y downwards, in 1/1000 of an em. `stroke` is drawn round it, in the same units, to
    make a light glyph match a bold face. `box` is exact, the stroke included; None for a blank.
    """

    id: str
    d: str
    box: Box | None
    stroke: float = 0.0


@dataclass(frozen=True, slots=True)
class Use:
    """A glyph at (x, y), `scale` page units for one of its own. `color` None: the colour of the whole."""

    glyph: Glyph
    x: float
    y: float
    scale: float
    color: str | None = None

    @property
    def box(self) -> Box | None:
        own = self.glyph.box
        return own and Box(*(value * self.scale for value in own)).shift(self.x, self.y)

    def moved(self, x: float, y: float, scale: float) -> Use:
        return replace(self, x=self.x * scale + x, y=self.y * scale + y, scale=self.scale * scale)

    def svg(self, color: str) -> str:
        place = f"translate({number(self.x)} {number(self.y)}) scale({number(self.scale, 4)})"
        paint = f' fill="{self.color}"' if self.color else ""
        if self.glyph.stroke:
            paint += f' stroke="{self.color or color}"'
        return f'<use xlink:href="#{self.glyph.id}" transform="{place}"{paint}/>'


@dataclass(frozen=True, slots=True)
class Drawn:
    """A path of our own: filled where `width` is 0, else stroked that wide."""

    path: tuple[Segment, ...]
    width: float = 0.0
    color: str | None = None

    @property
    def box(self) -> Box | None:
        own = bounds(self.path)
        return own and own.grow(self.width / 2)

    def moved(self, x: float, y: float, scale: float) -> Drawn:
        return replace(self, path=move(self.path, x, y, scale), width=self.width * scale)

    def svg(self, color: str) -> str:
        paint = f' fill="{self.color}"' if self.color else ""
        if self.width:
            paint = f' fill="none" stroke="{self.color or color}" stroke-width="{number(self.width)}"'
        return f'<path d="{write(self.path)}"{paint}/>'


Mark = Use | Drawn


@dataclass(frozen=True, slots=True)
class Ink:
    """Marks on the page as one thing.

    `advance` is the room it takes along the line, `box` the exact box round its marks (None for no marks).
    `text` is what a reader would say or search for, `size` the height of its letters' em, for the hidden
    text of a PDF.
    """

    marks: tuple[Mark, ...] = ()
    advance: float = 0.0
    box: Box | None = None
    text: str = ""
    size: float = 0.0

    def shift(self, x: float, y: float = 0.0) -> Ink:
        """The same, its marks moved. The advance stays."""
        return self._moved(x, y, 1.0)

    def scale(self, by: float) -> Ink:
        """The same, larger or smaller, about its origin."""
        moved = self._moved(0.0, 0.0, by)
        return replace(moved, advance=self.advance * by, size=self.size * by)

    def named(self, text: str, size: float | None = None) -> Ink:
        """The same marks with another text for search and screen readers."""
        return replace(self, text=text, size=self.size if size is None else size)

    def tinted(self, color: str) -> Ink:
        """The same in one colour, whatever the colour of the whole; marks that have one already keep it."""
        return replace(self, marks=tuple(m if m.color else replace(m, color=color) for m in self.marks))

    @property
    def glyphs(self) -> frozenset[Glyph]:
        """The distinct outlines it uses: what `<defs>` must hold."""
        return frozenset(mark.glyph for mark in self.marks if isinstance(mark, Use))

    def svg(self, x: float, y: float, kind: str = "words", color: str = BLACK, id: str = "") -> str:
        """An SVG group with its origin at (x, y); the file must also hold `defs(ink.glyphs)`.

        `kind` is the class. Where there is text, the group carries it as `aria-label`, and `data-size` and
        `data-width` tell the PDF writer where to lay the hidden, searchable text (from the origin to the
        right).
        """
        name = f' id="{escape(id)}"' if id else ""
        paint = f' fill="{color}"' if color != BLACK else ""
        place = f"translate({number(x)} {number(y)})"
        return f'<g{name} class="{kind}" transform="{place}"{paint}{_body(self, color)}'

    def _moved(self, x: float, y: float, by: float) -> Ink:
        box = self.box and Box(*(value * by for value in self.box)).shift(x, y)
        return replace(self, marks=tuple(mark.moved(x, y, by) for mark in self.marks), box=box)


@lru_cache(maxsize=2048)
def _body(ink: Ink, color: str) -> str:
    words = ""
    if ink.text:
        words = (
            f' role="img" aria-label="{escape(ink.text)}"'
            f' data-size="{number(ink.size)}" data-width="{number(ink.advance)}"'
        )
    return words + ">" + "".join(mark.svg(color) for mark in ink.marks) + "</g>"


def ink(marks: Iterable[Mark], advance: float | None = None, text: str = "", size: float = 0.0) -> Ink:
    """An Ink of these marks, its box worked out; without `advance`, it reaches to the box's right edge."""
    kept = tuple(marks)
    box = union(found for found in (mark.box for mark in kept) if found)
    if advance is None:
        advance = box.right if box else 0.0
    return Ink(kept, advance, box, text, size)


def join(*inks: Ink, gap: float = 0.0, text: str | None = None) -> Ink:
    """Inks in a row on one baseline, each where the advance of the one before ends, `gap` between them.

    The text is theirs with blanks between, unless given; the size that of the largest.
    """
    pen = 0.0
    marks: list[Mark] = []
    boxes: list[Box] = []
    for place, each in enumerate(inks):
        pen += gap if place else 0.0
        moved = each.shift(pen)
        marks += moved.marks
        if moved.box:
            boxes.append(moved.box)
        pen += each.advance
    said = " ".join(each.text for each in inks if each.text) if text is None else text
    return Ink(tuple(marks), pen, union(boxes), said, max((each.size for each in inks), default=0.0))


def lay(*inks: Ink, text: str = "", size: float = 0.0, advance: float | None = None) -> Ink:
    """Inks over each other, each where it is; `advance` as of the one that reaches farthest unless given."""
    marks = tuple(mark for each in inks for mark in each.marks)
    box = union(each.box for each in inks if each.box)
    far = max((each.advance for each in inks), default=0.0) if advance is None else advance
    return Ink(marks, far, box, text, size)


def defs(glyphs: Iterable[Glyph]) -> str:
    """The `<path>` elements for `<defs>`: each outline once, ordered by id."""
    return "".join(
        f'<path id="{glyph.id}" d="{glyph.d}"'
        + (f' stroke-width="{number(glyph.stroke)}" stroke-linejoin="round"' if glyph.stroke else "")
        + "/>"
        for glyph in sorted(set(glyphs), key=lambda glyph: glyph.id)
    )


_ESCAPES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"}


def escape(text: str) -> str:
    """Text for an XML attribute or element."""
    return "".join(_ESCAPES.get(char, char) for char in xml_text(text))


def xml_text(text: str) -> str:
    """Text with U+FFFD for every character that XML 1.0 cannot hold (section 2.2)."""
    return "".join(char if _legal(char) else "\ufffd" for char in text)


def _legal(char: str) -> bool:
    code = ord(char)
    return (
        0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or 0x10000 <= code <= 0x10FFFF or char in "\t\n\r"
    )
