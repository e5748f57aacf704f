"""Performed swing back to straight notation, for times that were played or imported, not typed."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from scribe.music.inforce import Feel
from scribe.music.metre import Metre
from scribe.music.notate.bar import Stretch

UNITS = {"8": Fraction(1), "16": Fraction(1, 2)}  # the pair that is swung, in quarters


def pair(feel: Feel) -> Fraction | None:
    """Return the length of the swung pair in quarters, None when nothing is swung (`straight`)."""
    return None if feel.name == "straight" else UNITS[feel.unit or "8"]


def long_share(feel: Feel) -> Fraction:
    """Return what the first of a pair takes: 2/3, or as the ratio says (r / (r + 1))."""
    long, short = feel.ratio or (2, 1)
    return Fraction(long, long + short)


def written_time(onset: Fraction, feel: Feel) -> Fraction:
    """Return where a time (quarters) that was played with a feel is written.

    The off-beat of each pair goes to its middle; any other point of a pair stays, so that real triplets stay triplets.
    Written straight eighths plus a mark are the modern way (rule 17).
    """
    size = pair(feel)
    if size is None:
        return onset
    whole, rest = divmod(onset, size)
    return whole * size + size / 2 if rest == size * long_share(feel) else onset


def straighten(spans: Sequence[Stretch], metre: Metre, feel: Feel) -> tuple[Stretch, ...]:
    """Return the stretches of a bar that starts on its first beat as they are written under a feel.

    Only pairs whose one inner point is the swung off-beat are changed: two thirds + one third under `swing` becomes
    two eighths, three triplet eighths stay. Compound metres have no swung pairs and stay as they are.
    """
    size = pair(feel)
    if size is None or metre.kind == "compound" or not spans:
        return tuple(spans)
    edges = [spans[0].onset, *(span.onset + span.length for span in spans)]
    inner: dict[Fraction, set[Fraction]] = {}
    for edge in edges:
        if edge % size:
            inner.setdefault(edge // size * size, set()).add(edge)
    moved = {e: written_time(e, feel) for points in inner.values() if len(points) == 1 for e in points}
    out = []
    for span in spans:
        start, end = span.onset, span.onset + span.length
        start, end = moved.get(start, start), moved.get(end, end)
        out.append(span._replace(onset=start, length=end - start))
    return tuple(out)
