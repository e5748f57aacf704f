"""What text Verovio left in its SVG, turned into outlines: a net under the page's own drawing of words."""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from scribe.engrave.ink.faces import Face, music
from scribe.engrave.ink.model import Glyph, Ink, Use, ink, join
from scribe.engrave.ink.words import text

_SVG = "{http://www.w3.org/2000/svg}"
_XLINK = "http://www.w3.org/1999/xlink"
_BOLD = {"ending", "fing", "reh", "tempo"}  # Verovio's style sheet sets these bold
_ITALIC = {"dir", "dynam", "mNum"}


def outline_texts(root: etree._Element) -> set[Glyph]:
    """Replace every `<text>` by outlines in the serif faces; give the glyphs that `<defs>` then needs."""
    glyphs: set[Glyph] = set()
    for element in list(root.iter(f"{_SVG}text")):
        parent = element.getparent()
        if parent is None:
            continue
        drawn = "".join(_lines(element, glyphs))
        at = parent.index(element)
        groups = etree.fromstring(f'<g xmlns="{_SVG[1:-1]}" xmlns:xlink="{_XLINK}">{drawn}</g>')
        parent[at : at + 1] = list(groups)
    return glyphs


def _lines(element: etree._Element, glyphs: set[Glyph]) -> Iterator[str]:
    """One group for each run of text with a place of its own (a title block has several in one `<text>`)."""
    bold = italic = False
    for above in element.iterancestors(f"{_SVG}g"):
        classes = set((above.get("class") or "").split())
        bold, italic = bold or bool(classes & _BOLD), italic or bool(classes & _ITALIC)
    line: list[Ink] = []
    x, y, anchor = element.get("x"), element.get("y"), element.get("text-anchor", "start")
    for span in element.iter(f"{_SVG}tspan"):
        if span.get("x") is not None:
            yield from _placed(line, x, y, anchor, glyphs)
            line = []
            x, y, anchor = span.get("x"), span.get("y", y), span.get("text-anchor", anchor)
        if span.text and span.text.strip("\n"):
            line.append(_run(span, bold, italic))
    yield from _placed(line, x, y, anchor, glyphs)


def _placed(line: list[Ink], x: str | None, y: str | None, anchor: str, glyphs: set[Glyph]) -> Iterator[str]:
    if not line:
        return
    whole = join(*line, text="".join(each.text for each in line).strip())
    glyphs |= whole.glyphs
    back = {"middle": whole.advance / 2, "end": whole.advance}.get(anchor, 0.0)
    yield whole.svg(float(x or 0) - back, float(y or 0))


def _run(span: etree._Element, bold: bool, italic: bool) -> Ink:
    size = 405.0
    for each in (span, *span.iterancestors(f"{_SVG}tspan", f"{_SVG}text")):
        given = (each.get("font-size") or "").removesuffix("px")
        if given and float(given):
            size = float(given)
            break
    for each in (span, *span.iterancestors(f"{_SVG}tspan")):
        weight, style = each.get("font-weight"), each.get("font-style")
        bold = weight == "bold" if weight else bold
        italic = style == "italic" if style else italic
    face: Face = "serif-italic" if italic else "serif-semibold" if bold else "serif"
    words = span.text or ""
    if any("\ue000" <= char <= "\uf8ff" for char in words):
        return join(*(_sign(char, size) for char in words), text="")
    return text(words, face, size)


def _sign(char: str, size: float) -> Ink:
    """A glyph of the music font named by its private-use character."""
    try:
        found = music(f"{ord(char):X}")
    except KeyError:
        return text(char, "serif", size)
    return ink((Use(found.glyph, 0.0, 0.0, size / 1000),), found.advance * size / 1000)
