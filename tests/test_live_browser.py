"""The page itself, in a real browser: what a writer sees and does while a draft grows."""

from __future__ import annotations

import re
from pathlib import Path

from tests.browser_help import MS, ONE, Open, becomes, folder_of, save, settled, systems
from tests.live_help import Watch, needs_browser, watching

pytestmark = needs_browser()


def test_the_first_page(page_of: Open) -> None:
    """Title, systems, bar numbers and progress are there; the tab carries the title; nothing was fetched elsewhere."""
    page = page_of()
    settled(page)
    assert page.title() == "Depot Stomp"
    assert page.locator("#heading [aria-label='Depot Stomp']").count() == 1
    assert page.locator(".bar-number").evaluate_all(
        "all => all.map(each => each.getAttribute('aria-label'))"
    ) == ["bar 3", "bar 5"]
    assert page.inner_text("#progress") == "6 bars"
    assert page.inner_text("#count") == "nothing to mend"
    assert page.locator(".note").count() == 24
    box = page.locator(".note").first.bounding_box()
    assert box["height"] > 5


def test_an_edit_of_one_bar(page_of: Open, watch: Watch) -> None:
    """One bar is changed: its system alone is new and marked; place and size of the page stay."""
    page = page_of(viewport={"width": 1100, "height": 360})
    settled(page)
    page.keyboard.press("+")
    page.evaluate("scrollTo(0, 200)")
    before, top = systems(page), page.evaluate("scrollY")
    zoom = page.evaluate("document.documentElement.style.getPropertyValue('--zoom')")
    page.evaluate("document.querySelectorAll('.strip').forEach((each, i) => (each.mine = i))")
    save(watch, ONE.replace("^f a c e", "^f a c g"))
    becomes(page, f"document.querySelectorAll('.strip')[1].dataset.key !== '{before[1]}'")
    after = systems(page)
    assert [old == new for old, new in zip(before, after, strict=True)] == [True, False, True]
    assert page.locator(".strip.fresh").count() == 1
    assert page.evaluate("[...document.querySelectorAll('.strip')].map(each => each.mine ?? null)") == [
        0,
        None,
        2,
    ]
    assert page.evaluate("scrollY") == top
    assert page.evaluate("document.documentElement.style.getPropertyValue('--zoom')") == zoom
    assert float(zoom) > 1


def test_a_change_out_of_sight_is_told(page_of: Open, watch: Watch) -> None:
    """A change far below does not move the page; a word says where it is, and `c` goes there."""
    text = ONE + "| g b d g |\n" * 30
    save(watch, text)
    page = page_of()
    settled(page, 33)
    save(watch, text[: -len("| g b d g |\n")] + "| a |\n")
    page.wait_for_selector("#elsewhere:not([hidden])", timeout=MS)
    assert page.evaluate("scrollY") == 0
    assert "below" in page.inner_text("#elsewhere")
    page.keyboard.press("c")
    becomes(page, "scrollY > 500")


def test_an_error_and_its_mend(page_of: Open, watch: Watch) -> None:
    """A broken bar keeps its notes, greyed, with the problem beside it and in the list; mended, all of that goes."""
    page = page_of()
    settled(page)
    heads = page.locator(".note").count()
    save(watch, ONE.replace("c e g ^c", "c e h"))
    page.wait_for_selector(".veil", timeout=MS)
    assert page.locator(".note").count() == heads
    assert page.locator(".strip").first.locator(".beside p").count() == 1
    assert page.inner_text("#count") == "1 error"
    assert page.get_attribute("#icon", "href") == "/icon-error.svg"
    page.click("#count")
    item = page.locator("#problems li.error")
    assert re.search(r"line 6, column \d+", item.inner_text())
    assert item.locator("code").count() >= 1
    save(watch, ONE)
    becomes(page, "!document.querySelector('.veil')")
    assert page.inner_text("#count") == "nothing to mend"
    assert not page.is_visible("#problems")
    assert page.get_attribute("#icon", "href") == "/icon.svg"


def test_a_mend_can_be_copied(page_of: Open, watch: Watch) -> None:
    """A mend that is ready to paste goes to the clipboard."""
    save(watch, ONE.replace("key     G minor", "kee     G minor"))
    page = page_of()
    becomes(page, "document.querySelector('#count').textContent.includes('error')")
    page.click("#count")
    page.click("#problems .mend button")
    becomes(page, "document.querySelector('#said').textContent.startsWith('copied')")
    assert page.evaluate("navigator.clipboard.readText()") == "key"


def test_pointing_at_a_note(page_of: Open, watch: Watch) -> None:
    """The note under the pointer is named, with degree, chord tone, string and fret, and its place in the draft."""
    save(watch, ONE.replace("g b d f", "g b d A:8"))
    page = page_of()
    settled(page)
    note = page.locator(".note").nth(1)
    box = note.locator("use").first.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    becomes(page, "document.querySelector('#said').textContent !== ''")
    assert page.inner_text("#said").startswith("B♭1 · degree ♭3 · ♭3 of Gm7 · ")
    assert page.inner_text("#said").endswith("line 6, column 10")

    becomes(
        page,
        "/· likely (E string, fret 6|A string, fret 1) ·/.test(document.querySelector('#said').textContent)",
    )
    box = page.locator(".note").nth(3).locator("use").first.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    becomes(page, "document.querySelector('#said').textContent.includes('A string, fret 8')")


def test_the_key_of_the_neck_always_answers(page_of: Open, watch: Watch) -> None:
    """`f` brings the neck, or says why there is none, or that it was put away."""
    save(watch, "show fingers\n" + ONE)
    page = page_of()
    becomes(page, "!document.querySelector('#neck').hidden")  # the draft asks for it
    page.keyboard.press("f")
    assert page.inner_text("#said") == "the neck is put away: f brings it back"
    assert not page.is_visible("#neck")
    page.keyboard.press("f")
    becomes(page, "document.querySelector('#neck p').textContent.endsWith('on the neck')")
    assert page.inner_text("#said") == ""
    save(watch, "instrument alto sax\n" + ONE.replace("^", ""))
    becomes(page, "document.querySelector('#neck').hidden")
    page.keyboard.press("f")
    assert page.inner_text("#said") == "no neck: nothing here is played on strings"


def test_a_click_leads_to_the_source(page_of: Open, watch: Watch) -> None:
    """A click copies file:line:column; a click into an empty part of a bar leads to the bar."""
    page = page_of()
    settled(page)
    page.locator(".strip").nth(2).locator(".note use").nth(5).click()
    becomes(page, "document.querySelector('#said').textContent.startsWith('copied')")
    assert page.evaluate("navigator.clipboard.readText()") == f"{folder_of(watch) / 'one.scribe'}:9:24"


def test_a_click_opens_the_editor(page_of: Open, tmp_path: Path) -> None:
    """With an editor's link the click follows it, path, line and column filled in."""
    draft = tmp_path / "with space.scribe"
    draft.write_text("| g b d g |\n", encoding="utf-8")
    link = "notes-editor://open{path}?line={line}&column={column}"
    with watching(draft, "--port", "4570", "--editor", link, cache=tmp_path / "cache") as other:
        page = page_of("with%20space.scribe", other.base)
        page.evaluate("HTMLAnchorElement.prototype.click = function () { window.followed = this.href; }")
        page.locator(".note use").nth(2).click()
        becomes(page, "window.followed")
        path = str(draft).replace(" ", "%20")
        assert page.evaluate("window.followed") == f"notes-editor://open{path}?line=1&column=7"


def test_the_keyboard_is_enough(page_of: Open) -> None:
    """Notes and systems can be walked through, the place taken, the panels opened and closed, all by keys."""
    page = page_of()
    settled(page)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert "line 6, column 10" in page.inner_text("#said")
    page.keyboard.press("ArrowDown")
    assert "line 7" in page.inner_text("#said")
    page.keyboard.press("Enter")
    becomes(page, "document.querySelector('#said').textContent.startsWith('copied')")
    page.keyboard.press("d")
    assert page.is_visible("#drafts")
    assert page.evaluate("document.activeElement.id") == "filter"
    page.keyboard.press("Escape")
    assert not page.is_visible("#drafts")
    page.keyboard.press("?")
    assert page.is_visible("#keys")
    page.keyboard.press("Escape")
    assert not page.is_visible("#keys")
