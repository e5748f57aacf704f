"""Whatever is typed: no exception, every place inside the text, no bar depends on its neighbours."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe.diagnostics import Span
from scribe.diagnostics.reading import READING
from scribe.source.read import parse_bar, read
from scribe.source.tree import BarCell, Music
from tests.read_help import faults

SIGNS = "abcdefgABCDEFG1234567xu-.~hpqv^/\\>*_='?,+:()@%{}\"#nw089 \t"
GOOD = [
    "g b d g",
    "@Cm7 ^c.-c -.ba g /",
    "1 b3 5 ?",
    "A:3:5 x:A . u",
    "2{g b d} (ga) ,cd",
    "%",
    "",
    '"fill" g',
]
BROKEN = ["g z", '"open', "2{g b", "g5 b", "@h g", "8", "->", "é", "((g"]

PIECES = ["|", "||", ":|", "|:", "[A]", "0:08.2", ";", "key G", "time 7/8", "\n", "\r\n", "â", "“"]

anything = st.text(max_size=80)
bar_like = st.text(st.sampled_from(SIGNS), max_size=24)
line_like = st.lists(
    st.one_of(bar_like, st.sampled_from(PIECES)),
    max_size=12,
).map("".join)
few = settings(max_examples=150, derandomize=True, deadline=None, database=None)


def spans(thing: object) -> list[Span]:
    """Every span in a piece of the tree."""
    if isinstance(thing, Span):
        return [thing]
    if isinstance(thing, BarCell):
        return []  # counts from its own start
    if isinstance(thing, tuple):
        names = getattr(thing, "_fields", (None,) * len(thing))
        return [
            span for name, part in zip(names, thing, strict=True) if name != "cells" for span in spans(part)
        ]
    if dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        return [s for f in dataclasses.fields(thing) for s in spans(getattr(thing, f.name))]
    return []


@few
@given(st.one_of(anything, line_like))
def test_any_text_is_read(text: str) -> None:
    """Reading never raises; every place lies inside the text; codes and severities are those of the table."""
    draft = read(text)
    for found in faults(draft):
        assert READING[found.code].severity == found.severity
        assert 0 <= found.span.start < found.span.end <= len(text)
        for hint in found.hints:
            assert hint.span is None or 0 <= hint.span.start <= hint.span.end <= len(text)
            assert (hint.span is None) == (hint.replacement is None)
    for line in draft.lines:
        assert all(0 <= s.start <= s.end <= len(text) for s in spans(line))
        if isinstance(line, Music):
            for cell in line.cells:
                assert text[cell.start : cell.start + len(cell.bar.text)] == cell.bar.text


@few
@given(st.one_of(bar_like, anything))
def test_a_bar_has_one_error_or_words(text: str) -> None:
    """A bar has at most one error; with one it has no words; places in its words lie inside it, in order."""
    bar = parse_bar(text)
    errors = [d for d in bar.diagnostics if d.severity == "error"]
    assert len(errors) <= 1
    assert not (errors and bar.words)
    assert all(0 <= s.start < s.end <= len(text) for s in spans(bar.words))
    starts = [word.span.start for word in bar.words]
    assert starts == sorted(starts)


@few
@given(st.lists(st.one_of(bar_like, st.sampled_from(GOOD + BROKEN)), min_size=1, max_size=6))
def test_a_bar_reads_on_its_own(texts: list[str]) -> None:
    """Each bar of a line is what it is alone, whatever stands beside it."""
    texts = [t.replace(":", "") for t in texts]  # a `:` beside a barline belongs to the barline
    (line,) = read("| " + " | ".join(texts) + " |").lines
    assert isinstance(line, Music)
    assert [cell.bar for cell in line.cells] == [parse_bar(t.strip(" \t")) for t in texts]


@pytest.mark.parametrize("broken", BROKEN)
def test_a_broken_bar_costs_only_itself(broken: str) -> None:
    """With one bar broken there is one error, and the trees of all others are unchanged."""
    whole = read("\n".join(f"| {bar} | {bar} |" for bar in GOOD))
    for at in range(len(GOOD)):
        lines = [f"| {bar} | {broken if i == at else bar} |" for i, bar in enumerate(GOOD)]
        draft = read("\n".join(lines))
        assert len(faults(draft)) == 1
        for i, (line, before) in enumerate(zip(draft.lines, whole.lines, strict=True)):
            assert isinstance(line, Music)
            assert isinstance(before, Music)
            assert line.cells[0].bar == before.cells[0].bar
            assert (line.cells[1].bar == before.cells[1].bar) == (i != at)


@few
@given(bar_like)
def test_a_mend_changes_the_fault(text: str) -> None:
    """Pasting a mend takes its fault away: what is left to say, if anything, is said of another place or matter."""
    for found in parse_bar(text).diagnostics:
        for hint in found.hints:
            if hint.replacement is None or hint.span is None:
                continue
            after = text[: hint.span.start] + hint.replacement + text[hint.span.end :]
            assert after != text
            assert found not in parse_bar(after).diagnostics or len(after) < len(text)
