"""What an edit leaves alone is not compiled again, and the result is that of a fresh compilation."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe import compile
from scribe.live.sketch import Sketch, sketch
from scribe.live.walk import Walker
from scribe.music import bar as bars
from tests.live_help import DEMOS

FORM = """key G minor
[A]
|: g b d f | -bda g - - | % |
ending 1
| -g d - . | g :|
ending 2
| -d b g - | @C7 c e g b |
rest 4
| g d g d | %% |
[B]
pickup 1
| d |
|: g - - - | g - - - :| - - a b |
use A bars 1-2
time 3/4
use A up P4
degrees chord
| @G7 1 3 5 | b7 - x | ? | (qg) e+b 'mf ga? |
key D dorian
instrument alto sax
| - | g | u |
layout 4
"""
LINES = [
    *FORM.splitlines(), "", "; a comment", "key F# lydian",
    "title New", "composer Me", "wrong 5", "| g h |", "| g b", "rest 2",
    "use B", "use C", "use A bars 2-9", "ending 1,2", "[C] | a |", "[A]", "| % |", "| %% |", "|: - | b :|", "short 2",
    "time 7/8 2+2+3",
    "| gb eb db fa |", "layout fit", "layout banana", "tempo 120", "feel swing", "show tab", "position 5",
    " | g b d g | d |",
    "strings B E A D G", "enharmonic flats", "| A:3 E:5 D:0 G:12 |", "0:12.5 | g |", "home A:0", "|" * 9,
]  # fmt: skip


def same(walker: Walker, text: str) -> Sketch:
    """Follow a text and hold the result against a fresh compilation."""
    found = sketch(walker.walk(text))
    assert found.piece() == compile(text).piece, text
    return found


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_every_demo_typed_letter_by_letter(demo: object) -> None:
    """A draft that grows as it is typed is at every moment what a fresh compilation makes of it."""
    text = demo.read_text(encoding="utf-8")  # type: ignore[attr-defined]
    walker = Walker()
    for end in range(0, len(text), 11):
        same(walker, text[:end])
    same(walker, text)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 60), st.sampled_from(LINES), st.sampled_from("idr")), max_size=25))
def test_lines_put_in_taken_out_and_changed(edits: list[tuple[int, str, str]]) -> None:
    """Any lines in any order, edited anywhere: the same as a fresh compilation."""
    walker = Walker()
    lines = FORM.splitlines()
    for place, line, kind in edits:
        at = place % (len(lines) + 1)
        if kind == "i":
            lines.insert(at, line)
        elif at < len(lines):
            lines[at : at + 1] = [line] if kind == "r" else []
        same(walker, "\n".join(lines))


def test_characters_changed_anywhere() -> None:
    """Single characters put in and taken out anywhere, also over line ends and with a byte order mark."""
    rng = random.Random(4)
    walker = Walker()
    text = "\ufeff" + FORM
    for _ in range(250):
        at = rng.randrange(len(text))
        text = (
            text[:at]
            + rng.choice(["", "g", "|", "%", "\n", "-", " ", "\r\n", "^", "?"])
            + text[at + rng.choice([0, 1]) :]
        )
        same(walker, text)


def test_many_broken_lines_are_not_all_said() -> None:
    """More faulty lines than anyone reads: the same few remarks as elsewhere, also when one of them goes."""
    walker = Walker()
    lines = ["wrong line"] * 140
    found = same(walker, "\n".join(lines))
    assert len(found.diagnostics) == 101
    lines[3] = "| g b d g |"
    same(walker, "\n".join(lines))


def test_an_edit_compiles_its_own_bar_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 400 different bars, the one that is edited is compiled, and those of its line are looked up; no other."""
    text = "".join(
        f"| {'abcdefg'[i % 7]}{'abcdefg'[i // 7 % 7]} {'abcdefg'[i // 49 % 7]} b d | g d g |\n"
        for i in range(200)
    )
    walker = Walker()
    sketch(walker.walk(text))
    asked: list[str] = []
    real = bars.compile_bar

    def counted(text: str, *rest: object) -> object:
        asked.append(text)
        return real(text, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr("scribe.music.assemble.compile_bar", counted)
    lines = text.splitlines()
    lines[90] = "| g - - - | g d g |"
    sketch(walker.walk("\n".join(lines)))
    # Its own line, and the next one, which might have reached back to it.
    assert len(asked) <= 4


def test_bars_behind_an_edit_stay_the_same_objects() -> None:
    """A longer bar and a new line move everything behind them and change none of it."""
    text = "".join(f"| {'abcdefg'[i % 7]} b d g | g d |\n" for i in range(30))
    walker = Walker()
    before = sketch(walker.walk(text))
    after = sketch(
        walker.walk("title New\n| g g g g |\n" + text.replace("| a b d g |", "| a-bc b dd g |", 1))
    )
    kept = sum(old is new for old, new in zip(before.bars[4:], after.bars[5:], strict=True))
    assert kept == len(before.bars) - 4
    assert [after.number(i) for i in range(len(after.bars))] == list(range(1, len(after.bars) + 1))


def test_a_copied_section_follows_its_source() -> None:
    """`use` shows the edit of the bars that it names, and points to the line in which they are written."""
    walker = Walker()
    sketch(walker.walk("[A]\n| g b d g |\n[B]\n| d |\nuse A\n"))
    found = same(walker, "[A]\n| g b d a |\n[B]\n| d |\nuse A\n")
    assert found.bars[2].text == "g b d a"
    assert (found.played[2], found.written[2]) == (4, 1)


def test_what_is_not_needed_is_forgotten() -> None:
    """A thousand saves leave no more behind than a hundred do."""

    def states(walker: Walker, saves: range) -> int:
        for i in saves:
            walker.walk(
                f"title T\n| g b {'abcdefg'[i % 7]}{'abcdefg'[i // 7 % 7]}{'abcdefg'[i // 49 % 7]} |\n| g d |\n"
            )
        return len(walker._states)

    walker = Walker()
    few = states(walker, range(100))
    assert states(walker, range(100, 1000)) <= max(few, 70 * 3)
