"""How wide bars want to be: a quick estimate from their notes, for choosing widths before anything is drawn.

The page itself is always measured.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import cache

from scribe.engrave.layout import SIGNS, Run
from scribe.engrave.mei.bar import LETTER, BarMei
from scribe.engrave.mei.widths import BAR, stretch
from scribe.music.metre import Metre
from scribe.music.piece import Bar

_STANDS = re.compile(r">(i+)<")  # the stand-ins of chord symbols
_ACCIDENTAL, _GRACE = 115.0, 220.0
_LEAST = 2700.0  # a usual bar of light music
_RAGGED = 0.62  # a system below this share of the usual fill is not stretched to the whole width
_USUAL = 0.5  # the least fill that is usual: a line of two light bars is stretched, a single bar is not


def natural_width(bar: Bar, mei: BarMei) -> float:
    """Return about how many page units a bar needs at its natural width."""
    if bar.rests > 1:
        return _LEAST
    length = float(bar.music.length or bar.in_force.bar_length)
    onsets = {float(onset) for onset, _ in mei.notes.at}
    onsets.update((0.0,) if mei.face == "double repeat" else _beats(bar.in_force.metre))
    extra = _ACCIDENTAL * mei.staff.count("accid=") + _GRACE * mei.staff.count(" grace=")
    wide: float = BAR + stretch(onsets, 0.0, length) + extra
    letters = sum(stand.count("i") for stand in _STANDS.findall(mei.staff))
    wide = max(wide, 0.5 * BAR + letters * LETTER)
    least = BAR if bar.in_force.length is not None or mei.face == "double repeat" else _LEAST
    return max(least, wide)


@cache
def _beats(metre: Metre) -> tuple[float, ...]:
    found, at = [], Fraction(0)
    for beat in metre.beat_lengths:
        found.append(float(at))
        at += beat
    return tuple(found)


def system_widths(
    bars: Sequence[Bar], meis: Sequence[BarMei], runs: Sequence[Run], width: float
) -> list[float]:
    """Return how wide each system is drawn: `width`, but a sparse one only so wide that its notes stand about as
    close as elsewhere in the piece.
    """
    if not runs:
        return []
    fills = [
        (SIGNS + sum(natural_width(bars[i], meis[i]) for i in range(start, end))) / width
        for start, end in runs
    ]
    return filled(fills, width)


def filled(fills: Sequence[float], width: float) -> list[float]:
    """Return the widths of systems whose music would fill these shares of `width` at its natural width."""
    usual = min(1.0, max(_USUAL, sorted(fills)[len(fills) // 2]))
    return [width if fill >= _RAGGED * usual else round(width * fill / usual, -1) for fill in fills]
