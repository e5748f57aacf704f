"""Does a written draft say what the line says? Compiled again and compared, note by note."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.model import Line
from scribe.music.assemble import assemble
from scribe.music.piece import Piece
from scribe.music.pitch import Pitch
from scribe.source.read import read


class Sound(NamedTuple):
    """A note or stack, ties joined, times in quarters from the start. `names`: `Bb2`, `dead` or `unheard`."""

    onset: Fraction
    length: Fraction
    names: tuple[str, ...]
    bar: int  # index


class Checked(NamedTuple):
    """How a draft compares with its line. `wrong`: sounds of the line that the draft does not have just so."""

    notes: int
    wrong: tuple[Sound, ...]
    extra: int
    errors: int  # diagnostics of the draft that are errors

    @property
    def exact(self) -> bool:
        return not self.wrong and not self.extra and not self.errors


def sounds_of_line(line: Line) -> list[Sound]:
    """Every note of a line."""
    found: list[Sound] = []
    at = Fraction(0)
    for index, bar in enumerate(line.bars):
        for event in bar.events:
            names = _names([(head.kind, head.pitch) for head in event.heads])
            if event.held and found and found[-1].names == names:
                found[-1] = found[-1]._replace(length=found[-1].length + event.length)
            elif names:
                found += [
                    Sound(at + event.onset, Fraction(0), (str(g.head.pitch),), index) for g in event.graces
                ]
                found.append(Sound(at + event.onset, event.length, names, index))
        at += bar.length
    return found


def sounds_of_piece(piece: Piece) -> list[Sound]:
    """Every note of a compiled draft."""
    found: list[Sound] = []
    at = Fraction(0)
    for index, bar in enumerate(piece.bars):
        for place, event in enumerate(bar.events):
            names = _names([(head.kind, head.pitch) for head in event.heads])
            if place == 0 and event.held and bar.tied and found and found[-1].names == names:
                found[-1] = found[-1]._replace(length=found[-1].length + event.length)
            elif names:
                found += [
                    Sound(at + event.onset, Fraction(0), (str(g.head.pitch),), index) for g in event.graces
                ]
                found.append(Sound(at + event.onset, event.length, names, index))
        at += bar.music.length * (bar.rests or 1)
    return found


def check(line: Line, text: str) -> Checked:
    """Compile a draft and compare it with the line that it was written from."""
    piece = assemble(read(text))
    mine, theirs = sounds_of_line(line), sounds_of_piece(piece)
    left: dict[tuple[Fraction, Fraction, tuple[str, ...]], int] = {}
    for sound in theirs:
        left[sound[:3]] = left.get(sound[:3], 0) + 1
    wrong = []
    for sound in mine:
        if left.get(sound[:3]):
            left[sound[:3]] -= 1
        else:
            wrong.append(sound)
    errors = sum(1 for d in piece.diagnostics if d.severity == "error")
    return Checked(len(mine), tuple(wrong), sum(left.values()), errors)


def _names(heads: list[tuple[str, Pitch]]) -> tuple[str, ...]:
    return tuple(str(pitch) if kind == "note" else kind for kind, pitch in heads)
