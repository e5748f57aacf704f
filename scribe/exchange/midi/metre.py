"""The metre and the first beat of notes on a grid: the bars that tell them with the fewest bits.

For every metre and first beat that is tried, the notes are told bar by bar: at each place of the bar whether a note
begins (strong places are expected to have one), whether it is the lowest of its bar and another pitch than the one
before (expected of the first beat: bass lines change there), and whether it does what the bar before did. Counts are
told with Beta distributions (Krichevsky and Trofimov's estimator and its kin), so a longer bar must pay for its places.
What is expected, and how usual a metre is: common practice of bass lines, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil, lgamma, log
from typing import NamedTuple

from scribe.exchange.midi.quantise import Taken
from scribe.music.metre import Metre

PULSE = Fraction(1, 2)  # quarters
FINE = Fraction(1, 4)
MANY = 0.15  # of the notes between the pulses: then 16ths are looked at
# Metre, the places of its beats in eighths, and the bits that it costs to be an unusual one.
TRIED = (
    (Metre(4, 4), (0, 2, 4, 6), 0.0), (Metre(3, 4), (0, 2, 4), 4.0), (Metre(12, 8), (0, 3, 6, 9), 6.0),
    (Metre(6, 8), (0, 3), 6.0), (Metre(5, 4), (0, 2, 4, 6, 8), 9.0), (Metre(7, 8), (0, 2, 4), 9.0),
    (Metre(7, 8), (0, 3, 5), 11.0),
)  # fmt: skip
DOWNBEAT, BEAT, BETWEEN = (5.0, 0.4), (1.5, 1.0), (0.6, 1.4)  # begins a note, or not
LOWEST = ((2.5, 1.0), (1.0, 3.0))  # on the first beat, elsewhere
CHANGED = ((5.0, 1.0), (2.0, 1.0), (1.0, 1.5))  # on the first beat, on others, between beats
NEW = 2.0  # bits of a pitch that the bar before does not foretell
FASTEST = 290.0  # quarters a minute
SELDOM, BUSY = 1.2, 2.3  # notes a quarter: fewer are no quarters read as eighths; more are hardly eighths
REPEATED = 0.25  # of the notes on the pitch before: a walking line moves, eighths stay
WALTZ = 185.0  # quarters a minute: three faster ones are rather a beat of a slow 12/8
USUAL, WIDTH = 125.0, 0.3  # quarters a minute; octaves of tempo around it
PICKUP, LONG_PICKUP = 1.5, 6.0  # bits of one, and of one longer than half a bar


class Choice(NamedTuple):
    """A metre and where its first beat lies, in quarters; `bits` it takes; `margin`: what the next best takes more."""

    metre: Metre
    start: Fraction
    bits: float
    margin: float


def pulse_of(notes: Sequence[Taken]) -> Fraction:
    """Return the pulse in which notes are told, in quarters."""
    between = sum(1 for note in notes if (note.onset / PULSE).denominator > 1)
    return FINE if between > MANY * len(notes) else PULSE


def find_metre(notes: Sequence[Taken], *, simple: bool, step: Fraction | None = None) -> Choice:
    """Return what suits notes best; `simple`: their beats divide in two (they are swung). `step`: the pulse."""
    found: list[tuple[float, Metre, Fraction]] = []
    step = step or pulse_of(notes)
    first = notes[0].onset
    for metre, beats, price in TRIED:
        if simple and metre.unit != 4:
            continue
        edge = PULSE if step == PULSE and not simple else Fraction(1)
        for place in range(int(metre.length / edge)):
            start = edge * place
            before = (start - first) % metre.length
            cost = price
            if before:
                cost += LONG_PICKUP if before * 2 > metre.length else PICKUP
            found.append(
                (cost + _bits(notes, metre.length, start, {b * PULSE for b in beats}, step), metre, start)
            )
    found.sort(key=lambda choice: choice[0])
    best = found[0]
    other = next(c for c in found[1:] if c[1:] != best[1:])
    return Choice(best[1], best[2], best[0], other[0] - best[0])


def _bits(
    notes: Sequence[Taken], length: Fraction, start: Fraction, beats: set[Fraction], step: Fraction
) -> float:
    """Return the bits that the notes take in bars of a length, the first of which begins at `start`."""
    places: dict[Fraction, set[int]] = defaultdict(set)
    lowest: dict[int, int] = {}
    where = []
    for note in notes:
        bar, place = divmod(note.onset - start, length)
        place -= place % step
        where.append((int(bar), place))
        places[place].add(int(bar))
        lowest[int(bar)] = min(lowest.get(int(bar), 999), note.midis[0])
    first, last = notes[0].onset, notes[-1].onset
    total = 0.0
    for index in range(int(length / step)):
        place = step * index
        bars = int((last - start - place) // length) - ceil((first - start - place) / length) + 1
        on = len(places[place])
        total += _count(
            on, max(bars - on, 0), *(DOWNBEAT if not index else BEAT if place in beats else BETWEEN)
        )
    low, changed = [[0, 0], [0, 0]], [[0, 0], [0, 0], [0, 0]]
    told: dict[tuple[int, Fraction], int] = {}
    base: dict[int, int] = {}
    before = None
    foreseen = 0
    for note, (bar, place) in zip(notes, where, strict=True):
        midi = note.midis[0]
        base.setdefault(bar, midi)
        told[bar, place] = midi - base[bar]
        low[place > 0][midi != lowest[bar]] += 1
        changed[0 if not place else 1 if place in beats else 2][midi == before] += 1
        foreseen += told.get((bar - 1, place)) == midi - base[bar]
        before = midi
    for rows, expected in ((low, LOWEST), (changed, CHANGED)):
        for (yes, no), (a, b) in zip(rows, expected, strict=True):
            total += _count(yes, no, a, b)
    return total + _count(foreseen, len(notes) - foreseen, 1.0, 1.0) + NEW * (len(notes) - foreseen)


def _count(yes: int, no: int, a: float, b: float) -> float:
    """Bits of so many yes and no in a row, one told after the other from a Beta distribution."""
    told = lgamma(a + yes) + lgamma(b + no) - lgamma(a + b + yes + no)
    bits: float = -(told + lgamma(a + b) - lgamma(a) - lgamma(b)) / log(2)
    return bits


def twice_as_fast(notes: Sequence[Taken], bpm: float, *, simple: bool) -> bool:
    """Whether notes found at so many quarters a minute read better at twice the tempo: a walking line, not eighths."""
    often = len(notes) / float(notes[-1].onset - notes[0].onset or 1)
    same = sum(1 for a, b in pairwise(notes) if a.midis == b.midis) / len(notes)
    if bpm * 2 > FASTEST or often < SELDOM or (same > REPEATED and often < BUSY):
        return False
    step = pulse_of(notes)
    fast = [note._replace(onset=note.onset * 2, end=note.end * 2) for note in notes]
    slow = find_metre(notes, simple=simple, step=step)
    if slow.metre.kind == "compound" and bpm * 2 > WALTZ:
        return False
    return find_metre(fast, simple=simple, step=step * 2).bits + _unusual(bpm * 2) < slow.bits + _unusual(bpm)


def _unusual(bpm: float) -> float:
    """Bits of a tempo."""
    bits: float = (log(bpm / USUAL, 2) / WIDTH) ** 2 / 2 / log(2)
    return bits
