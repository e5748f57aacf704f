"""A whole piece under the hand: strings and frets in its heads, fingers and positions beside them.

A phrase (from a section line or a second of silence to the next) is the unit of the search and of the memo. Each
phrase begins with the hand where the phrase before left it.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache, partial
from threading import Lock
from typing import NamedTuple

from scribe.bass.alike import Figures, Memory, find_alike
from scribe.bass.breaking_off import checkpoint
from scribe.bass.fingering import Fixed, Hand, Path, Places, Task, price, solve
from scribe.bass.fretboard import Fretboard
from scribe.bass.grips import Grip, Relaxed
from scribe.bass.hand import DOUBLE, ELECTRIC, Cost, Effort, System
from scribe.bass.line import Line, Moment, Place, line_of
from scribe.music.events import BarMusic, Event, Head
from scribe.music.piece import Bar, Piece
from scribe.music.tuning import FRETS

Taken = tuple[frozenset[Places], ...]
AVOID = 0.5  # what a place costs more that another way has already: about as much as a small shift
Key = tuple[int, int, int]  # bar index, event index, head index; grace notes as -1, -2 … in their order


class Fingered(NamedTuple):
    """A piece with string and fret in every head that has a place.

    `fingers`: 1 to 4, 0 for an open string, 5 for the thumb on the string (double bass). `positions`: the fret at
    which the first finger stands, for every head under a finger. `hands` is what came of the line, for reports.
    """

    piece: Piece
    fingers: Mapping[Key, int]
    positions: Mapping[Key, int]
    line: Line
    grips: tuple[Grip | None, ...]
    relaxed: tuple[Relaxed, ...]


def effort_of(neck: Fretboard) -> Effort:
    """Return the table of costs for a kind of bass."""
    return DOUBLE if neck.kind == "double" else ELECTRIC


def fingered(piece: Piece) -> Piece:
    """Return the piece with string and fret filled in wherever the hand has a place for the note.

    What the draft pins stays as it is. Bars of instruments without strings are returned as they are.
    """
    return fingering(piece).piece


def fingering(
    piece: Piece,
    *,
    system: System = "mixed",
    frets: int = FRETS,
    scale: float | None = None,
    known: Figures | None = None,
) -> Fingered:
    """Return the piece fingered by the cheapest path, with fingers and positions. A pure function.

    `known`: how figures are played in the music around, if the piece is a part of more.
    """
    line = line_of(piece, frets, scale)
    grips, relaxed = hands_of(line, system, known=known)
    return fill(piece, line, grips, relaxed)


def hands_of(
    line: Line,
    system: System = "mixed",
    effort: Effort | None = None,
    taken: Taken = (),
    hand: Hand | None = None,
    known: Figures | None = None,
) -> tuple[tuple[Grip | None, ...], tuple[Relaxed, ...]]:
    """Return the grips of a line, phrase by phrase, and what each had to leave out.

    `effort`: another table of costs than the neck's own. `taken`: for each moment, places of other ways that are to
    be avoided. `hand`: where the hand comes from. `known`: figures that are to be played as they are elsewhere.
    """
    memory = Memory(line, known)
    grips: list[Grip | None] = []
    relaxed: list[Relaxed] = []
    before = line.necks[0] if line.necks else None
    for start, end, neck in line.phrases():
        if neck != before:
            hand, before = None, neck
        moments = tuple(line.moments[start:end])
        search = partial(
            _phrase, moments, neck, system, effort or effort_of(neck), hand, tuple(taken[start:end])
        )
        path = find_alike(line, start, end, memory, search)
        memory.keep(line, start, path)
        grips += path.grips
        relaxed += path.relaxed
        hand = leaves(path, moments) or hand
    return tuple(grips), tuple(relaxed)


def bill_of(
    line: Line, grips: Sequence[Grip | None], effort: Effort | None = None, hand: Hand | None = None
) -> list[Cost]:
    """Return what each moment of a fingered line costs, the way to it included."""
    bill: list[Cost] = []
    before = line.necks[0] if line.necks else None
    for start, end, neck in line.phrases():
        if neck != before:
            hand, before = None, neck
        moments = tuple(line.moments[start:end])
        bill += price(grips[start:end], moments, neck, effort or effort_of(neck), hand)
        path = Path(tuple(grips[start:end]), (), 0.0, ())
        hand = leaves(path, moments) or hand
    return bill


def leaves(path: Path, moments: tuple[Moment, ...]) -> Hand | None:
    """Return the hand as a phrase leaves it, None if nothing in it had a place."""
    waits = 0.0
    for grip, moment in zip(reversed(path.grips), reversed(moments), strict=True):
        if grip is not None:
            return Hand(grip, moment._replace(silence=moment.silence + waits))
        waits += moment.sounds + moment.silence
    return None


def _phrase(
    moments: tuple[Moment, ...],
    neck: Fretboard,
    system: System,
    effort: Effort,
    entry: Hand | None,
    taken: Taken,
    fixed: tuple[Fixed | None, ...],
) -> Path:
    key = (moments, neck, system, effort, entry, taken, fixed)
    path = _paths.get(key)
    if path is None:
        task = Task(fixed=fixed if any(fixed) else (), taken=taken, taken_cost=AVOID if taken else 0.0)
        path = solve(moments, neck, effort, system, entry, task)
        _paths.put(key, path, len(moments))
    return path


class _Paths:
    """The paths of phrases searched lately, as many as have so many moments together. Any thread may ask."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = Lock()
        self._known: dict[Hashable, tuple[Path, int]] = {}  # the last used comes last
        self._moments = 0

    def get(self, key: Hashable) -> Path | None:
        with self._lock:
            found = self._known.pop(key, None)
            if found is None:
                return None
            self._known[key] = found
            return found[0]

    def put(self, key: Hashable, path: Path, moments: int) -> None:
        with self._lock:
            if key not in self._known:
                self._moments += moments
            self._known[key] = (path, moments)
            while self._moments > self._most and len(self._known) > 1:
                oldest = next(iter(self._known))
                self._moments -= self._known.pop(oldest)[1]

    def clear(self) -> None:
        with self._lock:
            self._known.clear()
            self._moments = 0


_paths = _Paths(30_000)  # a few drafts of a thousand bars: each moment takes about 700 bytes


def forget() -> None:
    """Forget every path found so far: for measuring what a search takes."""
    _paths.clear()


def fill(piece: Piece, line: Line, grips: tuple[Grip | None, ...], relaxed: tuple[Relaxed, ...]) -> Fingered:
    """Put the grips of a line into the heads of its piece."""
    stops: dict[Key, tuple[int | None, int | None]] = {}
    fingers: dict[Key, int] = {}
    positions: dict[Key, int] = {}

    def put(place: Place, grip: Grip | None) -> None:
        if grip is None:
            return
        for head, stop in zip(place.heads, grip.stops, strict=False):
            key = (place.bar, place.event, head if place.grace < 0 else -1 - place.grace)
            stops[key] = (stop.string, stop.fret)
            if stop.fret is not None:
                fingers[key] = stop.finger
            if stop.finger:
                positions[key] = grip.hand

    for place, grip in zip(line.places, grips, strict=True):
        checkpoint()
        put(place, grip)
    for place, moment in line.tied:
        put(place, grips[moment])
    for place, before, behind in line.loose:
        near = next((grips[i] for i in (before, behind) if i >= 0 and grips[i] is not None), None)
        if near is not None:
            key = (place.bar, place.event, place.heads[0] if place.grace < 0 else -1 - place.grace)
            stops[key] = (near.lead.string, None)
    by_bar: dict[int, list[tuple[int, int, int | None, int | None]]] = {}
    for (bar, number, head), (string, fret) in stops.items():
        by_bar.setdefault(bar, []).append((number, head, string, fret))
    filled: list[Bar] = []
    for index, one in enumerate(piece.bars):
        checkpoint()
        filled.append(_bar(one, tuple(by_bar[index])) if index in by_bar else one)
    return Fingered(replace(piece, bars=tuple(filled)), fingers, positions, line, grips, relaxed)


def _bar(bar: Bar, own: tuple[tuple[int, int, int | None, int | None], ...]) -> Bar:
    """The bar with its places, given as (event, head, string, fret)."""
    music, events = _filled(bar.music, bar.events, own)
    return replace(bar, events=events, music=music)


@lru_cache(maxsize=4096)
def _filled(
    music: BarMusic, events: tuple[Event, ...], own: tuple[tuple[int, int, int | None, int | None], ...]
) -> tuple[BarMusic, tuple[Event, ...]]:
    """What a bar says and what sounds in it, with places: the same events, but in repeat signs.

    Bars that did not change come back as the same objects, so what is made of them later need not be made again.
    """
    stops = {(number, head): (string, fret) for number, head, string, fret in own}
    done = tuple(_event(event, n, stops) for n, event in enumerate(events))
    return (replace(music, events=done) if music.events == events else music), done


def _event(
    event: Event, number: int, stops: Mapping[tuple[int, int], tuple[int | None, int | None]]
) -> Event:
    heads = tuple(_head(head, stops.get((number, i))) for i, head in enumerate(event.heads))
    graces = tuple(
        replace(grace, head=_head(grace.head, stops.get((number, -1 - i))))
        for i, grace in enumerate(event.graces)
    )
    return replace(event, heads=heads, graces=graces)


def _head(head: Head, stop: tuple[int | None, int | None] | None) -> Head:
    if stop is None or (head.string is not None and (head.fret is not None or head.kind != "note")):
        return head
    return replace(head, string=stop[0], fret=stop[1])
