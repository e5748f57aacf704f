"""What notes cost in bars of a length: the bits of telling them bar by bar, kind by kind.

At each place of the bar it is told whether a note begins (strong places are expected to have one), whether it is the
lowest of its bar, heard for the first time there, and another pitch than the one before (both expected of the first
beat: bass lines change there), and whether it does what an earlier bar did, up to four bars before: a figure may be
longer than a bar, and is no reason to take two bars for one. Counts are told with Beta distributions (Krichevsky and
Trofimov's estimator and its kin), so a longer bar must pay for its places, unless its beats are all divided alike.

That notes begin on strong places is Palmer and Krumhansl's finding (Mental representations for musical meter, 1990)
and Temperley's event rule (The Cognition of Basic Musical Structures, 2001), that a bass changes there is his bass
rule; all from memory.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import lru_cache
from math import lgamma, log

from scribe.exchange.midi.quantise import Taken
from scribe.exchange.midi.weights import BarCosts

TICKS = 240  # to a quarter: 16ths, triplets and fives of an eighth are whole
PULSE, FINE = TICKS // 2, TICKS // 4
MANY = 0.15  # of the notes between the pulses: then 16ths are looked at
BESIDE = 5.0  # bits of a note beside the pulse
# Begins a note, or not: on the first beat, on others, between them; the like below.
BEGUN = ((5.0, 0.4), (1.5, 1.0), (0.6, 1.4))
LOWEST = ((8.0, 2.0), (2.0, 6.0))  # on the first beat, elsewhere
CHANGED = ((16.0, 2.0), (4.0, 1.0), (2.0, 6.0))
CHANCE = 1 / 6  # that a pitch is the one foretold though nothing is played again
TRUST = (0.0, 0.2, 0.4, 0.6, 0.75, 0.85, 0.92, 0.97)  # in a bar before
LONGER = 2.0  # bits of saying that a figure is longer than a bar
ALIKE = 1.0  # bits of saying that all beats are divided alike


Note = tuple[int, int, int]  # its bar, its place there in ticks, its pitch


class Teller:
    """Notes in ticks, and the pulse in which they are told."""

    def __init__(self, notes: Sequence[Taken]) -> None:
        self.onsets = [round(note.onset * TICKS) for note in notes]
        self.midis = [note.midis[0] for note in notes]
        between = sum(1 for onset in self.onsets if onset % PULSE)
        self.step = FINE if between > MANY * len(notes) else PULSE

    def costs(self, length: int, start: int, beats: Sequence[int], lags: int) -> BarCosts:
        """Return the bits of notes in bars of a length in ticks, the first of which begins at `start`.

        `beats`: their places in eighths; `lags`: so many bars later a figure may come again.
        """
        strong = {beat * PULSE for beat in beats}
        where = [
            (*divmod(onset - start, length), midi)
            for onset, midi in zip(self.onsets, self.midis, strict=True)
        ]
        beside = sum(place % self.step > 0 for _, place, _ in where)
        lowest, changed = _lowest(where), _changed(where, strong)
        rhythm, two_bars = self._rhythm(where, length, start, strong)
        figure, several_bars = _figure(where, lags)
        return BarCosts(
            rhythm,
            *lowest,
            *changed,
            figure,
            BESIDE * beside,
            float(two_bars),
            float(several_bars),
        )

    def _rhythm(self, where: Sequence[Note], length: int, start: int, strong: set[int]) -> tuple[float, bool]:
        """Bits of where notes begin: in a figure of one bar or of two, or in beats that are all divided alike.

        Also: whether it is one of two.
        """
        struck = {(bar, place) for bar, place, _ in where if place % self.step == 0}
        begun = Counter(place for _, place in struck)
        halves = Counter((bar % 2, place) for bar, place in struck)
        first, last = self.onsets[0] - start, self.onsets[-1] - start

        def told(kind: int, yes: int, place: int, period: int) -> tuple[int, int, int]:
            whole = (last - place) // period - -(-(first - place) // period) + 1
            return kind, yes, max(whole - yes, 0)

        one, two = [], []
        alike: dict[tuple[int, int], tuple[int, int, int]] = {}
        beat = 0
        for place in range(0, length, self.step):
            beat = place if place in strong else beat
            kind = 0 if not place else 1 if place in strong else 2
            one.append(told(kind, begun[place], place, length))
            two.append(told(kind, halves[0, place], place, 2 * length))
            two.append(told(kind, halves[1, place], place + length, 2 * length))
            _, yes, no = alike.get((kind, place - beat), (kind, 0, 0))
            alike[kind, place - beat] = kind, yes + one[-1][1], no + one[-1][2]
        short = min(_begun(one), ALIKE + _begun(alike.values()))
        return min((short, False), (LONGER + _begun(two), True))


def _begun(rows: Iterable[tuple[int, int, int]]) -> float:
    return sum(_count(yes, no, *BEGUN[kind]) for kind, yes, no in rows)


def _lowest(where: Sequence[Note]) -> tuple[float, float]:
    """Bits of whether a note on the first beat, or elsewhere, is the first of the lowest in its bar."""
    lowest: dict[int, int] = {}
    for bar, _, midi in where:
        lowest[bar] = min(midi, lowest.get(bar, midi))
    told = [[0, 0], [0, 0]]
    heard: set[int] = set()
    for bar, place, midi in where:
        low = midi == lowest[bar]
        told[place > 0][not low or bar in heard] += 1
        if low:
            heard.add(bar)
    first, other = (_count(*counts, *expected) for counts, expected in zip(told, LOWEST, strict=True))
    return first, other


def _changed(where: Sequence[Note], strong: set[int]) -> tuple[float, float, float]:
    """Bits of whether the pitch is another one: on the first beat, on others, between them."""
    told = [[0, 0], [0, 0], [0, 0]]
    before = -1
    for _, place, midi in where:
        told[0 if not place else 1 if place in strong else 2][midi == before] += 1
        before = midi
    first, beats, other = (_count(*counts, *expected) for counts, expected in zip(told, CHANGED, strict=True))
    return first, beats, other


def _figure(where: Sequence[Note], lags: int) -> tuple[float, bool]:
    """Bits of pitches: a bar's first note is told itself, the others by their distance from it.

    Also: whether they come again later than in the next bar.
    """
    bases: dict[int, int] = {}
    told: dict[tuple[int, int], int] = {}
    foreseen = [0] * (lags + 1)
    for bar, place, midi in where:
        first = bar not in bases
        base = bases.setdefault(bar, midi)
        told[bar, place] = midi - base
        for lag in range(1, lags + 1):
            if first:
                same = bases.get(bar - lag) == midi
                step = bases.get(bar - lag, 0) - bases.get(bar - lag - 1, -99)
                foreseen[lag] += same or (lag > 1 and midi - bases.get(bar - 1, 0) == step)
            else:
                foreseen[lag] += told.get((bar - lag, place)) == midi - base
    return min(
        (_pitches(foreseen[lag], len(where) - foreseen[lag]) + (LONGER if lag > 1 else 0.0), lag > 1)
        for lag in range(1, lags + 1)
    )


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
