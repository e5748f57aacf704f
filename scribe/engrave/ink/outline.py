"""SVG path data as absolute segments: read, moved, measured and written.

Only what glyphs and an engraved page need: M L H V C S Q T Z, absolute and relative, no arcs. A segment is
a tuple of a letter and its absolute numbers: `("M", x, y)`, `("L", x, y)`, `("C", x1, y1, x2, y2, x, y)`,
`("Q", x1, y1, x, y)`, `("Z",)`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from math import sqrt
from typing import NamedTuple

Segment = tuple[str, *tuple[float, ...]]

_TOKEN = re.compile(r"[MLHVCSQTZmlhvcsqtz]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "Z": 0}


class Box(NamedTuple):
    """A rectangle, y downwards: `top` is the smaller y."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    def shift(self, x: float, y: float) -> Box:
        return Box(self.left + x, self.top + y, self.right + x, self.bottom + y)

    def grow(self, by: float) -> Box:
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Box) -> bool:
        """Whether the two share an area (touching edges do not count)."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def union(boxes: Iterable[Box]) -> Box | None:
    """The smallest box round all `boxes`; None when there are none."""
    found = list(boxes)
    if not found:
        return None
    return Box(
        min(box.left for box in found),
        min(box.top for box in found),
        max(box.right for box in found),
        max(box.bottom for box in found),
    )


def read(d: str) -> tuple[Segment, ...]:
    """The segments of SVG path data. Raises ValueError for an arc or broken data."""
    return tuple(_segments(_TOKEN.findall(_whole(d))))


def _whole(d: str) -> str:
    if re.search(r"[Aa]", d):
        raise ValueError("arcs are not part of the page's paths")
    return d


def _segments(tokens: list[str]) -> Iterator[Segment]:
    at = 0
    letter = ""
    x = y = start_x = start_y = 0.0
    last_x = last_y = 0.0  # the control point that S and T mirror
    last = ""
    while at < len(tokens):
        if tokens[at].isalpha():
            letter = tokens[at]
            at += 1
        elif letter in ("M", "m"):
            letter = "L" if letter == "M" else "l"
        kind = letter.upper()
        if kind not in _COUNT or (kind == "Z" and at < len(tokens) and not tokens[at].isalpha()):
            raise ValueError("path data starts with a number")
        try:
            numbers = [float(token) for token in tokens[at : at + _COUNT[kind]]]
        except ValueError:
            raise ValueError(f"too few numbers after {letter}") from None
        if len(numbers) < _COUNT[kind]:
            raise ValueError(f"too few numbers after {letter}")
        at += _COUNT[kind]
        if letter.islower() and kind not in "HVZ":
            numbers = [value + (y if place % 2 else x) for place, value in enumerate(numbers)]
        if kind == "Z":
            x, y = start_x, start_y
            yield ("Z",)
        elif kind == "H":
            x = numbers[0] + (x if letter == "h" else 0.0)
            yield ("L", x, y)
        elif kind == "V":
            y = numbers[0] + (y if letter == "v" else 0.0)
            yield ("L", x, y)
        elif kind in "ML":
            x, y = numbers
            if kind == "M":
                start_x, start_y = x, y
            yield (kind, x, y)
        else:
            if kind in "ST":
                mirrors = last in ("CS" if kind == "S" else "QT")
                first = [2 * x - last_x, 2 * y - last_y] if mirrors and last else [x, y]
                numbers = first + numbers
            last_x, last_y = numbers[-4], numbers[-3]
            x, y = numbers[-2:]
            yield ("C" if kind in "CS" else "Q", *numbers)
        last = kind


def move(
    segments: Iterable[Segment], x: float, y: float, scale_x: float = 1.0, scale_y: float | None = None
) -> tuple[Segment, ...]:
    """The segments scaled about the origin, then moved by (x, y)."""
    across, down = scale_x, scale_x if scale_y is None else scale_y
    return tuple(
        (
            segment[0],
            *(
                value * down + y if place % 2 else value * across + x
                for place, value in enumerate(segment[1:])
            ),
        )
        for segment in segments
    )


def number(value: float, digits: int = 1) -> str:
    """A number as short as it can be written: `12`, `0.5`, `-3.2`."""
    short = f"{value:.{digits}f}"
    if "." in short:
        short = short.rstrip("0").rstrip(".")
    return "0" if short == "-0" else short


def write(segments: Iterable[Segment], digits: int = 1) -> str:
    """Path data for the segments, absolute, short."""
    out: list[str] = []
    for letter, *values in segments:
        text = ""
        for value in values:
            part = number(value, digits)
            text += part if not text or part[0] == "-" else " " + part
        out.append(letter + text)
    return "".join(out)


def bounds(segments: Iterable[Segment]) -> Box | None:
    """The exact bounding box of the outline: ends and true extremes of curves, not the control points."""
    xs: list[float] = []
    ys: list[float] = []
    x = y = 0.0
    for letter, *values in segments:
        if letter == "Z":
            continue
        if letter == "C":
            xs += _cubic_extremes(x, values[0], values[2], values[4])
            ys += _cubic_extremes(y, values[1], values[3], values[5])
        elif letter == "Q":
            xs += _quadratic_extremes(x, values[0], values[2])
            ys += _quadratic_extremes(y, values[1], values[3])
        x, y = values[-2], values[-1]
        xs.append(x)
        ys.append(y)
    if not xs:
        return None
    return Box(min(xs), min(ys), max(xs), max(ys))


def _quadratic_extremes(a: float, b: float, c: float) -> list[float]:
    if min(a, c) <= b <= max(a, c):
        return []
    t = (a - b) / (a - 2 * b + c)
    return [(1 - t) ** 2 * a + 2 * (1 - t) * t * b + t * t * c]


def _cubic_extremes(a: float, b: float, c: float, d: float) -> list[float]:
    low, high = min(a, d), max(a, d)
    if low <= b <= high and low <= c <= high:
        return []
    # The derivative is a quadratic in t: p t^2 + q t + r.
    p, q, r = -a + 3 * b - 3 * c + d, 2 * (a - 2 * b + c), b - a
    if abs(p) < 1e-9:
        roots = [] if abs(q) < 1e-9 else [-r / q]
    else:
        under = q * q - 4 * p * r
        roots = [] if under < 0 else [(-q + sign * sqrt(under)) / (2 * p) for sign in (1, -1)]
    return [
        (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t * t * c + t**3 * d
        for t in roots
        if 0 < t < 1
    ]
