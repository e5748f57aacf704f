"""What a quiet moment after a save is for: likely places of notes, what the hand cannot do, the picture of the neck."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from scribe.bass.fingered import Fingered
from scribe.bass.neck import neck_diagram
from scribe.bass.remarks import remarks
from scribe.live.pointing import stops_of
from scribe.live.problems import Problem, problem_at
from scribe.live.sketch import Sketch
from scribe.live.systems import Placed

_SHOWS_NECK = frozenset(("fingers", "positions"))  # words of `show` that bring the neck with them


class Look(NamedTuple):
    """A page's hand. `stops`: string and fret of its notes, system by system, where the page does not print them.

    `neck`: the draft asks for the picture of the neck. `edited`: system and bar of the last edit. `firsts`, `numbers`:
    the first bar of each system, the printed number of each bar.
    """

    stops: Sequence[Sequence[str]]
    problems: tuple[Problem, ...]
    neck: bool
    edited: tuple[int, int] | None
    firsts: tuple[int, ...]
    numbers: tuple[int, ...]
    fingered: Fingered | None

    @property
    def has_neck(self) -> bool:
        """Whether anything of the piece lies on a neck."""
        return self.fingered is not None and any(self.fingered.grips)

    def picture(self, system: int, bar: int) -> str:
        """Return the SVG of the neck for a bar of a system; empty if nothing in it lies on a neck."""
        if self.fingered is None or not 0 <= system < len(self.firsts):
            return ""
        index = self.firsts[system] + bar
        return neck_diagram(self.fingered, index, self.numbers[index]) if index < len(self.numbers) else ""


NO_LOOK = Look((), (), False, None, (), (), None)


def look(
    sketch: Sketch,
    placed: Sequence[Placed],
    fingered: Fingered,
    shown: bool,
    stale: frozenset[int],
    edited: int | None,
) -> Look:
    """Return what there is to say about the hand.

    `shown`: the page prints places already. `stale`: indices of bars that are not in the text. `edited`: the index of
    the first bar of the last edit.
    """
    bars = fingered.piece.bars
    firsts = tuple(each.first for each in placed)
    stops = (
        ()
        if shown
        else [stops_of(each.want.plan, bars[each.first : each.first + each.bars]) for each in placed]
    )
    found: list[Problem] = []
    for bar, remark in remarks(fingered):
        if bar in stale:
            continue
        line = sketch.written[bar]
        on_page = sketch.played[bar] == line
        system, inside = _place(firsts, bar) if on_page else (-1, -1)
        found.append(problem_at(remark, line, sketch.draughts[bar].offset, system, inside))
    neck = any(_SHOWS_NECK & bar.shown.what for bar in bars)
    place = _place(firsts, edited) if edited is not None else None
    numbers = tuple(map(sketch.number, range(len(bars))))
    return Look(stops, tuple(found), neck, place, firsts, numbers, fingered)


def _place(firsts: Sequence[int], bar: int) -> tuple[int, int]:
    system = bisect_right(firsts, bar) - 1
    return system, bar - firsts[system]
