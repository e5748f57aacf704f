"""How notes are played: grace notes, which are too short to have a place of their own, and ghost notes, played softly.

Both are common practice, no source: a slide or a hammer-on into a note is written small, a soft stroke in parentheses.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from statistics import median

from scribe.exchange.midi.file import Contents, Note, Voice

GRACE = 0.055  # seconds; a 32nd at 136 a minute
CLEAR = 0.010  # seconds between a grace note and its note at least, or they are struck together
STACK, UNDER = (
    Fraction(1, 8),
    Fraction(1, 2),
)  # quarters: notes of one stack; how long a note may be tied over
LONGER = 3  # times as long the note is that a grace note leads to
SOFT, SOFTEST = 0.55, 50  # of the usual velocity, and in itself: how soft a ghost note is at most
RARE, IN_A_ROW = 0.4, 3  # of the notes, and one after the other: so many are ghosts at most


def touched(voice: Voice, contents: Contents) -> Voice:
    """Return a voice whose grace notes are with their notes, its ghost notes marked."""
    return voice._replace(notes=tuple(_with_graces(_with_ghosts(voice.notes), contents)))


def made_of(voice: Voice) -> list[str]:
    """Return for the report how many notes of a touched voice are ghosts and grace notes."""
    ghosts = sum(note.ghost for note in voice.notes)
    graces = sum(len(note.graces) for note in voice.notes)
    out = [f"{ghosts} soft note{'s' if ghosts > 1 else ''} as ghosts"] if ghosts else []
    return out + ([f"{graces} grace note{'s' if graces > 1 else ''}"] if graces else [])


def cut(voice: Voice) -> int:
    """Return how many notes sound on under later ones, for longer than a player ties notes over: a line has no room."""
    onsets = [note.onset for note in voice.notes]
    count = 0
    for note in voice.notes:
        later = bisect_right(onsets, note.onset + STACK)
        count += later < len(onsets) and note.end - onsets[later] > UNDER
    return count


def _with_ghosts(notes: Sequence[Note]) -> Sequence[Note]:
    """Soft notes among loud ones; more than a few in a row are a soft passage."""
    usual = median(note.velocity for note in notes)
    out: list[Note] = []
    for soft, run in groupby(notes, key=lambda note: note.velocity <= min(SOFT * usual, SOFTEST)):
        row = list(run)
        out += [note._replace(ghost=soft and len(row) <= IN_A_ROW) for note in row]
    return out if sum(note.ghost for note in out) <= RARE * len(out) else notes


def _with_graces(notes: Sequence[Note], contents: Contents) -> Sequence[Note]:
    """One short note right before a longer one that it does not sound under; of several in a row none."""
    starts = [contents.seconds(note.onset) for note in notes]
    gaps = [b - a for a, b in pairwise(starts)]
    out: list[Note] = []
    small: int | None = None
    for index, note in enumerate(notes):
        quick = index < len(gaps) and CLEAR < gaps[index] <= GRACE
        alone = (index == 0 or gaps[index - 1] > GRACE) and (
            index + 1 >= len(gaps) or gaps[index + 1] > GRACE
        )
        ends = quick and contents.seconds(note.end) <= starts[index + 1] + CLEAR
        if (
            ends
            and alone
            and notes[index + 1].end - notes[index + 1].onset >= LONGER * (note.end - note.onset)
        ):
            small = note.midi
            continue
        out.append(note if small is None else note._replace(graces=(small,)))
        small = None
    return out
