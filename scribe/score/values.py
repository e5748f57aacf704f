"""Written values as music21 durations, with nested tuplets."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from music21 import duration

from scribe.music.written import VALUES, Tuplet, WrittenBar


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
