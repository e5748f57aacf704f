"""Learns how much each kind of cost counts when MIDI files are read (`scribe/exchange/midi/weights.py`).

`python -m tests.benchmarks.exchange_midi_fit` plays the demos, lines made up at random and printed lines of half of
music21's corpus, lets the search try all bars of all its readings, and makes the right ones as likely as can be: a
log-linear model with logarithms to base 2, its weights held near those that a hand set first, by gradients alone. It
prints the weights; what they are worth on other files is for `exchange_midi` to say.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

import numpy as np

from scribe.exchange.midi.choice import beat_costs, in_bars
from scribe.exchange.midi.file import read_midi
from scribe.exchange.midi.metre import COMPOUND, SIMPLE, TICKS, UNEVEN, Row, bars_tried
from scribe.exchange.midi.part import choose, with_players
from scribe.exchange.midi.quantise import on_grid, played_grids
from scribe.exchange.midi.weights import BarCosts, BeatCosts
from tests.benchmarks.played_lines import KINDS, SCATTER, Take, demos, first_note, printed, take
from tests.test_exchange_midi import played

SEEDS = range(500, 520)
WORKS, SEED, HALF = 330, 11, 0
ROWS: tuple[Row, ...] = (*SIMPLE, *UNEVEN, *COMPOUND)
NAMES = (
    *(name for name in BarCosts._fields if name != "unusual"),
    *BeatCosts._fields,
    *(f"{row[0].count}/{row[0].unit} of {len(row[1])} beats, second at {row[1][1]}" for row in ROWS[1:]),
)
# What a hand set: one for bits, else bits. Deviations from it have these standard deviations.
FIRST = (
    1, 1, 1, 1, 1, 1, 1, 1, 0, 0, 1.8, 4.3, 6.3, 4, 4.5, 0, 4.5, 0,
    2.9, 0, 2.9, 0, 1, 1.5, 1.5, 0,
    4, 9, 9, 11, 6, 6,
)  # fmt: skip
LOOSE = tuple(0.5 if name in ("misfit", *BarCosts._fields[:8]) else 3.0 for name in NAMES)
NOT_BELOW_ZERO = (
    "misfit",
    *BarCosts._fields[:8],
    *(name for name in NAMES if name.endswith("_far")),
)
PRINTED = 0.15  # what a printed line counts: not what bass players bring, and its tempo is drawn
ROUNDS = 1500


class Tried(NamedTuple):
    """All that was tried for a take: what it costs, a row each (of NAMES), and which of them are right."""

    kind: str
    costs: np.ndarray
    right: np.ndarray


def tries(each: Take) -> Tried:
    """Return all that the search tries for a take."""
    data = played(each.piece, each.bpm, each.scatter, 0.008, 0.7, each.seed)
    contents = with_players(read_midi(data))
    voice = choose(contents, None)
    last = each.piece.bars[-1].in_force
    first = each.piece.bars[0]
    into = first_note((bar.music.length, bar.events) for bar in each.piece.bars)
    rows, right = [], []
    for grid in played_grids(voice, contents):
        found = on_grid(voice, contents, grid)
        quarters = (found.bpm or 0) * (1.5 if found.threes else 1.0)
        near = abs(quarters / each.bpm - 1) < 0.03 and found.feel.unit == first.in_force.feel.unit
        metres, where = in_bars(found)
        beats = tuple(beat_costs(found))
        for row, start, costs in bars_tried(found.notes, metres, **where):
            rows.append((*costs[:-1], *beats, *(float(row == other) for other in ROWS[1:])))
            same = (row[0].count, row[0].unit) == (last.metre.count, last.metre.unit)
            place = found.notes[0].onset - Fraction(start, TICKS) - into
            right.append(near and same and place % row[0].length == 0)
    return Tried(each.kind, np.array(rows).reshape(-1, len(NAMES)), np.array(right, dtype=bool))


def fit(tried: Sequence[Tried]) -> np.ndarray:
    """Return the weights that make what is right likely, by Adam's rule (Kingma and Ba, 2015, from memory)."""
    first, loose = np.array(FIRST, dtype=float), np.array(LOOSE)
    low = np.array([0.0 if name in NOT_BELOW_ZERO else -np.inf for name in NAMES])
    weights, mean, square = first.copy(), np.zeros(len(NAMES)), np.zeros(len(NAMES))
    known = [each for each in tried if each.right.any()]
    for step in range(1, ROUNDS + 1):
        slope = (weights - first) / loose**2
        for each in known:
            bits = each.costs @ weights
            chance = np.exp2(bits.min() - bits)
            right = np.exp2(bits[each.right].min() - bits) * each.right
            count = PRINTED if each.kind.startswith("printed") else 1.0
            slope += count * np.log(2) * (each.costs.T @ (right / right.sum() - chance / chance.sum()))
        mean = 0.9 * mean + 0.1 * slope
        square = 0.999 * square + 0.001 * slope**2
        rate = 0.05 * (1 - step / ROUNDS)
        change = mean / (1 - 0.9**step) / (np.sqrt(square / (1 - 0.999**step)) + 1e-9)
        weights = np.maximum(weights - rate * change, low)
    return weights


def hits(tried: Iterable[Tried], weights: np.ndarray) -> Iterator[tuple[str, int, int, int]]:
    """Give kind, how many are right, how many could be, how many there are."""
    best, could, count = Counter[str](), Counter[str](), Counter[str]()
    for each in tried:
        count[each.kind] += 1
        if len(each.right):
            best[each.kind] += int(each.right[np.argmin(each.costs @ weights)])
            could[each.kind] += int(each.right.any())
    for kind in count:
        yield kind, best[kind], could[kind], count[kind]


def takes() -> Iterator[Take]:
    """What is learned from."""
    for scatter in SCATTER:
        yield from demos(scatter)
    for kind in KINDS:
        for seed in SEEDS:
            yield take(kind, seed, SCATTER[seed % len(SCATTER)])
    yield from printed(WORKS, SEED, HALF)


def main() -> None:
    """Learn, and print the weights."""
    tried = [tries(each) for each in takes()]
    weights = fit(tried)
    print("right before and after, could be, of:")
    before = hits(tried, np.array(FIRST, dtype=float))
    for (kind, old, could, count), (_, new, _, _) in zip(before, hits(tried, weights), strict=True):
        print(f"  {kind:16} {old:3} {new:3} {could:3} {count:3}")
    for name, weight in zip(NAMES, weights, strict=True):
        print(f"  {name:32} {weight:6.2f}")


if __name__ == "__main__":
    main()
