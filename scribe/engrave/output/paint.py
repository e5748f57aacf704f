"""How a shape is painted and where: the presentation attributes and transforms of SVG that the page uses."""

from __future__ import annotations

import re
from functools import lru_cache
from math import cos, radians, sin
from typing import NamedTuple

from lxml import etree

from scribe.engrave.ink.outline import number

Color = tuple[float, float, float]

_NAMES = {"black": "#000", "white": "#fff", "none": "", "grey": "#808080", "gray": "#808080", "red": "#f00"}


class Matrix(NamedTuple):
    """An affine transform in the order of SVG and PDF: x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, outer: Matrix) -> Matrix:
        """First this, then `outer`."""
        return Matrix(
            self.a * outer.a + self.b * outer.c,
            self.a * outer.b + self.b * outer.d,
            self.c * outer.a + self.d * outer.c,
            self.c * outer.b + self.d * outer.d,
            self.e * outer.a + self.f * outer.c + outer.e,
            self.e * outer.b + self.f * outer.d + outer.f,
        )

    def pdf(self) -> str:
        parts = [number(value, 6) for value in self[:4]] + [number(value, 3) for value in self[4:]]
        return " ".join(parts)


@lru_cache(maxsize=4096)
def matrix(transform: str) -> Matrix:
    """A `transform` attribute as one matrix.

    Raises:
        ValueError: a kind of transform that the page does not use.
    """
    whole = Matrix()
    for kind, inside in re.findall(r"(\w+)\s*\(([^)]*)\)", transform):
        v = [float(part) for part in inside.replace(",", " ").split()]
        if kind == "translate":
            step = Matrix(e=v[0], f=v[1] if len(v) > 1 else 0.0)
        elif kind == "scale":
            step = Matrix(a=v[0], d=v[-1])
        elif kind == "rotate" and len(v) in (1, 3):
            turn = radians(v[0])
            step = Matrix(cos(turn), sin(turn), -sin(turn), cos(turn))
            if len(v) == 3:
                step = Matrix(e=-v[1], f=-v[2]).then(step).then(Matrix(e=v[1], f=v[2]))
        elif kind == "matrix" and len(v) == 6:
            step = Matrix(*v)
        else:
            raise ValueError(f"no transform {kind!r} on a page")
        whole = step.then(whole)
    return whole


@lru_cache(maxsize=64)
def rgb(color: str) -> Color | None:
    """A colour as three numbers from 0 to 1; None for `none`.

    Raises:
        ValueError: a colour written in another way than the page's.
    """
    code = _NAMES.get(color, color)
    if not code:
        return None
    if len(code) == 4:
        code = "#" + "".join(2 * digit for digit in code[1:])
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", code):
        raise ValueError(f"no colour {color!r} on a page")
    return (int(code[1:3], 16) / 255, int(code[3:5], 16) / 255, int(code[5:7], 16) / 255)


_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}


class Paint(NamedTuple):
    """The inherited paint. `color` is what `currentColor` stands for."""

    fill: Color | None = (0.0, 0.0, 0.0)
    stroke: Color | None = None
    width: float = 1.0
    fill_opacity: float = 1.0
    opacity: float = 1.0
    color: Color | None = (0.0, 0.0, 0.0)
    cap: int = 0
    join: int = 0
    dash: str = ""
    even_odd: bool = False

    @property
    def strokes(self) -> bool:
        return self.stroke is not None and self.width > 0

    def under(self, element: etree._Element) -> Paint:
        """The paint inside `element`."""
        given = element.attrib
        if not given:
            return self
        changed: dict[str, object] = {}
        color = self.color
        if "color" in given:
            color = changed["color"] = rgb(given["color"])
        for key in ("fill", "stroke"):
            if key in given:
                changed[key] = color if given[key] == "currentColor" else rgb(given[key])
        if "stroke-width" in given:
            changed["width"] = float(given["stroke-width"].removesuffix("px"))
        if "fill-opacity" in given:
            changed["fill_opacity"] = float(given["fill-opacity"])
        if "opacity" in given:
            changed["opacity"] = self.opacity * float(given["opacity"])
        if "stroke-linecap" in given:
            changed["cap"] = _CAPS[given["stroke-linecap"]]
        if "stroke-linejoin" in given:
            changed["join"] = _JOINS[given["stroke-linejoin"]]
        if "stroke-dasharray" in given:
            changed["dash"] = given["stroke-dasharray"].replace(",", " ").replace("none", "")
        if "fill-rule" in given:
            changed["even_odd"] = given["fill-rule"] == "evenodd"
        return self._replace(**changed) if changed else self  # type: ignore[arg-type]

    def fill_code(self) -> str:
        """The PDF operator for the fill; empty for black, with which every page starts."""
        return _color_code(self.fill, "g", "rg")

    def stroke_code(self) -> str:
        return _color_code(self.stroke, "G", "RG")

    def pen_code(self) -> str:
        """Line width, ends, corners and dashes."""
        code = f"{number(self.width, 2)} w "
        if self.cap:
            code += f"{self.cap} J "
        if self.join:
            code += f"{self.join} j "
        if self.dash:
            code += f"[{self.dash}] 0 d "
        return code


INITIAL = Paint()


def _color_code(color: Color | None, grey: str, full: str) -> str:
    if color is None or color == (0.0, 0.0, 0.0):
        return ""
    if color[0] == color[1] == color[2]:
        return f"{number(color[0], 3)} {grey} "
    return " ".join(number(part, 3) for part in color) + f" {full} "
