"""Strings, frets and fingers for the live page: at once from the surroundings of an edit, then from the whole piece.

A line is fingered as a whole, which takes longer the longer it is. The page need not wait for that: bars that did
not change keep the hand that they had, the others get one from the bars around them, and what the whole piece says
comes after.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from scribe.bass.alike import Figures
from scribe.bass.breaking_off import checkpoint
from scribe.bass.fingered import Fingered, fingering
from scribe.engrave.hand import ASKS
from scribe.engrave.live import BarHand
from scribe.music.piece import Bar, Heading, Layout, Piece

SHORT = 40  # bars that are fingered as a whole at once
_AROUND = 6  # bars on either side that an edited bar is fingered with


class Handed(NamedTuple):
    """Bars as they are to be shown, and the hand of those that show one, by the identity of the bar."""

    bars: Sequence[Bar]
    hands: Mapping[int, BarHand]


class _Known(NamedTuple):
    bar: Bar  # as it came
    shown: Bar
    hand: BarHand


def asked(bars: Sequence[Bar]) -> bool:
    """Tell whether anything of the hand is to be shown."""
    return any(ASKS & shown.what for shown in {bar.shown for bar in bars})


class Hands:
    """Remembers the hand of each bar from one save to the next."""

    def __init__(self) -> None:
        self._known: dict[int, _Known] = {}  # by the identity of the bar as it came
        self.whole: Fingered | None = None  # the whole piece, as `exact` found it last

    @property
    def known(self) -> bool:
        """Whether any bar has a hand yet."""
        return bool(self._known)

    def quick(self, bars: Sequence[Bar], offset: Callable[[int], int]) -> Handed:
        """Return the bars with the hands known so far; new bars are fingered with those around them alone.

        `offset`: where the text of a bar (by index) stands in the draft.
        """
        new = [index for index, bar in enumerate(bars) if id(bar) not in self._known]
        while new:
            low = max(0, new[0] - _AROUND)
            high = new[0]
            inside = [index for index in new if index <= new[0] + 4 * _AROUND]
            high = min(len(bars), inside[-1] + _AROUND + 1)
            done = fingered_part(bars, offset, low, high)
            for index in inside:
                self._keep(bars[index], done, index - low)
            new = new[len(inside) :]
        return self._handed(bars)

    def exact(self, bars: Sequence[Bar], offset: Callable[[int], int]) -> Handed:
        """Return the bars as the whole piece is fingered."""
        done = self.whole = fingered_part(bars, offset)
        for index, bar in enumerate(bars):
            self._keep(bar, done, index)
        needed = {id(bar) for bar in bars}
        self._known = {key: known for key, known in self._known.items() if key in needed}
        return self._handed(bars)

    def _handed(self, bars: Sequence[Bar]) -> Handed:
        known = [self._known[id(bar)] for bar in bars]
        return Handed([each.shown for each in known], {id(each.shown): each.hand for each in known})

    def _keep(self, bar: Bar, done: Fingered, index: int) -> None:
        filled = done.piece.bars[index]
        if bar.repeat or bar.rests or not ASKS & bar.shown.what:
            self._known[id(bar)] = _Known(bar, bar, NO_HAND)
            return
        hand = _hand(filled, done, index)
        old = self._known.get(id(bar))
        if old is not None and old.hand == hand and old.shown.events == filled.events:
            return
        music = replace(bar.music, events=filled.events)
        self._known[id(bar)] = _Known(bar, replace(bar, music=music, events=filled.events), hand)


NO_HAND = BarHand()


def fingered_part(
    bars: Sequence[Bar],
    offset: Callable[[int], int],
    low: int = 0,
    high: int | None = None,
    known: Figures | None = None,
) -> Fingered:
    """Return some of the bars with the strings and frets at which they are likely played, shown or not.

    `offset`: where the text of a bar (by index) stands in the draft: the fingering finds the source of a used bar by
    it. `known`: how figures are played in the bars left out.
    """
    part: list[Bar] = []
    for index in range(low, len(bars) if high is None else high):
        checkpoint()
        part.append(replace(bars[index], offset=offset(index)))
    if low and part and (part[0].tempo is None or part[0].tempo.bpm is None):
        before = (bars[index].tempo for index in range(low - 1, -1, -1))
        part[0] = replace(part[0], tempo=next((tempo for tempo in before if tempo and tempo.bpm), None))
    return fingering(Piece(Heading(), tuple(part), (), Layout(), ()), known=known)


def _hand(bar: Bar, done: Fingered, index: int) -> BarHand:
    keys = [
        (event, head)
        for event, each in enumerate(bar.events)
        for head in (*range(-len(each.graces), 0), *range(len(each.heads)))
    ]
    fingers = [(*key, done.fingers[index, *key]) for key in keys if (index, *key) in done.fingers]
    positions = [(*key, done.positions[index, *key]) for key in keys if (index, *key) in done.positions]
    return BarHand(tuple(fingers), tuple(positions))
