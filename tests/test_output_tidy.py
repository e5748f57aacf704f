"""Verovio's SVG made self-contained."""

from __future__ import annotations

import re

import pytest
from lxml import etree

from scribe.engrave.ink import chord, text
from scribe.engrave.ink.faces import music
from scribe.engrave.output import ids_of, tidy
from tests.output_help import MEI, PAGE, SYSTEM, engrave

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"


@pytest.fixture(scope="module")
def raw() -> str:
    return engrave(MEI, PAGE)


@pytest.fixture(scope="module")
def page(raw: str) -> etree._Element:
    return etree.fromstring(tidy(raw, keep=ids_of(MEI), title="A <Tune> & more").encode())


def test_two_runs_give_the_same_bytes() -> None:
    """Verovio invents new ids on every load; the page has none of them."""
    first, second = engrave(MEI, PAGE), engrave(MEI, PAGE)
    assert first != second
    keep = ids_of(MEI)
    assert tidy(first, keep=keep) == tidy(second, keep=keep)


def test_our_ids_and_classes_stay(page: etree._Element) -> None:
    """The live page points at notes and bars by the ids that we wrote."""
    found = {element.get("id"): element.get("class") for element in page.iter(SVG + "g") if element.get("id")}
    assert found.keys() == {"m1", "m2", "m3", "n1", "n2", "n3", "doubt", "t1", "n9", "h1"}
    assert found["n1"] == "note"
    assert found["m2"] == "measure todo"


def test_no_style_no_script_no_text_no_outside_links(raw: str, page: etree._Element) -> None:
    """Nothing depends on a style sheet, a font or another file."""
    assert "<style" in raw
    assert "<text" in raw
    names = {str(element.tag).removeprefix(SVG) for element in page.iter()}
    assert names <= {"svg", "title", "defs", "path", "g", "use", "polygon", "polyline", "rect", "ellipse"}
    defined = {element.get("id") for element in page.find(SVG + "defs")}
    used = {use.get(HREF) for use in page.iter(SVG + "use")}
    assert used == {"#" + name for name in defined}


def test_every_line_has_a_colour_of_its_own(page: etree._Element) -> None:
    """Without Verovio's style sheet, a line without `stroke` would vanish; the doubtful note's stem is brown."""
    lines = [
        element
        for element in page.iter()
        if element.get("stroke-width") and element.getparent().tag != SVG + "defs"
    ]
    assert lines
    assert all(element.get("stroke") for element in lines)
    (doubt,) = page.xpath("//*[@id='doubt']")
    assert {element.get("stroke") for element in doubt.iter(SVG + "path")} == {"#b3400e"}
    assert doubt.get("fill") == "#b3400e"
    assert not page.xpath("//*[@color]")


def test_placeholders_and_empty_groups_are_gone(raw: str, page: etree._Element) -> None:
    """The dots that the style sheet hid must not print."""
    assert "placeholder" in raw
    assert not page.xpath("//*[contains(@class, 'placeholder')]")
    assert all(len(group) for group in page.iter(SVG + "g"))


def test_the_page_is_as_large_as_the_paper(page: etree._Element) -> None:
    """A4: 210 by 297 mm, a page unit a hundredth of a millimetre."""
    assert (page.get("width"), page.get("height"), page.get("viewBox")) == (
        "210mm",
        "297mm",
        "0 0 21000 29700",
    )


def test_title_and_description_are_for_screen_readers(raw: str) -> None:
    """Any characters, escaped; controls that XML forbids are replaced."""
    root = etree.fromstring(tidy(raw, title="A <b>\x00", description="two & three").encode())
    assert root[0].tag == SVG + "title"
    assert root[0].text == "A <b>\ufffd"
    assert root.findtext(SVG + "desc") == "two & three"


def test_staff_lines_become_one_path(raw: str, page: etree._Element) -> None:
    """Five equal lines in a row are one path with the same five lines; the file is smaller than Verovio's."""

    def ends(root: etree._Element) -> set[tuple[str, ...]]:
        first = root.xpath("//*[local-name()='g' and @class='staff']")[0]
        d = " ".join(path.get("d") for path in first.iterchildren(SVG + "path"))
        return set(re.findall(r"M(\S+) (\d+)", d))

    assert ends(etree.fromstring(raw.encode())) == ends(page)
    (staff,) = page.xpath("//*[@id='m1']/*[@class='staff']")
    assert len(list(staff.iterchildren(SVG + "path"))) == 1


def test_left_over_text_becomes_outlines(raw: str) -> None:
    """Words that the page did not draw itself are drawn all the same, where Verovio had them."""
    root = etree.fromstring(tidy(raw).encode())
    said = {element.get("aria-label"): element for element in root.xpath("//*[@aria-label]")}
    assert {"Am", "let ring", "Head & Tail"} <= said.keys()
    title = said["Head & Tail"]
    middle = (
        float(re.findall(r"translate\((\S+) ", title.get("transform"))[0])
        + float(title.get("data-width")) / 2
    )
    assert middle == pytest.approx(9000, abs=1)


def test_inks_join_the_definitions(raw: str) -> None:
    """Glyphs of what we draw and of Verovio share one `<defs>`, each outline once."""
    root = etree.fromstring(raw.encode())
    drawn = chord("Ebm7")
    (harm,) = root.xpath("//*[@id='h1']")
    harm[:] = list(
        etree.fromstring(f'<g xmlns="{SVG[1:-1]}" xmlns:xlink="{HREF[1:-5]}">{drawn.svg(10, 20)}</g>')
    )
    page = etree.fromstring(tidy(root, keep=ids_of(MEI), glyphs=drawn.glyphs).encode())
    defined = [element.get("id") for element in page.find(SVG + "defs")]
    assert len(defined) == len(set(defined))
    assert {glyph.id for glyph in drawn.glyphs} <= set(defined)
    assert page.xpath("//*[@id='h1']/*/@aria-label") == ["Ebm7"]


def test_our_music_glyphs_are_the_ones_that_verovio_draws(page: etree._Element) -> None:
    """One id, one outline: what we read from the music font equals what Verovio writes."""
    for element in page.find(SVG + "defs"):
        if re.fullmatch(r"E[0-9A-F]{3}", element.get("id")):
            assert element.get("d") == music(element.get("id")).glyph.d


def test_a_single_system_is_tidied_too() -> None:
    """The live page's systems have a nested view box of another scale; they come out in page units."""
    root = etree.fromstring(tidy(engrave(MEI, PAGE | SYSTEM), keep=ids_of(MEI)).encode())
    assert root.get("viewBox").startswith("0 0 18400 ")
    assert root.get("width") == "184mm"


def test_a_font_other_than_the_pages_keeps_its_own_letters() -> None:
    """Words set by us and words left by Verovio may use the same letter of the same face: one outline."""
    left = text("Am", "serif", 405).glyphs
    assert {glyph.id for glyph in left} == {glyph.id for glyph in text("mA", "serif", 300).glyphs}
