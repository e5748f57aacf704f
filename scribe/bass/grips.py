"""Every way to stop one note or one stack: the choices among which the fingering is found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from scribe.bass.fretboard import Fretboard
from scribe.bass.hand import (
    FREE,
    LOW_POSITIONS,
    Cost,
    Effort,
    System,
    fingers_at,
    fingers_of_stack,
    height_of,
    stretch_of,
)
from scribe.bass.line import DEAD, Moment, Tone

STAYS = -1  # the hand stays where it is: open strings and dead notes ask nothing of it
OPEN = 0  # the finger of an open string or a dead note


class Stop(NamedTuple):
    """One note under the hand: `string` 1 = highest, `fret` 0 = open, None = dead; `finger` 0 to 4, 5 the thumb."""

    string: int
    fret: int | None
    finger: int


class Grip(NamedTuple):
    """All stops of a moment, in the order of its tones; `hand` is the fret of the first finger, FREE or STAYS."""

    stops: tuple[Stop, ...]
    hand: int

    @property
    def frees_the_hand(self) -> bool:
        """Whether no finger holds a string down, so that the hand may move while this sounds."""
        return all(stop.finger == OPEN for stop in self.stops)

    @property
    def lead(self) -> Stop:
        """The stop of the lowest note, from which and to which the way across the strings is counted."""
        return self.stops[0]


Relaxed = Literal["", "position", "finger", "pins", "fretboard", "reach"]


class Choice(NamedTuple):
    """The grips of a moment. `relaxed`: what the draft asks and no grip can do, so it was left out; "" if nothing.

    Where `grips` is empty no place on this neck gives the note ("fretboard") or the stack ("reach").
    """

    grips: tuple[Grip, ...]
    relaxed: Relaxed


def choices(moment: Moment, neck: Fretboard, effort: Effort, system: System) -> Choice:
    """Return every grip for a moment; pins and position are obeyed, or left out one by one and named."""
    found = _grips(moment.tones, moment.position, moment.finger, neck, effort, system)
    if found:
        return Choice(found, "")
    if moment.position is not None:
        found = _grips(moment.tones, None, moment.finger, neck, effort, system)
        if found:
            return Choice(found, "position")
    if moment.finger:
        found = _grips(moment.tones, moment.position, False, neck, effort, system)
        found = found or _grips(moment.tones, None, False, neck, effort, system)
        if found:
            return Choice(found, "finger")
    plain = tuple(
        tone._replace(string=None, fret=None) if tone.midi != DEAD else tone for tone in moment.tones
    )
    if plain != moment.tones:
        found = _grips(plain, None, False, neck, effort, system)
        if found:
            return Choice(found, "pins")
    everywhere = all(_places(tone, neck) for tone in plain)
    return Choice((), "reach" if everywhere else "fretboard")


def _places(tone: Tone, neck: Fretboard) -> list[tuple[int, int | None]]:
    """The places of a tone as (string, fret), pins obeyed."""
    if tone.midi == DEAD:
        strings = range(1, len(neck.tuning) + 1) if tone.string is None else (tone.string,)
        return [(string, None) for string in strings]
    found: list[tuple[int, int | None]] = list(neck.places(tone.midi))
    if tone.harmonic:
        touched = neck.touches(tone.midi)
        found = [*touched, *(place for place in found if place not in touched)]
    if tone.string is not None:
        if tone.fret is not None and tone.fret > neck.frets:
            return []
        pinned = (tone.string, tone.fret)
        if tone.fret is not None:
            return [pinned]
        return [place for place in found if place[0] == tone.string]
    return found


def _grips(
    tones: tuple[Tone, ...],
    position: int | None,
    finger: bool,
    neck: Fretboard,
    effort: Effort,
    system: System,
) -> tuple[Grip, ...]:
    places = [[p for p in _places(tone, neck) if not (finger and p[1] == 0)] for tone in tones]
    if not all(places):
        return ()
    if len(tones) == 1:
        single = _single(places[0], neck, effort, system)
        return tuple(grip for grip in single if position is None or grip.hand in (position, STAYS))
    hands = range(1, neck.frets + 1) if position is None else (position,)
    found = dict.fromkeys(grip for hand in hands for grip in _stack(places, hand, neck, effort, system))
    return tuple(found)


def _single(
    places: Sequence[tuple[int, int | None]], neck: Fretboard, effort: Effort, system: System
) -> Iterator[Grip]:
    for string, fret in places:
        if not fret:
            yield Grip((Stop(string, fret, OPEN),), STAYS)
            continue
        for hand in range(fret, max(0, fret - 6), -1):
            for finger in _fingers(hand, fret, neck, effort, system):
                yield Grip((Stop(string, fret, finger),), hand)


def _fingers(
    hand: int, fret: int, neck: Fretboard, effort: Effort, system: System, stack: bool = False
) -> list[int]:
    """The fingers that reach a fret from a position."""
    table = fingers_of_stack if stack else fingers_at
    return [
        finger
        for finger, above in table(hand, system, neck)
        if hand + above == fret and stretch_of(finger, neck.span(hand, fret), effort) is not None
    ]


def _stack(
    places: Sequence[Sequence[tuple[int, int | None]]],
    hand: int,
    neck: Fretboard,
    effort: Effort,
    system: System,
) -> Iterator[Grip]:
    """Every way to stop all tones at once from one position: a string each, fingers in the order of the frets."""
    options = [
        [
            Stop(string, fret, finger)
            for string, fret in row
            for finger in (_fingers(hand, fret, neck, effort, system, stack=True) if fret else [OPEN])
        ]
        for row in places
    ]

    def grow(taken: tuple[Stop, ...]) -> Iterator[Grip]:
        if len(taken) == len(options):
            still = all(stop.finger == OPEN for stop in taken)
            yield Grip(taken, STAYS if still else hand)
            return
        for stop in options[len(taken)]:
            if all(_together(stop, other) for other in taken):
                yield from grow((*taken, stop))

    yield from grow(())


def _together(a: Stop, b: Stop) -> bool:
    """Whether two stops can be held at once: two strings; one finger for two only as a bar over neighbours."""
    if a.string == b.string:
        return False
    if OPEN in (a.finger, b.finger):
        return True
    if a.finger == b.finger:
        return a.fret == b.fret and abs(a.string - b.string) == 1
    assert a.fret is not None
    assert b.fret is not None
    return a.fret == b.fret or (a.fret < b.fret) == (a.finger % 5 < b.finger % 5)


def own_cost(grip: Grip, moment: Moment, neck: Fretboard, effort: Effort) -> Cost:
    """Return what a grip costs by itself: stretch, weak fingers, open strings, height."""
    stretch = fingers = open_ = height = 0.0
    for i, stop in enumerate(grip.stops):
        if stop.fret is None:
            continue
        if stop.fret == 0:
            open_ += effort.open
            continue
        stretch += stretch_of(stop.finger, neck.span(grip.hand, stop.fret), effort) or 0.0
        fingers += effort.fingers[stop.finger]
        if (
            grip.hand >= LOW_POSITIONS
            and neck.kind == "electric"
            and (stop.finger, stop.fret - grip.hand) == (4, 2)
        ):
            fingers += effort.off_system
        if any(other.finger == stop.finger for other in grip.stops[:i]):
            fingers += effort.roll
        elif any(other.fret == stop.fret for other in grip.stops[:i]):
            fingers += effort.squeeze
        height += height_of(stop.fret, effort)
    cost = Cost(stretch=stretch, fingers=fingers, open=open_, height=height)
    return cost.times(effort.ghost) if moment.ghost else cost


def free_time(moment: Moment, frees_the_hand: bool, effort: Effort) -> float:
    """Return the seconds that a moment leaves for the way to the next one."""
    share = 1.0 if frees_the_hand else effort.sounding
    return max(moment.silence + share * moment.sounds, effort.least_time)


__all__ = ["FREE", "OPEN", "STAYS", "Choice", "Grip", "Stop", "choices", "free_time", "own_cost"]
