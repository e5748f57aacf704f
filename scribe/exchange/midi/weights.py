"""How much each kind of cost counts when beats and bars are chosen; bits before and after.

The weights make the right readings of a set of files as likely as can be, held near what a hand once set (a log-linear
model, its logarithms to base 2): `python -m tests.benchmarks.exchange_midi_fit` found them with lines made up at
random, the demos, and lines of half of music21's corpus, all played with scatter; `exchange_midi` measures on others.
"""

from __future__ import annotations

from operator import mul
from typing import NamedTuple


class BarCosts(NamedTuple):
    """What a metre and a first beat cost.

    `rhythm`: where notes begin; `lowest_first`, `lowest`: whether a note on the first beat, or elsewhere, is the first
    of the lowest in its bar; `changed_first`, `changed_beat`,
    `changed`: whether the pitch is another one, on the first beat, on others, between them; `figure`: pitches that no
    earlier bar foretells; `beside`: notes beside the pulse; `two_bars`, `several_bars`: 1 if the rhythm is a figure of
    two bars, if pitches come again later than a bar later; `begins_…`: 1 if the first note lies there, `long_pickup`:
    1 if that is in the first half of its bar; `bar_far`, `bar_longer`: octaves, squared and not, that a bar lasts
    longer than usual, the like for bars of beats in three; `unusual`: bits of the metre itself.
    """

    rhythm: float
    lowest_first: float
    lowest: float
    changed_first: float
    changed_beat: float
    changed: float
    figure: float
    beside: float
    two_bars: float
    several_bars: float
    begins_on_beat: float = 0.0
    begins_off_beat: float = 0.0
    begins_off_pulse: float = 0.0
    long_pickup: float = 0.0
    bar_far: float = 0.0
    bar_longer: float = 0.0
    compound_bar_far: float = 0.0
    compound_bar_longer: float = 0.0
    unusual: float = 0.0


class BeatCosts(NamedTuple):
    """What beats and a feel cost.

    `tempo_far`, `tempo_higher`: octaves, squared and not, from the usual tempo, the like for beats in three; `misfit`:
    bits of the errors; `swung_eighths`, `swung_16ths`, `threes`: 1 if they are.
    """

    tempo_far: float = 0.0
    tempo_higher: float = 0.0
    compound_far: float = 0.0
    compound_higher: float = 0.0
    misfit: float = 0.0
    swung_eighths: float = 0.0
    swung_16ths: float = 0.0
    threes: float = 0.0


BARS = BarCosts(
    rhythm=0.47, lowest_first=0.15, lowest=0.24,
    changed_first=0.30, changed_beat=0.14, changed=0.18, figure=0.10,
    beside=0.70, two_bars=-3.02, several_bars=-1.98,
    begins_on_beat=0.65, begins_off_beat=2.40, begins_off_pulse=6.31, long_pickup=1.96,
    bar_far=2.77, bar_longer=2.34, compound_bar_far=0.0, compound_bar_longer=0.51, unusual=1.0,
)  # fmt: skip
BEATS = BeatCosts(
    tempo_far=4.36, tempo_higher=-2.53, compound_far=6.18, compound_higher=0.11, misfit=1.03,
    swung_eighths=2.69, swung_16ths=6.44, threes=-1.75,
)  # fmt: skip


def weigh(costs: BarCosts | BeatCosts) -> float:
    """Return the bits of some costs, each by its weight."""
    bits: float = sum(map(mul, BARS if isinstance(costs, BarCosts) else BEATS, costs))
    return bits
