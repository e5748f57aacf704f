"""What the tests in a real browser share: the browser, a watched folder, the page of a draft."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.live_help import CHROMIUM, LIMIT, Watch, watching

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

    save(watch, ONE)
    yield open_page
    for context in contexts:
        context.close()
    assert not complaints


def folder_of(watch: Watch) -> Path:
    return watch.log.parent / "drafts"


def save(watch: Watch, text: str, name: str = "one.scribe") -> None:
    """Save a draft as an editor does."""
    # Beside it and moved into place: written in place, a file is empty for a moment, and a slow machine sees it so.
    path = folder_of(watch) / name
    beside = path.with_name(f"{name}.new")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)


def systems(page: Any) -> list[str]:
    """What is drawn, system by system."""
    found: list[str] = page.eval_on_selector_all(".strip", "all => all.map(each => each.dataset.key)")
    return found


def becomes(page: Any, script: str) -> None:
    """Wait until an expression is true in the page."""
    # Not by Playwright's own waiting: it evaluates in the page, which the page's policy forbids.
    end = time.monotonic() + LIMIT
    # What it asks for may not be there yet, so a script that fails is not true yet.
    while not page.evaluate(f"(() => {{ try {{ return {script}; }} catch {{ return false; }} }})()"):
        assert time.monotonic() < end, f"not in {LIMIT:.0f} s: {script}"
        page.wait_for_timeout(20)


def settled(page: Any, count: int = 3) -> None:
    """Wait until so many systems are drawn."""
    becomes(page, f"document.querySelectorAll('.strip > svg').length === {count}")
