"""Hairpins: a draft's last to the next dynamic, so only those that do are hairpins there; the rest become words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from music21 import dynamics, stream

from scribe.exchange.m21.events import Place, Struck
from scribe.exchange.model import Bar, Sign
from scribe.source.directions import DIRECTIONS


def wedges(
    part: stream.Part, played: Sequence[Struck], rests: Mapping[int, Place], bars: Sequence[Bar]
) -> tuple[dict[int, list[Sign]], list[tuple[int, str]]]:
    """Return the signs to add, by index of the bar, and what they do not say. `rests`: see `Thread`."""
    starts = [sum((bar.length for bar in bars[:i]), Fraction(0)) for i in range(len(bars))]
    places = {source: Place(each.bar, each.onset, each.length) for each in played for source in each.sources}
    places |= rests
    signs: dict[int, list[Sign]] = {}
    lost: list[tuple[int, str]] = []
    found = list(part.recurse().getElementsByClass(dynamics.DynamicWedge))
    hairpins = [
        [places[id(each)] for each in wedge.getSpannedElements() if id(each) in places] for wedge in found
    ]
    firsts = [min(spanned) for spanned in hairpins if spanned]
    levels = sorted(starts[each.bar] + each.onset for each in firsts)
    levels += sorted(
        starts[i] + sign.onset
        for i, bar in enumerate(bars)
        for sign in bar.signs
        if sign.kind == "direction" and DIRECTIONS[sign.text].kind == "dynamic"
    )
    levels.sort()
    final = starts[-1] + bars[-1].length if bars else Fraction(0)
    for wedge, spanned in zip(found, hairpins, strict=True):
        if not spanned:
            continue
        first, last = min(spanned), max(spanned)
        begin, end = starts[first.bar] + first.onset, starts[last.bar] + last.onset + last.length
        following = next((level for level in levels if level > begin), None)
        name = "cresc" if isinstance(wedge, dynamics.Crescendo) else "dim"
        near = starts[last.bar] + last.onset if last != first else end
        if near <= (final if following is None else following) <= end + bars[last.bar].length:
            signs.setdefault(first.bar, []).append(Sign(first.onset, "direction", name))
        else:
            signs.setdefault(first.bar, []).append(Sign(first.onset, "text", DIRECTIONS[name].words))
            lost.append((first.bar, f"the end of a {name}. hairpin, in bar {bars[last.bar].number}"))
    return signs, lost
