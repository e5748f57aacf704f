"""What is known of a system that Verovio drew: the place of every note, barline and stand-in."""

from __future__ import annotations

from dataclasses import dataclass, field

from scribe.engrave.ink import Box, Glyph
from scribe.engrave.skyline import Skyline

_NOTHING = Box(1e9, 1e9, -1e9, -1e9)


@dataclass(slots=True)
class Head:
    """A note or rest as drawn.

    `left` … `right` of the head, `edges` the same with its parentheses, `y` its middle; `stem` (x, y of the tip) or
    None; `box` round all of it with accidental, dots, flag and articulations, but not its beam.
    """

    left: float = 0.0
    right: float = 0.0
    y: float = 0.0
    edges: tuple[float, float] = (0.0, 0.0)
    stem: tuple[float, float] | None = None
    box: Box = _NOTHING

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2

    @property
    def stem_up(self) -> bool:
        return self.stem is not None and self.stem[1] < self.y


@dataclass(slots=True)
class BarPlace:
    """A bar as drawn: where its staff begins and ends, where its content may (after signs and left barline) and must
    end (before the right barline). `strokes`: the boxes of its barlines' lines and dots.
    """

    id: str
    left: float = 0.0
    right: float = 0.0
    content_left: float = 0.0
    content_right: float = 0.0
    strokes: list[Box] = field(default_factory=list)


@dataclass(slots=True)
class Curve:
    """A tie or slur as drawn: its ends and the y of its middle."""

    left: float
    left_y: float
    right: float
    right_y: float
    middle_y: float

    @property
    def above(self) -> bool:
        return self.middle_y < (self.left_y + self.right_y) / 2


@dataclass(slots=True)
class Engraved:
    """One system as Verovio drew it, in its own coordinates."""

    svg: list[str] = field(default_factory=list)
    glyphs: set[Glyph] = field(default_factory=set)
    bars: list[BarPlace] = field(default_factory=list)
    heads: dict[str, Head] = field(default_factory=dict)
    stands: dict[str, float] = field(default_factory=dict)
    curves: dict[str, Curve] = field(default_factory=dict)
    staff: tuple[float, ...] = ()  # y of the staff lines, top first
    signs_right: float = 0.0  # right edge of clef, key and metre at the system's start
    boxes: list[Box] = field(
        default_factory=list
    )  # of every piece of ink but staff lines, barlines and curves
    beams: list[Box] = field(default_factory=list)  # slanted ink in short pieces
    sky: Skyline = field(default_factory=lambda: Skyline(0))

    @property
    def top(self) -> float:
        return self.staff[0]

    @property
    def bottom(self) -> float:
        return self.staff[-1]

    @property
    def right(self) -> float:
        return self.bars[-1].right
