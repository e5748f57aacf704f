"""Verovio's SVG made self-contained: no style sheet, no fonts, no random ids, each outline once.

Verovio 6.4 paints with a `<style>` (`stroke: currentColor` on every shape, `visibility: hidden` on placeholders),
nests one `<svg>` in another and makes up ids; renderers other than browsers get that wrong. After `tidy` every shape
says itself how it is painted, in attributes that any SVG 1.1 renderer knows.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from functools import lru_cache

from lxml import etree

from scribe.engrave.ink.model import BLACK, Glyph, defs, xml_text
from scribe.engrave.ink.outline import bounds, move, number, read, write
from scribe.engrave.output.letters import outline_texts

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
_G, _PATH, _SVG, _USE = (f"{{{SVG}}}{name}" for name in ("g", "path", "svg", "use"))
_HREF = f"{{{XLINK}}}href"
_UNITS_PER_MM = 100.0

_PLACE = re.compile(r"translate\((\S+?), (\S+?)\) scale\((\S+?), \3\)")
_LINE = re.compile(r"M(\S+) (\S+) L(\S+) (\S+)$")


_PLACEHOLDERS = etree.XPath("descendant::*[contains(concat(' ', @class, ' '), ' placeholder ')]")
# The innermost first, so that its colour is the one that stays.
_COLORED = etree.XPath("descendant::*[@color]")
_UNPAINTED = etree.XPath("descendant::*[@stroke-width and not(@stroke)]")
_EMPTY = etree.XPath("descendant::*[local-name() = 'g' and not(*)]")
_NAMED = etree.XPath("descendant::*[@id]")
_REFERRING = etree.XPath("descendant::*[contains(@class, 'id-')]")


def ids_of(mei: str) -> frozenset[str]:
    """The ids that stand in an MEI text: those to keep on the page."""
    return frozenset(re.findall(r'xml:id="([^"]+)"', mei))


def tidy(
    svg: str | etree._Element,
    *,
    keep: Container[str] | None = None,
    glyphs: Iterable[Glyph] = (),
    title: str = "",
    description: str = "",
) -> str:
    """One page or system of Verovio's as a clean SVG text. An element given is changed.

    Args:
        svg: what `renderToSVG` gave, as text, or parsed and already drawn upon.
        keep: the ids that are ours (`ids_of`); all others are Verovio's inventions and are dropped, since they change
            from run to run. None keeps every id.
        glyphs: outlines of the Inks that were added to the page; they join Verovio's in `<defs>`.
        title: for screen readers and the tab of a browser.
        description: for screen readers.

    Returns:
        The page with `viewBox` in page units and its size in millimetres. Groups keep their classes and kept ids.
        Text that is still there is turned into outlines.
    """
    root = etree.fromstring(svg.encode()) if isinstance(svg, str) else svg
    outlines = {glyph.id: glyph for glyph in (*glyphs, *clean(root, keep))}
    head = etree.fromstring(f'<defs xmlns="{SVG}">{defs(outlines.values())}</defs>')
    root.insert(0, head)
    for name, words in (("desc", description), ("title", title)):
        if words:
            element = etree.Element(f"{{{SVG}}}{name}")
            element.text = xml_text(words)
            root.insert(0, element)
    etree.cleanup_namespaces(root, top_nsmap={None: SVG, "xlink": XLINK}, keep_ns_prefixes=["xlink"])
    return str(etree.tostring(root, encoding="unicode"))


def clean(root: etree._Element, keep: Container[str] | None = None) -> frozenset[Glyph]:
    """What `tidy` does to the drawing itself, in place, for callers who put several systems on one page.

    Returns the outlines that the drawing now uses; they have to stand in `<defs>` of the file that it ends up in.
    """
    _flatten(root)
    outlines: dict[str, Glyph] = {}
    _take_symbols(root, outlines)
    _drop_hidden(root)
    glyphs = outline_texts(root)
    _paint(root)
    _merge_lines(root)
    _clean_ids(root, keep)
    _drop_empty(root)
    return frozenset(outlines.values()) | glyphs


def _flatten(root: etree._Element) -> None:
    """One `<svg>` in page units with its real size, whatever Verovio's scale was."""
    inner = next((child for child in root.iterchildren(_SVG)), None)
    if inner is None:
        return
    view = inner.get("viewBox") or "0 0 0 0"
    width, height = (float(value) for value in view.split()[2:])
    inner.tag = _G  # renaming is quicker than moving thousands of nodes up
    inner.attrib.clear()
    root.attrib.clear()
    root.set("viewBox", view)
    root.set("width", number(width / _UNITS_PER_MM, 2) + "mm")
    root.set("height", number(height / _UNITS_PER_MM, 2) + "mm")


def _take_symbols(root: etree._Element, outlines: dict[str, Glyph]) -> None:
    """Verovio's glyph definitions become outlines under the code of the glyph alone."""
    renamed: dict[str, str] = {}
    for head in list(root.iterchildren(f"{{{SVG}}}defs", f"{{{SVG}}}style", f"{{{SVG}}}desc")):
        for group in head:
            name = group.get("id") or ""
            if name and len(group):
                code = name.partition("-")[0]
                renamed["#" + name] = "#" + code
                outlines[code] = _upright(code, group[0].get("d") or "")
        root.remove(head)
    for use in root.iter(_USE):
        code = renamed.get(use.get(_HREF) or "", "")
        if not code:
            continue
        use.set(_HREF, code)
        found = _PLACE.fullmatch(use.get("transform") or "")
        if found:
            use.set("transform", f"translate({found[1]} {found[2]}) scale({found[3]})")


@lru_cache(maxsize=512)
def _upright(name: str, d: str) -> Glyph:
    segments = move(read(d), 0.0, 0.0, 1.0, -1.0)
    return Glyph(name, write(segments), bounds(segments))


def _drop_hidden(root: etree._Element) -> None:
    """Placeholders draw a dot that only the style sheet hid."""
    for group in _PLACEHOLDERS(root):
        group.getparent().remove(group)


def _paint(root: etree._Element) -> None:
    """Each stroked shape says its colour; before, the style sheet took it from `color`."""
    for group in reversed(_COLORED(root)):
        color = group.attrib.pop("color")
        for shape in _UNPAINTED(group):
            shape.set("stroke", color)
    for shape in _UNPAINTED(root):
        shape.set("stroke", BLACK)


def _merge_lines(root: etree._Element) -> None:
    """Straight lines that follow each other and look alike become one path: the five of a staff, for one."""
    for path in list(root.iter(_PATH)):
        found = _LINE.match(path.get("d") or "")
        if not found:
            continue
        x1, y1, x2, y2 = found.groups()
        d = f"M{x1} {y1}" + (f"V{y2}" if x1 == x2 else f"H{x2}" if y1 == y2 else f"L{x2} {y2}")
        path.set("d", d)
        before = path.getprevious()
        if before is not None and before.tag == _PATH and before.get("data-line") is not None:
            mine, its = dict(path.attrib), dict(before.attrib)
            del mine["d"], its["d"], its["data-line"]
            if mine == its:
                before.set("d", (before.get("d") or "") + d)
                parent = path.getparent()
                if parent is not None:
                    parent.remove(path)
                continue
        path.set("data-line", "")
    for path in root.iter(_PATH):
        path.attrib.pop("data-line", None)


def _clean_ids(root: etree._Element, keep: Container[str] | None) -> None:
    if keep is None:
        return
    for element in _NAMED(root):
        if element.get("id") not in keep:
            del element.attrib["id"]
    for group in _REFERRING(root):
        names = (group.get("class") or "").split()
        group.set("class", " ".join(name for name in names if not name.startswith("id-") or name[3:] in keep))


def _drop_empty(root: etree._Element) -> None:
    """Groups that draw nothing: spaces of the beat grid, ends of milestones."""
    empty = _EMPTY(root)
    while empty:
        above = []
        for group in empty:
            parent = group.getparent()
            if parent is not None and len(group) == 0:
                parent.remove(group)
                if len(parent) == 0 and parent.tag == _G:
                    above.append(parent)
        empty = above
