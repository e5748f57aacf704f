"""Systems one by one, for a page that follows every save: planned, drawn by Verovio elsewhere, finished here.

A system depends on its own bars, on the bars beside it (ties and slurs over its edges, accidentals, a change that is
announced), and on little else. `plan` finds that out; two plans with equal content lead to the same picture. The
bars need not know their numbers, and their ids need to be unique in their system only.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import accumulate
from typing import NamedTuple

from scribe.engrave import ink as draw
from scribe.engrave.above import chord_width, form_words
from scribe.engrave.below import Hairpin, hairpins
from scribe.engrave.compose import Whole, compose
from scribe.engrave.density import filled, natural_width
from scribe.engrave.extents import Extent, extents
from scribe.engrave.ink import Glyph, Use
from scribe.engrave.ink.model import escape
from scribe.engrave.ink.outline import number
from scribe.engrave.layout import SIGNS, Run, runs
from scribe.engrave.mei.bar import BarMei, write_bar
from scribe.engrave.mei.document import write_document, write_system
from scribe.engrave.mei.lines import Lines, trace
from scribe.engrave.options import SPACE, natural_options, options
from scribe.engrave.page import heading_block, system_group
from scribe.engrave.paper import PAPERS, SIZES, scale
from scribe.engrave.scan import read
from scribe.engrave.sheet import BARS_AT_ONCE, bar_widths
from scribe.music.piece import Bar, Heading, Layout, Piece, Shown

_EDGE = 2.0 * SPACE  # white at the left and the right of a system
_AIR = 0.8 * SPACE  # … above and below its ink
_COARSE = (
    0.02  # shares of fill are rounded to that, so that an edit does not move other sparse systems by a hair
)
_ELSEWHERE = "-"  # stands for the id of a note on another system
_NUMBERED = "bar-number"


class BarHand(NamedTuple):
    """The hand in one bar: (event, head, finger) and (event, head, fret under the first finger)."""

    fingers: tuple[tuple[int, int, int], ...] = ()
    positions: tuple[tuple[int, int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Content:
    """All that a system's picture depends on but its width, its number and what leads in from far away.

    `before`: what the bar before shows of the hand, and the position that it holds.
    """

    document: str
    bars: tuple[Bar, ...]
    lines: Lines
    hands: tuple[BarHand, ...]
    before: tuple[Shown, int | None] | None

    def __hash__(self) -> int:
        return hash(self.document)


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A system to be drawn.

    `window`: its bars, with the one before and the one behind where there are such; the system's own are `start` …
    `end` (exclusive). `widths`: their natural widths. `worded`: those of its own that carry words or directions.
    """

    window: tuple[Bar, ...]
    meis: tuple[BarMei, ...]
    start: int
    end: int
    content: Content
    widths: tuple[float, ...]
    worded: tuple[int, ...]

    @property
    def bars(self) -> tuple[Bar, ...]:
        return self.window[self.start : self.end]


class Around(NamedTuple):
    """What reaches into a system from elsewhere: hairpins, what its D.S. and D.C. say, lines of P.M. and let ring."""

    pins: tuple[Hairpin, ...] = ()
    said: tuple[tuple[str, str], ...] = ()
    extents: tuple[Extent, ...] = ()


@dataclass(frozen=True, slots=True)
class LiveSystem:
    """A finished system for the page.

    `svg`: a whole element without definitions of its glyphs; notes, rests and bars carry `data-n` instead of an id.
    Lengths are those of its view box. `bars`: left and right end of each. `staff`: its top and bottom line; `number`:
    where the bar number's baseline starts, None where none stands.
    """

    svg: str
    glyphs: frozenset[Glyph]
    width: float
    height: float
    staff: tuple[float, float]
    bars: tuple[tuple[float, float], ...]
    number: tuple[float, float] | None


def room(layout: Layout) -> float:
    """Return the width of a full system for the draft's paper, in page units at the standard staff size."""
    return PAPERS[layout.page].text_width / scale(SIZES[0])


def plan(before: Bar | None, bars: Sequence[Bar], behind: Bar | None, hands: Sequence[BarHand] = ()) -> Plan:
    """Plan one system. `before`, `behind`: the bars beside it, None at the ends of the piece.

    `hands`: the hand in each of its own bars, empty where nothing of it is shown.
    """
    own = _unique(bars)
    start = 0 if before is None else 1
    end = start + len(own)
    window = ((before,) if before else ()) + own + ((behind,) if behind else ())
    meis: list[BarMei] = []
    altered: tuple[object, ...] = ()
    for bar in window:
        mei = write_bar(bar, () if bar.new_key else altered, chord_width)  # type: ignore[arg-type]
        meis.append(mei)
        altered = mei.altered
    lines = _local(trace(window, meis), start, end)
    document = write_document([write_system(window, meis, lines.lines, start, end)])
    widths = tuple(natural_width(bar, mei) for bar, mei in zip(own, meis[start:end], strict=True))
    worded = tuple(i for i in range(start, end) if meis[i].words)
    held = (before.shown, before.position) if before else None
    content = Content(document, own, lines, tuple(hands), held)
    return Plan(window, tuple(meis), start, end, content, widths, worded)


def cut_by_density(bars: Sequence[Bar], widths: Sequence[float], layout: Layout, wide: float) -> list[Run]:
    """Return the systems of a piece under `layout fit`, by the natural widths of its bars."""
    piece = Piece(Heading(), tuple(bars), (), layout, ())
    return runs(piece, wide, lambda: widths, lambda: widths)


def measuring(count: int) -> list[Run]:
    """Return runs of so many bars: planned as if they were systems and drawn with `measuring_options`, their documents
    show how wide each bar wants to be.
    """
    return [(start, min(start + BARS_AT_ONCE, count)) for start in range(0, count, BARS_AT_ONCE)]


def measured(pages: Sequence[str]) -> list[float]:
    """Return the natural widths of the bars in such a drawing."""
    return bar_widths(pages)


def measuring_options() -> dict[str, object]:
    """Return Verovio's options for documents that measure."""
    return natural_options()


def divided(plan: Plan, wide: float) -> list[Run]:
    """Return the runs of its own bars that a system `wide` page units long is to be divided into; one, if it fits."""
    count = plan.end - plan.start
    if count < 2 or SIGNS + sum(plan.widths) <= wide:
        return [(0, count)]
    piece = Piece(Heading(), plan.bars, ((0, count),), Layout(), ())
    return runs(piece, wide, lambda: plan.widths, lambda: plan.widths)


def system_widths(plans: Sequence[Plan], wide: float) -> list[float]:
    """Return how wide each system is drawn; sparse ones end earlier, as on the printed page."""
    if not plans:
        return []
    fills = [round((SIGNS + sum(plan.widths)) / wide / _COARSE) * _COARSE for plan in plans]
    return filled(fills, wide)


def around(plans: Sequence[Plan]) -> dict[int, Around]:
    """Return what reaches into systems from elsewhere, by their index; systems without any are left out."""
    worded = [(place, index) for place, plan in enumerate(plans) for index in plan.worded]
    if not worded:
        return {}
    firsts = [0, *accumulate(plan.end - plan.start for plan in plans)]
    meis = [mei for plan in plans for mei in plan.meis[plan.start : plan.end]]
    pins: dict[int, list[Hairpin]] = {}
    for pin in hairpins(meis):
        first = bisect_right(firsts, pin.start_bar) - 1
        last = first if pin.end_bar is None else bisect_right(firsts, pin.end_bar) - 1
        for place in range(first, last + 1):
            plan = plans[place]
            end_bar = None
            if pin.end_bar is not None:
                end_bar = plan.start + pin.end_bar - firsts[place] if place == last else plan.end
            start_bar = plan.start + pin.start_bar - firsts[place] if place == first else plan.start - 1
            pins.setdefault(place, []).append(pin._replace(start_bar=start_bar, end_bar=end_bar))
    reaching: dict[int, list[Extent]] = {}
    for each in extents(meis):
        first, last = (bisect_right(firsts, bar) - 1 for bar in (each.start_bar, each.end_bar))
        for place in range(first, last + 1):
            plan = plans[place]
            start_bar = plan.start + each.start_bar - firsts[place] if place == first else plan.start - 1
            end_bar = plan.start + each.end_bar - firsts[place] if place == last else plan.end
            reaching.setdefault(place, []).append(each._replace(start_bar=start_bar, end_bar=end_bar))
    bars = [plans[place].window[index] for place, index in worded]
    said = form_words(bars)
    own: dict[int, set[str]] = {}
    for (place, _), bar in zip(worded, bars, strict=True):
        own.setdefault(place, set()).update(word.text for word in bar.music.words if word.text in said)
    return {
        place: Around(
            tuple(pins.get(place, ())),
            tuple((name, said[name]) for name in sorted(own.get(place, ()))),
            tuple(reaching.get(place, ())),
        )
        for place in pins.keys() | own.keys() | reaching.keys()
    }


def finish(plan: Plan, pages: Sequence[str], reach: Around, shown: int, wide: float) -> LiveSystem:
    """Put our words and signs round Verovio's notes.

    `pages`: what Verovio made of the plan's document; `shown`: the number to print at its start, 0 for none;
    `wide`: how far words may reach to the right.
    """
    window = list(plan.window)
    window[plan.start] = replace(window[plan.start], number=shown)
    engraved = read(pages[0], wide)[0]
    hands = list(enumerate(plan.content.hands, plan.start))
    whole = Whole(
        tuple(window),
        plan.meis,
        plan.content.lines,
        reach.pins,
        dict(reach.said),
        {(bar, event, head): finger for bar, hand in hands for event, head, finger in hand.fingers},
        {(bar, event, head): fret for bar, hand in hands for event, head, fret in hand.positions},
        reach.extents,
    )
    system = compose(engraved, whole, plan.start, plan.end, wide)
    high = _AIR + system.high
    down = high - system.top
    svg, at = system.svg, None
    for each in system.placed:
        if each.kind == _NUMBERED:
            svg = svg.replace(each.ink.svg(each.x, each.y, each.kind), "", 1)
            at = (each.x + _EDGE, each.y + down)
    width, height = wide + 2 * _EDGE, high + system.low + _AIR
    group = system_group(replace(system, svg=svg), _EDGE, high, 1.0).replace(' id="', ' data-n="')
    return LiveSystem(
        _svg(width, height, group),
        system.glyphs,
        width,
        height,
        (high, high + engraved.bottom - engraved.top),
        tuple((bar.left + _EDGE, bar.right + _EDGE) for bar in engraved.bars),
        at,
    )


class LiveHeading(NamedTuple):
    """The title block for the page; see `LiveSystem`."""

    svg: str
    glyphs: frozenset[Glyph]


def heading(words: Heading, layout: Layout, wide: float) -> LiveHeading | None:
    """Return the drawn title block, None if the draft names neither title nor composer nor player."""
    block = heading_block(words, PAPERS[layout.page]._replace(width=wide, left=0.0, right=0.0))
    if not block.pieces:
        return None
    glyphs: set[Glyph] = set()
    out = []
    for piece in block.pieces:
        glyphs |= piece.ink.glyphs
        out.append(piece.ink.svg(_EDGE + piece.x, _AIR + piece.y, piece.kind))
    return LiveHeading(_svg(wide + 2 * _EDGE, block.height + 2 * _AIR, "".join(out)), frozenset(glyphs))


def _svg(width: float, height: float, inside: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" class="music"'
        f' viewBox="0 0 {number(width)} {number(height)}" role="img">{inside}</svg>'
    )


class Digit(NamedTuple):
    """How the page draws a digit of a bar number: the glyph, and how far it moves the pen."""

    glyph: Glyph
    scale: float
    advance: float
    color: str


@cache
def digits() -> tuple[Digit, ...]:
    """Return the ten digits of bar numbers."""
    found = []
    for digit in range(10):
        ink = draw.bar_number(digit)
        use = ink.marks[0]
        assert isinstance(use, Use)
        found.append(Digit(use.glyph, use.scale, ink.advance, escape(use.color or "")))
    return tuple(found)


def verovio_options(wide: float) -> dict[str, object]:
    """Return the options with which Verovio draws a plan's document `wide` page units long."""
    return options(wide)


def _unique(bars: Sequence[Bar]) -> tuple[Bar, ...]:
    """The bars with ids that differ."""
    seen: dict[str, int] = {}
    found = []
    for bar in bars:
        count = seen[bar.id] = seen.get(bar.id, 0) + 1
        found.append(bar if count == 1 else replace(bar, id=f"{bar.id}.{count}"))
    return tuple(found)


def _local(lines: Lines, start: int, end: int) -> Lines:
    """Those that touch the system, with ids of its own notes only."""

    def own(bar: int) -> bool:
        return start <= bar < end

    kept = [
        line._replace(
            start=line.start if own(line.start_bar) or not line.start else _ELSEWHERE,
            end=line.end if own(line.end_bar) else _ELSEWHERE,
            start_bar=max(line.start_bar, start - 1),
            end_bar=min(line.end_bar, end),
        )
        for line in lines.lines
        if line.start_bar < end and line.end_bar >= start
    ]
    letters = [
        letter._replace(
            start=letter.start if own(letter.start_bar) else _ELSEWHERE,
            end=letter.end if own(letter.end_bar) else _ELSEWHERE,
            start_bar=max(letter.start_bar, start - 1),
            end_bar=min(letter.end_bar, end),
            slur=letter.slur if any(line.id == letter.slur for line in kept) else "",
        )
        for letter in lines.letters
        if letter.start_bar < end and letter.end_bar >= start
    ]
    return Lines(tuple(kept), tuple(letters))
