"""No input, however wild, gives anything but a piece and diagnostics that lie inside the text."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe import compile

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))
ALPHABET = "gabcdefxuGABCDEF123457890#bnw^v~hpq/\\()+,:;'\"@?%|[]{}.-_*>= \t\n!é♭"


def check(text: str) -> None:
    """Compile and look at every place that is spoken of."""
    compiled = compile(text)
    for one in compiled.diagnostics:
        assert 0 <= one.span.start <= one.span.end <= len(text), one
        assert one.message
        for hint in one.hints:
            assert hint.span is None or 0 <= hint.span.start <= hint.span.end <= len(text)
    for note in compiled.notes:
        assert 0 <= note.span.start <= note.span.end <= len(text)
    for bar in compiled.piece.bars:
        if not (bar.music.broken or bar.music.todo or bar.repeat):
            assert sum(e.length for e in bar.events) == bar.music.length


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.text(max_size=120))
def test_any_text_at_all_compiles(text: str) -> None:
    """Anything Unicode has."""
    check(text)


@settings(max_examples=250, derandomize=True, deadline=None)
@given(st.text(ALPHABET, max_size=80))
def test_any_text_of_the_shorthand_s_own_signs_compiles(text: str) -> None:
    """The signs that mean something, in any order, as music."""
    check("|" + text)


@pytest.mark.parametrize("demo", DEMOS, ids=lambda p: p.stem)
@settings(max_examples=60, derandomize=True, deadline=None)
@given(data=st.data())
def test_any_mutation_of_a_demo_compiles(demo: Path, data: st.DataObject) -> None:
    """Some characters gone, some doubled, some put in."""
    text = demo.read_text(encoding="utf-8")
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 3))
        put = data.draw(st.text(ALPHABET, max_size=3))
        text = text[:at] + put + text[at + cut :]
    check(text)


@pytest.mark.parametrize("text", ["", "\n", "\ufeff", ";", "|", "||", "|:", ":|:", "[", "[A]", "| |", "|%%|"])
def test_next_to_nothing_compiles(text: str) -> None:
    """Empty files and single signs."""
    check(text)


def test_a_million_characters_on_one_line_is_one_fault() -> None:
    """A line of a million letters is one impossible word, said once."""
    compiled = compile("| " + "g" * 1_000_000 + " |")
    assert len(compiled.diagnostics) == 1
