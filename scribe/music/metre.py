"""Metres: how long a bar is, where its beats lie, how many words it may be divided into."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

Kind = Literal["simple", "compound", "asymmetric"]
FINEST = 32  # 128th notes in a quarter: the shortest value on the page
DEFAULT_GROUPS = {5: (2, 3), 7: (2, 2, 3), 8: (3, 3, 2), 10: (3, 3, 2, 2), 11: (3, 3, 3, 2)}


@lru_cache(maxsize=256)
def _quarters(count: int, unit: int) -> Fraction:
    """So many of a unit in quarters; asked for several times a bar."""
    return Fraction(4 * count, unit)


class Share(NamedTuple):
    """A stretch of a bar, in quarters from the bar's start."""

    start: Fraction
    length: Fraction


class Metre(NamedTuple):
    """`beats`/`unit` with the groups as typed (empty if none were). Lengths are in quarters."""

    count: int  # type: ignore[assignment]  # hides tuple.count, which nobody needs
    unit: int
    groups: tuple[int, ...] = ()

    @property
    def unit_length(self) -> Fraction:
        """The length of the lower number's note: 1 for x/4, 1/2 for x/8."""
        return _quarters(1, self.unit)

    @property
    def length(self) -> Fraction:
        """The length of a full bar."""
        return _quarters(self.count, self.unit)

    @property
    def kind(self) -> Kind:
        """Compound: 6, 9, 12 … over anything. Asymmetric: typed groups, or a count like 5, 7, 8/8, 11. Else simple."""
        if self.groups:
            return "asymmetric"
        if self.count >= 6 and self.count % 3 == 0:
            return "compound"
        if self.count in (1, 2, 3, 4) or (self.unit <= 2 and self.count % 2 == 0):
            return "simple"
        return "asymmetric"

    @property
    def beat_lengths(self) -> tuple[Fraction, ...]:
        """Lengths of the beats: units in simple metre, three units in compound, the groups in asymmetric.

        An asymmetric metre without typed groups gets the usual ones (2+3, 2+2+3, …) for beams and rests only; see
        `word_counts`.
        """
        unit = self.unit_length
        if self.kind == "simple":
            return (unit,) * self.count
        if self.kind == "compound":
            return (3 * unit,) * (self.count // 3)
        return tuple(unit * g for g in (self.groups or usual_groups(self.count, self.unit)))

    def word_counts(self) -> dict[int, tuple[Share, ...]]:
        """Return the numbers of beat words a full bar may hold, each with the stretch of every word."""
        return _word_counts(self)

    def __str__(self) -> str:
        groups = " " + "+".join(map(str, self.groups)) if self.groups else ""
        return f"{self.count}/{self.unit}{groups}"


@lru_cache(maxsize=256)
def _word_counts(metre: Metre) -> dict[int, tuple[Share, ...]]:
    unit = metre.unit_length
    full = metre.length
    counts: dict[int, tuple[Share, ...]] = {1: (Share(Fraction(0), full),)}
    if metre.kind == "asymmetric":
        if metre.groups:
            counts[len(metre.groups)] = _row(tuple(unit * g for g in metre.groups))
        counts[metre.count] = _row((unit,) * metre.count)
        return dict(sorted(counts.items()))
    beats = metre.beat_lengths
    if len(beats) % 2 == 0:
        half = len(beats) // 2
        counts[half] = _row((beats[0] * 2,) * half)
    counts[len(beats)] = _row(beats)
    finer = 2 if metre.kind == "simple" else 3
    counts[len(beats) * finer] = _row((beats[0] / finer,) * (len(beats) * finer))
    return dict(sorted(counts.items()))


def usual_groups(count: int, unit: int = 8) -> tuple[int, ...]:
    """Return the usual grouping of an asymmetric count: twos first, a three last (7 as 2+2+3; common practice).

    8/8 is 3+3+2, 8/4 twice 4/4 (so 36 of 38 bars of it in one half of the files that music21 brings).
    """
    if (count, unit) == (8, 4):
        return (4, 4)
    if count in DEFAULT_GROUPS:
        return DEFAULT_GROUPS[count]
    return (2,) * ((count - 3) // 2) + (3,) if count % 2 else (2,) * (count // 2)


def _row(lengths: tuple[Fraction, ...]) -> tuple[Share, ...]:
    shares, at = [], Fraction(0)
    for length in lengths:
        shares.append(Share(at, length))
        at += length
    return tuple(shares)


def parse_metre(text: str) -> Metre | None:
    """Read `4/4`, `7/8 2+2+3`; None if it is no metre, has more than 64 units, or its groups do not add up."""
    found = re.fullmatch(r"(\d{1,2})\s*/\s*(1|2|4|8|16|32)(?:\s+(\d+(?:\s*\+\s*\d+)*))?", text.strip())
    if not found or not 1 <= int(found[1]) <= 64:
        return None
    groups = tuple(int(g) for g in found[3].split("+")) if found[3] else ()
    if groups and (sum(groups) != int(found[1]) or 0 in groups):
        return None
    return Metre(int(found[1]), int(found[2]), groups)


def writable(length: Fraction) -> bool:
    """Tell whether a bar of so many quarters can be written: no part of a triplet, nothing shorter than a 128th."""
    return (length * FINEST).denominator == 1
