"""The systems of a sketch: planned once, drawn once, found again as long as nothing about them has changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from hashlib import blake2b
from json import dumps
from typing import NamedTuple

from scribe.engrave import live
from scribe.engrave.ink import Glyph
from scribe.engrave.layout import undivided
from scribe.engrave.live import Around, LiveSystem, Plan
from scribe.live.engraver import Failed, Job
from scribe.live.hands import Handed
from scribe.live.pointing import notes_of
from scribe.live.sketch import Sketch
from scribe.music.piece import Bar

Draw = Callable[[Iterable[Job]], Iterator[list[str] | Failed]]
NOTHING = Around()
_SPARE = 60  # plans and drawings beyond what is needed now that are kept for an undo


class Want(NamedTuple):
    """A system as it is to be drawn. `wide`: its own width, `room`: that of a full one; `digits` of its number."""

    plan: Plan
    wide: float
    room: float
    reach: Around
    digits: int
    stale: tuple[int, ...]

    @property
    def key(self) -> tuple[object, ...]:
        return (self.plan.content, self.wide, self.room, self.reach, self.digits, self.stale)

    @property
    def job(self) -> Job:
        return Job(self.plan.content.document, live.verovio_options(self.wide))


class Picture(NamedTuple):
    """A drawn system as the page gets it: `message` is JSON, `key` is made from it."""

    key: str
    message: str
    glyphs: frozenset[Glyph]


class Placed(NamedTuple):
    """A system in the piece: index of its first bar, how many it has, the number printed at its start (0: none)."""

    want: Want
    first: int
    bars: int
    number: int


class Systems:
    """Remembers the plans and pictures of one draft.

    `draw` has documents drawn; `share` of the printed page's width is what a full system takes.
    """

    def __init__(self, draw: Draw, share: float = 1.0) -> None:
        self._draw = draw
        self._share = share
        self._widths: dict[
            str, list[float]
        ] = {}  # natural widths of bars, by the document that measures them
        self._plans: dict[tuple[int, ...], tuple[Sequence[Bar | None], Plan]] = {}
        self.pictures: dict[tuple[object, ...], Picture | str] = {}  # or why there is none

    def place(self, sketch: Sketch, handed: Handed, stale: frozenset[int]) -> list[Placed]:
        """Return the systems of a sketch.

        `handed`: the bars to show with their hands; `stale`: the indices of those that are not in the text.
        """
        bars = handed.bars
        if not bars:
            return []
        room = live.room(sketch.layout) * self._share
        if sketch.layout.fit:
            runs = live.cut_by_density(bars, self._natural(handed, sketch), sketch.layout, room)
            plans = self._planned(handed, runs)
        else:
            runs = undivided(bars, sketch.systems, sketch.layout)
            plans = self._planned(handed, runs)
            parts = [live.divided(plan, room) for plan in plans]
            if any(len(part) > 1 for part in parts):
                runs = [
                    (start + low, start + high)
                    for (start, _), part in zip(runs, parts, strict=True)
                    for low, high in part
                ]
                plans = self._planned(handed, runs)
        widths = live.system_widths(plans, room)
        reaches = live.around(plans)
        found: list[Placed] = []
        for index, ((start, end), plan) in enumerate(zip(runs, plans, strict=True)):
            number = sketch.number(start)
            number = number if start and number > 1 else 0
            old = tuple(i - start for i in range(start, end) if i in stale) if stale else ()
            digits = len(str(number)) if number else 0
            want = Want(plan, widths[index], room, reaches.get(index, NOTHING), digits, old)
            found.append(Placed(want, start, end - start, number))
        return found

    def _natural(self, handed: Handed, sketch: Sketch) -> list[float]:
        """The natural widths of all bars, measured as they are for the printed page."""
        plans = self._planned(handed, live.measuring(len(handed.bars)))
        documents = [plan.content.document for plan in plans]
        new = [each for each in documents if each not in self._widths]
        options = live.measuring_options()
        drawn = self._draw(Job(each, options) for each in new)
        for document, pages in zip(new, drawn, strict=True):
            if not isinstance(pages, Failed):
                self._widths[document] = live.measured(pages)
        self._widths = {each: self._widths[each] for each in documents if each in self._widths}
        found = [wide for each in documents for wide in self._widths.get(each, ())]
        if len(found) == len(handed.bars):
            return found
        return [wide for plan in self._planned(handed, sketch.systems) for wide in plan.widths]

    def finish(self, placed: Placed, pages: Sequence[str]) -> Picture:
        """Finish a system that Verovio has drawn, and remember it."""
        want = placed.want
        drawn = live.finish(want.plan, pages, want.reach, placed.number, want.room)
        message = dumps(_message(drawn, want), ensure_ascii=False, separators=(",", ":"))
        picture = Picture(blake2b(message.encode(), digest_size=9).hexdigest(), message, drawn.glyphs)
        self.pictures[want.key] = picture
        return picture

    def forget(self, needed: Sequence[Placed]) -> None:
        """Forget what has not been needed for long."""
        if len(self.pictures) > 2 * len(needed) + _SPARE:
            keys = {placed.want.key for placed in needed}
            old = [key for key in self.pictures if key not in keys]
            for key in old[: len(old) - _SPARE // 2]:
                del self.pictures[key]
        if len(self._plans) > 2 * len(needed) + _SPARE:
            plans = {id(placed.want.plan) for placed in needed}
            gone = [key for key, (_, plan) in self._plans.items() if id(plan) not in plans]
            for each in gone[: len(gone) - _SPARE // 2]:
                del self._plans[each]

    def _planned(self, handed: Handed, runs: Sequence[tuple[int, int]]) -> list[Plan]:
        found: list[Plan] = []
        bars = handed.bars
        count = len(bars)
        for start, end in runs:
            before = bars[start - 1] if start else None
            behind = bars[end] if end < count else None
            own = bars[start:end]
            key = (id(before), *map(id, own), id(behind))
            known = self._plans.get(key)
            if known is None:
                hands = [handed.hands[id(bar)] for bar in own] if handed.hands else ()
                # The bars are kept beside the plan: their identity is the key.
                known = ((before, *own, behind), live.plan(before, own, behind, hands))
                self._plans[key] = known
            found.append(known[1])
        return found


def _message(drawn: LiveSystem, want: Want) -> dict[str, object]:
    """What the page must know of a system, whatever stands around it."""
    bars = [
        [round(left), round(right), bar.offset, bar.offset + len(bar.text)]
        for (left, right), bar in zip(drawn.bars, want.plan.bars, strict=True)
    ]
    message: dict[str, object] = {
        "svg": drawn.svg,
        "size": [round(drawn.width), round(drawn.height)],
        "staff": [round(y) for y in drawn.staff],
        "bars": bars,
        "notes": notes_of(want.plan),
    }
    if drawn.number is not None:
        message["number"] = [round(at) for at in drawn.number]
    if want.stale:
        message["stale"] = want.stale
    return message
