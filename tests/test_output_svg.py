"""The SVG of a page stands on its own: no style sheet, no font, no other file."""

from __future__ import annotations

import re

import pytest
from lxml import etree

from tests import output_help

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"


@pytest.fixture(scope="module")
def root() -> etree._Element:
    return etree.fromstring(output_help.page().encode())


def test_two_runs_give_the_same_bytes() -> None:
    """Verovio invents ids on every load; the page has none of them."""
    assert output_help.page() == output_help.page()


def test_only_shapes(root: etree._Element) -> None:
    """What any SVG 1.1 renderer draws without fonts and CSS; `currentColor` and `style` are not used."""
    names = {str(element.tag).removeprefix(SVG) for element in root.iter()}
    assert names <= {
        "svg",
        "title",
        "desc",
        "defs",
        "path",
        "g",
        "use",
        "polygon",
        "polyline",
        "rect",
        "ellipse",
    }
    values = {value for element in root.iter() for key, value in element.items() if key in ("fill", "stroke")}
    assert all(re.fullmatch(r"none|#[0-9a-f]{3}|#[0-9a-f]{6}", value) for value in values), values
    assert not root.xpath("//@style | //@color")


def test_each_outline_is_defined_once_and_used(root: etree._Element) -> None:
    """`<defs>` holds what is used and nothing else."""
    defined = [element.get("id") for element in root.find(SVG + "defs")]
    assert len(defined) == len(set(defined))
    assert {use.get(HREF) for use in root.iter(SVG + "use")} == {"#" + name for name in defined}


def test_ids_are_unique(root: etree._Element) -> None:
    """The live page finds a note by its id."""
    ids = root.xpath("//@id")
    assert len(ids) == len(set(ids))


def test_every_line_has_a_colour_of_its_own(root: etree._Element) -> None:
    """A line with a width and no `stroke` would vanish; outlines in `<defs>` take theirs from their use."""
    (head,) = root.iterchildren(SVG + "defs")
    lines = [
        element for element in root.iter() if element.get("stroke-width") and element.getparent() is not head
    ]
    assert len(lines) >= 2  # the staves at least
    assert all(element.get("stroke") for element in lines)
    stroked = {element.get("id") for element in head if element.get("stroke-width")}
    assert stroked
    uses = [use for use in root.iter(SVG + "use") if use.get(HREF)[1:] in stroked]
    assert all(use.get("stroke") for use in uses)


def test_words_are_readable_to_a_screen_reader(root: etree._Element) -> None:
    """Title and description at the head; every word of the page as a label."""
    assert root[0].tag == SVG + "title"
    assert root[0].text == "Head & Tail"
    assert root.findtext(SVG + "desc")
    labels = set(root.xpath("//@aria-label"))
    assert {"Head & Tail", "A. Writer", "B", "Ebm7b5/Bb", "Gm7?", "F7alt", "let ring", "to do", "?"} <= labels


def test_the_page_is_small() -> None:
    """Glyphs once and used: a page of two systems stays under 60 KiB."""
    assert len(output_help.page().encode()) < 60 * 1024
