"""The left hand: what it reaches, and what each thing it does costs. The one table of costs, in physical terms.

The unit is free: 1 is about the work of moving the hand by three frets on the low part of the neck when there is
time for it. No published costs for the bass are known to us; the numbers are this project's own choice, after these
sources. Span of the hand: comfort 10 cm, a stretch 13 cm, hard 16 cm between the first and the fourth finger (common
practice, no measurement found). Two systems (common practice, and bass methods): fingers 1-2-4 on three frets low
down, one finger a fret above about fret five; both come out of the millimetres below. The terms (movement along the
neck, across the strings, spread, high frets) are those of the literature on fingering search for fretted strings.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal, NamedTuple

from scribe.bass.fretboard import Fretboard

System = Literal["mixed", "1-2-4", "finger a fret"]
THUMB = 5  # the thumb on the string, from the twelfth stop of a double bass up
THUMB_FROM = 12
FREE = 0  # the hand is not placed yet
LOW_POSITIONS = 5  # below this fret 1-2-4 is the rule, above one finger a fret (common practice)


class Effort(NamedTuple):
    """The table. Lengths in mm, times in s; every cost is added to the line's total where it applies."""

    # The first finger stands at the position's fret; how far the others reach from there without being spread,
    # fingers 0 (none), 1, 2, 3, 4, and the thumb, which stands where the first finger would.
    comfort: tuple[float, ...] = (0.0, 1.0, 55.0, 78.0, 100.0, 1.0)
    spread: float = 0.3  # of the comfort: so much beyond it is a stretch …
    stretch: float = 0.35  # … that costs this; the cost grows with the square of what is beyond the comfort
    wide: float = 1.3  # times the comfort: beyond this a stretch strains the joints, is reported, and …
    strain: float = 0.8  # … costs this besides, so that the hand rather moves
    reach: float = 1.6  # times the comfort: nothing beyond can be stopped
    fingers: tuple[float, ...] = (0.0, 0.0, 0.0, 0.12, 0.1, 0.1)  # the third and fourth finger are weaker
    off_system: float = 0.15  # the fourth finger in the third's place, above the low positions

    # Moving along the neck
    pivot: float = 0.4  # the hand turns on a thumb that stays …
    pivot_mm: float = 50.0  # … up to this far; beyond, the arm moves:
    shift: float = 0.7
    per_mm: float = 0.006
    speed: float = 1.0  # at 1 m/s; grows with the square of the speed
    sounding: float = 0.4  # share of a stopped note's length that it may give up for the shift behind it
    open_shift: float = 0.4  # of the cost of a shift, while an open string or a dead note sounds
    least_time: float = 0.02  # s
    guided: float = 0.5  # of the cost of the move that a slide makes in sounding

    # Across the strings and from finger to finger; to the next string the plucking fingers go by themselves
    crossing: tuple[float, ...] = (0.0, 0.08, 0.3, 0.5, 0.7, 0.9, 1.1)  # by the number of strings
    squeeze: float = 0.2  # in a stack, a finger beside another one in its fret
    roll: float = 0.35  # one finger on two neighbouring strings in the same fret, one after the other
    hop: float = 0.6  # the same over a string between them
    slip: float = 0.35  # one finger on two frets, one after the other, while the hand stays
    change: float = 0.5  # another finger on the same place; a slide that ends on another finger

    # Where on the neck
    open: float = 0.15  # an open string rings on and has to be damped
    tone: float = (
        0.5  # from an open string to a stopped one or back: times the share of the string stopped off
    )
    per_fret: float = 0.03
    high_from: int = 12  # above this fret each fret costs more
    per_high_fret: float = 0.12
    ghost: float = 0.5  # of the cost of the note itself

    # What cannot be: a sum that no playable line reaches, so a way around it is found if there is one
    impossible: float = 1000.0
    too_fast: float = (
        2.0  # m/s, mean speed of the hand, above which a shift is reported (common practice, no source)
    )


ELECTRIC = Effort()
# Players of the double bass prefer open strings: they ring well and help the intonation (common practice).
DOUBLE = Effort(open=0.0, tone=0.2, per_high_fret=0.2)


class Cost(NamedTuple):
    """What a note, a change or a whole line costs, by kind."""

    travel: float = 0.0
    speed: float = 0.0
    stretch: float = 0.0
    crossing: float = 0.0
    fingers: float = 0.0
    open: float = 0.0
    height: float = 0.0
    impossible: float = 0.0

    @property
    def total(self) -> float:
        return sum(self)

    def plus(self, other: Cost) -> Cost:
        """Return the sum, kind by kind."""
        return Cost(*(a + b for a, b in zip(self, other, strict=True)))

    def times(self, factor: float) -> Cost:
        """Return so many times the cost."""
        return Cost(*(factor * a for a in self))


# The fingers of each system as (finger, frets above the position).
_ONE_TWO_FOUR = ((1, 0), (2, 1), (4, 2))
_FINGER_A_FRET = ((1, 0), (2, 1), (3, 2), (4, 3), (4, 4))
_MIXED = ((1, 0), (2, 1), (4, 2), (3, 2), (4, 3), (4, 4))
_THUMB_POSITION = ((THUMB, 0), (1, 2), (2, 3), (2, 4), (3, 5))


def fingers_at(position: int, system: System, neck: Fretboard) -> tuple[tuple[int, int], ...]:
    """Return (finger, frets above the position) for a hand whose first finger is at fret `position`.

    On a double bass the third finger is used from the thumb position on only (common practice).
    """
    if neck.kind == "double":
        return _THUMB_POSITION if position >= THUMB_FROM else _ONE_TWO_FOUR
    if system == "1-2-4":
        return _ONE_TWO_FOUR
    return _FINGER_A_FRET if system == "finger a fret" else _MIXED


def fingers_of_stack(position: int, system: System, neck: Fretboard) -> tuple[tuple[int, int], ...]:
    """Return (finger, frets above the position) for notes held together: two fingers may share a fret.

    Root, seventh and tenth of a chord, for one, lie under fingers 2, 3 and 4 on two frets (common practice).
    """
    usual = fingers_at(position, system, neck)
    squeezed = tuple((finger, above - 1) for finger, above in usual if 0 < above < 3)
    return tuple(dict.fromkeys((*usual, *squeezed)))


def stretch_of(finger: int, mm: float, effort: Effort) -> float | None:
    """Return the cost of a finger `mm` away from the first finger's place; None beyond its reach."""
    comfort = effort.comfort[finger]
    if mm <= comfort:
        return 0.0
    if mm > effort.reach * comfort:
        return None
    strain = effort.strain if mm > effort.wide * comfort else 0.0
    return float(effort.stretch * ((mm - comfort) / (effort.spread * comfort)) ** 2 + strain)


@lru_cache(maxsize=64)
def tones(neck: Fretboard, effort: Effort) -> list[float]:
    """Return, for every fret, what an open string beside a note there costs: the shorter the stopped string, the more
    its tone differs. Nothing at fret 0.
    """
    return [effort.tone * neck.nut_distance(fret) / neck.scale for fret in range(neck.frets + 1)]


def height_of(fret: int, effort: Effort) -> float:
    """Return the cost of a fret for lying high on the neck."""
    return effort.per_fret * fret + effort.per_high_fret * max(0, fret - effort.high_from)


def move_of(here: int, there: int, neck: Fretboard, effort: Effort) -> float:
    """Return the cost of moving the hand between two positions with all the time in the world."""
    if here == there or FREE in (here, there):
        return 0.0
    mm = neck.span(here, there)
    return (effort.pivot if mm <= effort.pivot_mm else effort.shift) + effort.per_mm * mm


def metres_a_second(here: int, there: int, seconds: float, neck: Fretboard, effort: Effort) -> float:
    """Return the mean speed of the hand between two positions."""
    if here == there or FREE in (here, there):
        return 0.0
    return neck.span(here, there) / 1000 / max(seconds, effort.least_time)


@lru_cache(maxsize=64)
def tables(neck: Fretboard, effort: Effort) -> tuple[list[list[float]], list[list[float]]]:
    """Return, for every pair of positions, the cost of the move and its distance squared in m² times `speed`.

    Positions run from 0 (not placed) to the last fret.
    """
    positions = range(neck.frets + 1)
    moves = [[move_of(p, q, neck, effort) for q in positions] for p in positions]
    squares = [
        [effort.speed * metres_a_second(p, q, 1.0, neck, effort) ** 2 for q in positions] for p in positions
    ]
    return moves, squares
