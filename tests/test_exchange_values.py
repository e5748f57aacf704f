"""Tuplets in MusicXML whose divisions can only round them: what is printed is what is meant.

MusicXML 4.0: `<duration>` "is a positive number specified in division units", and divisions are whole numbers to a
quarter; `<time-modification>` gives the tuplet that is printed.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from music21 import converter

from scribe.exchange.draft import write_draft
from scribe.exchange.reading import take
from tests.exchange_help import bar_of, part_of


def note(step: str, duration: int, kind: str, actual: int = 1, normal: int = 1, more: str = "") -> str:
    """One note of octave 3."""
    ratio = (
        f"<time-modification><actual-notes>{actual}</actual-notes><normal-notes>{normal}</normal-notes>"
        "</time-modification>"
    )
    return (
        f"<note>{more}<pitch><step>{step}</step><octave>3</octave></pitch><duration>{duration}</duration>"
        f"<voice>1</voice><type>{kind}</type>{ratio if actual > 1 else ''}</note>"
    )


def tuplet(durations: list[int], kind: str, normal: int) -> str:
    """Notes that share the time of `normal` others."""
    return "".join(
        note("CDEFGABCDEFGA"[i], size, kind, len(durations), normal) for i, size in enumerate(durations)
    )


HALF = note("C", 960, "half")


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (tuplet([137] * 7, "eighth", 4) + HALF, Fraction(2, 7)),  # cut off
        (tuplet([137] * 6 + [138], "eighth", 4) + HALF, Fraction(2, 7)),  # the last one makes up for it
        (tuplet([53] * 9, "32nd", 8) + note("C", 480, "quarter") + HALF, Fraction(1, 9)),
        (tuplet([43] * 10 + [50], "32nd", 8) + note("C", 480, "quarter") + HALF, Fraction(1, 11)),
        (
            tuplet([160] * 3, "eighth", 2) + note("C", 480, "quarter") + HALF,
            Fraction(1, 3),
        ),  # nothing to mend
    ],
)
def test_rounded_tuplets_are_what_is_printed(written: str, expected: Fraction) -> None:
    """No bar is lost, none is too short, and every note of the tuplet is equally long."""
    taken = take(part_of([bar_of(written, 480), bar_of(note("C", 1920, "whole"))]))
    bar = taken.line.bars[0]
    assert bar.length == 4
    assert {event.length for event in bar.events} <= {expected, Fraction(1), Fraction(2)}
    assert bar.events[0].length == expected
    made = write_draft(taken.line)
    assert made.unsaid == ()
    assert "?" not in made.text


def test_what_stands_beside_keeps_its_place() -> None:
    """A second voice, and a chord symbol with an offset, are counted in the same new divisions."""
    below = "<backup><duration>1919</duration></backup>" + "".join(
        note("C", 480, "quarter").replace("<voice>1", "<voice>2") for _ in range(4)
    )
    symbol = "<harmony><root><root-step>F</root-step></root><kind>major</kind><offset>960</offset></harmony>"
    score = part_of(
        [
            bar_of(symbol + tuplet([137] * 7, "eighth", 4) + HALF + below, 480),
            bar_of(note("C", 1920, "whole")),
        ]
    )
    line = take(score, voice=2).line
    assert [event.onset for event in line.bars[0].events] == [0, 1, 2, 3]
    assert [(symbol.onset, symbol.name) for symbol in take(score, voice=1).line.bars[0].symbols] == [(2, "F")]


def test_played_lengths_stay() -> None:
    """Where the divisions could say what is printed, they mean what they say (music21 reads it so too)."""
    score = part_of(
        [bar_of(note("C", 320, "eighth") + note("D", 160, "eighth") + note("E", 1440, "half"), 480)]
    )
    theirs = [
        float(n.quarterLength) for n in converter.parseData(score.decode(), format="musicxml").recurse().notes
    ]
    assert [float(event.length) for event in take(score).line.bars[0].events] == pytest.approx(theirs)
