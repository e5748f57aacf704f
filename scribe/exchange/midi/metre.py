"""The metre and the first beat of notes on a grid: of all bars that are tried, those that cost the fewest bits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import log2
from typing import NamedTuple

from scribe.exchange.midi.quantise import Taken
from scribe.exchange.midi.telling import FINE, PULSE, TICKS, Teller
from scribe.exchange.midi.weights import BarCosts, weigh
from scribe.music.metre import Metre

# Metre, the places of its beats in eighths, and the bits of it (learned, see `weights.py`).
SIMPLE = (
    (Metre(4, 4), (0, 2, 4, 6), 0.0), (Metre(3, 4), (0, 2, 4), 4.39), (Metre(5, 4), (0, 2, 4, 6, 8), 8.84),
)  # fmt: skip
UNEVEN = ((Metre(7, 8), (0, 2, 4), 8.38), (Metre(7, 8), (0, 3, 5), 11.58))
COMPOUND = ((Metre(12, 8), (0, 3, 6, 9), 5.73), (Metre(6, 8), (0, 3), 4.50))
# Bars and seconds: no later may a figure come again (Fraisse's psychological present, from memory).
LAGS, PRESENT = 4, 8.0
BAR = 2.0  # seconds that a bar may well last


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
    every = bars_tried(notes, metres, swung=swung, quarter=quarter)
    found = sorted(((weigh(costs), row[0], start) for row, start, costs in every), key=lambda each: each[0])
    best = found[0]
    other = next((each for each in found[1:] if each[1:] != best[1:]), (best[0] + 20, *best[1:]))
    return Choice(best[1], Fraction(best[2], TICKS), best[0], other[0] - best[0])


def bars_tried(
    notes: Sequence[Taken], metres: Sequence[Row], *, swung: bool = False, quarter: float | None = None
) -> Iterator[tuple[Row, int, BarCosts]]:
    """Give every metre, every tick where its first bar may begin, and what these bars cost; see `find_metre`."""
    teller = Teller(notes)
    for row in metres:
        metre, beats, unusual = row
        length = int(metre.length * TICKS)
        lasting = _lasting(metre, quarter)
        lags = min(LAGS, max(1, int(PRESENT / (float(metre.length) * (quarter or 0.5)))))
        edge = TICKS if swung or teller.step == FINE else PULSE
        for start in range(0, length, edge):
            costs = teller.costs(length, start, beats, lags)
            first = _beginning((teller.onsets[0] - start) % length, length, beats)
            yield row, start, costs._replace(**lasting, **first, unusual=unusual)


def _lasting(metre: Metre, quarter: float | None) -> dict[str, float]:
    """How long bars last, as costs."""
    if quarter is None:
        return {}
    longer = log2(float(metre.length) * quarter / BAR)
    kind = "compound_bar" if metre.kind == "compound" else "bar"
    return {f"{kind}_longer": longer, f"{kind}_far": longer**2}


def _beginning(place: int, length: int, beats: Sequence[int]) -> dict[str, float]:
    """Where in its bar the first note lies, as costs."""
    if not place:
        return {}
    kind = "off_pulse" if place % PULSE else "on_beat" if place // PULSE in beats else "off_beat"
    return {f"begins_{kind}": 1.0, "long_pickup": float(place * 2 < length)}
