"""The page in a real browser, beside other pages: several drafts, editors, restarts, phones, dark screens, print."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from tests.browser_help import MS, ONE, TWO, Open, becomes, folder_of, save, settled, systems
from tests.live_help import Watch, needs_browser, wait_for, watching

pytestmark = needs_browser()


def test_two_drafts(page_of: Open, watch: Watch) -> None:
    """A second draft appears in the list with how finished it is; its page follows it, the first one's does not."""
    page = page_of()
    settled(page)
    save(watch, TWO, "two.scribe")
    page.click("#draft")
    row = page.locator("#drafts li a", has_text="two.scribe")
    row.wait_for(timeout=MS)
    # Saved in place, a file is empty for a moment, and the list may say so.
    becomes(page, "document.querySelector('#drafts ul').textContent.includes('2 bars, 1 bar to do')")
    assert row.locator("meter").get_attribute("value") == "1"
    row.click()
    becomes(page, "document.title === 'Second'")
    assert "draft=two.scribe" in page.url
    first = page_of()
    settled(first)
    shown = systems(first)
    save(watch, TWO + "| g |\n", "two.scribe")
    settled(page, 2)
    assert systems(first) == shown
    page.go_back()
    becomes(page, "document.title === 'Depot Stomp'")
    first.click("#draft")
    becomes(first, "document.querySelector('#drafts ul').textContent.includes('two.scribe')")
    (folder_of(watch) / "two.scribe").unlink()
    becomes(first, "!document.querySelector('#drafts ul').textContent.includes('two.scribe')")


def test_an_editor_moves_the_page_to_its_cursor(page_of: Open, watch: Watch) -> None:
    """The bar of the cursor's line comes into view and is marked, in another draft too."""
    from tests.live_help import get

    text = ONE + "| g b d g |\n" * 40
    save(watch, text)
    page = page_of()
    settled(page, 43)
    assert get(f"{watch.base}/cursor?draft=one.scribe&line=45", method="POST")[0] == 200
    page.wait_for_selector(".cursor", timeout=MS)
    index = page.evaluate(
        "[...document.querySelectorAll('.strip')].findIndex(each => each.querySelector('.cursor'))"
    )
    assert index == 38
    box = page.locator(".cursor").bounding_box()
    assert 0 < box["y"] < 800


def test_a_restart_of_the_server(page_of: Open, tmp_path: Path) -> None:
    """The server ends: the page says so and stays; it starts again: the page follows it without being touched."""
    draft = tmp_path / "one.scribe"
    draft.write_text(ONE, encoding="utf-8")
    with watching(draft, "--port", "4580", cache=tmp_path / "cache") as first:
        page = page_of("one.scribe", first.base)
        settled(page)
        port = first.base.rpartition(":")[2]
    page.wait_for_selector("#notice:not([hidden])", timeout=MS)
    assert "Not connected" in page.inner_text("#notice")
    assert page.locator(".note").count() == 24
    draft.write_text(ONE.replace("g b d f", "g b d a"), encoding="utf-8")
    before = systems(page)
    with watching(draft, "--port", port, cache=tmp_path / "cache"):
        becomes(page, "document.querySelector('#notice').hidden")
        becomes(page, f"document.querySelector('.strip').dataset.key !== '{before[0]}'")
        assert systems(page)[1:] == before[1:]


def test_a_phone_gets_shorter_systems(page_of: Open, watch: Watch) -> None:
    """On a narrow screen systems hold fewer bars and nothing sticks out to the side."""
    text = ONE.replace("^c |\n| @F7", "^c | @F7")
    save(watch, text)
    wide = page_of()
    becomes(wide, "document.querySelectorAll('.strip > svg').length === 2")
    phone = page_of(viewport={"width": 390, "height": 800}, is_mobile=True, has_touch=True)
    becomes(phone, "document.querySelectorAll('.strip > svg').length >= 3")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    box = phone.locator(".strip svg").first.bounding_box()
    assert box["width"] > 340


def test_dark_screens(page_of: Open) -> None:
    """In the dark the notes are light on a dark ground, and every other ink stands out from it."""
    page = page_of(color_scheme="dark")
    settled(page)
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    ink = page.evaluate("getComputedStyle(document.querySelector('.note use')).fill")
    line = page.evaluate("getComputedStyle(document.querySelector('.strip svg path[stroke]')).stroke")
    assert max(numbers(ground)) < 60
    assert min(numbers(ink)) > 180
    assert min(numbers(line)) > 180


def numbers(color: str) -> list[int]:
    return [int(part) for part in re.findall(r"\d+", color)[:3]]


def test_print_gives_the_clean_page(page_of: Open, watch: Watch) -> None:
    """In print there is nothing but title and music, black on white, and no veil over a broken bar."""
    page = page_of(color_scheme="dark")
    settled(page)
    save(watch, ONE.replace("c e g ^c", "c e h"))
    page.wait_for_selector(".veil", timeout=MS)
    page.emulate_media(media="print", color_scheme="dark")
    for hidden in ("header", "footer", "#notice", ".beside", ".veil"):
        assert not page.locator(hidden).first.is_visible(), hidden
    assert page.locator("#heading svg").is_visible()
    assert numbers(page.evaluate("getComputedStyle(document.querySelector('.note use')).fill")) == [0, 0, 0]


def test_words_of_a_draft_stay_words(page_of: Open, watch: Watch) -> None:
    """A title that is a script, a chord that is a tag: shown as they are typed, never run."""
    evil = "<img src=x onerror=window.hit=1><script>window.hit=1</script>"
    save(watch, f'title {evil}\n[<b>x</b>]\n| @<i>C7</i> g "{evil}" b h d `{evil}` | g b |\n')
    page = page_of(draft="one.scribe")
    becomes(page, "document.querySelector('#count').textContent.includes('error')")
    page.click("#count")
    page.click("#draft")
    assert page.evaluate("window.hit ?? null") is None
    assert page.locator("#page img, #page script, #page b, #problems img, #drafts img").count() == 0
    assert "<script>" in page.title()
    save(watch, ONE)


def test_a_deleted_draft_is_said_so(page_of: Open, watch: Watch) -> None:
    """The page of a draft that is gone stays and says so."""
    save(watch, TWO, "three.scribe")
    page = page_of("three.scribe")
    (folder_of(watch) / "three.scribe").unlink()
    becomes(page, "document.querySelector('#notice').textContent.includes('not there any more')")
    assert page.locator(".note").count() == 4
    save(watch, TWO, "three.scribe")
    becomes(page, "document.querySelector('#notice').hidden")
    (folder_of(watch) / "three.scribe").unlink()


def test_an_empty_folder_waits_for_its_first_draft(browser: Any, tmp_path: Path) -> None:
    """A folder without drafts: the page says what to do, and shows the first draft as soon as it is saved."""
    folder = tmp_path / "new"
    folder.mkdir()
    with watching(folder, "--port", "4590", cache=tmp_path / "cache") as watch:
        context = browser.new_context()
        page = context.new_page()
        page.goto(watch.base + "/")
        becomes(page, "document.querySelector('#notice').textContent.includes('No draft')")
        (folder / "first.scribe").write_text(ONE, encoding="utf-8")
        becomes(page, "document.querySelectorAll('.strip > svg').length === 3")
        context.close()
    wait_for(lambda: watch.process.poll() is not None)
