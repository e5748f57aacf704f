"""The table of the read stage's codes: each example shows its fault, each mend does not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import scribe.source
from scribe.diagnostics.reading import READING
from scribe.source.read import read
from tests.read_help import faults

SEVERAL = {"too-many-faults"}  # nothing can show this fault without others


@pytest.mark.parametrize("code", READING)
def test_example_and_mend(code: str) -> None:
    """The example has exactly this fault, once; the mend has none."""
    entry = READING[code]
    found = faults(read(entry.example))
    if code in SEVERAL:
        assert [d.code for d in found].count(code) == 1
    else:
        assert [d.code for d in found] == [code]
    assert {d.severity for d in found if d.code == code} == {entry.severity}
    assert faults(read(entry.mend)) == []


def test_every_code_that_is_used_is_in_the_table() -> None:
    """No fault without its explanation, no explanation without its fault."""
    sources = "".join(p.read_text("utf-8") for p in Path(scribe.source.__file__).parent.glob("*.py"))
    used = set(re.findall(r'(?:Fault|line_fault|Diagnostic)\(\s*"([a-z-]+)"', sources))
    used |= {code for code in READING if code.endswith("-value") and code != "missing-value"}
    assert used == set(READING)


def test_explanations_are_sentences() -> None:
    """Titles are short, explanations end with a full stop, examples are whole drafts."""
    for entry in READING.values():
        assert len(entry.title) < 60
        assert entry.explanation.endswith(".")
        assert entry.example.endswith("\n")
        assert entry.mend.endswith("\n")
