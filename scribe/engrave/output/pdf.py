"""Pages as a PDF: vectors, each glyph once, words searchable.

Our own walk over the small part of SVG that a page uses, written with reportlab: glyphs become form XObjects
that every page shares, the words of the `aria-label`s an invisible text layer. Equal pages give equal bytes: the file
holds no date and no random id.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import TYPE_CHECKING, NamedTuple

from lxml import etree

from scribe.engrave.ink.outline import Segment, bounds, number, read
from scribe.engrave.output.paint import INITIAL, Matrix, Paint, matrix

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_XLINK_HREF = "{http://www.w3.org/1999/xlink}href"
_SVG = "{http://www.w3.org/2000/svg}"
_POINTS_PER_MM = 72 / 25.4


def pdf(
    svgs: Sequence[str], title: str = "", author: str = "", size_mm: tuple[float, float] | None = None
) -> bytes:
    """A PDF document, one page for each SVG that the engraving step made.

    Args:
        svgs: the pages.
        title: the document's title, shown by readers in the window's head.
        author: its author.
        size_mm: the paper; each page as large as its SVG says when None.

    Raises:
        ValueError: a page is no SVG or has no size.
    """
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setCreator("scribe")
    canvas.setProducer("scribe")
    canvas.setSubject("")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    forms = _Forms(canvas)
    for svg in svgs:
        try:
            root = etree.fromstring(svg.encode())
        except etree.XMLSyntaxError as fault:
            raise ValueError(f"a page is no XML: {fault}") from None
        _Page(canvas, forms, root, size_mm).draw()
        canvas.showPage()
    as_text = rl_config.useA85
    rl_config.useA85 = 0  # streams as bytes: a quarter smaller than as ASCII text
    try:
        canvas.save()
    finally:
        rl_config.useA85 = as_text
    # The library writes a made-up date where it is told to leave out the true one; blanks keep every offset right.
    return re.sub(rb"/(?:Creation|Mod)Date \([^)]*\)", lambda found: b" " * len(found[0]), out.getvalue())


class _Forms:
    """Glyphs as form XObjects, one for each outline in the document."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas
        self._names: dict[tuple[str, str], str] = {}

    def name(self, path: etree._Element) -> str:
        d, stroke = path.get("d") or "", path.get("stroke-width") or ""
        name = self._names.get((d, stroke))
        if name is None:
            name = f"g{len(self._names)}"
            self._names[d, stroke] = name
            self._define(name, d, stroke)
        return name

    def _define(self, name: str, d: str, stroke: str) -> None:
        segments = read(d)
        box = bounds(segments)
        if box is None:
            box_points = (0.0, 0.0, 1.0, 1.0)
        else:
            around = box.grow(float(stroke or 0) / 2 + 1)
            box_points = (around.left, around.top, around.right, around.bottom)
        self._canvas.beginForm(name, *box_points)
        pen = f"{stroke} w 1 j " if stroke else ""
        self._canvas.addLiteral(pen + _path(segments) + (" B" if stroke else " f"))
        self._canvas.endForm()


class _Words(NamedTuple):
    """Words to lay invisibly over what is drawn, at `place` in the page."""

    text: str
    size: float
    width: float
    place: Matrix


class _Page:
    def __init__(
        self, canvas: Canvas, forms: _Forms, root: etree._Element, size_mm: tuple[float, float] | None
    ) -> None:
        self._canvas, self._forms, self._root = canvas, forms, root
        view = [float(value) for value in (root.get("viewBox") or "").replace(",", " ").split()]
        if root.tag != _SVG + "svg" or len(view) != 4 or not (view[2] > 0 and view[3] > 0):
            raise ValueError("expected an SVG page with a viewBox")
        width, height = size_mm or (_mm(root.get("width"), view[2]), _mm(root.get("height"), view[3]))
        self._size = (width * _POINTS_PER_MM, height * _POINTS_PER_MM)
        self._view = view
        self._shapes = {
            element.get("id"): element for element in root.iter(_SVG + "path") if element.get("id")
        }
        self._words: list[_Words] = []
        self._code: list[str] = []

    def draw(self) -> None:
        """The whole page onto the canvas."""
        used = {(use.get(_XLINK_HREF) or "")[1:] for use in self._root.iter(_SVG + "use")}
        for name in sorted(used):
            if name in self._shapes:
                self._forms.name(self._shapes[name])
        width, height = self._size
        self._canvas.setPageSize((width, height))
        left, top, across, down = self._view
        scale = min(width / across, height / down)
        base = Matrix(
            scale,
            0.0,
            0.0,
            -scale,
            (width - across * scale) / 2 - left * scale,
            height - (height - down * scale) / 2 + top * scale,
        )
        self._canvas.addLiteral(f"q {base.pdf()} cm")
        self._children(self._root, INITIAL.under(self._root), Matrix())
        self._flush()
        self._canvas.addLiteral("Q")
        for words in self._words:
            self._lay(words._replace(place=words.place.then(base)))

    # -- the walk

    def _children(self, parent: etree._Element, paint: Paint, place: Matrix) -> None:
        for element in parent:
            if not isinstance(element.tag, str):
                continue
            name = element.tag.removeprefix(_SVG)
            if name in ("defs", "title", "desc", "style", "symbol"):
                continue
            own = paint.under(element)
            transform = element.get("transform")
            step = matrix(transform) if transform else None
            inner = step.then(place) if step else place
            if name == "g" or name == "svg":
                self._group(element, own, inner, step)
            elif name == "use":
                self._use(element, own, step)
            else:
                segments = _shape(name, element, self._view)
                if segments:
                    if step:
                        self._code.append(f"q {step.pdf()} cm")
                    self._painted(_path(segments), own)
                    if step:
                        self._code.append("Q")

    def _group(self, element: etree._Element, paint: Paint, place: Matrix, step: Matrix | None) -> None:
        label, size = element.get("aria-label"), element.get("data-size")
        if label and size:
            self._words.append(_Words(label, float(size), float(element.get("data-width") or 0), place))
        if step:
            self._code.append(f"q {step.pdf()} cm")
        self._children(element, paint, place)
        if step:
            self._code.append("Q")

    def _use(self, element: etree._Element, paint: Paint, step: Matrix | None) -> None:
        target = self._shapes.get((element.get(_XLINK_HREF) or "")[1:])
        if target is None:
            return
        x, y = float(element.get("x") or 0), float(element.get("y") or 0)
        place = Matrix(1.0, 0.0, 0.0, 1.0, x, y)
        if step:
            place = place.then(step)
        colors = paint.fill_code()
        if target.get("stroke-width"):
            colors += paint.stroke_code()
        self._code.append(f"q {place.pdf()} cm {colors}")
        self._flush()
        self._canvas.doForm(self._forms.name(target))
        self._code.append("Q")

    def _painted(self, path: str, paint: Paint) -> None:
        fills, strokes = paint.fill is not None and paint.fill_opacity > 0, paint.strokes
        if not fills and not strokes:
            return
        code = "q "
        if fills:
            code += paint.fill_code()
        if strokes:
            code += paint.stroke_code() + paint.pen_code()
        ending = ("B" if fills else "S") if strokes else "f"
        if fills and paint.even_odd:
            ending += "*"
        self._with_opacity(paint, f"{code}{path} {ending} Q")

    def _with_opacity(self, paint: Paint, code: str) -> None:
        fill, stroke = paint.opacity * paint.fill_opacity, paint.opacity
        if fill >= 1 and stroke >= 1:
            self._code.append(code)
            return
        self._flush()
        self._canvas.saveState()
        self._canvas.setFillAlpha(fill)
        self._canvas.setStrokeAlpha(stroke)
        self._canvas.addLiteral(code)
        self._canvas.restoreState()

    def _flush(self) -> None:
        if self._code:
            self._canvas.addLiteral("\n".join(self._code))
            self._code.clear()

    def _lay(self, words: _Words) -> None:
        """Invisible letters as wide as the drawn ones, so that a search marks the right place."""
        said = searchable(words.text)
        natural = self._canvas.stringWidth(said, "Helvetica", words.size)
        if not said or not natural:
            return
        line = self._canvas.beginText()
        line.setTextRenderMode(3)
        line.setFont("Helvetica", words.size)
        line.setHorizScale(round(100 * (words.width or natural) / natural, 1))
        place = words.place
        line.setTextTransform(*Matrix(1.0, 0.0, 0.0, -1.0, 0.0, 0.0).then(place))
        line.textOut(said)
        self._canvas.drawText(line)


def searchable(words: str) -> str:
    """Words as the hidden layer can hold them, in the WinAnsi letters of a standard font: `♭` as `b`, `Ł` as `L`."""
    out = []
    for char in words:
        char = _PLAIN.get(char, char)
        try:
            char.encode("cp1252")
        except UnicodeEncodeError:
            char = "".join(
                part for part in unicodedata.normalize("NFKD", char) if part.isascii() and part.isprintable()
            )
        out.append(char)
    return "".join(out)


_PLAIN = {
    "♭": "b",
    "♯": "#",
    "♮": "n",
    "𝄫": "bb",
    "𝄪": "##",
    "△": "maj",
    "Ł": "L",
    "ł": "l",
    "Đ": "D",
    "đ": "d",
}


def _mm(length: str | None, units: float) -> float:
    found = re.fullmatch(r"([\d.]+)(mm|px|pt|)", length or "")
    if not found:
        return units / 100
    return float(found[1]) * {"mm": 1.0, "px": 25.4 / 96, "": 25.4 / 96, "pt": 25.4 / 72}[found[2]]


def _shape(name: str, element: etree._Element, view: list[float]) -> tuple[Segment, ...]:
    """A basic shape as a path; empty for what does not draw. Percentages are of the page's view box."""
    if name == "path":
        return read(element.get("d") or "")

    def value(key: str, fallback: str = "0") -> float:
        given = element.get(key) or fallback
        if given.endswith("%"):
            return float(given[:-1]) / 100 * view[2 if key in ("x", "width", "cx", "rx") else 3]
        return float(given)

    if name in ("polygon", "polyline"):
        numbers = [float(part) for part in (element.get("points") or "").replace(",", " ").split()]
        points = list(zip(numbers[::2], numbers[1::2], strict=False))
        lines: Iterable[Segment] = (("L" if place else "M", *point) for place, point in enumerate(points))
        return (*lines, ("Z",)) if name == "polygon" and points else tuple(lines)
    if name == "line":
        return (("M", value("x1"), value("y1")), ("L", value("x2"), value("y2")))
    if name == "rect":
        x, y, w, h = value("x"), value("y"), value("width"), value("height")
        return (("M", x, y), ("L", x + w, y), ("L", x + w, y + h), ("L", x, y + h), ("Z",))
    if name in ("circle", "ellipse"):
        from scribe.engrave.ink.shapes import oval

        across, down = value("rx", element.get("r") or "0"), value("ry", element.get("r") or "0")
        return oval(value("cx"), value("cy"), across, down)
    return ()


def _path(segments: Iterable[Segment]) -> str:
    """The operators of a PDF path; a quadratic curve as the cubic one that it equals."""
    out = []
    x = y = 0.0
    for letter, *v in segments:
        if letter == "Z":
            out.append("h")
            continue
        if letter == "Q":
            cx, cy, ex, ey = v
            v = [
                x + 2 / 3 * (cx - x),
                y + 2 / 3 * (cy - y),
                ex + 2 / 3 * (cx - ex),
                ey + 2 / 3 * (cy - ey),
                ex,
                ey,
            ]
        operator = {"M": "m", "L": "l", "C": "c", "Q": "c"}[letter]
        out.append(" ".join(number(value) for value in v) + " " + operator)
        x, y = v[-2], v[-1]
    return " ".join(out)
