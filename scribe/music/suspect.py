"""Whether a draft may ask too much of the hand: cheap tests, so that most drafts need no search for a fingering."""

from __future__ import annotations

from scribe.music.events import Event
from scribe.music.inforce import InForce
from scribe.music.piece import Bar, Piece
from scribe.music.settings import seconds_a_quarter
from scribe.music.tuning import FRETS

OF_THE_HAND = frozenset(
    ("tab", "strings", "fingers", "positions")
)  # words of `show` that ask for a fingering
_STRETCH = 4  # semitones on one string that a hammer-on or pull-off may be too far for
_NEEDS_A_FINGER = frozenset(("vibrato", "bent", "fall"))
# A leap is suspect where the nearest two places of its notes lie further apart than the hand reaches without moving,
# and the hand would have to cover the rest faster than this. More than it ever takes: 48 mm is the lowest fret.
_LEAP = 14  # semitones: a smaller leap has two places within reach, or an open string
_REACH = 4  # frets
_FRET = 0.048  # m
_FASTEST = 2.0  # m/s
_SOUNDING = 0.4  # share of the note before that the way may take
_QUARTER = 0.5  # s, where the draft names no tempo


def suspect(piece: Piece) -> bool:
    """Tell whether anything in a piece may be unplayable, or whether its draft speaks of the hand at all.

    It does where it pins strings, types frets, holds a position or shows any of these. Else there must be a stack, a
    far and fast leap, or a sign that needs one string, or a finger where there may be none.
    """
    quarter = _QUARTER
    last, length = 0, 0.0
    for bar in piece.bars:
        if bar.tempo is not None:
            quarter = seconds_a_quarter(bar.tempo) or quarter
        if not bar.in_force.instrument.fretted:
            last = 0
            continue
        if bar.position is not None or OF_THE_HAND & bar.shown.what:
            return True
        for event in bar.events:
            if not event.heads or event.heads[0].kind != "note":
                last = 0
                continue
            head = event.heads[0]
            if head.string is not None or len(event.heads) > 1:
                return True
            midi = head.pitch.midi
            if _asks(event, bar, midi, last):
                return True
            if last and abs(midi - last) > _LEAP and _too_far(last, midi, length * quarter, bar.in_force):
                return True
            last, length = midi, float(event.length)
    return False


def _asks(event: Event, bar: Bar, midi: int, last: int) -> bool:
    """Whether a sign at the note may not be playable."""
    lowest = bar.in_force.tuning[0].midi
    if midi == lowest and _NEEDS_A_FINGER & set(event.marks):
        return True
    step = midi - last
    if not last or not event.connector or event.connector == "slur":
        return False
    if event.connector in ("hammer", "pull"):
        return not (0 < step < _STRETCH if event.connector == "hammer" else -_STRETCH < step < 0)
    return not step or lowest in (midi, last)


def _too_far(last: int, midi: int, seconds: float, in_force: InForce) -> bool:
    strings = [string.midi for string in in_force.tuning]
    here, there = ([m - open_ for open_ in strings if 0 <= m - open_ <= FRETS] for m in (last, midi))
    if not here or not there or 0 in there:
        return False
    frets = min(abs(a - b) for a in here for b in there) - _REACH
    return frets * _FRET > _FASTEST * _SOUNDING * seconds
