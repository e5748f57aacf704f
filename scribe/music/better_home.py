"""One `home` for a whole draft in which bar after bar begins in the wrong octave."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from scribe.music.draught import Draught
from scribe.music.pitch import Pitch, at_staff
from scribe.music.resolve import Contour
from scribe.music.slips import is_far, played_range

_MARKS = re.compile(r"[~hp/\\,(q]*([\^v]*)")
LONGEST = 100  # bars of a draft in which one is looked for: behind that somebody would have noticed
NEAR = 10  # staff places that home may move either way


class _Bar(NamedTuple):
    """A bar as far as its octave goes. Staff places and MIDI numbers are those under the home in force.

    `first`: the note that home places, None where no home moves the bar; `marks`: its octave marks. `begins`: its first
    note may be remarked on as a leap; `held`: its last one is held from the bar before.
    """

    first: Pitch | None
    marks: int
    sounds: bool
    breaks: bool  # the line does not go on over it
    repeat: bool
    begins: bool
    head: Pitch | None
    last: int  # staff place of its last note
    held: bool
    lowest: int  # MIDI numbers of what is struck
    highest: int
    range: tuple[int, int]


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
    if not 0 < len(bars) <= LONGEST or any(
        bar.in_force.home != bars[0].in_force.home or bar.copied for bar in bars
    ):
        return None
    home = bars[0].in_force.home
    rows = [_row(bar) for bar in bars]
    known = [row for row in rows if row is not None]
    if len(known) < len(rows):
        return None
    most = _remarked(known, [0] * len(known), 2 * len(known)) // 3
    found: list[tuple[int, int, int, Pitch]] = []
    for by in sorted(range(-NEAR, NEAR + 1), key=abs):
        other = at_staff(home.staff + by)
        shifts = _shifts(known, other)
        left = _remarked(known, shifts, most)
        if left <= most:
            found.append((left, sum(map(bool, shifts)), abs(by), other))
            most = left
    return Better(min(found)[3], min(found)[0]) if found else None


def _row(bar: Draught) -> _Bar | None:
    """What is to be known of a bar; None where its notes would not all move together."""
    struck = [e for e in bar.events if e.heads and not e.held and e.heads[0].kind == "note"]
    if bar.repeat > 1 or len({e.heads[0].way == "fret" for e in struck}) > 1:
        return None
    first, marks = None, 0
    if not bar.repeat and struck and struck[0].heads[0].way in ("letter", "degree"):
        head = struck[0].heads[0]
        typed = _MARKS.match(bar.text, *head.span)
        first, marks = head.pitch, typed[1].count("^") - typed[1].count("v") if typed else 0
        if Contour(bar.in_force.home).reach(first.letter, first.alter, marks) != first:
            return None  # placed by something else
    notes = [e for e in bar.events if e.heads and e.heads[0].kind == "note"]
    low, high = played_range(bar.in_force)
    opens = bool(notes) and notes[0] is bar.events[0] and not notes[0].held and not bar.repeat
    text = bar.text[notes[0].heads[0].span.start : notes[0].heads[0].span.end] if opens else ""
    midis = [h.pitch.midi for e in notes if not e.held for h in e.heads if h.kind == "note"]
    return _Bar(
        first,
        marks,
        sounds=bool(notes),
        breaks=bar.music.broken or bar.music.todo,
        repeat=bool(bar.repeat),
        begins=opens and notes[0].heads[0].way != "fret" and not {"^", "v"} & set(text),
        head=notes[0].heads[0].pitch if notes else None,
        last=notes[-1].heads[0].pitch.staff if notes else 0,
        held=bool(notes) and notes[-1].held,
        lowest=min(midis, default=low),
        highest=max(midis, default=high),
        range=(low, high),
    )


def _shifts(rows: Sequence[_Bar], home: Pitch) -> list[int]:
    """By how many octaves each bar moves under another home."""
    found: list[int] = []
    contour = Contour(home)
    for row in rows:
        if row.first is None:
            found.append(found[-1] if found and row.repeat else 0)
        else:
            found.append(
                contour.reach(row.first.letter, row.first.alter, row.marks).octave - row.first.octave
            )
    return found


def _remarked(rows: Sequence[_Bar], shifts: Sequence[int], most: int) -> int:
    """How many remarks would be made; it stops counting behind `most`."""
    count = 0
    last: int | None = None
    held = 0  # octaves by which the note that is held over moves
    for row, shift in zip(rows, shifts, strict=True):
        if not row.sounds or row.head is None:
            last = None if row.breaks else last
            continue
        low, high = row.range
        if row.begins and last is not None:
            leap = row.head.staff + 7 * shift - last
            wanted = row.head.midi + 12 * (shift - 1 if leap > 0 else shift + 1)
            count += is_far(leap) and low <= wanted <= high
        if not row.repeat:
            count += row.lowest + 12 * shift < low or row.highest + 12 * shift > high
        held = held if row.held else shift
        last = row.last + 7 * held
        if count > most:
            return count
    return count
