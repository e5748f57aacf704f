"""Verovio's SVG read in one pass: systems with the place of every note, barline and stand-in, and their ink anew.

Positions are read, never guessed. The ink is written out smaller: staff lines once a system, glyphs by their SMuFL
code, upright and level strokes as filled rectangles (they take the colour of their note with no more ado), only the
groups that a reader of the file may point at (bars, notes, rests). Stand-ins and what is drawn otherwise are left
out. The text is read tag by tag with one expression, four times as fast as through a tree; a drawn element that it
does not know is an error, never a silent loss.
"""

from __future__ import annotations

import re
from functools import cache

from scribe.engrave.ink import Box, Glyph
from scribe.engrave.ink.faces import music
from scribe.engrave.measure import BarPlace, Curve, Engraved, Head
from scribe.engrave.mei.document import NOTHING
from scribe.engrave.skyline import Skyline

_XY = r"(-?\d+)"
_GLYPH = rf'<use xlink:href="#(\w+)-\w+" transform="translate\({_XY}, {_XY}\) scale\(([\d.]+), [^/]*/>'
_STROKE = rf'<path d="M{_XY} {_XY} L{_XY} {_XY}" stroke-width="(\d+)"[^>]*/>'
_TAG = re.compile(
    rf"{_GLYPH}"
    rf'|<g class="notehead">{_GLYPH}</g>'
    rf'|<g id="[^"]*" class="stem">{_STROKE}</g>'
    rf"|{_STROKE}"
    r"|<(/)g>"
    r'|<g (?:id="([^"]*)" )?class="([^"]*)"([^>]*)>'
    r"|<(path|polygon|polyline|ellipse|rect|text)\b([^>]*)>"
    r"|<(?!/|tspan\b|svg\b)(\w+)"
)
# The last group of each alternative tells which one was found.
_USE, _HEAD, _STEM, _LINE, _CLOSE, _OPEN, _SHAPE, _OTHER = 4, 8, 13, 18, 19, 22, 24, 25
_ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')
_NO_LETTERS = str.maketrans("MCL,", "    ")
_SIGNS = frozenset({"clef", "keySig", "meterSig"})


def read(svg: str, width: float) -> list[Engraved]:
    """Return the systems of one of Verovio's pages, from top to bottom, without the empty ones that
    `write_document` puts round them; `width` in page units.

    Raises:
        ValueError: Verovio drew an element that is not known here.
    """
    # Outlines and style sheet, two thirds of the text, are not needed.
    return _Scan(width).run(svg[svg.find("</style>") :])


@cache
def _glyph(code: str) -> tuple[Glyph, Box]:
    glyph = music(code).glyph
    return glyph, glyph.box or Box(0, 0, 0, 0)


class _Scan:
    def __init__(self, width: float) -> None:
        self.width = width
        self.found: list[Engraved] = []
        self.done = Engraved()
        self.stack: list[tuple[str, int]] = []  # class of each open group, and how many boxes there were
        self.hidden = 0  # open groups of which the outermost is not to be drawn
        self.head: Head | None = None
        self.chord: list[Head] | None = None
        self.chord_stem: tuple[float, float] | None = None
        self.stand = ""

    def run(self, text: str) -> list[Engraved]:
        for tag in _TAG.finditer(text):
            kind = tag.lastindex
            if kind == _CLOSE:
                self._close()
            elif kind == _OPEN:
                if not tag[22].endswith("/"):
                    self._open(tag[20] or "", tag[21], tag[22])
            elif self.hidden:
                self._behind(tag)
            elif kind == _USE:
                self._use(tag[1], tag[2], tag[3], tag[4])
            elif kind == _HEAD:
                self._use(tag[5], tag[6], tag[7], tag[8])
            elif kind == _LINE:
                self._line(float(tag[14]), float(tag[15]), float(tag[16]), float(tag[17]), float(tag[18]))
            elif kind == _STEM:
                self._stem(float(tag[9]), float(tag[10]), float(tag[11]), float(tag[12]), float(tag[13]))
            elif kind == _SHAPE:
                self._shape(tag[23], dict(_ATTRIBUTE.findall(tag[24])))
            elif kind == _OTHER:
                raise ValueError(f"verovio drew a <{tag[25]}>, which the page does not know")
        return [system for system in self.found if system.bars]

    # --- groups -----------------------------------------------------------------------------------------------

    def _open(self, id: str, name: str, rest: str) -> None:
        kind, _, more = name.partition(" ")
        if self.hidden:
            self.hidden += 1
            return
        start = len(self.done.boxes) if self.found else 0
        if kind == "note" or kind == "rest" or kind == "mRest":
            self._open_note(id, kind, more, rest)
        elif kind == "measure":
            self._open_measure(id)
        elif kind == "system":
            self.done = Engraved(sky=Skyline(self.width))
            self.found.append(self.done)
            self.out = self.done.svg
            self.lines: list[tuple[float, float, float]] = []
        elif kind == "chord":
            self.chord, self.chord_stem = [], None
        elif kind == "harm":
            self.stand = id
            self.hidden = 1
        elif kind == "slur" or kind == "tie":
            self.curve = id
        elif "placeholder" in more:
            self.hidden = 1
        self.stack.append((kind, start))

    def _close(self) -> None:
        if self.hidden:
            self.hidden -= 1
            if self.hidden:
                return
            self.stand, self.head = "", None
            self.stack.pop()
            return
        if not self.stack:
            return  # what is open round the systems
        kind, start = self.stack.pop()
        if kind == "note" or kind == "rest" or kind == "mRest":
            self._close_note(start)
        elif kind == "measure":
            self._close_measure()
        elif kind == "system":
            self._staff_lines()
        elif kind == "chord" and self.chord is not None:
            for head in self.chord:
                head.stem = self.chord_stem
            self.chord = None
        elif kind == "barLine":
            self.bar.strokes.extend(self.done.boxes[start:])
            del self.done.boxes[start:]
        elif kind in _SIGNS:
            self.signs.extend(self.done.boxes[start:])

    def _open_measure(self, id: str) -> None:
        if id.startswith(NOTHING):
            self.hidden = 1
            return
        self.bar = BarPlace(id, 1e9, -1e9)
        self.done.bars.append(self.bar)
        self.signs: list[Box] = []
        self.out.append(f'<g class="bar" id="{id}">')

    def _close_measure(self) -> None:
        self.out.append("</g>")
        bar = self.bar
        middle = (bar.left + bar.right) / 2
        at_left = [box.right for box in self.signs if box.left < middle]
        if len(self.done.bars) == 1:
            self.done.signs_right = max(at_left, default=0.0)
        at_left += [box.right for box in bar.strokes if box.left < middle]
        bar.content_left = max(at_left, default=bar.left)
        bar.content_right = min((box.left for box in bar.strokes if box.left >= middle), default=bar.right)

    def _open_note(self, id: str, kind: str, more: str, rest: str) -> None:
        head = self.head = self.done.heads[id] = Head()
        if "todo" in more:
            self.hidden = 1
            return
        found = _ATTRIBUTE.findall(rest) if "fill" in rest else ()
        paint = "".join(f' fill="{value}"' for name, value in found if name == "fill")
        self.out.append(f'<g class="{"note" if kind == "note" else "rest"}" id="{id}"{paint}>')
        if self.chord is not None:
            self.chord.append(head)

    def _close_note(self, start: int) -> None:
        self.out.append("</g>")
        head = self.head
        assert head is not None
        left, top, right, bottom = head.box
        for box in self.done.boxes[start:]:
            left, top = min(left, box[0]), min(top, box[1])
            right, bottom = max(right, box[2]), max(bottom, box[3])
        head.box = Box(left, top, right, bottom)
        self.head = None

    def _behind(self, tag: re.Match[str]) -> None:
        """Take the place of what is not drawn: a stand-in's text, the rest of a stretch to do."""
        if tag.lastindex == _SHAPE and self.stand and tag[23] == "text":
            self.done.stands[self.stand] = float(dict(_ATTRIBUTE.findall(tag[24]))["x"])
        elif tag.lastindex == _USE and self.head is not None:
            x, y, scale = float(tag[2]), float(tag[3]), float(tag[4])
            own = _glyph(tag[1])[1]
            head = self.head
            head.left, head.right, head.y = x + own.left * scale, x + own.right * scale, y
            head.edges = (head.left, head.right)
            head.box = Box(head.left, y, head.right, y)

    # --- ink --------------------------------------------------------------------------------------------------

    def _use(self, code: str, across: str, down: str, by: str) -> None:
        glyph, own = _glyph(code)
        self.done.glyphs.add(glyph)
        self.out.append(f'<use xlink:href="#{code}" transform="translate({across} {down}) scale({by})"/>')
        x, y, scale = int(across), int(down), float(by)
        left, right = x + own[0] * scale, x + own[2] * scale
        self._box(left, y + own[1] * scale, right, y + own[3] * scale)
        head = self.head
        if head is not None:
            if not head.right:
                head.left, head.right, head.y = left, right, y
                head.edges = (left, right)
            elif self.stack[-1][0] == "notehead":
                head.edges = (min(head.edges[0], left), max(head.edges[1], right))

    def _line(self, x0: float, y0: float, x1: float, y1: float, width: float) -> None:
        where = self.stack[-1][0]
        if where == "stem" and x0 == x1:
            self._tip(x0, y1)
        if where == "staff" and y0 == y1:
            self.lines.append((y0, x0, x1))
            bar = self.bar
            bar.left, bar.right = min(bar.left, x0), max(bar.right, x1)
            return
        half = width / 2
        if x0 == x1:
            left, right = x0 - half, x0 + half
            top, bottom = (y0, y1) if y0 < y1 else (y1, y0)
        elif y0 == y1:
            left, right = (x0, x1) if x0 < x1 else (x1, x0)
            top, bottom = y0 - half, y0 + half
        else:
            self.out.append(
                f'<path d="M{x0:g} {y0:g}L{x1:g} {y1:g}" stroke="#000" stroke-width="{width:g}"/>'
            )
            self.done.beams.extend(self.done.sky.add_stroke(x0, y0, x1, y1, half))
            return
        self.out.append(f'<path d="M{left:g} {top:g}H{right:g}V{bottom:g}H{left:g}Z"/>')
        self._box(left, top, right, bottom)

    def _stem(self, x0: float, y0: float, x1: float, y1: float, width: float) -> None:
        self._tip(x0, y1)
        self._line(x0, y0, x1, y1, width)

    def _tip(self, x: float, y: float) -> None:
        # Verovio draws a stem from the head outwards.
        if self.head is not None:
            self.head.stem = (x, y)
        else:
            self.chord_stem = (x, y)

    def _shape(self, name: str, has: dict[str, str]) -> None:
        if name == "path":
            self._curve(has["d"], has.get("stroke-width", "0"))
        elif name in ("polygon", "polyline"):
            self._points(name, has["points"], float(has.get("stroke-width", 0)))
        elif name == "ellipse":
            x, y, rx, ry = (float(has[key]) for key in ("cx", "cy", "rx", "ry"))
            self._box(x - rx, y - ry, x + rx, y + ry)
            self.out.append(f'<ellipse cx="{x:g}" cy="{y:g}" rx="{rx:g}" ry="{ry:g}"/>')
        elif name == "rect":
            x, y, wide, high = (float(has[key]) for key in ("x", "y", "width", "height"))
            self._box(x, y, x + wide, y + high)
            self.out.append(f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}"/>')

    def _curve(self, d: str, width: str) -> None:
        numbers = [float(n) for n in d.translate(_NO_LETTERS).split()]
        x0, y0, x1, y1, x2, y2, x3, y3 = numbers[:8]
        px, py = x0, y0
        middle = y0
        for i in range(1, 9):
            t = i / 8
            u = 1 - t
            a, b, c, e = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
            x, y = a * x0 + b * x1 + c * x2 + e * x3, a * y0 + b * y1 + c * y2 + e * y3
            self.done.sky.add_stroke(px, py, x, y, 12)
            if i == 4:
                middle = y
            px, py = x, y
        self.done.curves[self.curve] = Curve(x0, y0, x3, y3, middle)
        self.out.append(f'<path d="{d}" stroke="#000" stroke-width="{width}" stroke-linejoin="round"/>')

    def _points(self, kind: str, points: str, width: float) -> None:
        numbers = [float(n) for n in points.replace(",", " ").split()]
        xs, ys = numbers[0::2], numbers[1::2]
        if kind == "polygon":
            self.out.append(f'<polygon points="{points}"/>')
        else:
            self.out.append(
                f'<polyline points="{points}" fill="none" stroke="#000" stroke-width="{width:g}"/>'
            )
        count = len(xs)
        for i in range(count - (kind == "polyline")):
            j = (i + 1) % count
            self.done.beams.extend(self.done.sky.add_stroke(xs[i], ys[i], xs[j], ys[j], width / 2))

    def _box(self, left: float, top: float, right: float, bottom: float) -> None:
        self.done.boxes.append(Box(left, top, right, bottom))
        self.done.sky.add(left, top, right, bottom)

    def _staff_lines(self) -> None:
        done = self.done
        if not self.lines:
            return
        ys = sorted({y for y, _, _ in self.lines})
        left = min(x for _, x, _ in self.lines)
        right = max(x for _, _, x in self.lines)
        done.staff = tuple(ys)
        done.sky.add(left, ys[0], right, ys[-1])
        path = "".join(f"M{left:g} {y:g}H{right:g}" for y in ys)
        done.svg.insert(0, f'<path d="{path}" stroke="#000" stroke-width="18"/>')
