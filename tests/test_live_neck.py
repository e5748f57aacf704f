"""The picture of the neck on the live page, and what the hand cannot do in its list of problems."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from scribe.live.engine import Engine
from tests.browser_help import becomes, browser  # noqa: F401
from tests.live_help import Watch, engines, last, look_of, needs_browser, watching

POSITIONS = """key G minor
tempo 100
show positions
| g b d f | c e g ^c |
| g:E b:E g b | . . . . |
"""
PLAIN = "key G minor\n| g b d f | c e g ^c |\n"
WIDE = {"width": 1300, "height": 700}
LOW = {"width": 800, "height": 500}


@pytest.fixture(scope="module")
def engine() -> Iterator[Engine]:
    with engines() as make:
        yield make()


def test_a_quiet_moment_finds_what_the_hand_cannot_do(engine: Engine) -> None:
    """With its line, column, mend and the bar on the page; the list made at once has nothing of it."""
    said = last(engine, "| g b d g |\n| c e g c | c:A+e:A . . . |\n").problems
    assert not said
    (problem,) = look_of(engine).problems
    assert (problem.code, problem.line, problem.column, problem.end) == ("one-string", 2, 13, 20)
    assert problem.mends[0].replacement == "c:A+e:D"
    assert (problem.system, problem.bar) == (1, 1)


def test_the_neck_of_a_bar_is_drawn_when_asked_for(engine: Engine) -> None:
    """By system and bar; a rest has none, nor a bar that is not there; only `positions` and `fingers` ask for it."""
    list(engine.update(POSITIONS))
    look = look_of(engine)
    assert look.neck
    assert look.has_neck
    assert "bar 2 on the neck" in look.picture(0, 1)
    assert look.picture(1, 1) == look.picture(7, 0) == ""
    list(engine.update(PLAIN))
    assert not look_of(engine).neck
    assert look_of(engine).has_neck
    list(engine.update("instrument trumpet\n" + PLAIN))
    assert not look_of(engine).has_neck


def test_the_bar_of_the_last_edit_is_known(engine: Engine) -> None:
    """The first bar that changed, by system and place in it."""
    list(engine.update(POSITIONS))
    list(engine.update(POSITIONS.replace("c e g ^c", "c e g c")))
    assert look_of(engine).edited == (0, 1)
    list(engine.update(POSITIONS.replace("b:E g b", "b:E g a")))
    assert look_of(engine).edited == (0, 1)  # back again: the first of two
    list(engine.update(POSITIONS + "| g - - - |\n"))
    assert look_of(engine).edited == (1, 0)


def long(edited: str = "g b d f") -> str:
    """Forty lines that say nothing of the hand; the bar in the middle is given."""
    letters = zip("abcdefgfed" * 4, "gecadfbgec" * 4, "fdbgecafdb" * 4, strict=True)
    bars = [f"{a}{b} {b} {c}{a} d" for a, b, c in letters]
    lines = [f"| {bar} | {bar[::-1]} |" for bar in bars]
    lines[20] = f"| {edited} | c e g c |"
    return "key D\ntempo 140\n" + "\n".join(lines) + "\n| c:A+e:A . . . |\n"


def test_an_edit_of_a_long_draft_is_looked_at_first(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its bars have neck and warnings at once; what the whole piece says after that is the same, and the rest."""
    monkeypatch.setattr("scribe.live.look._LONG", 40)
    list(engine.update(long()))
    (first,) = engine.looks()
    assert [problem.code for problem in first.problems] == ["one-string"]
    for edit in ("g b d+e f", "g b:E d:G g:A", "E:1 G:19 E:1 G:19", "e:A+g:A b d f\n| f f f f |"):
        list(engine.update(long(edit)))
        near, whole = engine.looks()
        assert near.stops is None
        assert whole.stops is not None
        assert near.edited == whole.edited == (20, 0)
        assert near.problems == whole.problems
        assert [near.picture(s, b) for s in range(len(near.firsts)) for b in (0, 1)] == [
            whole.picture(s, b) for s in range(len(whole.firsts)) for b in (0, 1)
        ]
        assert "bar 41 on the neck" in near.picture(20, 0)


def test_a_look_can_be_broken_off(engine: Engine) -> None:
    """A save ends it wherever it is; the next look says everything."""
    list(engine.update(long()))
    (whole,) = engine.looks()
    asked = 0

    def stop() -> bool:
        nonlocal asked
        asked += 1
        return asked > most

    for most in (0, 1, 60, 400):
        asked = 0
        assert not list(engine.looks(stop))
        assert asked == most + 1
    assert list(engine.looks()) == [whole]


@pytest.fixture(scope="module")
def watch(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Watch]:
    """A watched folder with a draft that asks for the neck, one that does not, one without strings."""
    root = tmp_path_factory.mktemp("neck")
    (root / "drafts").mkdir()
    texts = {"asks": POSITIONS, "plain": PLAIN, "trumpet": "instrument trumpet\n" + PLAIN}
    for name, text in texts.items():
        (root / "drafts" / f"{name}.scribe").write_text(text, encoding="utf-8")
    with watching(root / "drafts", "--port", "4580", cache=root / "cache") as found:
        yield found


@pytest.fixture
def page_of(browser: Any, watch: Watch) -> Iterator[Any]:  # noqa: F811
    """Opens the page of a draft and waits until its hand has been looked at."""
    contexts: list[Any] = []
    complaints: list[str] = []

    def open_page(draft: str, **options: Any) -> Any:
        context = browser.new_context(**{"viewport": WIDE, **options})
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda fault: complaints.append(str(fault)))
        page.on(
            "console", lambda said: complaints.append(said.text) if "Content Security" in said.text else None
        )
        with page.expect_response(lambda answer: "/stream" in answer.url):
            page.goto(f"{watch.base}/?draft={draft}.scribe")
        becomes(page, "document.querySelectorAll('.strip > svg').length > 0")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert not complaints


def shows(page: Any, words: str) -> None:
    """Wait until the neck is there with these words."""
    said = f"document.querySelector('#neck p').textContent === {words!r}"
    becomes(page, f"!document.getElementById('neck').hidden && {said}")


def covers(page: Any) -> bool:
    """Whether the neck lies on music that can be seen: on a system that is not behind the frame at the foot."""
    found: bool = page.evaluate(
        """() => {
          const neck = document.getElementById("neck").getBoundingClientRect();
          const strips = [...document.querySelectorAll(".strip")].map((each) => each.getBoundingClientRect());
          const beside = strips.every((each) => each.right <= neck.left);
          const foot = neck.left <= 0 && neck.right >= document.documentElement.clientWidth
            && Math.abs(neck.bottom - document.querySelector("footer").getBoundingClientRect().top) < 3;
          return !beside && !foot;
        }"""
    )
    return found


@needs_browser()
@pytest.mark.parametrize("viewport", [WIDE, LOW, {"width": 390, "height": 800}], ids=["wide", "low", "phone"])
def test_the_neck_follows_the_note_that_is_pointed_at(page_of: Any, viewport: dict[str, int]) -> None:
    """Shown at once where the draft asks; beside the music, or as a part of the window's foot; a rest says so."""
    page = page_of("asks", viewport=viewport)
    shows(page, "bar 1 on the neck")
    assert page.locator("#neck svg").count() == 1
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    shows(page, "bar 2 on the neck")
    assert not covers(page)
    page.keyboard.press("ArrowDown")
    shows(page, "bar 3 on the neck")
    page.keyboard.press("f")
    becomes(page, "document.getElementById('neck').hidden")


@needs_browser()
def test_the_neck_follows_the_last_edit(page_of: Any, watch: Watch) -> None:
    """A save of one bar brings its picture."""
    page = page_of("asks")
    shows(page, "bar 1 on the neck")
    file = Path(watch.log.parent / "drafts" / "asks.scribe")
    file.write_text(POSITIONS.replace("c e g ^c", "c e g c"), encoding="utf-8")
    shows(page, "bar 2 on the neck")
    file.write_text(POSITIONS, encoding="utf-8")


@needs_browser()
def test_a_key_brings_the_neck_where_no_draft_asks(page_of: Any) -> None:
    """`f` shows it and takes it away; without strings it says why there is none."""
    page = page_of("plain", color_scheme="dark")
    becomes(page, "document.documentElement.dataset.shown > 1")
    assert page.is_hidden("#neck")
    page.keyboard.press("ArrowRight")
    becomes(
        page, "document.getElementById('said').textContent.includes('likely')"
    )  # the hand has been looked at
    page.keyboard.press("f")
    shows(page, "bar 1 on the neck")
    # The picture may be drawn anew at any time, when more is known of the hand: it is looked at in one go.
    fill = "getComputedStyle(document.querySelector('#neck svg circle') ?? document.head).fill"
    becomes(page, f"{fill} === getComputedStyle(document.body).color")
    page.keyboard.press("f")
    becomes(page, "document.getElementById('neck').hidden")
    page = page_of("trumpet")
    page.keyboard.press("f")
    assert page.is_hidden("#neck")
    becomes(page, "document.getElementById('said').textContent.includes('nothing here is played on strings')")
