"""Any draft can be fingered, pinned and arranged: nothing raises, no note is changed."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.bass.arrange import arrange, interval_to
from scribe.bass.arrange_report import report
from scribe.bass.arranged_text import arranged_text, differences
from scribe.bass.fingered import fingering
from scribe.bass.fretboard import Fretboard
from scribe.bass.neck import neck_diagram
from scribe.bass.rewrite import pinned
from scribe.bass.warnings import problems
from scribe.music.key import parse_key
from tests.pieces import random_draft

SEEDS = range(12)
WRECKS = ["", "key\n| g", "| ? | % | %% |", "strings E A D\n| g b d g |", "use A\n| - - - - |", "| x u x u |"]


@pytest.mark.parametrize(
    "text", [*map(random_draft, SEEDS), *WRECKS], ids=lambda text: f"{len(text)} characters"
)
def test_any_draft_is_fingered_and_pinned_without_changing_a_note(text: str) -> None:
    """Pins come on top of what is typed; problems and pictures can be asked for."""
    compiled = compile(text)
    found = fingering(compiled.piece)
    problems(found)
    for bar in range(len(compiled.piece.bars)):
        neck_diagram(found, bar)
    again = compile(pinned(text, compiled.piece, found.line, found.grips))
    assert [n.midi for n in again.notes] == [n.midi for n in compiled.notes]
    assert [n.length for n in again.notes] == [n.length for n in compiled.notes]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("key", ["", "A"])
def test_any_draft_is_arranged_as_its_text_then_sounds(seed: int, key: str) -> None:
    """The new draft compiles to what the search chose, every bar of it is in the report."""
    text = random_draft(seed)
    compiled = compile(text)
    here, there = compiled.piece.bars[0].in_force.key, parse_key(key)
    interval = interval_to(here, there) if there else interval_to(here, here)
    made = arrange(compiled.piece, Fretboard(), interval=interval)[0]
    new = compile(arranged_text(text, compiled.draft, compiled.piece, made, pins=bool(seed % 2)))
    assert differences(new.piece, made) == []
    rhythms = [{(n.bar, n.onset, n.length, n.grace) for n in one.notes} for one in (compiled, new)]
    assert rhythms[0] == rhythms[1]
    assert rhythms[0]
    assert len(report(made)) > 3
