"""Scores that come in: the text a person would type, exact to the note, and everything unsaid in a comment."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from music21 import (
    beam,
    corpus,
    duration,
    meter,
    note,
    stream,
    tie,
)

from scribe.exchange.draft import write_draft
from scribe.music.assemble import assemble
from scribe.score import build, sounded
from scribe.source.read import read
from tests.exchange_help import comparable, piece_of
from tests.m21_help import line_of, music, notes, part_of, written

CHORALES = Path(__file__).parent / "chorales"


# --- the words that a person would type ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("metre", "typed", "lengths", "text"),
    [
        ("4/4", "C5 D5 E5 F5", [1, 1, 1, 1], "c d e f"),
        ("4/4", "C5 D5 E5 F5 E5 D5 C5 D5", [0.5] * 8, "cdef edcd"),
        ("4/4", "C5", [4], "c"),
        ("4/4", "C5 D5", [2, 2], "c d"),
        ("4/4", "C5 D5", [3, 1], "c -d"),
        ("4/4", "C5 D5 .", [0.75, 0.25, 3], "c--d . . ."),
        ("4/4", ". C5", [0.5, 3.5], ".c-- -"),
        ("4/4", "C5 D5 E5 F5", [Fraction(1, 3)] * 3 + [3], "cde f - -"),
        ("4/4", "C5 D5 E5 F5", [Fraction(2, 3)] * 3 + [2], "cde f"),
        ("4/4", "C5 D5 E5 F5 G5 A5", [Fraction(1, 5)] * 5 + [3], "cdefg a - -"),
        ("4/4", "C5 D5 E5 F5", [0.25] * 3 + [3.25], "cdef - - -"),
        ("3/4", "C5 D5 E5", [1, 1, 1], "c d e"),
        ("3/4", "C5 D5", [2, 1], "c - d"),
        ("6/8", "C5 D5 E5 F5 G5 A5", [0.5] * 6, "cde fga"),
        ("6/8", "C5 D5", [1.5, 1.5], "c d"),
        ("6/8", "C5 D5 E5 F5", [1, 0.5, 1, 0.5], "c-d e-f"),
        ("2/4", "C5 D5 E5 F5 E5 D5 C5 D5", [0.25] * 8, "cdef edcd"),
        ("3/8", "C5 D5 E5", [0.5] * 3, "cde"),
        ("5/4", "C5 D5 E5 F5 G5", [1] * 5, "c d e f g"),
    ],
)
def test_words(metre: str, typed: str, lengths: list[float | Fraction], text: str) -> None:
    """Beat words, half bars where they are denser, whole bars where one note fills them."""
    made = written(notes(typed, lengths), metre=metre)
    assert music(made) == f"|{text}"
    assert made.unsaid == ()


def test_ties_over_barlines_are_holds() -> None:
    """A note tied over two barlines goes on with `-`; a tie from another pitch is a comment."""
    bars = [notes("C5 D5", [2, 2]), notes("D5", [4]), notes("D5 E5", [1, 3]), notes("F5", [4])]
    for bar, kind in (
        (bars[0][1], "start"),
        (bars[1][0], "continue"),
        (bars[2][0], "stop"),
        (bars[3][0], "stop"),
    ):
        bar.tie = tie.Tie(kind)
    made = written(*bars)
    assert music(made) == "|c d|-|-e -|^f"
    assert [(u.bar, u.what) for u in made.unsaid] == [(4, "a tie that leads here from nowhere")]


def test_printed_tuplets_decide_between_words_and_groups() -> None:
    """Three quarters in the time of two stay one tuplet; nested ones nest."""
    made = written(notes("C5 D5 E5 F5 E5 D5 C5", [Fraction(2, 3)] * 3 + [0.5] * 4))
    assert music(made) == "|cde fedc"
    made = written(notes("C5 D5 E5 F5 E5 D5", [Fraction(2, 3)] * 3 + [0.5, 0.5, 1]))
    (bar,) = piece_of(made.text).bars
    assert [len(t) for t in (bar.written.tuplets, bar.written.notes)] == [1, 6]
    inner: list[note.GeneralNote] = []
    for index, name in enumerate(["C5", "D5", "E5", "F5", "G5", "F5", "E5"]):
        each = note.Note(name)
        each.duration = duration.Duration("quarter" if index in (0, 6) else "16th")
        each.duration.appendTuplet(duration.Tuplet(3, 2, "quarter"))
        if 0 < index < 6:
            each.duration.appendTuplet(duration.Tuplet(5, 4, "16th"))
        inner.append(each)
    made = written([*inner, *notes("D5", [2])])
    assert "{" in music(made)
    assert "defgf" in music(made)
    assert made.unsaid == ()


def test_the_groups_of_seven_are_read_from_the_beams() -> None:
    """7/8 beamed 3+2+2 is typed in three words."""
    bar = notes("C5 D5 E5 F5 G5 F5 E5", [0.5] * 7)
    for kinds, each in zip(("start", "continue", "stop", "start", "stop", "start", "stop"), bar, strict=True):
        each.beams = beam.Beams()
        each.beams.fill(1, type=kinds)
    made = written(bar, metre="7/8")
    assert "time     7/8 3+2+2" in made.text
    assert music(made) == "|cde fg fe"


# --- names and octaves ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("signature", "typed", "text"),
    [
        (0, "F4 B4 C5 D5", "f b c d"),
        (1, "F4 B4", "FB -"),
        (-1, "A-4 B-4", "AbBb"),
        (0, "B-4 B4", "BbB"),
        (0, "F#4 F##4 B--4 C5", "f# f## Bw c"),
        (3, "C4 C#4 G4 G#4", "C c G g"),
        (-3, "E-4 E4 B-3 B3", "e E vb B"),
    ],
)
def test_names_are_the_printed_ones(signature: int, typed: str, text: str) -> None:
    """Through the key where that will do; nothing runs together that would be read otherwise."""
    count = len(typed.split())
    lengths: list[float | Fraction] = [4 / count] * count if count > 2 else [0.5, 0.5, 3][:2]
    bar = notes(typed, lengths)
    if count == 2:
        bar += notes(".", [3])
    made = written(bar, signature=signature)
    (measure,) = assemble(read(made.text)).bars
    names = [str(event.heads[0].pitch) for event in measure.events if event.heads]
    assert names == [n.replace("-", "b") for n in typed.split()]
    assert text.split()[0].strip("v^") in music(made)


def test_home_saves_octave_marks() -> None:
    """A line in another register gets a `home`; one where the usual home will do gets none."""
    high = [notes("C6 D6 E6 C6", [1] * 4) for _ in range(4)]
    made = written(*high)
    assert "home" in made.text
    assert "^" not in music(made)
    low = [notes("A1 C2 D2 A1", [1] * 4) for _ in range(4)]
    score = part_of(*low)
    score.parts[0].partName = "Bass"
    assert "home" not in write_draft(line_of(score)).text


# --- any line at all --------------------------------------------------------------------------------------

LENGTHS = st.sampled_from(
    [Fraction(1, 4), Fraction(1, 2), Fraction(3, 4), Fraction(1), Fraction(3, 2), Fraction(2), Fraction(3)]
)
SMALL = st.sampled_from([(3, Fraction(1, 3)), (3, Fraction(2, 3)), (5, Fraction(1, 5)), (6, Fraction(1, 6))])
NAMES = st.tuples(st.sampled_from("ABCDEFG"), st.sampled_from(["", "", "", "#", "-"]), st.integers(1, 5)).map(
    lambda p: f"{p[0]}{p[1]}{p[2]}"
)


@st.composite
def bars(draw: st.DrawFn, length: Fraction) -> list[note.GeneralNote]:
    """Notes and rests that fill a bar."""
    made: list[note.GeneralNote] = []
    left = length
    while left:
        run = [draw(LENGTHS)] if draw(st.integers(0, 4)) else [draw(SMALL)[1]] * draw(SMALL)[0]
        for size in run:
            size = min(size, left)
            if not size:
                break
            each = note.Note(draw(NAMES)) if draw(st.integers(0, 5)) else note.Rest()
            each.quarterLength = size
            made.append(each)
            left -= size
    return made


@st.composite
def scores(draw: st.DrawFn) -> stream.Score:
    """A few bars of any metre and key, some notes tied to the next of their pitch."""
    metre = draw(st.sampled_from(["4/4", "3/4", "2/2", "6/8", "12/8", "5/4", "7/8"]))
    length = Fraction(meter.TimeSignature(metre).barDuration.quarterLength)
    row = draw(st.lists(bars(length), min_size=1, max_size=4))
    for before, after in pairwise(row):
        if before[-1].isNote and draw(st.booleans()):
            tied = note.Note(before[-1].nameWithOctave)
            tied.quarterLength = after[0].quarterLength
            after[0] = tied
            before[-1].tie, after[0].tie = tie.Tie("start"), tie.Tie("stop")
    return part_of(*row, metre=metre, signature=draw(st.integers(-6, 6)))


@settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(scores())
def test_any_line_comes_in_exactly(score: stream.Score) -> None:
    """Onsets, lengths, names: what music21 says of the score, it says of the draft's score."""
    expected = sounded(score.parts[0])
    if not expected:
        return
    made = write_draft(line_of(score))
    piece = assemble(read(made.text))
    assert [d.message for d in piece.diagnostics if d.severity == "error"] == []
    assert sounded(build(piece).parts[0]) == expected
    assert made.unsaid == ()


@pytest.mark.parametrize("name", ["bwv269", "bwv123-6", "bwv40-8", "bwv66-6"])
def test_chorales_typed_by_hand(name: str) -> None:
    """The lowest part of a corpus chorale says what the draft says that was typed from its print."""
    line = line_of(corpus.parse(f"bach/{name.replace('-', '.')}"))
    imported = comparable(piece_of(write_draft(line).text))
    typed = comparable(piece_of((CHORALES / f"{name}.scribe").read_text(encoding="utf-8")))
    assert imported.notes == typed.notes
    assert [length for length, _ in imported.bars] == [length for length, _ in typed.bars]
    assert [m for m in imported.marks if "|" in m[1]] == [m for m in typed.marks if "|" in m[1]]
