"""A second look at a finished page: does anything that we drew touch the notes, another word or another system?

Works on the page's SVG alone, with exact boxes of the outlines, and knows nothing of how things were placed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

from lxml import etree

from scribe.engrave.ink.outline import Box, Segment, bounds, move, read

_SVG = "{http://www.w3.org/2000/svg}"
_HREF = "{http://www.w3.org/1999/xlink}href"
_MOVE = re.compile(r"translate\((\S+) (\S+)\)(?: scale\((\S+)\))?")

# What may touch what it stands on by design: patches and grounds, lines that lead from head to head, strings.
_GROUNDS = {
    "to-do",
    "strings",
    "barlines",
    "slide",
    "slash",
    "tie",
    "slur",
    "hairpin",
    "ending",
    "paper",
    "repeat",
}
_STEP = 60.0  # curves and slanted strokes are compared in pieces of this length


class Part(NamedTuple):
    """One thing on the page: `kind` is its class, `owner` its system (-1: none), `boxes` cover its ink."""

    kind: str
    owner: int
    text: str
    boxes: tuple[Box, ...]


class Overlap(NamedTuple):
    """Two things that share ink, and where."""

    one: str
    other: str
    where: Box


def overlaps(svg: str, allowance: float = 4.0) -> list[Overlap]:
    """Return every place where one of our words or signs lies on a note, on another of them or on another system.

    `allowance`: page units by which boxes may meet (rounding, line ends).
    """
    ours, notes = _parts(svg)
    grid = _Grid()
    for part in [*ours, *notes]:
        grid.add(part)
    found: list[Overlap] = []
    for part in [*ours, *notes]:
        for other, place in grid.meeting(part, allowance):
            found.append(Overlap(_name(part), _name(other), place))
    return found


class _Grid:
    """Boxes by the squares of the page that they lie in, so that only neighbours are compared."""

    _SIDE = 500.0

    def __init__(self) -> None:
        self.parts: list[Part] = []
        self.squares: dict[tuple[int, int], list[tuple[int, Box]]] = {}

    def add(self, part: Part) -> None:
        index = len(self.parts)
        self.parts.append(part)
        for box in part.boxes:
            for square in self._of(box):
                self.squares.setdefault(square, []).append((index, box))

    def meeting(self, part: Part, allowance: float) -> Iterator[tuple[Part, Box]]:
        """Every later part that shares ink with this one, once, and where first."""
        own = next(index for index, each in enumerate(self.parts) if each is part)
        seen: set[int] = set()
        for box in part.boxes:
            for square in self._of(box):
                for index, other in self.squares[square]:
                    if index <= own or index in seen:
                        continue
                    left, right = max(box.left, other.left), min(box.right, other.right)
                    top, bottom = max(box.top, other.top), min(box.bottom, other.bottom)
                    if right - left <= allowance or bottom - top <= allowance:
                        continue
                    if not _belong(part, self.parts[index]):
                        seen.add(index)
                        yield self.parts[index], Box(left, top, right, bottom)

    def _of(self, box: Box) -> Iterator[tuple[int, int]]:
        side = self._SIDE
        for across in range(int(box.left // side), int(box.right // side) + 1):
            for down in range(int(box.top // side), int(box.bottom // side) + 1):
                yield across, down


def _name(part: Part) -> str:
    return f"{part.kind} `{part.text}`" if part.text else part.kind


def _belong(one: Part, other: Part) -> bool:
    """Signs of one tuplet or ending stand close by design; so do the notes of one system among themselves."""
    if one.kind == other.kind == "notes":
        return one.owner == other.owner
    return one.kind.partition("-")[0] == other.kind.partition("-")[0] == "ending" or (
        one.kind == other.kind == "tuplet"
    )


# --- reading the page -------------------------------------------------------------------------------------------


def _parts(svg: str) -> tuple[list[Part], list[Part]]:
    """What we drew, and the notes: one part a system for what Verovio drew."""
    root = etree.fromstring(svg.encode())
    outlines = {path.get("id"): read(path.get("d")) for path in root.iter(_SVG + "path") if path.get("id")}
    ours: list[Part] = []
    notes: list[Part] = []
    owner = -1
    for group in root:
        kind = group.get("class")
        if group.tag != _SVG + "g":
            continue
        if kind != "system":
            boxes = tuple(_boxes(group, outlines, 0.0, 0.0, 1.0))
            ours.append(Part(kind, -1, group.get("aria-label") or "", boxes))
            continue
        owner += 1
        x, y, scale = _place(group)
        of_system: list[Box] = []
        for child in group:
            name = child.get("class")
            boxes = tuple(_boxes(child, outlines, x, y, scale))
            if child.tag == _SVG + "g" and name != "bar":
                if name not in _GROUNDS:
                    ours.append(Part(name, owner, child.get("aria-label") or "", boxes))
            elif name == "bar":
                of_system.extend(boxes)
        notes.append(Part("notes", owner, "", tuple(of_system)))
    return ours, notes


def _place(element: Any) -> tuple[float, float, float]:
    found = _MOVE.search(element.get("transform") or "")
    if not found:
        return 0.0, 0.0, 1.0
    return float(found[1]), float(found[2]), float(found[3] or 1)


def _boxes(
    element: Any, outlines: dict[str, tuple[Segment, ...]], x: float, y: float, scale: float
) -> Iterator[Box]:
    dx, dy, own = _place(element)
    x, y, scale = x + dx * scale, y + dy * scale, scale * own
    tag = element.tag.removeprefix(_SVG)
    if tag == "g":
        for child in element:
            yield from _boxes(child, outlines, x, y, scale)
        return
    width = float(element.get("stroke-width") or 0) * scale / 2
    if tag == "use":
        segments = outlines[element.get(_HREF)[1:]]
        box = bounds(move(segments, x, y, scale))
        if box:
            yield box
    elif tag == "path":
        segments = move(read(element.get("d")), x, y, scale)
        curved = any(segment[0] == "C" for segment in segments)
        pieces = _pieces(segments, width) if curved else [bounds(segments)]
        for box in pieces:
            if box:
                yield box.grow(0.0 if curved else width)
    elif tag in ("polygon", "polyline"):
        numbers = [float(n) for n in element.get("points").replace(",", " ").split()]
        points = [(x + a * scale, y + b * scale) for a, b in zip(numbers[::2], numbers[1::2], strict=True)]
        ends = [*points[1:], points[0]] if tag == "polygon" else points[1:]
        for (x0, y0), (x1, y1) in zip(points, ends, strict=False):
            yield from _stroke(x0, y0, x1, y1, width)
    elif tag == "ellipse":
        cx, cy = x + float(element.get("cx")) * scale, y + float(element.get("cy")) * scale
        rx, ry = float(element.get("rx")) * scale, float(element.get("ry")) * scale
        yield Box(cx - rx, cy - ry, cx + rx, cy + ry)
    elif tag == "rect":
        left, top = x + float(element.get("x") or 0) * scale, y + float(element.get("y") or 0) * scale
        yield Box(
            left, top, left + float(element.get("width")) * scale, top + float(element.get("height")) * scale
        )


def _stroke(x0: float, y0: float, x1: float, y1: float, half: float) -> Iterator[Box]:
    count = int(max(abs(x1 - x0), abs(y1 - y0)) / _STEP) + 1
    for i in range(count):
        a, b = i / count, (i + 1) / count
        ax, ay, bx, by = x0 + a * (x1 - x0), y0 + a * (y1 - y0), x0 + b * (x1 - x0), y0 + b * (y1 - y0)
        yield Box(min(ax, bx) - half, min(ay, by) - half, max(ax, bx) + half, max(ay, by) + half)


def _pieces(segments: tuple[Segment, ...], half: float) -> Iterator[Box]:
    """The outline of a curve in short straight pieces."""
    x = y = 0.0
    for letter, *values in segments:
        if letter == "C":
            x1, y1, x2, y2, x3, y3 = values
            px, py = x, y
            for i in range(1, 25):
                t = i / 24
                u = 1 - t
                qx = u**3 * x + 3 * u * u * t * x1 + 3 * u * t * t * x2 + t**3 * x3
                qy = u**3 * y + 3 * u * u * t * y1 + 3 * u * t * t * y2 + t**3 * y3
                yield Box(min(px, qx) - half, min(py, qy) - half, max(px, qx) + half, max(py, qy) + half)
                px, py = qx, qy
            x, y = x3, y3
        elif letter == "L":
            yield from _stroke(x, y, values[0], values[1], half)
            x, y = values[-2], values[-1]
        elif values:
            x, y = values[-2], values[-1]
