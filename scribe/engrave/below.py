"""Below the staff: the question marks of doubtful notes, dynamics and hairpins."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from scribe.engrave import ink as draw
from scribe.engrave.canvas import Canvas, stroke
from scribe.engrave.ink import Ink, Use, ink, join
from scribe.engrave.ink.faces import music
from scribe.engrave.mei.bar import BarMei
from scribe.engrave.options import SPACE
from scribe.engrave.rows import Item, set_row
from scribe.music.events import PlacedChord
from scribe.source.directions import DIRECTIONS, LEVELS

# SMuFL code points of the dynamics (W3C SMuFL, table `Dynamics`).
_DYNAMICS = {
    "ppp": "E52A", "pp": "E52B", "p": "E520", "mp": "E52C", "mf": "E52D", "f": "E522", "ff": "E52F", "fff": "E530",
    "fp": "E534", "sf": "E536", "sfz": "E539", "fz": "E535", "rf": "E53C", "rfz": "E53D",
}  # fmt: skip
_LONGEST = 4  # bars that a hairpin may reach over
_OPEN = 0.55 * SPACE  # half the mouth of a hairpin


class Hairpin(NamedTuple):
    """A growing or fading loudness, from one anchor to another; `end_bar` None: words are set instead."""

    grows: bool
    start_bar: int
    start: str
    end_bar: int | None
    end: str


def hairpins(meis: Sequence[BarMei]) -> tuple[Hairpin, ...]:
    """Return the hairpins of a piece: each runs to the next dynamic, hairpin or `'steady`."""
    found: list[Hairpin] = []
    waiting: Hairpin | None = None
    for index, mei in enumerate(meis):
        for word, anchor in mei.words:
            info = DIRECTIONS.get(word.text) if _is_direction(word) else None  # type: ignore[union-attr]
            if info is None or info.kind not in LEVELS:
                continue
            if waiting is not None:
                found.append(waiting._replace(end_bar=index, end=anchor))
                waiting = None
            if info.kind == "hairpin":
                waiting = Hairpin(word.text == "cresc", index, anchor, None, "")  # type: ignore[union-attr]
    if waiting is not None:
        found.append(waiting)
    # A hairpin over many bars says less than the word.
    return tuple(
        pin._replace(end_bar=None)
        if pin.end_bar is not None and pin.end_bar - pin.start_bar > _LONGEST
        else pin
        for pin in found
    )


def place_doubts(canvas: Canvas, meis: Sequence[BarMei]) -> None:
    """Set a question mark under each doubtful note, all of a system on one line."""
    mark = draw.question()
    items = []
    for mei in meis:
        for sign in mei.notes.signs:
            head = canvas.head(sign.id) if sign.kind == "doubt" else None
            if head is not None:
                items.append(Item(mark, head.middle - mark.advance / 2, "doubt"))
    set_row(
        canvas, items, "below", air=0.35 * SPACE, nearest=1.9 * SPACE, apart=0.1 * SPACE, slide=0.5 * SPACE
    )


def place_dynamics(canvas: Canvas, meis: Sequence[BarMei], pins: Sequence[Hairpin], last_bar: int) -> None:
    """Set dynamics and hairpins on one line under the staff. `last_bar`: index of the piece's last bar."""
    inks: dict[tuple[int, str], list[Ink]] = {}
    for offset, mei in enumerate(meis):
        for word, anchor in mei.words:
            info = DIRECTIONS.get(word.text) if _is_direction(word) else None  # type: ignore[union-attr]
            if info is not None and info.kind == "dynamic":
                inks.setdefault((canvas.start + offset, anchor), []).append(dynamic(word.text))  # type: ignore[union-attr]
    items = []
    for (bar, anchor), some in inks.items():
        what = join(*some, gap=0.5 * SPACE)  # `p sfz`: what holds, and what this note is
        items.append(Item(what, canvas.word_x(bar, anchor, what.advance) - 0.1 * SPACE, "dynamic"))
    here = [pin for pin in pins if _touches(canvas, pin, last_bar)]
    for pin in here:
        if pin.end_bar is None and canvas.has(pin.start_bar):
            what = draw.direction("cresc." if pin.grows else "dim.")
            items.append(Item(what, canvas.word_x(pin.start_bar, pin.start, what.advance), "dynamic"))
    wedges = [(pin, *_reach(canvas, pin, items)) for pin in here if pin.end_bar is not None]
    low = max((canvas.sky.lowest(left, right) for _, left, right in wedges), default=-1e9)
    nearest = max(2.3 * SPACE, low + 0.35 * SPACE + _OPEN + 0.3 * SPACE - canvas.bottom)
    y = set_row(
        canvas, items, "below", air=0.5 * SPACE, nearest=nearest, apart=0.3 * SPACE, slide=1.2 * SPACE
    )
    if y is None:
        y = canvas.bottom + nearest
    for pin, left, right in wedges:
        if right - left < 1.5 * SPACE and not canvas.has(pin.start_bar):
            continue  # nothing of it is left on this system
        _wedge(canvas, pin, left, right, y - 0.3 * SPACE)


@lru_cache(maxsize=16)
def dynamic(name: str) -> Ink:
    """Return the sign of a dynamic: `ppp` … `rfz`, on its baseline."""
    scale = 0.72
    found = music(_DYNAMICS[name])
    return ink((Use(found.glyph, 0.0, 0.0, scale),), found.advance * scale, name, 400.0)


def _is_direction(word: object) -> bool:
    return not isinstance(word, PlacedChord) and getattr(word, "kind", "") == "direction"


def _touches(canvas: Canvas, pin: Hairpin, last_bar: int) -> bool:
    end = last_bar if pin.end_bar is None else pin.end_bar
    first, last = canvas.start, canvas.start + len(canvas.engraved.bars) - 1
    return pin.start_bar <= last and end >= first


def _reach(canvas: Canvas, pin: Hairpin, items: Sequence[Item]) -> tuple[float, float]:
    """From where to where the part of a hairpin in this system runs, clear of the dynamics beside it."""
    if canvas.has(pin.start_bar):
        left = canvas.anchor_x(pin.start_bar, pin.start)
    else:
        left = canvas.engraved.bars[0].content_left + 0.3 * SPACE
    assert pin.end_bar is not None
    right = canvas.anchor_x(pin.end_bar, pin.end) if canvas.has(pin.end_bar) else canvas.right
    right -= 0.5 * SPACE
    for item in items:
        if left < item.left <= right + SPACE:
            right = min(right, item.left - 0.4 * SPACE)
        if item.left <= left + 0.5 * SPACE < item.right + 0.4 * SPACE:
            left = item.right + 0.4 * SPACE
    return left, right if not canvas.has(pin.start_bar) else max(right, left + SPACE)


def _wedge(canvas: Canvas, pin: Hairpin, left: float, right: float, y: float) -> None:
    starts = canvas.has(pin.start_bar)
    ends = pin.end_bar is not None and canvas.has(pin.end_bar)
    # A hairpin that goes on over the system's end does not close to a point there.
    small = 0.0 if (starts if pin.grows else ends) else 0.3 * _OPEN
    large = _OPEN if (ends if pin.grows else starts) else 0.7 * _OPEN
    a, b = (small, large) if pin.grows else (large, small)
    canvas.draw([stroke(left, y - a, right, y - b), stroke(left, y + a, right, y + b)], "hairpin")
