"""One `home` for a whole draft in which bar after bar begins in the wrong octave."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from scribe.music.draught import Draught
from scribe.music.events import Head
from scribe.music.pitch import Pitch, at_staff
from scribe.music.resolve import Contour
from scribe.music.slips import far_leap, played_range

_MARKS = re.compile(r"[~hp/\\,(q]*([\^v]*)")
NEAR = 10  # staff places that home may move either way


class _Bar(NamedTuple):
    """A bar as far as its octave goes. `marks`: those of its first note by name, None where no home moves it."""

    bar: Draught
    first: Head | None  # the note that home places
    marks: int | None


class Better(NamedTuple):
    """A home, and how many bars would be remarked on under it."""

    home: Pitch
    left: int


def better_home(bars: Sequence[Draught]) -> Better | None:
    """Return the home under which the fewest bars leap far to their first note or leave the range; None if none helps.

    It must do for two of three bars that are remarked on. Of several homes it is the one that moves the fewest bars,
    then the nearest one. Drafts that speak of more than one home, or mix frets with names in a bar, get none: what
    would move there is not one octave a bar.
    """
    if not bars or any(bar.in_force.home != bars[0].in_force.home or bar.copied for bar in bars):
        return None
    home = bars[0].in_force.home
    rows = [_row(bar) for bar in bars]
    known = [row for row in rows if row is not None]
    if len(known) < len(rows):
        return None
    found: list[tuple[int, int, int, Pitch]] = []
    for by in range(-NEAR, NEAR + 1):
        other = at_staff(home.staff + by)
        shifts = _shifts(known, other)
        found.append((_remarked(known, shifts), sum(map(bool, shifts)), abs(by), other))
    left, _, _, best = min(found)
    return Better(best, left) if 3 * left <= _remarked(known, [0] * len(known)) else None


def _row(bar: Draught) -> _Bar | None:
    """What is to be known of a bar; None where its notes would not all move together."""
    heads = [e.heads[0] for e in bar.events if e.heads and not e.held and e.heads[0].kind == "note"]
    if bar.repeat > 1 or len({head.way == "fret" for head in heads}) > 1:
        return None
    if bar.repeat or not heads or heads[0].way not in ("letter", "degree"):
        return _Bar(bar, None, None)
    typed = _MARKS.match(bar.text, *heads[0].span)
    marks = typed[1].count("^") - typed[1].count("v") if typed else 0
    head = heads[0]
    if Contour(bar.in_force.home).reach(head.pitch.letter, head.pitch.alter, marks) != head.pitch:
        return None  # placed by something else
    return _Bar(bar, head, marks)


def _shifts(rows: Sequence[_Bar], home: Pitch) -> list[int]:
    """By how many octaves each bar moves under another home."""
    found: list[int] = []
    for bar, first, marks in rows:
        if first is None or marks is None:
            found.append(found[-1] if found and bar.repeat else 0)
        else:
            there = Contour(home).reach(first.pitch.letter, first.pitch.alter, marks)
            found.append(there.octave - first.pitch.octave)
    return found


def _remarked(rows: Sequence[_Bar], shifts: Sequence[int]) -> int:
    """How many bars something would be said of."""
    count = 0
    last: Head | None = None
    held = 0  # octaves by which the note that is held over moves
    for (bar, _, _), shift in zip(rows, shifts, strict=True):
        notes = [e for e in bar.events if e.heads and e.heads[0].kind == "note"]
        if not notes:
            last = None if bar.music.broken or bar.music.todo else last
            continue
        first, head = notes[0], notes[0].heads[0]
        begins = first is bar.events[0] and not first.held and not bar.repeat
        typed = bar.text[head.span.start : head.span.end]
        leaps = begins and last and far_leap(last, _moved(head, shift), bar.in_force, typed, head.span)
        low, high = played_range(bar.in_force)
        outside = any(
            head.kind == "note" and not low <= head.pitch.midi + 12 * shift <= high
            for event in notes
            if not event.held
            for head in event.heads
        )
        count += bool(leaps) + (outside and not bar.repeat)
        held = held if notes[-1].held else shift
        last = _moved(notes[-1].heads[0], held)
    return count


def _moved(head: Head, octaves: int) -> Head:
    return replace(head, pitch=head.pitch.octaves(octaves))
