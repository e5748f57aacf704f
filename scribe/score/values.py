"""Written values as music21 durations, with nested tuplets."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate

from music21 import duration

from scribe.music.written import VALUES, Tuplet, Written, WrittenBar


def nominal(note: Written, tuplets: Sequence[Tuplet]) -> Fraction:
    """Return the length in quarters that the printed value says.

    Under a swing feel this is not the sounding length: two printed eighths share a beat equally.
    """
    if note.measure_rest:  # drawn as a whole rest in every metre
        return note.length
    length = VALUES[note.value][2] * (2 - Fraction(1, 2**note.dots))
    at = note.tuplet
    while at is not None:
        length = length * tuplets[at].normal / tuplets[at].actual
        at = tuplets[at].parent
    return length


def starts(bar: WrittenBar) -> list[Fraction]:
    """Return where each written note stands, in printed quarters from the bar's start, and the bar's end."""
    return list(accumulate((nominal(n, bar.tuplets) for n in bar.notes), initial=Fraction(0)))


def printed_place(onset: Fraction, bar: WrittenBar, places: Sequence[Fraction]) -> Fraction:
    """Return where a sounding onset stands among the printed values (which differ under a swing feel)."""
    for note, start, end in zip(bar.notes, places, places[1:], strict=False):
        if note.onset <= onset < note.onset + note.length:
            return start + (onset - note.onset) * (end - start) / note.length
    return onset


def durations(bar: WrittenBar) -> list[duration.Duration]:
    """Return one music21 duration for each written note; brackets start and stop where their tuplet does."""
    chains = [_chain(note.tuplet, bar.tuplets) for note in bar.notes]
    made = []
    for index, note in enumerate(bar.notes):
        if note.measure_rest:
            made.append(whole_bar(note.length))
            continue
        length = duration.Duration(type=VALUES[note.value][0], dots=note.dots)
        before = chains[index - 1] if index else ()
        after = chains[index + 1] if index + 1 < len(chains) else ()
        for each in chains[index]:
            tuplet = bar.tuplets[each]
            length.appendTuplet(
                duration.Tuplet(
                    tuplet.actual,
                    tuplet.normal,
                    VALUES[tuplet.unit][0],
                    type=_edge(each not in before, each not in after),
                    bracket=tuplet.bracket,
                )
            )
        made.append(length)
    return made


def whole_bar(length: Fraction) -> duration.Duration:
    """Return the duration of a whole-bar rest: printed as a whole rest, lasting `length` quarters."""
    made = duration.Duration(type="whole")
    if length != 4:
        made.linked = False
        made.quarterLength = length
    return made


def _chain(index: int | None, tuplets: Sequence[Tuplet]) -> tuple[int, ...]:
    """Return the tuplets around a note, outermost first."""
    chain: list[int] = []
    while index is not None:
        chain.insert(0, index)
        index = tuplets[index].parent
    return tuple(chain)


def _edge(first: bool, last: bool) -> duration.TupletType:
    if first and last:
        return "startStop"
    return "start" if first else "stop" if last else None
