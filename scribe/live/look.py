"""What a quiet moment after a save is for: likely places of notes, what the hand cannot do, the picture of the neck.

All of it comes from the fingering of the whole piece. Of a long one, what an edit changed is said before that: the
bars around it are fingered alone, in the way that the last look at the whole piece found for what is played again.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from scribe.bass.alike import figures_of
from scribe.bass.breaking_off import checkpoint
from scribe.bass.fingered import Fingered
from scribe.bass.neck import neck_diagram
from scribe.bass.remarks import remarks
from scribe.diagnostics import Diagnostic
from scribe.live.hands import fingered_part
from scribe.live.pointing import stops_of
from scribe.live.problems import Problem, problem_at
from scribe.live.sketch import Sketch
from scribe.live.systems import Placed
from scribe.music.piece import Bar

_SHOWS_NECK = frozenset(("fingers", "positions"))  # words of `show` that bring the neck with them
_LONG = 400  # bars: a look at the whole of more takes over a fifth of a second
# Bars that changed are fingered with so many on either side …
_AROUND = 12
# … and so many of those are taken over too, which leaves eight on either side of each that is. With eight, 1,438 of
# 1,440 edited bars of made-up lines were fingered as in the whole piece, as with twelve (in two a figure stood twice,
# and the other one of them was followed); with four, 1,427.
_SURE = 4
_MANY = 64  # changed bars at most that are looked at before the whole piece

Lies = tuple[Fingered, int]  # where a bar was fingered, and its index there


class Look(NamedTuple):
    """A page's hand. `stops`: string and fret of its notes, system by system, where the page does not print them; None
    if they are not looked at yet.

    `neck`: the draft asks for the picture of the neck; `has_neck`: whether anything of it lies on one. `edited`:
    system and bar of the last edit. `firsts`, `numbers`: the first bar of each system, the printed number of each bar.
    `lies`: the hand of each bar.
    """

    stops: Sequence[Sequence[str]] | None
    problems: tuple[Problem, ...]
    neck: bool
    has_neck: bool
    edited: tuple[int, int] | None
    firsts: tuple[int, ...]
    numbers: tuple[int, ...]
    lies: Sequence[Lies]

    def picture(self, system: int, bar: int) -> str:
        """Return the SVG of the neck for a bar of a system; empty if nothing in it lies on a neck."""
        if not 0 <= system < len(self.firsts):
            return ""
        index = self.firsts[system] + bar
        return neck_diagram(*self.lies[index], self.numbers[index]) if index < len(self.lies) else ""


NO_LOOK = Look((), (), False, False, None, (), (), ())


class Page(NamedTuple):
    """What is looked at: the page as it stands. `shown`: it prints places already. `stale`: indices of bars that are
    not in the text. `edited`: the index of the first bar of the last edit.
    """

    sketch: Sketch
    placed: Sequence[Placed]
    bars: Sequence[Bar]
    shown: bool
    stale: frozenset[int]
    edited: int | None


class Looker:
    """Looks at one draft, and remembers what the whole of it came to."""

    def __init__(self) -> None:
        self._bars: Sequence[Bar] = ()
        self._whole: Fingered | None = None
        self._remarks: tuple[tuple[int, Diagnostic], ...] = ()

    def near(self, page: Page) -> Look | None:
        """Return what is known at once after an edit of a long piece; None if there is no sense in it."""
        whole, old, bars = self._whole, self._bars, page.bars
        if whole is None or page.shown or len(bars) <= _LONG:
            return None
        start = _alike(old, bars)
        behind = _alike(old[start:][::-1], bars[start:][::-1])
        end, moved = len(bars) - behind, len(bars) - len(old)
        if not 0 < end - start <= _MANY:
            return None
        low, high = max(0, start - _AROUND), min(len(bars), end + _AROUND)
        known = figures_of(whole.line, whole.grips, low, high - moved)
        part = fingered_part(bars, page.sketch.offset, low, high, known)
        start, end = max(0, start - _SURE), min(len(bars), end + _SURE)
        lies: list[Lies] = [(whole, index) for index in range(start)]
        lies += [(part, index - low) for index in range(start, end)]
        lies += [(whole, index - moved) for index in range(end, len(bars))]
        said = [each for each in self._remarks if each[0] < start]
        said += [(low + at, remark) for at, remark in remarks(part) if start <= low + at < end]
        said += [(at + moved, remark) for at, remark in self._remarks if at + moved >= end]
        return _look(page, None, said, any(whole.grips), lies)

    def whole(self, page: Page, found: Fingered) -> Look:
        """Return everything. `found`: the page's bars, fingered."""
        bars = found.piece.bars
        stops: list[list[str]] = []
        for each in () if page.shown else page.placed:
            checkpoint()
            stops.append(stops_of(each.want.plan, bars[each.first : each.first + each.bars]))
        said = remarks(found)
        self._bars, self._whole, self._remarks = page.bars, found, said
        return _look(page, stops, said, any(found.grips), [(found, index) for index in range(len(bars))])


def _alike(old: Sequence[Bar], new: Sequence[Bar]) -> int:
    """How many bars from the first on are still the same."""
    both = zip(old, new, strict=False)
    return next((i for i, (a, b) in enumerate(both) if a is not b), min(len(old), len(new)))


def _look(
    page: Page,
    stops: Sequence[Sequence[str]] | None,
    said: Sequence[tuple[int, Diagnostic]],
    has_neck: bool,
    lies: Sequence[Lies],
) -> Look:
    sketch, firsts = page.sketch, tuple(each.first for each in page.placed)
    found: list[Problem] = []
    for bar, remark in said:
        if bar in page.stale:
            continue
        line = sketch.written[bar]
        on_page = sketch.played[bar] == line
        system, inside = _place(firsts, bar) if on_page else (-1, -1)
        found.append(problem_at(remark, line, sketch.draughts[bar].offset, system, inside))
    neck = any(_SHOWS_NECK & shown.what for shown in {bar.shown for bar in page.bars})
    place = _place(firsts, page.edited) if page.edited is not None else None
    numbers = tuple(map(sketch.number, range(len(page.bars))))
    return Look(stops, tuple(found), neck, has_neck, place, firsts, numbers, lies)


def _place(firsts: Sequence[int], bar: int) -> tuple[int, int]:
    system = bisect_right(firsts, bar) - 1
    return system, bar - firsts[system]
