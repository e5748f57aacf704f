"""Where the beats of played notes lie: the file's own beats, or beats found by a search, whichever explains more.

A grid is judged by how few bits it needs to tell where the notes begin: a place on the beat costs little, a finer one
more, and the distance of a note from its place costs by its square (a normal distribution, `SPREAD` wide).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import exp, log, log2
from typing import NamedTuple

SPREAD = 0.018  # seconds; what players scatter around the beat (common practice, no source)
NEVER = 24.0  # bits that a note costs at most, however far it lies from any place
SHIFT, DRIFT = 0.35, 0.12  # how much of an error the next beat and the period take over
MOST_SEARCHED = 3000  # notes; of a longer file its own beats are taken
TRIED = 8  # periods that are followed
REFINED, ROUNDS = 6, 5  # grids that are bent to the notes, and how often
REACH = 2.0  # beats: how near a note must be to say much about a beat
# Places in a beat and what they cost in bits.
STRAIGHT = (
    (0.0, 0.35), (1.0, 0.35), (1 / 2, 2.05), (1 / 4, 3.3), (3 / 4, 3.0), (1 / 3, 4.2), (2 / 3, 4.0),
    (1 / 6, 6.5), (5 / 6, 6.5), (1 / 8, 6.0), (3 / 8, 6.0), (5 / 8, 6.0), (7 / 8, 6.0),
)  # fmt: skip
# The same where beats divide in three.
COMPOUND = (
    (0.0, 0.35), (1.0, 0.35), (1 / 3, 2.7), (2 / 3, 2.3), (1 / 6, 4.5), (5 / 6, 4.0), (1 / 2, 4.0),
)  # fmt: skip
# What may be swung, and where its off-beat then lies in the pair. (At 3/4 it is better written as a dotted value.)
SHARES = (0.55, 0.571, 0.6, 0.625, 2 / 3, 0.7)
SWUNG_COST = 5.0  # bits of saying that a piece is swung
COMPOUND_COST = 14.0  # bits of saying that beats divide in three
FREE_COST = 30.0  # bits of saying where beats lie that the file does not give
USUAL_TEMPO, TEMPO_COST = (
    110.0,
    1.6,
)  # beats a minute, and bits a note for each doubling away from there, squared


class Swing(NamedTuple):
    """`unit`: "8" or "16", "" for straight, "3" for beats that divide in three; `share`: that of a pair's first."""

    unit: str = ""
    share: float = 0.5


EVEN = Swing()
THREES = Swing("3")
SWINGS = tuple(Swing(unit, share) for unit in ("8", "16") for share in SHARES)


class Point(NamedTuple):
    """A place in a beat: where it is played, what it costs in bits, where it is written."""

    played: float
    price: float
    written: float


class Place(NamedTuple):
    """A note's place: which beat, which point of it as it is written, and how far it was played from it in seconds."""

    beat: int
    point: float
    error: float

    @property
    def quarters(self) -> Fraction:
        """The place, in beats."""
        return self.beat + Fraction(self.point).limit_denominator(16)


class Grid(NamedTuple):
    """Beats in seconds, what is swung, the bits it takes."""

    beats: tuple[float, ...]
    swing: Swing
    bits: float

    @property
    def bpm(self) -> float:
        """Beats a minute, the middle one."""
        lengths = sorted(b - a for a, b in pairwise(self.beats))
        return 60 / lengths[len(lengths) // 2]


def find_grids(onsets: Sequence[float], tempos: Sequence[float] = ()) -> list[Grid]:
    """Return grids for onsets in seconds that a search finds, cheapest first; none for too many notes.

    `tempos`: beats a minute that are known, and tried first.
    """
    if len(onsets) > MOST_SEARCHED:
        return []
    found: list[Grid] = []
    for period in [*(60 / tempo for tempo in tempos), *periods(onsets)]:
        for start in range(min(4, len(onsets))):
            beats = follow(onsets, onsets[start], period)
            found.append(settle(onsets, beats, FREE_COST + _tempo_cost(beats)))
    found.sort(key=lambda grid: grid.bits)
    found[:REFINED] = [refine(onsets, grid) for grid in found[:REFINED]]
    found.sort(key=lambda grid: grid.bits)
    return found


def settle(onsets: Sequence[float], beats: Sequence[float], cost: float, *, compound: bool = True) -> Grid:
    """Return the grid of some beats with the swing that suits it best; `compound`: beats may divide in three."""
    cost += len(onsets) * _pace_cost(beats)
    best = Grid(tuple(beats), EVEN, cost + bits(onsets, beats, EVEN))
    if compound:
        threes = Grid(tuple(beats), THREES, cost + COMPOUND_COST + bits(onsets, beats, THREES))
        best = min(best, threes, key=lambda grid: grid.bits)
    for swing in SWINGS:
        grid = Grid(tuple(beats), swing, cost + SWUNG_COST + bits(onsets, beats, swing))
        if grid.bits < best.bits:
            best = grid
    return best


def bits(onsets: Sequence[float], beats: Sequence[float], swing: Swing) -> float:
    """Return what the onsets cost on these beats."""
    points = _points(swing)
    total = 0.0
    for onset in onsets:
        beat, share, length = _within(onset, beats)
        best = NEVER
        if beat >= 0:
            best = min(NEVER, *(p.price + far((share - p.played) * length) for p in points))
        total += best
    return total


def price_at(share: float, length: float, swing: Swing) -> float:
    """Return what a note costs at a share of a beat so many seconds long."""
    return min(NEVER, *(p.price + far((share - p.played) * length) for p in _points(swing)))


def far(error: float) -> float:
    """Return the bits of an error in seconds."""
    return min(NEVER, (error / SPREAD) ** 2 / 2 / log(2))


@lru_cache(maxsize=64)
def _points(swing: Swing) -> tuple[Point, ...]:
    """The places of a beat. A swung off-beat takes the price of the straight one; what lies right beside it goes."""
    points = [Point(place, price, place) for place, price in (COMPOUND if swing == THREES else STRAIGHT)]
    if swing in (EVEN, THREES):
        return tuple(points)
    size = 1.0 if swing.unit == "8" else 0.5
    moved = [
        Point(start + size * swing.share, price, written)
        for start in ((0.0,) if size == 1.0 else (0.0, 0.5))
        for _, price, written in points
        if written == start + size / 2
    ]
    written = {point.written for point in moved}
    played = [point.played for point in moved]
    kept = [
        p
        for p in points
        if p.written not in written and p.price < 6 and all(abs(p.played - q) > 0.03 for q in played)
    ]
    if swing.unit == "8":  # 16ths between swung eighths are not swung themselves
        kept = [p for p in kept if p.played in (0.0, 1.0, 1 / 4, 1 / 3)] + [Point(0.5, 6.0, 0.5)]
    return (*kept, *moved)


def _within(onset: float, beats: Sequence[float]) -> tuple[int, float, float]:
    """Return the beat that holds an onset, the share of it that is over by then, its length."""
    index = bisect_right(beats, onset + 1e-9) - 1
    if not 0 <= index < len(beats) - 1:
        return -1, 0.0, 1.0
    length = beats[index + 1] - beats[index]
    return index, (onset - beats[index]) / length, length


def place(onset: float, grid: Grid) -> Place:
    """Return the place of an onset on a grid."""
    beat, share, length = _within(onset, grid.beats)
    best = min(_points(grid.swing), key=lambda p: p.price + far((share - p.played) * length))
    error = (share - best.played) * length
    return Place(beat + 1, 0.0, error) if best.written == 1.0 else Place(beat, best.written, error)


# --- beats that nobody gave ---------------------------------------------------------------------------------


def periods(onsets: Sequence[float]) -> list[float]:
    """Return likely lengths of a beat in seconds: those that many distances between notes are multiples of."""
    gaps = [b - a for i, a in enumerate(onsets) for b in onsets[i + 1 : i + 5] if 0.08 < b - a < 2.5]
    if not gaps:
        return []
    step = 1.02
    candidates = []
    period = 0.28
    while period < 1.3:
        worth = 0.0
        for gap in gaps:
            for multiple, price in (
                (1, 1.0),
                (2, 0.9),
                (3, 0.6),
                (1 / 2, 0.8),
                (1 / 3, 0.3),
                (1 / 4, 0.4),
                (2 / 3, 0.3),
            ):
                off = (gap - period * multiple) / max(SPREAD, 0.04 * gap)
                if abs(off) < 3:
                    worth += price * 2 ** (-off * off)
        candidates.append((worth * _usual(period), period))
        period *= step
    peaks = [
        c for i, c in enumerate(candidates)
        if c[0] >= max(candidates[max(i - 2, 0)][0], candidates[min(i + 2, len(candidates) - 1)][0])
    ]  # fmt: skip
    return [period for _, period in sorted(peaks, reverse=True)[:TRIED]]


def _usual(period: float) -> float:
    """Players' beats lie around 110 a minute (common practice, no source)."""
    return float(2.0 ** (-(log2(60 / period / USUAL_TEMPO) ** 2)))


def follow(onsets: Sequence[float], start: float, period: float) -> list[float]:
    """Follow the beat from a first one: every beat corrects the next by what the notes in it say."""
    beats = [start]
    length = period
    index = 0
    while beats[-1] <= onsets[-1]:
        here = beats[-1]
        while index < len(onsets) and onsets[index] < here - length / 8:
            index += 1
        errors = []
        at = index
        while at < len(onsets) and onsets[at] < here + length * 9 / 8:
            share = (onsets[at] - here) / length
            point = min(
                (0.0, 1.0, 0.5, 0.25, 0.75, 1 / 3, 2 / 3),
                key=lambda p: abs(share - p) * (1 + 4 * (p % 1 > 0)),
            )
            error = (share - point) * length
            if abs(error) < length / 8:
                errors.append(error * (1.0 if point in (0.0, 1.0) else 0.4))
            at += 1
        mean = sum(errors) / len(errors) if errors else 0.0
        length = min(max(length + DRIFT * mean, period * 0.7), period * 1.4)
        beats.append(here + length + SHIFT * mean)
    beats.append(beats[-1] + length)
    while beats[0] > onsets[0]:
        beats.insert(0, beats[0] - period)
    return beats


def refine(onsets: Sequence[float], grid: Grid) -> Grid:
    """Return a grid whose beats go through the notes: each is where a line through the notes near it says."""
    best = grid
    for _ in range(ROUNDS):
        points = _points(best.swing)
        near: list[tuple[float, float]] = []  # where in beats, when in seconds
        for onset in onsets:
            beat, share, length = _within(onset, best.beats)
            if beat >= 0:
                point = min(points, key=lambda p: p.price + far((share - p.played) * length))
                near.append((beat + point.played, onset))
        beats = [_through(near, k, when) for k, when in enumerate(best.beats)]
        if any(b - a < 0.1 for a, b in pairwise(beats)):
            break
        fresh = settle(onsets, beats, FREE_COST + _tempo_cost(beats))
        if fresh.bits >= best.bits:
            break
        best = fresh
    return best


def _through(near: Sequence[tuple[float, float]], beat: int, when: float) -> float:
    """The time of a beat on the line through the notes near it; `when` if too few are near."""
    total = mean_x = mean_y = 0.0
    weights = []
    for x, y in near[
        bisect_left(near, (beat - 3 * REACH, 0.0)) : bisect_right(near, (beat + 3 * REACH, 0.0))
    ]:
        weight = exp(-(((x - beat) / REACH) ** 2) / 2)
        weights.append((weight, x, y))
        total += weight
        mean_x += weight * x
        mean_y += weight * y
    if total < 2:
        return when
    mean_x, mean_y = mean_x / total, mean_y / total
    spread = sum(w * (x - mean_x) ** 2 for w, x, _ in weights)
    if spread < 0.1:
        return when
    slope = sum(w * (x - mean_x) * (y - mean_y) for w, x, y in weights) / spread
    return mean_y + slope * (beat - mean_x)


def _pace_cost(beats: Sequence[float]) -> float:
    """Bits a note: among more beats a second there are more places to tell; and unusual tempos are unlikely."""
    octaves = faster(beats)
    return octaves + TEMPO_COST * octaves * octaves


def faster(beats: Sequence[float]) -> float:
    """Octaves by which beats are faster than the usual ones."""
    lengths = sorted(b - a for a, b in pairwise(beats))
    return log2(60 / lengths[len(lengths) // 2] / USUAL_TEMPO)


def _tempo_cost(beats: Sequence[float]) -> float:
    """Bits for a beat that is not steady."""
    lengths = [b - a for a, b in pairwise(beats)]
    return 12.0 * sum(abs(log2(b / a)) for a, b in pairwise(lengths) if a > 0 and b > 0)
