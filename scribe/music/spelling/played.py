"""Which bars follow which when a piece is played: repeats and endings lead elsewhere than the text goes on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.music.draught import REPEAT_ENDS, REPEAT_STARTS, Draught
from scribe.music.spelling.check import Doubt
from scribe.music.spelling.phrases import Hearing, Sound, doubts_of, names_of, phrases_of, sounds

AROUND = 8  # bars on either side of a jump that are looked at with it


class Jump(NamedTuple):
    """Two bars, by index, that are played one after the other though the text has others between them."""

    bar: int
    to: int


class Ways(NamedTuple):
    """All jumps of a piece, and the bars that the next bar of the text never follows: ends of endings."""

    jumps: tuple[Jump, ...] = ()
    ends: frozenset[int] = frozenset()


AS_WRITTEN = Ways()


def ways_through(bars: Sequence[Draught]) -> Ways:
    """Return where repeats and endings lead. A repeat without its `|:` goes back to the end of the one before.

    D.S. and D.C. are not followed: they come once, after everything was played as written.
    """
    jumps: list[Jump] = []
    ends: set[int] = set()
    back_to, fork = 0, -1
    for i, bar in enumerate(bars):
        following = bars[i + 1] if i + 1 < len(bars) else None
        if bar.edge.left in REPEAT_STARTS or (i and bars[i - 1].edge.right in REPEAT_STARTS):
            back_to = i
        if bar.ending and not (i and _turns(bars[i - 1], bar)):
            fork = i - 1  # a later ending follows the bar before the first one
        if not _turns(bar, following):
            continue
        jumps.append(Jump(i, back_to))
        if following is None or not following.ending:
            back_to = i + 1
        elif fork >= 0:
            jumps.append(Jump(fork, i + 1))
            ends.add(i)
    return Ways(tuple(jumps), frozenset(ends)) if jumps else AS_WRITTEN


def _turns(bar: Draught, following: Draught | None) -> bool:
    return bar.edge.right in REPEAT_ENDS or (following is not None and following.edge.left in REPEAT_ENDS)


class Beside(NamedTuple):
    """Bars as they are played over a jump, and which of them the jump leaves or reaches."""

    bars: tuple[int, ...]
    at: int


class Played:
    """The phrases of a draft whose names are judged in the order in which they are played.

    At the end of a repeat a bar is followed by two others, on one pass each. A name is doubted only where both want the
    same better one.
    """

    def __init__(self, bars: Sequence[Draught], known: Sequence[Hearing]) -> None:
        self._bars = bars
        self._known = known
        self.phrases = list(phrases_of(bars, known))
        self._beside: dict[int, list[Beside]] = {}
        self._unplayed: set[int] = set()  # bars whose neighbours in the text are others when they are played
        if any(heard.asks for heard in known):
            self._follow(ways_through(bars))

    def _follow(self, ways: Ways) -> None:
        for jump in ways.jumps:
            before = next((p for p in reversed(self.phrases) if p[0] <= jump.bar), [])
            after = next((p for p in self.phrases if p[-1] >= jump.to), [])
            left = tuple(i for i in before if i <= jump.bar)[-AROUND:]
            right = tuple(i for i in after if i >= jump.to)[:AROUND]
            if left and right:
                self._beside.setdefault(left[-1], []).append(Beside(left + right, len(left) - 1))
                self._beside.setdefault(right[0], []).append(Beside(left + right, len(left)))
        self._unplayed.update(bar for end in ways.ends for bar in (end, end + 1) if bar in self._beside)

    def doubts(self, indices: Sequence[int], heard: Sequence[Sound], names: tuple[int, ...]) -> list[Doubt]:
        """Return the doubts about a phrase, in order; `names` are those of the sounds in it."""
        found = doubts_of(heard, names)
        if self._beside.keys().isdisjoint(indices):
            return list(found)
        by_bar: dict[int, list[Doubt]] = {}
        for doubt in found:
            by_bar.setdefault(heard[doubt.at].place.bar, []).append(doubt)
        kept: list[Doubt] = []
        for bar in indices:
            ways = self._beside.get(bar, [])
            if bar in self._unplayed:
                mine = self._told(ways[0], heard) if self._known[bar].asks else []
                ways = ways[1:]
            else:
                mine = by_bar.get(bar, [])
            for way in ways if mine else ():
                told = {(doubt.at, doubt.better) for doubt in self._told(way, heard)}
                mine = [doubt for doubt in mine if (doubt.at, doubt.better) in told]
            kept += mine
        return kept

    def _told(self, way: Beside, phrase: Sequence[Sound]) -> list[Doubt]:
        """The doubts about a bar as it is played beside a jump, counted as in its phrase."""
        parts = [sounds(self._bars, (bar,)) for bar in way.bars]
        first = sum(len(part) for part in parts[: way.at])
        inside = range(first, first + len(parts[way.at]))
        heard = [sound for part in parts for sound in part]
        at = {sound.place: i for i, sound in enumerate(phrase)}
        found = doubts_of(heard, names_of(heard))
        return [doubt._replace(at=at[heard[doubt.at].place]) for doubt in found if doubt.at in inside]
