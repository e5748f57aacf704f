"""What the page shows of the hand where the draft does not pin it: strings, frets, fingers and positions found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from scribe.music.piece import Bar, Heading, Layout, Piece
from scribe.music.suspect import OF_THE_HAND

ASKS = OF_THE_HAND
Key = tuple[int, int, int]  # bar index, event index, head index


class Hands(NamedTuple):
    """Bars with string and fret in their heads where `show` asks for any of it; `fingers` (0: open string, 5: the
    thumb on the string) and `positions` (the fret under the first finger) by head.
    """

    bars: tuple[Bar, ...]
    fingers: Mapping[Key, int]
    positions: Mapping[Key, int]


def with_hands(bars: tuple[Bar, ...]) -> Hands:
    """Return the bars of a piece as the page shows them; as they are if nothing of the hand is to be shown."""
    if not any(ASKS & bar.shown.what for bar in bars):
        return Hands(bars, {}, {})
    return _found(bars)


@lru_cache(maxsize=8)
def _found(bars: tuple[Bar, ...]) -> Hands:
    from scribe.bass.fingered import fingering

    done = fingering(Piece(Heading(), bars, (), Layout(), ()))
    seen = (_seen(bar, filled) for bar, filled in zip(bars, done.piece.bars, strict=True))
    return Hands(tuple(seen), done.fingers, done.positions)


def _seen(bar: Bar, filled: Bar) -> Bar:
    if bar.repeat or bar.rests or not ASKS & bar.shown.what or bar.events == filled.events:
        return bar
    return replace(bar, music=replace(bar.music, events=filled.events), events=filled.events)
