"""What the tests of scores that come in share: small music21 scores, and the draft of one."""

from __future__ import annotations

from fractions import Fraction

from music21 import (
    key,
    meter,
    note,
    stream,
)

from scribe.exchange.draft import Text, write_draft
from scribe.exchange.m21 import read_line
from scribe.exchange.model import Line


def part_of(*bars: list[note.GeneralNote], metre: str = "4/4", signature: int = 0) -> stream.Score:
    """A score of one part with these bars."""
    score, part = stream.Score(), stream.Part()
    for number, bar in enumerate(bars, 1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.insert(0, key.KeySignature(signature))
            measure.insert(0, meter.TimeSignature(metre))
        measure.append(bar)
        part.append(measure)
    score.insert(0, part)
    return score


def line_of(score: stream.Score, part: str | None = None, voice: int | None = None) -> Line:
    """The line that is taken of a score."""
    return read_line(score, part, voice)[0]


def written(*bars: list[note.GeneralNote], metre: str = "4/4", signature: int = 0) -> Text:
    """The draft of these bars."""
    return write_draft(line_of(part_of(*bars, metre=metre, signature=signature)))


def music(text: Text) -> str:
    """The lines of music of a draft, joined."""
    return " ".join(line.strip() for line in text.text.splitlines() if line.lstrip()[:1] in ("|", "["))


def notes(typed: str, lengths: list[float | Fraction]) -> list[note.GeneralNote]:
    """Notes of these names around middle C; `.` is a rest."""
    made: list[note.GeneralNote] = []
    for name, length in zip(typed.split(), lengths, strict=True):
        each = note.Rest() if name == "." else note.Note(name)
        each.quarterLength = length
        made.append(each)
    return made
