"""One system: Verovio's notes with all our words and signs placed round them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from scribe.engrave.above import (
    form_words,
    place_bar_number,
    place_chords,
    place_endings,
    place_form,
    place_words,
)
from scribe.engrave.below import Hairpin, hairpins, place_doubts, place_dynamics
from scribe.engrave.canvas import Canvas, Placed
from scribe.engrave.extents import Extent, extents
from scribe.engrave.hand import Key
from scribe.engrave.ink import Glyph
from scribe.engrave.labels import place_fingers, place_labels, place_positions
from scribe.engrave.measure import Engraved
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.mei.lines import Lines
from scribe.engrave.signs import place_letters, place_lines, place_signs, place_tuplets
from scribe.engrave.skyline import Skyline
from scribe.engrave.tab import place_tab, shows_tab, tab_ids
from scribe.engrave.todo import place_double_repeat, place_todo
from scribe.music.piece import Bar


@dataclass(frozen=True, slots=True)
class System:
    """A finished system.

    `svg` is drawn with the staff's top line at `top` of its own coordinates; `bottom` is the lowest staff line.
    `sky` is the outline of all ink. `placed`: what we drew, for checks.
    """

    first: int
    last: int
    svg: str
    glyphs: frozenset[Glyph]
    sky: Skyline
    top: float
    bottom: float
    placed: tuple[Placed, ...]
    engraved: Engraved

    @property
    def high(self) -> float:
        """How far the ink reaches above the staff's top line."""
        return self.top - min(self.sky.top)

    @property
    def low(self) -> float:
        """How far the ink reaches below the staff's top line."""
        return max(self.sky.low) - self.top


class Whole(NamedTuple):
    """What a system must know of the whole piece."""

    bars: tuple[Bar, ...]
    meis: tuple[BarMei, ...]
    lines: Lines
    hairpins: tuple[Hairpin, ...]
    said: dict[str, str]
    fingers: Mapping[Key, int] = MappingProxyType({})
    positions: Mapping[Key, int] = MappingProxyType({})
    extents: tuple[Extent, ...] = ()


def whole(bars: tuple[Bar, ...], meis: tuple[BarMei, ...], lines: Lines) -> Whole:
    """Gather what systems must know of the whole piece."""
    return Whole(bars, meis, lines, hairpins(meis), form_words(bars), extents=extents(meis))


def compose(engraved: Engraved, piece: Whole, start: int, end: int, width: float) -> System:
    """Return the system of bars `start` … `end` (exclusive): from the notes outwards, each kind keeps clear of what
    is there already. `width`: how far words may reach to the right.
    """
    canvas = Canvas(engraved, start, max(width, engraved.bars[-1].right))
    bars: Sequence[Bar] = piece.bars[start:end]
    meis: Sequence[BarMei] = piece.meis[start:end]
    lines = [line for line in piece.lines.lines if line.start_bar < end and line.end_bar >= start]
    place_lines(canvas, lines)
    for index, mei in enumerate(meis, start):
        place_todo(canvas, index, mei)
    letters = [letter for letter in piece.lines.letters if letter.start_bar < end and letter.end_bar >= start]
    place_letters(canvas, letters, tab_ids(bars, meis))
    for index, mei in enumerate(meis, start):
        place_signs(canvas, index, mei)
        place_fingers(canvas, index, bars[index - start], mei, piece.fingers)
        place_tuplets(canvas, mei)
        place_double_repeat(canvas, index, bars[index - start])
    place_labels(canvas, bars, meis)
    place_doubts(canvas, meis)
    place_dynamics(canvas, meis, piece.hairpins, len(piece.bars) - 1)
    bottom = place_tab(canvas, bars, meis, lines, letters) if shows_tab(bars) else canvas.bottom
    place_bar_number(canvas, bars[0], start == 0)
    place_positions(canvas, bars, meis, piece.positions, piece.bars[start - 1] if start else None)
    place_chords(canvas, meis)
    place_words(canvas, meis, piece.extents)
    place_endings(canvas, bars)
    place_form(canvas, bars, meis, piece.said)
    return _finish(canvas, start, end, bottom)


def _finish(canvas: Canvas, start: int, end: int, bottom: float) -> System:
    engraved = canvas.engraved
    glyphs = set(engraved.glyphs)
    out = [each.ink.svg(each.x, each.y, each.kind) for each in canvas.under]
    out.extend(engraved.svg)
    for each in canvas.placed:
        glyphs |= each.ink.glyphs
        out.append(each.ink.svg(each.x, each.y, each.kind))
    return System(
        start,
        end,
        "".join(out),
        frozenset(glyphs),
        canvas.sky,
        canvas.top,
        bottom,
        tuple(canvas.placed),
        engraved,
    )
