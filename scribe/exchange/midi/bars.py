"""Bars for notes on a grid: the metres that the file gives, else the metre and the first beat that fit best."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.midi.quantise import Taken
from scribe.music.metre import Metre

LONG = Fraction(2)  # quarters beyond which a longer note says no more about the beat
COUNTS = (4, 3)  # beats a bar that are tried, the usual one first
BETTER = {4: 1.12, 3: 1.3}  # how much more than the usual choice another one must explain


class Span(NamedTuple):
    """One bar, in quarters of the grid. `pickup`: it is the end of a bar."""

    start: Fraction
    length: Fraction
    metre: Metre
    pickup: bool = False


def lay_out(
    notes: Sequence[Taken], metres: Sequence[tuple[Fraction, int, int]], *, threes: bool = False
) -> tuple[list[Span], str]:
    """Return the bars from the first that sounds to the last, and a remark on what was found.

    `metres`: (time, count, unit) as the file has them; empty if it says nothing about bars. `threes`: beats of three
    eighths.
    """
    end = max(note.end for note in notes)
    if metres:
        return _trimmed(_given(metres, end), notes), ""
    beat = Fraction(3, 2) if threes else Fraction(1)
    count, phase = _found(notes, beat)
    metre = Metre(3 * count, 8) if threes else Metre(count, 4)
    first = notes[0].onset
    start = phase * beat
    while start > first:
        start -= metre.length
    while start + metre.length <= first:
        start += metre.length
    spans = []
    while start < end:
        spans.append(Span(start, metre.length, metre))
        start += metre.length
    return _trimmed(spans, notes), f"{metre} found"


def _given(metres: Sequence[tuple[Fraction, int, int]], end: Fraction) -> list[Span]:
    spans: list[Span] = []
    at = Fraction(0)
    metre = Metre(4, 4)
    changes = [(t, Metre(min(max(c, 1), 64), min(u, 32))) for t, c, u in metres]
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


def _found(notes: Sequence[Taken], length: Fraction) -> tuple[int, int]:
    """Return beats a bar and the first downbeat, `length` quarters a beat: long notes begin on strong beats."""
    weights: dict[int, float] = {}
    for note in notes:
        beat = note.onset / length
        if beat.denominator == 1:
            weights[int(beat)] = weights.get(int(beat), 0.0) + float(min(note.end - note.onset, LONG))
    total = sum(weights.values())
    first = -(-notes[0].onset // length)
    usual = (COUNTS[0], int(first) % COUNTS[0])
    if not total:
        return usual
    worth = {
        (count, phase): count * sum(w for beat, w in weights.items() if beat % count == phase) / total
        for count in COUNTS
        for phase in range(count)
    }
    best = max(worth, key=lambda choice: (worth[choice] / BETTER[choice[0]], choice == usual))
    return best if worth[best] > worth[usual] * BETTER[best[0]] else usual
