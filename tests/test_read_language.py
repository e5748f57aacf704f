"""grammar/LANGUAGE.md speaks of everything that can be typed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scribe.source import grammar
from scribe.source.directions import DIRECTIONS, MARKS
from scribe.source.directives import FORMS
from tests.read_help import codes

TEXT = (Path(grammar.folder()) / "LANGUAGE.md").read_text("utf-8")
EXAMPLES = re.findall(r"```scribe\n(.*?)```", TEXT, re.S)


def test_names_everything() -> None:
    """Every directive, direction and mark is in the reference, in code type."""
    for typed in (*FORMS, *(f"'{name}" for name in DIRECTIONS), *MARKS):
        assert f"`{typed}`" in TEXT or f"`{typed} " in TEXT, typed


@pytest.mark.parametrize("example", EXAMPLES, ids=range(len(EXAMPLES)))
def test_examples_read_clean(example: str) -> None:
    """Nothing is to be said of an example."""
    assert codes(example) == []
