"""The groups of 7/8 and its like: sources show them by their beams, seldom in the time signature."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import accumulate

from music21 import note

from scribe.exchange.m21.pitches import span_of
from scribe.music.metre import Metre, usual_groups

MOST = 19  # units of a metre whose groups are looked for
Beam = tuple[Fraction, Fraction]  # from the first note to the end of the last


def beams_of(things: Iterable[tuple[Fraction, note.GeneralNote]]) -> list[Beam]:
    """Return the beams of a bar."""
    found: list[Beam] = []
    start: Fraction | None = None
    for onset, each in things:
        if not isinstance(each, note.NotRest) or not each.beams.beamsList:
            continue
        kind = each.beams.beamsList[0].type
        if kind == "start":
            start = onset
        elif kind == "stop" and start is not None:
            found.append((start, onset + span_of(onset, each.duration.quarterLength)))
            start = None
    return found


def grouped(metre: Metre, bars: Sequence[Sequence[Beam]], onsets: Sequence[Fraction]) -> Metre:
    """Return an asymmetric metre of eighths or less with the groups that its beams show.

    Where they leave a choice, those on which most notes begin (`onsets`, of all bars), then the usual ones.
    """
    if metre.kind != "asymmetric" or metre.groups or metre.unit <= 4 or metre.count > MOST:
        return metre
    usual = usual_groups(metre.count)

    def worth(groups: tuple[int, ...]) -> tuple[int, int, bool]:
        edges = [each * metre.unit_length for each in accumulate(groups, initial=0)]
        return _agreement(edges, bars), sum(onset in edges for onset in onsets), groups == usual

    return metre._replace(groups=max(_sums(metre.count), key=worth))


def _agreement(edges: Sequence[Fraction], bars: Sequence[Sequence[Beam]]) -> int:
    return sum(
        (start in edges) + (end in edges) - 2 * sum(1 for edge in edges if start < edge < end)
        for beams in bars
        for start, end in beams
    )


def _sums(count: int) -> Iterator[tuple[int, ...]]:
    """Every row of twos and threes that adds up to a count; one group where there is none."""
    if count < 2:
        yield (count,)
        return
    for first in (2, 3):
        if first == count:
            yield (first,)
        elif count - first >= 2:
            for rest in _sums(count - first):
                yield (first, *rest)
