"""Bars for notes on a grid: the metres that the file gives, else the metre and the first beat that fit best."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.midi.metre import Choice
from scribe.exchange.midi.quantise import USUAL, Taken, nearest
from scribe.music.metre import Metre


class Span(NamedTuple):
    """One bar, in quarters of the grid. `pickup`: it is the end of a bar."""

    start: Fraction
    length: Fraction
    metre: Metre
    pickup: bool = False


def lay_out(
    notes: Sequence[Taken], metres: Sequence[tuple[Fraction, int, int]], found: Choice | None
) -> list[Span]:
    """Return the bars from the first that sounds to the last: those found, else those of the file.

    `metres`: (time, count, unit) as the file has them.
    """
    end = max(note.end for note in notes)
    if found is None:
        return _trimmed(_given(metres, end), notes)
    start, length = found.start, found.metre.length
    start += (notes[0].onset - start) // length * length
    spans = []
    while start < end:
        spans.append(Span(start, length, found.metre))
        start += length
    return _trimmed(spans, notes)


def before(metres: Sequence[tuple[Fraction, int, int]], spans: Sequence[Span]) -> int:
    """Return how many bars of a file lie before the first of some, silent as they are."""
    start = spans[0].start
    return sum(bar.start + bar.length <= start for bar in _given(metres, start))


def _given(metres: Sequence[tuple[Fraction, int, int]], end: Fraction) -> list[Span]:
    spans: list[Span] = []
    at = Fraction(0)
    metre = Metre(4, 4)
    # A change that stands a few ticks beside its barline would leave every note after it between the beats.
    changes = [(nearest(t, USUAL), Metre(min(max(c, 1), 64), min(u, 32))) for t, c, u in metres]
    while at < end:
        for time, changed in changes:
            if time <= at:
                metre = changed
        following = next((time for time, _ in changes if time > at), None)
        length = metre.length if following is None else min(metre.length, following - at)
        spans.append(Span(at, length, metre))
        at += length
    if len(spans) > 1 and spans[0].length < spans[1].length and spans[0].metre != spans[1].metre:
        # Programs write a pickup as a bar in a metre of its own.
        spans[0] = spans[0]._replace(metre=spans[1].metre, pickup=True)
    return spans


def _trimmed(spans: list[Span], notes: Sequence[Taken]) -> list[Span]:
    """Leave out silent bars at the start; a first bar that is silent for half and more is a pickup."""
    first = notes[0].onset
    while len(spans) > 1 and spans[0].start + spans[0].length <= first:
        spans.pop(0)
    bar = spans[0]
    silent = first - bar.start
    if len(spans) > 1 and not bar.pickup and silent * 2 >= bar.length:
        beats, at = bar.metre.beat_lengths, Fraction(0)
        for beat in beats:
            if at + beat > silent:
                break
            at += beat
        if 0 < at < bar.length:
            spans[0] = Span(bar.start + at, bar.length - at, bar.metre, pickup=True)
    return spans
