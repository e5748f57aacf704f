"""What Verovio drew: its SVG taken apart into systems, with the place of every note, barline and stand-in.

Positions are read, never guessed. The ink is written out again smaller: staff lines once a system, glyphs by their
SMuFL code, only the groups that a reader of the file may point at (bars, notes, rests). Stand-ins and what is to be
drawn otherwise are left out.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Any

from lxml import etree

from scribe.engrave.ink import Box, Glyph
from scribe.engrave.ink.faces import music
from scribe.engrave.mei.document import NOTHING
from scribe.engrave.skyline import Skyline

_SVG = "{http://www.w3.org/2000/svg}"
_SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
_HREF = "{http://www.w3.org/1999/xlink}href"
_HANDLED = {
    _SVG + name: name for name in ("g", "use", "path", "polygon", "polyline", "ellipse", "rect", "text")
}


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


def read(svg: str, width: float) -> list[Engraved]:
    """Return the systems of one of Verovio's pages, from top to bottom, without the empty ones that
    `write_document` puts round them; `width` in page units.
    """
    # Outlines and style sheet, two thirds of the text, are not needed: only what is drawn is parsed.
    start = svg.find('<svg class="definition-scale"')
    body = svg[start : svg.rfind("</svg>")] if start > 0 else svg
    head, _, rest = body.partition(" ")
    root = etree.fromstring(f"{head} {_SPACES} {rest}".encode())
    found = []
    for group in root.iter(_SVG + "g"):
        if group.get("class") == "system":
            system = _Reader(width).system(group)
            if system.bars:
                found.append(system)
    return found


@cache
def _glyph(code: str) -> tuple[Glyph, Box]:
    glyph = music(code).glyph
    return glyph, glyph.box or Box(0, 0, 0, 0)


class _Reader:
    def __init__(self, width: float) -> None:
        self.done = Engraved(sky=Skyline(width))
        self.out = self.done.svg
        self.head: Head | None = None
        self.chord_stem: tuple[float, float] | None = None
        self.chord_heads: list[Head] = []
        self.lines: list[tuple[float, float, float]] = []
        self.bar = BarPlace("")
        self.in_chord = False

    def system(self, group: Any) -> Engraved:
        for child in group:
            if child.get("class") == "measure":
                if not child.get("id").startswith(NOTHING):
                    self._measure(child)
            elif (child.get("class") or "").startswith("grpSym"):
                self._children(child)
        self._staff_lines()
        return self.done

    # --- groups -----------------------------------------------------------------------------------------------

    def _measure(self, group: Any) -> None:
        bar = self.bar = BarPlace(group.get("id"))
        self.done.bars.append(bar)
        bar.left, bar.right = 1e9, -1e9
        self.signs: list[Box] = []
        self.out.append(f'<g class="bar" id="{bar.id}">')
        self._children(group)
        self.out.append("</g>")
        middle = (bar.left + bar.right) / 2
        at_left = [box.right for box in self.signs if box.left < middle]
        if len(self.done.bars) == 1:
            self.done.signs_right = max(at_left, default=0.0)
        at_left += [box.right for box in bar.strokes if box.left < middle]
        bar.content_left = max(at_left, default=bar.left)
        bar.content_right = min((box.left for box in bar.strokes if box.left >= middle), default=bar.right)

    def _children(self, group: Any) -> None:
        for child in group:
            kind = _HANDLED.get(child.tag)
            if kind == "g":
                self._group(child)
            elif kind is not None:
                self._ink(kind, child)

    def _group(self, group: Any) -> None:
        kind, _, rest = (group.get("class") or "").partition(" ")
        if len(group) == 0:
            return
        if kind == "note" or kind == "rest" or kind == "mRest":
            self._note(group, hidden="todo" in rest)
        elif kind == "chord":
            self._chord(group)
        elif kind == "barLine":
            self._barline(group)
        elif kind in ("slur", "tie"):
            self._curve(group)
        elif kind == "harm":
            for text in group:
                self.done.stands[group.get("id")] = float(text.get("x"))
        elif kind in ("clef", "keySig", "meterSig"):
            start = len(self.done.boxes)
            self._children(group)
            self.signs.extend(self.done.boxes[start:])
        elif kind == "stem":
            self._stem(group)
        elif rest != "placeholder" and "placeholder" not in rest:
            self._children(group)

    def _note(self, group: Any, hidden: bool) -> None:
        head = self.head = Head()
        id = group.get("id")
        self.done.heads[id] = head
        start = len(self.done.boxes)
        if hidden:
            use = next(group.iter(_SVG + "use"), None)
            if use is not None:
                x, y, scale = _place(use)
                _, box = _glyph(_code(use))
                head.left, head.right, head.y = x + box.left * scale, x + box.right * scale, y
                head.edges = (head.left, head.right)
                head.box = Box(head.left, y, head.right, y)
            self.head = None
            return
        color = group.get("fill")
        paint = f' fill="{color}"' if color else ""
        kind = (group.get("class") or "").partition(" ")[0]
        self.out.append(f'<g class="{"note" if kind == "note" else "rest"}" id="{id}"{paint}>')
        self._children(group)
        self.out.append("</g>")
        left, top, right, bottom = head.box
        for box in self.done.boxes[start:]:
            left, top = min(left, box.left), min(top, box.top)
            right, bottom = max(right, box.right), max(bottom, box.bottom)
        head.box = Box(left, top, right, bottom)
        if self.in_chord:
            self.chord_heads.append(head)
        self.head = None

    def _chord(self, group: Any) -> None:
        self.in_chord, self.chord_heads, self.chord_stem = True, [], None
        self._children(group)
        self.in_chord = False
        for head in self.chord_heads:
            head.stem = self.chord_stem

    def _stem(self, group: Any) -> None:
        for path in group.iter(_SVG + "path"):
            x, y0, _, y1 = _line(path.get("d"))
            if self.head is not None:
                self.head.stem = (x, y1 if abs(y1 - self.head.y) > abs(y0 - self.head.y) else y0)
            else:
                self.chord_stem = (x, y1)  # the tip: Verovio draws a chord's stem from its heads outwards
        self._children(group)

    def _barline(self, group: Any) -> None:
        start = len(self.done.boxes)
        self._children(group)
        boxes = self.done.boxes[start:]
        del self.done.boxes[start:]
        self.bar.strokes.extend(boxes)

    def _curve(self, group: Any) -> None:
        for path in group:
            numbers = [float(n) for n in path.get("d").translate(_NO_LETTERS).split()]
            x0, y0, x1, y1, x2, y2, x3, y3 = numbers[:8]
            px, py = x0, y0
            middle = y0
            for i in range(1, 9):
                t = i / 8
                u = 1 - t
                a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
                x, y = a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3
                self.done.sky.add_stroke(px, py, x, y, 12)
                if i == 4:
                    middle = y
                px, py = x, y
            self.done.curves[group.get("id")] = Curve(x0, y0, x3, y3, middle)
            width = path.get("stroke-width")
            self.out.append(
                f'<path d="{path.get("d")}" stroke="#000" stroke-width="{width}" stroke-linejoin="round"/>'
            )

    # --- ink --------------------------------------------------------------------------------------------------

    def _ink(self, kind: str, node: Any) -> None:
        if kind == "use":
            self._use(node)
        elif kind == "path":
            self._path(node)
        elif kind in ("polygon", "polyline"):
            self._points(kind, node)
        elif kind == "ellipse":
            x, y = float(node.get("cx")), float(node.get("cy"))
            rx, ry = float(node.get("rx")), float(node.get("ry"))
            self._box(x - rx, y - ry, x + rx, y + ry)
            self.out.append(f'<ellipse cx="{x:g}" cy="{y:g}" rx="{rx:g}" ry="{ry:g}"/>')
        elif kind == "rect":
            x, y = float(node.get("x")), float(node.get("y"))
            wide, high = float(node.get("width")), float(node.get("height"))
            self._box(x, y, x + wide, y + high)
            self.out.append(f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}"/>')

    def _use(self, node: Any) -> None:
        code = _code(node)
        x, y, scale = _place(node)
        glyph, own = _glyph(code)
        self.done.glyphs.add(glyph)
        self.out.append(
            f'<use xlink:href="#{glyph.id}" transform="translate({x:g} {y:g}) scale({scale:g})"/>'
        )
        left, right = x + own.left * scale, x + own.right * scale
        self._box(left, y + own.top * scale, right, y + own.bottom * scale)
        head = self.head
        if head is not None:
            if not head.right:
                head.left, head.right, head.y = left, right, y
                head.edges = (left, right)
            elif node.getparent().get("class") == "notehead":
                head.edges = (min(head.edges[0], left), max(head.edges[1], right))

    def _path(self, node: Any) -> None:
        d = node.get("d")
        width = float(node.get("stroke-width") or 0)
        x0, y0, x1, y1 = _line(d)
        if y0 == y1 and node.getparent().get("class") == "staff":
            self.lines.append((y0, x0, x1))
            bar = self.bar
            bar.left, bar.right = min(bar.left, x0), max(bar.right, x1)
            return
        half = width / 2
        if x0 == x1 or y0 == y1:
            # An upright or level stroke becomes a filled rectangle: it takes the colour of its note with no more ado.
            across, down = (half, 0.0) if x0 == x1 else (0.0, half)
            left, right = min(x0, x1) - across, max(x0, x1) + across
            top, bottom = min(y0, y1) - down, max(y0, y1) + down
            self.out.append(f'<path d="M{left:g} {top:g}H{right:g}V{bottom:g}H{left:g}Z"/>')
            self._box(left, top, right, bottom)
        else:
            self.out.append(
                f'<path d="M{x0:g} {y0:g}L{x1:g} {y1:g}" stroke="#000" stroke-width="{width:g}"/>'
            )
            self.done.sky.add_stroke(x0, y0, x1, y1, half)

    def _points(self, kind: str, node: Any) -> None:
        points = node.get("points")
        numbers = [float(n) for n in points.replace(",", " ").split()]
        xs, ys = numbers[0::2], numbers[1::2]
        width = float(node.get("stroke-width") or 0)
        half = width / 2
        if kind == "polygon":
            self.out.append(f'<polygon points="{points}"/>')
        else:
            self.out.append(
                f'<polyline points="{points}" fill="none" stroke="#000" stroke-width="{width:g}"/>'
            )
        count = len(xs) - (kind == "polyline")
        for i in range(count):
            j = (i + 1) % len(xs)
            self.done.beams.extend(self.done.sky.add_stroke(xs[i], ys[i], xs[j], ys[j], half))

    def _box(self, left: float, top: float, right: float, bottom: float) -> None:
        self.done.boxes.append(Box(left, top, right, bottom))
        self.done.sky.add(left, top, right, bottom)

    def _staff_lines(self) -> None:
        ys = sorted({y for y, _, _ in self.lines})
        left = min((x for _, x, _ in self.lines), default=0.0)
        right = max((x for _, _, x in self.lines), default=0.0)
        self.done.staff = tuple(ys)
        if ys:
            self.done.sky.add(left, ys[0], right, ys[-1])
            self.out.insert(
                0,
                f'<path d="{"".join(f"M{left:g} {y:g}H{right:g}" for y in ys)}" stroke="#000" stroke-width="18"/>',
            )


_NO_LETTERS = str.maketrans("MCL,", "    ")


def _line(d: str) -> tuple[float, float, float, float]:
    """The two points of a path that is one straight line."""
    x0, y0, x1, y1 = d.translate(_NO_LETTERS).split()
    return float(x0), float(y0), float(x1), float(y1)


def _code(use: Any) -> str:
    code: str = use.get(_HREF)
    return code[1:].partition("-")[0]


def _place(use: Any) -> tuple[float, float, float]:
    """Where a glyph stands, and its scale: `translate(90, 944) scale(0.72, 0.72)`."""
    parts = use.get("transform").translate(_NO_CALLS).split()
    return float(parts[0]), float(parts[1]), float(parts[2])


_NO_CALLS = str.maketrans({"(": " ", ")": " ", ",": " ", **dict.fromkeys("translatescale", "")})
