"""Hairpins: a draft's last to the next dynamic or hairpin, or to `'steady` where there is none at their end."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from music21 import dynamics, spanner

from scribe.exchange.loudness import is_dynamic
from scribe.exchange.m21.events import Place
from scribe.exchange.model import Bar, Sign
from scribe.source.directions import ACCENTS

PARTS = 6  # of a beat: where a hairpin begins inside a note; what is finer was placed by eye


def wedges(
    spans: Iterable[spanner.Spanner],
    places: Mapping[int, Place],
    bars: Sequence[Bar],
    late: Mapping[str, Fraction],
) -> tuple[dict[int, list[Sign]], list[tuple[int, str]]]:
    """Return the signs to add, by index of the bar, and what they do not say.

    `places`: see `Thread`. `late`: by a hairpin's number, how long after the start of its first note it begins.
    """
    starts = [sum((bar.length for bar in bars[:i]), Fraction(0)) for i in range(len(bars))]
    signs: dict[int, list[Sign]] = {}
    lost: list[tuple[int, str]] = []
    found = []
    for wedge in spans:
        if not isinstance(wedge, dynamics.DynamicWedge):
            continue
        spanned = [places[id(each)] for each in wedge.getSpannedElements() if id(each) in places]
        if spanned:
            begin = _begin(min(spanned), bars, late.get(str(wedge.idLocal), Fraction(0)))
            found.append((wedge, begin, min(spanned), max(spanned)))
    said = [
        (starts[index] + sign.onset, index, sign)
        for index, bar in enumerate(bars)
        for sign in bar.signs
        if sign.kind == "direction" and is_dynamic(sign.text)
    ]
    accents = [each for each in said if each[2].text in ACCENTS]
    levels = [starts[first.bar] + begin for _, begin, first, _ in found]
    levels += [at for at, _, sign in said if sign.text not in ACCENTS]
    final = starts[-1] + bars[-1].length if bars else Fraction(0)
    for wedge, onset, first, last in found:
        begin, end = starts[first.bar] + onset, starts[last.bar] + last.onset + last.length
        name = "cresc" if isinstance(wedge, dynamics.Crescendo) else "dim"
        near = starts[last.bar] + last.onset if last != first else begin
        behind = [at for at, _, _ in accents if at > begin and at >= near]
        goal = min([*(level for level in levels if level > begin), *behind], default=final)
        signs.setdefault(first.bar, []).append(Sign(onset, "direction", name))
        for at, index, sign in accents:
            if begin < at < min(near, goal):  # a sforzando ends a hairpin in a draft: it goes on behind it
                signs.setdefault(index, []).append(Sign(sign.onset, "direction", name))
        if goal < near:
            lost.append((first.bar, f"the end of a {name}. hairpin, in bar {bars[last.bar].number}"))
        elif end < goal:
            index = bisect_right(starts, end) - 1
            signs.setdefault(index, []).append(Sign(end - starts[index], "direction", "steady"))
    return signs, lost


def _begin(first: Place, bars: Sequence[Bar], late: Fraction) -> Fraction:
    """Where a hairpin begins in its bar: at its first note, or inside it at a beat or an even part of one."""
    inside = first.onset + late
    if 0 < late < first.length and (inside * bars[first.bar].metre.unit / 4 * PARTS).denominator == 1:
        return inside
    return first.onset
