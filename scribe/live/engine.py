"""The engine of the live page: a draft's new text in, what changed on the page out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from time import perf_counter
from typing import NamedTuple, TypeVar

from scribe.bass.breaking_off import BrokenOffError, as_long_as
from scribe.engrave import live
from scribe.engrave.ink import Glyph, defs
from scribe.live.engraver import Engraver, Failed
from scribe.live.hands import SHORT, Handed, Hands, asked, fingered_part
from scribe.live.look import NO_LOOK, Look, Looker, Page
from scribe.live.problems import Problem, not_engraved, problems_of
from scribe.live.sketch import Sketch, sketch
from scribe.live.stale import LastGood
from scribe.live.systems import Picture, Placed, Systems
from scribe.live.walk import Walker
from scribe.music.piece import Bar
from scribe.music.progress import Progress

T = TypeVar("T")

_PAUSE = 0.05  # seconds of drawing after which what is done is handed out

# A system on the page: its picture (empty: none yet), the number at its start, the line of each of its bars.
Entry = tuple[str, int, tuple[int, ...]]


class Update(NamedTuple):
    """What changed since the update before.

    `order`: all systems, None if they are the old ones; `pictures` and `glyphs` are those that were not handed out
    before. `heading`, `problems`, `progress`: None where they are the old ones. `changed`: printed numbers of the first
    and last bar of each stretch drawn anew. `done`: everything is drawn, and this is the last update.
    """

    order: tuple[Entry, ...] | None
    pictures: dict[str, str]
    glyphs: str
    heading: str | None
    problems: tuple[Problem, ...] | None
    progress: Progress | None
    changed: tuple[tuple[int, int], ...]
    seconds: float
    done: bool


@dataclass
class _HandedOut:
    """What is on the page by now."""

    order: tuple[Entry, ...] = ()
    pictures: frozenset[str] = frozenset()
    glyphs: set[str] = field(default_factory=set)
    problems: tuple[Problem, ...] = ()
    progress: Progress | None = None


class Engine:
    """Follows one draft. An edit costs what the systems that it changes cost, however long the draft is.

    `share` of the printed page's width is what a full system takes: less for a phone.
    """

    def __init__(self, engraver: Engraver, share: float = 1.0) -> None:
        self._engraver = engraver
        self._share = share
        self._walker = Walker()
        self._good = LastGood()
        self._systems = Systems(engraver.draw, share)
        self._hands = Hands()
        self._looker = Looker()
        self._heading: object = None
        self._page = _HandedOut()
        self._shown: Sequence[Bar] = ()
        self._placed: Sequence[Placed] = ()
        self._stale: frozenset[int] = frozenset()
        self._edited: int | None = None  # the first bar of the last edit
        self.sketch: Sketch | None = None

    def update(self, text: str, stop: Callable[[], bool] = lambda: False) -> Iterator[Update]:
        """Take the draft's new text and yield what changes, as it is drawn; at least one update.

        `stop` is asked between systems and while the hand of the whole piece is looked for: when it says yes, the
        rest is left to the next text.
        """
        started = perf_counter()
        new = self.sketch = sketch(self._walker.walk(text))
        bars, stale = self._good.fill(new)
        first = self._common(new)
        drawn: dict[int, Placed] = {}
        for handed, last in self._handed(new, bars, stop):
            placed = self._systems.place(new, handed, stale)
            cells = [self._systems.pictures.get(each.want.key) for each in placed]
            missing = [index for index, cell in enumerate(cells) if cell is None]
            drawn |= {index: placed[index] for index in missing}
            paused = perf_counter()
            answers = self._engraver.draw(placed[i].want.job for i in missing)
            for count, (index, answer) in enumerate(zip(missing, answers, strict=True), 1):
                cells[index] = self._finish(placed[index], answer)
                now = perf_counter()
                if count < len(missing) and now - paused > _PAUSE:
                    yield self._hand_out(new, placed, cells, first, now - started)
                    first = {}
                    paused = perf_counter()
                    if stop():
                        answers.close()  # type: ignore[attr-defined]
                        return
            changed = _stretches(new, [drawn[index] for index in sorted(drawn)])
            update = self._hand_out(new, placed, cells, first, perf_counter() - started)
            self._edited = _edited(self._shown, bars, self._edited)
            self._shown, self._placed, self._stale = bars, placed, stale
            yield update._replace(changed=changed, done=last)
            first = {}
            self._systems.forget(placed)
            if not last and stop():
                return

    def looks(self, stop: Callable[[], bool] = lambda: False) -> Iterator[Look]:
        """Yield what there is to say about the hand: for a quiet moment, it takes the fingering of the whole piece.

        What an edit of a long piece changed comes before that. `stop` is asked all the time: when it says yes, what
        was found so far is all.
        """
        bars = self._shown
        if self.sketch is None or not bars:
            yield NO_LOOK
            return
        page = Page(self.sketch, self._placed, bars, asked(bars), self._stale, self._edited)
        near = _unless(stop, lambda: self._looker.near(page))
        if near is not None:
            yield near
        whole = _unless(stop, lambda: self._whole(page))
        if whole is not None:
            yield whole

    def _whole(self, page: Page) -> Look:
        found = self._hands.whole if page.shown else None
        return self._looker.whole(page, found or fingered_part(page.bars, page.sketch.offset))

    def _handed(
        self, new: Sketch, bars: Sequence[Bar], stop: Callable[[], bool]
    ) -> Iterator[tuple[Handed, bool]]:
        """The bars with their hands: of a long piece first with those known, then with those of the whole piece."""
        if not asked(bars):
            yield Handed(bars, {}), True
            return
        if len(bars) > SHORT and self._hands.known:
            yield self._hands.quick(bars, new.offset), False
            exact = _unless(stop, lambda: self._hands.exact(bars, new.offset))
            if exact is not None:
                yield exact, True
        else:
            yield self._hands.exact(bars, new.offset), True

    def _finish(self, placed: Placed, answer: list[str] | Failed) -> Picture | str:
        """Finish a system, or say why there is none; remembered either way."""
        try:
            if not isinstance(answer, Failed):
                return self._systems.finish(placed, answer)
            reason = answer.reason
        except Exception as fault:  # one system that cannot be finished must not cost the page the others
            reason = f"this system cannot be drawn ({type(fault).__name__})"
        self._systems.pictures[placed.want.key] = reason
        return reason

    @property
    def order(self) -> tuple[Entry, ...]:
        """The systems as they stand on the page."""
        return self._page.order

    # --- what changed --------------------------------------------------------------------------------------

    def _common(self, new: Sketch) -> dict[str, object]:
        """Heading and progress, as far as they are new."""
        found: dict[str, object] = {}
        title = (new.heading, new.layout.page)
        if title != self._heading:
            self._heading = title
            drawn = live.heading(new.heading, new.layout, live.room(new.layout) * self._share)
            found["heading"] = drawn.svg if drawn else ""
            found["glyphs"] = drawn.glyphs if drawn else frozenset()
        if new.progress != self._page.progress:
            found["progress"] = new.progress
        return found

    def _hand_out(
        self,
        new: Sketch,
        placed: list[Placed],
        cells: list[Picture | str | None],
        first: dict[str, object],
        seconds: float,
    ) -> Update:
        page = self._page
        order, failed = self._order(new, placed, cells)
        pictures: dict[str, str] = {}
        glyphs: set[Glyph] = set(first.get("glyphs", ()))  # type: ignore[call-overload]
        for cell in cells:
            if isinstance(cell, Picture) and cell.key not in page.pictures:
                pictures[cell.key] = cell.message
                glyphs |= cell.glyphs
        fresh = {glyph for glyph in glyphs if glyph.id not in page.glyphs}
        problems = problems_of(new, placed) + tuple(
            not_engraved(reason, new, placed[index]) for index, reason in failed
        )
        heading, progress = first.get("heading"), first.get("progress")
        update = Update(
            order if order != page.order else None,
            pictures,
            defs(fresh),
            heading if isinstance(heading, str) else None,
            problems if problems != page.problems else None,
            progress if isinstance(progress, Progress) else None,
            (),
            seconds,
            False,
        )
        page.pictures = frozenset(key for key, _, _ in order)
        page.glyphs.update(glyph.id for glyph in fresh)
        page.order, page.problems = order, problems
        page.progress = progress if isinstance(progress, Progress) else page.progress
        return update

    def _order(
        self, new: Sketch, placed: list[Placed], cells: list[Picture | str | None]
    ) -> tuple[tuple[Entry, ...], list[tuple[int, str]]]:
        """The systems as they are to stand; where one is not drawn (yet), the one that stood there before."""
        old = self._page.order
        written = new.written
        entries: list[Entry] = []
        failed: list[tuple[int, str]] = []
        for index, (each, cell) in enumerate(zip(placed, cells, strict=True)):
            if isinstance(cell, Picture):
                key = cell.key
            else:
                key = old[index][0] if index < len(old) else ""
                if cell is not None:
                    failed.append((index, cell))
            lines = tuple(written[each.first : each.first + each.bars])
            entries.append((key, each.number, lines))
        return tuple(entries), failed


def _unless(stop: Callable[[], bool], work: Callable[[], T]) -> T | None:
    """What work comes to; None if it is told to stop before that."""
    try:
        with as_long_as(lambda: not stop()):
            return work()
    except BrokenOffError:
        return None


def _edited(old: Sequence[Bar], new: Sequence[Bar], before: int | None) -> int | None:
    """The first bar that reads otherwise than the one that stood there; what it was before if there is none, or no
    edit yet.
    """
    if not old:
        return None
    both = zip(old, new, strict=False)
    changed = next(
        (i for i, (a, b) in enumerate(both) if a is not b and (a.text, a.in_force) != (b.text, b.in_force)),
        len(old) if len(new) > len(old) else before,
    )
    return changed if changed is None or changed < len(new) else None


def _stretches(new: Sketch, drawn: list[Placed]) -> tuple[tuple[int, int], ...]:
    """The printed numbers of the bars in these systems, neighbours joined."""
    found: list[tuple[int, int]] = []
    for each in drawn:
        first, last = each.first, each.first + each.bars - 1
        if found and found[-1][1] == first - 1:
            first = found.pop()[0]
        found.append((first, last))
    return tuple((new.number(first), new.number(last)) for first, last in found)
