"""Chorale basses typed by hand, against music21's corpus: every onset, length, name and octave."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from music21 import corpus, expressions, note, stream

from scribe import compile
from scribe.pipeline import Compiled
from scribe.score import sounded
from tests.score_help import through_musicxml

FOLDER = Path(__file__).parent / "chorales"
# The draft, and the work in music21's corpus (an edition of Bach's four-part chorales) whose lowest part it copies.
CHORALES = {
    "bwv269": "bach/bwv269",  # G major, 3/4: pickup, repeat, split bars, ties over barlines
    "bwv123-6": "bach/bwv123.6",  # B minor, 3/2: repeat
    "bwv40-8": "bach/bwv40.8",  # F minor, 4/4
    "bwv66-6": "bach/bwv66.6",  # F sharp minor, 4/4: pickup, short last bar
}


@pytest.fixture(scope="module", params=CHORALES)
def chorale(request: pytest.FixtureRequest) -> tuple[Compiled, stream.Part]:
    """A typed bass and the printed one."""
    name: str = request.param
    compiled = compile((FOLDER / f"{name}.scribe").read_text(encoding="utf-8"))
    return compiled, corpus.parse(CHORALES[name]).parts[-1]


def test_drafts_are_clean(chorale: tuple[Compiled, stream.Part]) -> None:
    """A copied line that is right gets neither error nor warning."""
    assert [d for d in chorale[0].diagnostics if d.severity != "hint"] == []


def test_every_note(chorale: tuple[Compiled, stream.Part]) -> None:
    """Onset, length, spelled name and octave of each note, ties joined, as the singer sings them."""
    mine, printed = sounded(chorale[0].score.parts[0]), sounded(chorale[1])
    assert mine == printed
    assert len(mine) > 30


def test_the_note_list(chorale: tuple[Compiled, stream.Part]) -> None:
    """The note list, which knows nothing of music21, has the same names, octaves and lengths."""
    mine = [(str(row.pitch), row.midi, row.length) for row in chorale[0].notes]
    assert mine == [(each.names[0], each.midi[0], each.length) for each in sounded(chorale[1])]


def test_bars_repeats_and_fermatas(chorale: tuple[Compiled, stream.Part]) -> None:
    """Barlines fall where they are printed, repeats are where they are printed, so are fermatas."""
    mine, printed = chorale[0].score.parts[0], chorale[1]
    assert _bars(mine) == _bars(printed)
    assert _repeats(mine) == _repeats(printed)
    assert _fermatas(mine) == _fermatas(printed)


def test_repeats_unfold_alike(chorale: tuple[Compiled, stream.Part]) -> None:
    """Played with its repeats, the line is the corpus line played with its repeats."""
    mine, printed = chorale[0].score.parts[0].expandRepeats(), chorale[1].expandRepeats()
    assert sounded(mine) == sounded(printed)
    assert (len(sounded(mine)) > len(chorale[0].notes)) == bool(_repeats(chorale[1]))


def test_through_musicxml(chorale: tuple[Compiled, stream.Part]) -> None:
    """Exported and read again, it still agrees with the corpus."""
    _, again = through_musicxml(chorale[0].score)
    assert sounded(again.parts[0]) == sounded(chorale[1])


def _bars(part: stream.Part) -> list[tuple[Fraction, Fraction]]:
    measures = part.getElementsByClass(stream.Measure)
    return [
        (Fraction(m.offset), sum((Fraction(n.quarterLength) for n in m.notesAndRests), Fraction(0)))
        for m in measures
    ]


def _repeats(part: stream.Part) -> list[tuple[int, str]]:
    found = []
    for index, measure in enumerate(part.getElementsByClass(stream.Measure)):
        for line in (measure.leftBarline, measure.rightBarline):
            if line is not None and "Repeat" in line.classes:
                found.append((index, line.direction))
    return found


def _fermatas(part: stream.Part) -> list[Fraction]:
    return [
        Fraction(each.getOffsetInHierarchy(part))
        for each in part.recurse().getElementsByClass(note.Note)
        if any(isinstance(sign, expressions.Fermata) for sign in each.expressions)
    ]
