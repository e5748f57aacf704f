"""The page itself, in a real browser: what a writer sees and does while a draft grows."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.live_help import CHROMIUM, LIMIT, Watch, needs_browser, wait_for, watching

pytestmark = needs_browser()

ONE = """title   Depot Stomp
composer Nobody
key     G minor

[A]
| @Gm7 g b d f | @C7 c e g ^c |
| @F7 ^f a c e | @Bb ^d f b d |
[B]
| @Eb ^e g b d | @D7 d F# a c |
"""
TWO = "title Second\n| c e g c | ? |\n"
OPTIONS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
MS = LIMIT * 1000


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium, once for all tests."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=CHROMIUM, args=OPTIONS)
        yield found
        found.close()


@pytest.fixture(scope="module")
def watch(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Watch]:
    """A watched folder."""
    root = tmp_path_factory.mktemp("browser")
    (root / "drafts").mkdir()
    (root / "drafts" / "one.scribe").write_text(ONE, encoding="utf-8")
    with watching(root / "drafts", "--port", "4560", cache=root / "cache") as found:
        yield found


Open = Callable[..., Any]


@pytest.fixture
def page_of(browser: Any, watch: Watch) -> Iterator[Open]:
    """Opens the page of a draft; at the end of a test, the browser must have complained of nothing."""
    contexts: list[Any] = []
    complaints: list[str] = []

    def open_page(draft: str = "one.scribe", base: str = "", **options: Any) -> Any:
        context = browser.new_context(**{"viewport": {"width": 1100, "height": 800}, **options})
        context.grant_permissions(["clipboard-read", "clipboard-write"])
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda fault: complaints.append(str(fault)))
        page.on(
            "console", lambda said: complaints.append(said.text) if "Content Security" in said.text else None
        )
        page.on(
            "request",
            lambda asked: None if asked.url.startswith("http://127.0.0.1:") else complaints.append(asked.url),
        )
        page.goto(f"{base or watch.base}/?draft={draft}")
        page.wait_for_selector(".strip svg .note", timeout=MS)
        return page

    (folder_of(watch) / "one.scribe").write_text(ONE, encoding="utf-8")
    yield open_page
    for context in contexts:
        context.close()
    assert not complaints


def folder_of(watch: Watch) -> Path:
    return watch.log.parent / "drafts"


def save(watch: Watch, text: str, name: str = "one.scribe") -> None:
    """Save a draft as an editor does."""
    (folder_of(watch) / name).write_text(text, encoding="utf-8")


def systems(page: Any) -> list[str]:
    """What is drawn, system by system."""
    found: list[str] = page.eval_on_selector_all(".strip", "all => all.map(each => each.dataset.key)")
    return found


def becomes(page: Any, script: str) -> None:
    """Wait until an expression is true in the page."""
    # Not by Playwright's own waiting: it evaluates in the page, which the page's policy forbids.
    end = time.monotonic() + LIMIT
    while not page.evaluate(script):
        assert time.monotonic() < end, f"not in {LIMIT:.0f} s: {script}"
        page.wait_for_timeout(20)


def settled(page: Any, count: int = 3) -> None:
    """Wait until so many systems are drawn."""
    becomes(page, f"document.querySelectorAll('.strip > svg').length === {count}")


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
