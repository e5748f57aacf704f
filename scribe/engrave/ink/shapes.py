"""Plain shapes as marks: lines, rectangles, circles, polygons."""

from __future__ import annotations

from collections.abc import Sequence

from scribe.engrave.ink.model import Drawn
from scribe.engrave.ink.outline import Segment

_ROUND = 0.5522847  # the control length of a quarter circle drawn as a cubic curve


def line(x1: float, y1: float, x2: float, y2: float, width: float, color: str | None = None) -> Drawn:
    """A straight line drawn as a filled band, so that its box is exact and its ends are square."""
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 or 1.0
    across, down = (y1 - y2) / length * width / 2, (x2 - x1) / length * width / 2
    corners = [
        (x1 + across, y1 + down),
        (x2 + across, y2 + down),
        (x2 - across, y2 - down),
        (x1 - across, y1 - down),
    ]
    return polygon(corners, color)


def polygon(points: Sequence[tuple[float, float]], color: str | None = None) -> Drawn:
    """A filled polygon."""
    (x, y), *rest = points
    return Drawn((("M", x, y), *(("L", px, py) for px, py in rest), ("Z",)), 0.0, color)


def rectangle(left: float, top: float, right: float, bottom: float, color: str | None = None) -> Drawn:
    """A filled rectangle."""
    return polygon([(left, top), (right, top), (right, bottom), (left, bottom)], color)


def frame(left: float, top: float, right: float, bottom: float, width: float) -> Drawn:
    """A rectangle's outline; the measures are those of its outer edge, the line lies inside."""
    inside = width
    outer = rectangle(left, top, right, bottom).path
    # The hole runs the other way round, so that it stays open under both fill rules.
    hole = polygon(
        [
            (left + inside, top + inside),
            (left + inside, bottom - inside),
            (right - inside, bottom - inside),
            (right - inside, top + inside),
        ]
    ).path
    return Drawn(outer + hole)


def disc(x: float, y: float, radius: float, color: str | None = None) -> Drawn:
    """A filled circle."""
    return Drawn(oval(x, y, radius, radius), 0.0, color)


def ring(x: float, y: float, radius: float, width: float) -> Drawn:
    """A circle's line, `radius` to the middle of the line."""
    return Drawn(oval(x, y, radius, radius), width)


def oval(x: float, y: float, across: float, down: float) -> tuple[Segment, ...]:
    """An ellipse of the two radii as a path."""
    k, m = across * _ROUND, down * _ROUND
    return (
        ("M", x + across, y),
        ("C", x + across, y + m, x + k, y + down, x, y + down),
        ("C", x - k, y + down, x - across, y + m, x - across, y),
        ("C", x - across, y - m, x - k, y - down, x, y - down),
        ("C", x + k, y - down, x + across, y - m, x + across, y),
        ("Z",),
    )
