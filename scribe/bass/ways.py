"""Other ways to finger the same line: really different ones, each with what is hard about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

from scribe.bass.fingered import Taken, bill_of, effort_of, hands_of
from scribe.bass.fingering import Hand, places_of
from scribe.bass.fretboard import Fretboard
from scribe.bass.grips import Grip, Relaxed, free_time
from scribe.bass.hand import FREE, Cost, Effort, System
from scribe.bass.line import DEAD, Line

DIFFERENT = 0.2  # of the notes that have a choice must lie elsewhere than in every other way
SEARCHES = 1.5  # so many searches for every way asked for, at most


class Shift(NamedTuple):
    """The hand moves on its way to moment `at`: positions, millimetres, the seconds for it."""

    at: int
    here: int
    there: int
    mm: float
    seconds: float


class Way(NamedTuple):
    """One way: its name, its path, what each moment costs, the sum by kind, its shifts, its hardest moment.

    Costs are those of the plain table whatever the way was looked for by. `hardest` is None for an empty line.
    """

    name: str
    grips: tuple[Grip | None, ...]
    relaxed: tuple[Relaxed, ...]
    bill: tuple[Cost, ...]
    cost: Cost
    shifts: tuple[Shift, ...]
    hardest: int | None


Wish = Callable[[Effort], Effort]


def _least(effort: Effort) -> Effort:
    return effort


def _low(effort: Effort) -> Effort:
    return effort._replace(open=0.0, tone=0.0, per_fret=4 * effort.per_fret)


def _one_position(effort: Effort) -> Effort:
    return effort._replace(pivot=8 * effort.pivot, shift=8 * effort.shift, open=2 * effort.open)


def _one_string(effort: Effort) -> Effort:
    return effort._replace(crossing=tuple(12 * cost for cost in effort.crossing))


def _closed(effort: Effort) -> Effort:
    return effort._replace(open=10.0)


# What the other ways are looked for by: the table of costs with one wish made strong.
_WISHES = (_low, _one_position, _one_string, _closed)


def ways(line: Line, count: int = 3, system: System = "mixed", hand: Hand | None = None) -> list[Way]:
    """Return up to `count` ways to finger a line, the least work first, the others really different from all before.

    Fewer come back where the line has no more: places are pinned, or the neck offers nothing else. `hand`: where
    the hand comes from.
    """
    found: list[Way] = []
    choosing = [_has_choice(line, i) for i in range(len(line.moments))]
    searches = max(1, int(SEARCHES * count))
    wishes: list[Wish] = [_least]
    while wishes and searches and len(found) < count:
        wish, searches = wishes.pop(0), searches - 1
        effort = _for_line(line, wish)
        grips, relaxed = hands_of(line, system, effort, _taken(found), hand)
        if all(_different(grips, way.grips, choosing) for way in found):
            found.append(_way(line, grips, relaxed, hand))
        if wish is _least:  # what it is already is wished for last
            wishes = sorted(_WISHES, key=lambda one: _granted(one, found[0]))
    return [way._replace(name=_name(way, found[0])) for way in found]


def _granted(wish: Wish, way: Way) -> bool:
    """Whether a way is already what a wish asks for."""
    stops = [stop for grip in way.grips if grip is not None for stop in grip.stops if stop.fret is not None]
    opened = any(stop.fret == 0 for stop in stops)
    if wish is _low:
        return opened
    if wish is _closed:
        return not opened
    return not way.shifts if wish is _one_position else len({stop.string for stop in stops}) < 2


def _for_line(line: Line, wish: Wish) -> Effort | None:
    if wish is _least or not line.necks:
        return None
    return wish(effort_of(line.necks[0]))


def _taken(found: Sequence[Way]) -> Taken:
    if not found:
        return ()
    return tuple(
        frozenset(places_of(grip) for grip in row if grip is not None)
        for row in zip(*(way.grips for way in found), strict=True)
    )


def _has_choice(line: Line, i: int) -> bool:
    """Whether the neck has more than one place for a note that the draft does not pin."""
    moment = line.moments[i]
    neck = neck_at(line, i)
    return any(t.midi != DEAD and t.string is None and len(neck.places(t.midi)) > 1 for t in moment.tones)


def neck_at(line: Line, i: int) -> Fretboard:
    """Return the neck that moment `i` is played on."""
    return next(neck for start, end, neck in line.phrases() if start <= i < end)


def _different(a: Sequence[Grip | None], b: Sequence[Grip | None], choosing: Sequence[bool]) -> bool:
    free = [i for i, choice in enumerate(choosing) if choice and a[i] is not None and b[i] is not None]
    apart = sum(places_of(one) != places_of(other) for i in free if (one := a[i]) and (other := b[i]))
    return bool(free) and apart >= DIFFERENT * len(free)


def _way(line: Line, grips: tuple[Grip | None, ...], relaxed: tuple[Relaxed, ...], hand: Hand | None) -> Way:
    bill = tuple(bill_of(line, grips, hand=hand))
    total = Cost()
    for cost in bill:
        total = total.plus(cost)
    hardest = max(range(len(bill)), key=lambda i: bill[i].total) if bill else None
    return Way("", grips, relaxed, bill, total, shifts_of(line, grips, hand), hardest)


def shifts_of(line: Line, grips: Sequence[Grip | None], hand: Hand | None = None) -> tuple[Shift, ...]:
    """Return every change of position of a path. Where the hand is put down for the first time none is counted."""
    shifts: list[Shift] = []
    before = hand
    for start, end, neck in line.phrases():
        effort = effort_of(neck)
        for i in range(start, end):
            grip, moment = grips[i], line.moments[i]
            if grip is None:
                if before is not None:
                    waits = before.moment.silence + moment.sounds + moment.silence
                    before = Hand(before.grip, before.moment._replace(silence=waits))
                continue
            if (
                before is not None
                and FREE not in (before.grip.hand, grip.hand)
                and before.grip.hand != grip.hand
            ):
                time = free_time(before.moment, before.grip.frees_the_hand, effort)
                mm = neck.span(before.grip.hand, grip.hand)
                shifts.append(Shift(i, before.grip.hand, grip.hand, mm, time))
            before = Hand(grip, moment)
    return tuple(shifts)


def _name(way: Way, first: Way) -> str:
    """What a player would call a way, from what it is rather than from what was looked for."""
    stops = [stop for grip in way.grips if grip is not None for stop in grip.stops if stop.fret is not None]
    frets = [stop.fret for stop in stops if stop.fret]
    strings = {stop.string for stop in stops}
    opened = sum(stop.fret == 0 for stop in stops)
    if not stops:
        return "nothing to finger"
    if not frets:
        return "open strings alone"
    where = f"frets {min(frets)} to {max(frets)}" if len(set(frets)) > 1 else f"fret {frets[0]}"
    traits = [where]
    if len(strings) == 1 and len(stops) > 1:
        traits.insert(0, "along one string")
    elif not way.shifts and len(stops) > 1:
        traits.insert(0, "in one position")
    traits.append(f"{opened} open string{'s' if opened != 1 else ''}" if opened else "no open string")
    name = ", ".join(traits)
    return f"the least work: {name}" if way is first else name


def part_of(line: Line, first: int, last: int) -> Line:
    """Return the moments of bars `first` to `last` (bar indices) as a line of their own."""
    inside = [i for i, place in enumerate(line.places) if first <= place.bar <= last]
    if not inside:
        return Line()
    start, end = inside[0], inside[-1] + 1
    phrases = [(max(a, start), neck) for a, b, neck in line.phrases() if a < end and b > start]
    return replace(
        line,
        moments=line.moments[start:end],
        places=line.places[start:end],
        copies=[j - start if j >= start else -1 for j in line.copies[start:end]],
        figures=line.figures[start:end],
        starts=[a - start for a, _ in phrases],
        necks=[neck for _, neck in phrases],
        loose=[
            (place, before - start if before >= start else -1, behind - start if behind < end else -1)
            for place, before, behind in line.loose
            if first <= place.bar <= last
        ],
        tied=[(place, i - start) for place, i in line.tied if start <= i < end and place.bar <= last],
    )


def hand_before(line: Line, grips: Sequence[Grip | None], first: int) -> Hand | None:
    """Return the hand as it comes to bar `first` of a fingered line, None at its start."""
    for i in range(len(line.moments) - 1, -1, -1):
        grip = grips[i]
        if line.places[i].bar < first and grip is not None:
            return Hand(grip, line.moments[i])
    return None
