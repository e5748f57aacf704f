"""How far `P.M.` and `let ring` reach: a dashed line behind the words, to the last note they are meant for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.engrave import ink as draw
from scribe.engrave.canvas import Canvas, stroke
from scribe.engrave.ink import Ink, ink, join
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.options import SPACE
from scribe.music.events import PlacedChord
from scribe.source.directions import DIRECTIONS

_REACHING = ("palm", "ring")  # how each single note sounds; a change of hand or bow needs no line
_LONGEST = 8  # bars: beyond that the words alone say it, with less ink
_DASH = 0.55 * SPACE
_BETWEEN = 0.45 * SPACE
_HIGH = 0.5 * SPACE  # over the baseline of the words
_HOOK = 0.75 * SPACE


class Extent(NamedTuple):
    """A direction and the notes it is meant for: from what its words stand over to the note `end`. Bars by index."""

    name: str
    start_bar: int
    start: str
    end_bar: int
    end: str


def extents(meis: Sequence[BarMei]) -> tuple[Extent, ...]:
    """Return the directions of a piece that get a line: up to the next way of playing, or to the end of the piece."""
    found: list[Extent] = []
    waiting: Extent | None = None
    last = (0, "")  # the note before, with its bar
    for index, mei in enumerate(meis):
        notes = list(mei.notes.at)
        for word, anchor in sorted(mei.words, key=lambda each: each.item.onset):
            if isinstance(word, PlacedChord) or word.kind != "direction":
                continue
            info = DIRECTIONS.get(word.text)
            if info is None or info.kind != "playing" or not (info.lasts or word.text == "open"):
                continue
            while notes and notes[0][0] < word.onset:
                last = (index, notes.pop(0)[1])
            if waiting is not None:
                found.append(waiting._replace(end_bar=last[0], end=last[1]))
            waiting = Extent(word.text, index, anchor, index, "") if word.text in _REACHING else None
        if notes:
            last = (index, notes[-1][1])
    if waiting is not None:
        found.append(waiting._replace(end_bar=last[0], end=last[1]))
    return tuple(each for each in found if 0 <= each.end_bar - each.start_bar < _LONGEST)


def with_line(canvas: Canvas, words: Ink, x: float, extent: Extent) -> Ink:
    """Return words that begin at `x` with their line: to its note, or to the end of a system that it goes beyond."""
    left = words.advance + 0.35 * SPACE
    ends = canvas.has(extent.end_bar)
    head = canvas.head(extent.end) if ends else None
    right = (head.right if head else canvas.right - 0.2 * SPACE) - x
    if right - left < _DASH or (ends and head is None):
        return words
    marks = []
    at = left
    while at < right:
        marks.append(stroke(at, -_HIGH, min(at + _DASH, right), -_HIGH))
        at += _DASH + _BETWEEN
    if ends:
        marks.append(stroke(right, -_HIGH - 11.0, right, _HOOK - _HIGH))
    return join(words, ink(tuple(mark.moved(-words.advance, 0.0, 1.0) for mark in marks)))


def carried_on(canvas: Canvas, found: Sequence[Extent]) -> list[tuple[Ink, float]]:
    """Return words in parentheses and their line, with their x, for what goes on from the system before."""
    out = []
    for extent in found:
        if extent.start_bar < canvas.start <= extent.end_bar:
            x = canvas.engraved.bars[0].content_left + 0.3 * SPACE
            words = draw.direction(f"({DIRECTIONS[extent.name].words})")
            out.append((with_line(canvas, words, x, extent), x))
    return out
