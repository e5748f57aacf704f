"""The metre and the first beat of notes on a grid: the bars that tell them with the fewest bits.

For every metre and first beat that is tried, the notes are told bar by bar: at each place of the bar whether a note
begins (strong places are expected to have one), whether it is the lowest of its bar and another pitch than the one
before (expected of the first beat: bass lines change there), and whether it does what an earlier bar did, up to four
bars before: a figure may be longer than a bar, and is no reason to take two bars for one. Counts are told with Beta
distributions (Krichevsky and Trofimov's estimator and its kin), so a longer bar must pay for its places.

That notes begin on strong places is Palmer and Krumhansl's finding (Mental representations for musical meter, 1990)
and Temperley's event rule (The Cognition of Basic Musical Structures, 2001), that a bass changes there is his bass
rule; all from memory. The weights are ours: common practice of bass lines, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from math import lgamma, log
from typing import NamedTuple

from scribe.exchange.midi.quantise import Taken
from scribe.music.metre import Metre

TICKS = 240  # to a quarter: 16ths, triplets and fives of an eighth are whole
PULSE, FINE = TICKS // 2, TICKS // 4
MANY = 0.15  # of the notes between the pulses: then 16ths are looked at
# Metre, the places of its beats in eighths, and the bits that it costs to be an unusual one.
SIMPLE = (
    (Metre(4, 4), (0, 2, 4, 6), 0.0), (Metre(3, 4), (0, 2, 4), 4.0), (Metre(5, 4), (0, 2, 4, 6, 8), 9.0),
)  # fmt: skip
UNEVEN = ((Metre(7, 8), (0, 2, 4), 9.0), (Metre(7, 8), (0, 3, 5), 11.0))
COMPOUND = ((Metre(12, 8), (0, 3, 6, 9), 6.0), (Metre(6, 8), (0, 3), 6.0))
DOWNBEAT, BEAT, BETWEEN = (5.0, 0.4), (1.5, 1.0), (0.6, 1.4)  # begins a note, or not
LOWEST = ((8.0, 2.0), (2.0, 6.0))  # on the first beat, elsewhere
CHANGED = ((16.0, 2.0), (4.0, 1.0), (2.0, 6.0))  # on the first beat, on others, between beats
CHANCE = 1 / 6  # that a pitch is the one foretold though nothing is played again
TRUST = (0.0, 0.2, 0.4, 0.6, 0.75, 0.85, 0.92, 0.97)  # in a bar before
BESIDE = 5.0  # bits of a note beside the pulse
LONGER = 2.0  # bits of saying that a figure is longer than a bar
LAGS, PRESENT = (
    4,
    8.0,
)  # bars and seconds: no later may a figure come again (Fraisse's psychological present, from memory)
# Bits of how a piece begins: on the first beat, with a pickup of beats, between beats, between the pulses.
STARTS = (0.7, 2.5, 5.0, 7.0)
BAR, BAR_WIDTH = 2.0, 0.4  # seconds that a bar lasts, and octaves around them
LONG_PICKUP = 4.0  # bits more of one that is longer than half a bar


class Choice(NamedTuple):
    """A metre and where its first beat lies, in quarters; `bits` it takes; `margin`: what the next best takes more."""

    metre: Metre
    start: Fraction
    bits: float
    margin: float


Row = tuple[Metre, tuple[int, ...], float]


def tried(*, two: bool, three: bool, uneven: bool, only: Metre | None = None) -> tuple[Row, ...]:
    """Return the metres to try: those whose beats divide in two, in three, of uneven beats.

    `only`: this metre alone, as it is known.
    """
    if only is not None:
        beats, at = [], Fraction(0)
        for length in only.beat_lengths:
            beats.append(int(at * 2))
            at += length
        return ((only, tuple(beats), 0.0),)
    return (*(SIMPLE if two else ()), *(UNEVEN if two and uneven else ()), *(COMPOUND if three else ()))


def find_metre(
    notes: Sequence[Taken], metres: Sequence[Row], *, swung: bool = False, quarter: float | None = None
) -> Choice:
    """Return the metre of some that suits notes best; `swung`: barlines lie between beats, never between eighths.

    `quarter`: seconds of one, where they were found.
    """
    line = _Line(notes)
    found: list[tuple[float, Metre, int]] = []
    for metre, beats, price in metres:
        if quarter is not None:
            price += (log(float(metre.length) * quarter / BAR, 2) / BAR_WIDTH) ** 2 / 2 / log(2)
        length = int(metre.length * TICKS)
        lags = min(LAGS, max(1, int(PRESENT / (float(metre.length) * (quarter or 0.5)))))
        edge = TICKS if swung or line.step == FINE else PULSE
        for start in range(0, length, edge):
            cost = price + _start_cost((line.onsets[0] - start) % length, length, beats)
            found.append((cost + line.bits(length, start, beats, lags), metre, start))
    found.sort(key=lambda choice: choice[0])
    best = found[0]
    other = next((c for c in found[1:] if c[1:] != best[1:]), (best[0] + 20, best[1], best[2]))
    return Choice(best[1], Fraction(best[2], TICKS), best[0], other[0] - best[0])


def _start_cost(place: int, length: int, beats: Sequence[int]) -> float:
    """Bits of a first note at a place of the bar."""
    if not place:
        return STARTS[0]
    kind = 1 if place % PULSE == 0 and place // PULSE in beats else 2 if place % PULSE == 0 else 3
    return STARTS[kind] + (LONG_PICKUP if place * 2 < length else 0.0)


class _Line:
    """Notes in ticks, and the pulse in which they are told."""

    def __init__(self, notes: Sequence[Taken]) -> None:
        self.onsets = [round(note.onset * TICKS) for note in notes]
        self.midis = [note.midis[0] for note in notes]
        between = sum(1 for onset in self.onsets if onset % PULSE)
        self.step = FINE if between > MANY * len(notes) else PULSE

    def bits(self, length: int, start: int, beats: Sequence[int], lags: int) -> float:
        """Return the bits that the notes take in bars of a length, the first of which begins at `start`."""
        step, places = self.step, -(-length // self.step)
        on: list[list[int]] = [[0] * places, [0] * (2 * places)]
        low, changed = [[0, 0], [0, 0]], [[0, 0], [0, 0], [0, 0]]
        lowest: dict[int, int] = {}
        where: list[tuple[int, int, int]] = []  # bar, place in ticks, pitch
        seen = (-1, -1)
        beside = 0
        for onset, midi in zip(self.onsets, self.midis, strict=True):
            bar, place = divmod(onset - start, length)
            where.append((bar, place, midi))
            if midi < lowest.get(bar, 999):
                lowest[bar] = midi
            index, off = divmod(place, step)
            if off:
                beside += 1
            elif (bar, index) != seen:
                on[0][index] += 1
                on[1][index + (bar % 2) * places] += 1
                seen = (bar, index)
        strong = {beat * PULSE for beat in beats}
        kinds = [2] * places
        for place in strong:
            kinds[place // step] = 1
        kinds[0] = 0
        told: dict[tuple[int, int], int] = {}
        bases: dict[int, int] = {}
        foreseen = [0] * (lags + 1)
        before = -1
        for bar, place, midi in where:
            fresh = (
                bar not in bases
            )  # a bar's first note is told itself, the others by their distance from it
            base = bases.setdefault(bar, midi)
            told[bar, place] = midi - base
            for lag in range(1, lags + 1):
                if fresh:
                    same = bases.get(bar - lag) == midi
                    step_up = bases.get(bar - lag, 0) - bases.get(bar - lag - 1, -99)
                    foreseen[lag] += same or (lag > 1 and midi - bases.get(bar - 1, 0) == step_up)
                else:
                    foreseen[lag] += told.get((bar - lag, place)) == midi - base
            kind = 0 if not place else 1 if place in strong else 2
            low[kind > 0][midi != lowest[bar]] += 1
            changed[kind][midi == before] += 1
            before = midi
        total = BESIDE * beside
        for rows, expected in ((low, LOWEST), (changed, CHANGED)):
            for (yes, no), (a, b) in zip(rows, expected, strict=True):
                total += _count(yes, no, a, b)
        total += min(
            _pitches(yes, len(where) - yes) + (LONGER if lag > 1 else 0.0)
            for lag, yes in enumerate(foreseen)
            if lag
        )
        return total + min(
            self._rhythm(on[0], kinds, length, start, 1),
            LONGER + self._rhythm(on[1], kinds, length, start, 2),
        )

    def _rhythm(self, on: Sequence[int], kinds: Sequence[int], length: int, start: int, bars: int) -> float:
        """Bits of where notes begin in a figure of so many bars."""
        total, places = 0.0, len(kinds)
        first, last = self.onsets[0] - start, self.onsets[-1] - start
        for index, yes in enumerate(on):
            place = index // places * length + index % places * self.step
            whole = (last - place) // (length * bars) - -(-(first - place) // (length * bars)) + 1
            total += _count(yes, max(whole - yes, 0), *(DOWNBEAT, BEAT, BETWEEN)[kinds[index % places]])
        return total


@lru_cache(maxsize=20_000)
def _pitches(foretold: int, other: int) -> float:
    """Bits of pitches of which an earlier bar foretells some. As many as by chance are worth nothing."""
    bits: float = min(
        -foretold * log(trust + (1 - trust) * CHANCE, 2) - other * log((1 - trust) * CHANCE, 2)
        for trust in TRUST
    )
    return bits


@lru_cache(maxsize=20_000)
def _count(yes: int, no: int, a: float, b: float) -> float:
    """Bits of so many yes and no in a row, one told after the other from a Beta distribution."""
    told = lgamma(a + yes) + lgamma(b + no) - lgamma(a + b + yes + no)
    bits: float = -(told + lgamma(a + b) - lgamma(a) - lgamma(b)) / log(2)
    return bits
