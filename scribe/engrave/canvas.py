"""A system being composed: Verovio's ink, what we have put beside it so far, and the outline of both."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from scribe.engrave.ink import Box, Drawn, Ink, ink
from scribe.engrave.ink.model import Mark
from scribe.engrave.measure import BarPlace, Engraved, Head
from scribe.engrave.mei.bar import END
from scribe.engrave.options import SPACE

LINE = 22.0  # width of the thin lines that we draw


class Placed(NamedTuple):
    """An Ink with its origin at (x, y) of the system."""

    ink: Ink
    x: float
    y: float
    kind: str

    @property
    def box(self) -> Box | None:
        return self.ink.box and self.ink.box.shift(self.x, self.y)


class Canvas:
    """What the placing modules write on. Coordinates are Verovio's for this system."""

    def __init__(self, engraved: Engraved, start: int, edge: float) -> None:
        self.engraved = engraved
        self.edge = edge  # x that words must not go beyond
        self.start = start  # index of the first bar in the piece
        self.sky = engraved.sky
        self.placed: list[Placed] = []
        self.under: list[Placed] = []  # drawn before the staff

    @property
    def top(self) -> float:
        return self.engraved.staff[0]

    @property
    def bottom(self) -> float:
        return self.engraved.staff[-1]

    @property
    def right(self) -> float:
        return self.engraved.bars[-1].right

    def bar(self, index: int) -> BarPlace:
        """Return the place of a bar by its index in the piece."""
        return self.engraved.bars[index - self.start]

    def has(self, index: int) -> bool:
        return 0 <= index - self.start < len(self.engraved.bars)

    def head(self, id: str) -> Head | None:
        return self.engraved.heads.get(id)

    def put(self, what: Ink, x: float, y: float, kind: str) -> None:
        """Draw an Ink and make it part of the outline."""
        self.placed.append(Placed(what, x, y, kind))
        if what.box is not None:
            self.sky.add_box(what.box.shift(x, y))

    def draw(self, marks: Iterable[Mark], kind: str) -> None:
        """Draw marks given in the system's own coordinates."""
        self.put(ink(tuple(marks)), 0.0, 0.0, kind)

    def beneath(self, marks: Iterable[Mark], kind: str) -> None:
        """Draw marks behind the staff; they do not count as ink that others must keep clear of."""
        self.under.append(Placed(ink(tuple(marks)), 0.0, 0.0, kind))

    def anchor_x(self, bar: int, id: str) -> float:
        """Return the x of what words stand over: the left edge of a head, a stand-in, or the bar's content; for END
        the x at which they must end.
        """
        if id == END:
            return self.bar(bar).content_right - 0.2 * SPACE
        head = self.engraved.heads.get(id)
        if head is not None:
            return head.left
        x = self.engraved.stands.get(id)
        return self.bar(bar).content_left + 0.7 * SPACE if x is None else x

    def word_x(self, bar: int, id: str, width: float) -> float:
        """Return the x at which a word so wide begins: over what it stands over, or to the left of the barline."""
        x = self.anchor_x(bar, id)
        return x - width if id == END else x


def stroke(
    x0: float, y0: float, x1: float, y1: float, width: float = LINE, color: str | None = None
) -> Drawn:
    """A straight line."""
    return Drawn((("M", x0, y0), ("L", x1, y1)), width, color)


def arc(x0: float, y0: float, x1: float, y1: float, rise: float, thick: float = 45.0) -> Drawn:
    """A tie or slur: from end to end, `rise` its height (negative: upwards), thickest in the middle."""
    third = (x1 - x0) / 3.4
    inner = rise - thick if rise > 0 else rise + thick
    return Drawn(
        (
            ("M", x0, y0),
            ("C", x0 + third, y0 + rise * 1.33, x1 - third, y1 + rise * 1.33, x1, y1),
            ("C", x1 - third, y1 + inner * 1.33, x0 + third, y0 + inner * 1.33, x0, y0),
            ("Z",),
        )
    )
