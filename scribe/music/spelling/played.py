"""The phrases of a draft, judged as they are played: over repeats and endings, where the text goes on elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.music.draught import Draught
from scribe.music.passes import Ways, ways_through
from scribe.music.spelling.check import Doubt
from scribe.music.spelling.phrases import Hearing, Sound, doubts_of, names_of, phrases_of, sounds

AROUND = 8  # bars on either side of a jump that are looked at with it


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
