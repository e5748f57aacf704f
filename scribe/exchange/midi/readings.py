"""Other readings of beats that were found: half or twice as fast, three for two, begun elsewhere, swung or not.

A search that follows beats finds a pulse that the notes keep, seldom the one that a musician would count. So every
pulse is read in all the ways that are near at hand, and the metre decides among the best of them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from math import ceil, floor, log2
from statistics import median

from scribe.exchange.midi.grid import (
    COMPOUND_COST,
    EVEN,
    SWINGS,
    SWUNG_COST,
    THREES,
    USUAL_TEMPO,
    Grid,
    Swing,
    price_at,
)

RATIOS = (1 / 3, 1 / 2, 2 / 3, 3 / 4, 1.0, 4 / 3, 3 / 2, 2.0, 3.0)  # lengths of a beat, in beats found
PARTS = 12  # of a beat found: where beats of another reading may begin
SHORTEST, LONGEST = 0.2, 1.35  # seconds of a beat: 300 to 44 a minute
STRUCK = 0.12  # of the notes: so many lie on beats at least, or nobody counts there
DIVIDED = 0.12  # of the notes: so many lie on thirds of a beat at least, or nobody divides it in three
BINS = 240  # of a beat, for prices that are looked up
WAYS = (EVEN, THREES, *SWINGS)
KEPT, OF_A_KIND = 12, 2


def readings(onsets: Sequence[float], grids: Sequence[Grid], *, keep: int = KEPT) -> list[Grid]:
    """Return the best readings of some grids, cheapest first, a few of every tempo and feel."""
    found: list[Grid] = []
    for grid in grids:
        found += _of(onsets, grid.beats)
    found.sort(key=lambda each: each.bits)
    kinds: dict[tuple[int, str], list[float]] = {}
    out = []
    for each in found:
        length = median(b - a for a, b in pairwise(each.beats))
        first = each.beats[0] / length % 1
        others = kinds.setdefault((round(log2(length) * 12), each.swing.unit), [])
        if len(others) < OF_A_KIND and all(0.06 < abs(first - other) < 0.94 for other in others):
            others.append(first)
            out.append(each)
        if len(out) == keep:
            break
    return out


def _of(onsets: Sequence[float], beats: Sequence[float]) -> Iterator[Grid]:
    where = [position(onset, beats) for onset in onsets]
    length = median(b - a for a, b in pairwise(beats))
    for ratio in RATIOS:
        size = length * ratio
        if not SHORTEST <= size <= LONGEST:
            continue
        octaves = log2(60 / size / USUAL_TEMPO)
        for part in range(ceil(PARTS * ratio)):
            first = part / PARTS
            shares = [(x - first) / ratio % 1.0 for x in where]
            near = 0.03 / size  # 30 ms
            if sum(1 for share in shares if share < near or share > 1 - near) < STRUCK * len(shares):
                continue
            bins = [min(int(share * BINS), BINS - 1) for share in shares]
            thirds = sum(
                1 for share in shares if any(abs(share - third) < 1 / 12 for third in (1 / 3, 2 / 3))
            )
            best: dict[str, tuple[float, Swing]] = {}  # of every unit that may be swung
            for way in WAYS:
                if way == THREES and thirds < DIVIDED * len(shares):
                    continue
                prices = _prices(way, round(log2(size) * 30))
                cost = COMPOUND_COST if way == THREES else SWUNG_COST if way.unit else 0.0
                bits = cost + len(bins) * octaves + sum(prices[b] for b in bins)
                best[way.unit] = min(best.get(way.unit, (bits, way)), (bits, way))
            made = _beats(where, beats, first, ratio)
            for bits, way in best.values():
                yield Grid(made, way, bits)


@lru_cache(maxsize=1024)
def _prices(swing: Swing, size: int) -> tuple[float, ...]:
    """What a note costs at each place of a beat that is 2 to the power of a thirtieth of `size` seconds long."""
    length = 2 ** (size / 30)
    return tuple(price_at((b + 0.5) / BINS, length, swing) for b in range(BINS))


def position(time: float, beats: Sequence[float]) -> float:
    """Return where a time lies, in beats from the first of some; outside of them they go on as they end."""
    index = min(max(bisect_right(beats, time) - 1, 0), len(beats) - 2)
    return index + (time - beats[index]) / (beats[index + 1] - beats[index])


def _beats(where: Sequence[float], beats: Sequence[float], first: float, ratio: float) -> tuple[float, ...]:
    """The times of beats so many beats apart, from at or before the first note to behind the last."""
    low = floor((where[0] - first) / ratio)
    high = ceil((where[-1] - first) / ratio) + 2
    out = []
    for k in range(low - 1, high):
        x = first + k * ratio
        index = min(max(floor(x), 0), len(beats) - 2)
        out.append(beats[index] + (x - index) * (beats[index + 1] - beats[index]))
    return tuple(out)
