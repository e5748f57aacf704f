"""Metres for a source that names none: by the lengths of its bars, and by where their notes begin and end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from scribe.exchange.model import Bar, Event
from scribe.exchange.values import metre_for
from scribe.music.metre import Metre

# Metres that a bar may be in, the likelier first (common practice, no source).
USUAL = [Metre(count, unit) for count, unit in (
    (2, 4), (3, 4), (4, 4), (3, 2), (4, 2), (6, 8), (9, 8), (12, 8), (6, 4), (3, 8),
)]  # fmt: skip
OVER = 2  # a note that begins between beats and sounds on over the next
OFF = 1  # one that begins on a beat and ends inside another


def metred(bars: Sequence[Bar]) -> tuple[list[Bar], str]:
    """Return the bars, each in the metre that its length and the notes of all bars of this length suit best, and a
    remark that names the first metre. A shorter first bar is a pickup.
    """
    lengths = Counter(bar.length for bar in bars)
    made = {length: _metre([bar for bar in bars if bar.length == length]) for length in lengths}
    commonest = max(lengths, key=lambda length: (lengths[length], length))
    out = []
    for index, bar in enumerate(bars):
        pickup = index == 0 and bar.length < commonest and len(bars) > 1
        metre = made[commonest if pickup else bar.length]
        out.append(replace(bar, metre=metre or bar.metre, pickup=pickup and metre is not None))
    return out, f"no metre named, {out[0].metre} by its bars"


def _metre(bars: Sequence[Bar]) -> Metre | None:
    """The metre of bars of one length."""
    length = bars[0].length
    fitting = [metre for metre in USUAL if metre.length == length]
    if not fitting:
        return metre_for(length, Metre(4, 4))
    return min(fitting, key=lambda metre: sum(_crossing(e, metre) for bar in bars for e in bar.events))


def _crossing(event: Event, metre: Metre) -> int:
    """How much a note or a silence goes against the beats of a metre."""
    beats, at = [], Fraction(0)
    for length in metre.beat_lengths:
        beats.append(at)
        at += length
    beats.append(at)
    if not any(event.onset < beat < event.end for beat in beats):
        return 0
    if event.onset not in beats:
        return OVER
    return 0 if event.end in beats else OFF
