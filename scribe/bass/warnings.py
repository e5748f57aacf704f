"""What cannot be played as it stands, and the nearest thing that can."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations
from math import floor
from typing import Literal, NamedTuple

from scribe.bass.breaking_off import checkpoint
from scribe.bass.change import connected
from scribe.bass.fingered import Fingered, effort_of
from scribe.bass.fretboard import Fretboard
from scribe.bass.grips import Grip, choices, free_time
from scribe.bass.hand import FREE, Effort, System, metres_a_second
from scribe.bass.line import DEAD, Moment, Tone
from scribe.bass.mends import Mend, other_sign, place, plucked, stack, unmarked
from scribe.bass.ways import neck_at, shifts_of
from scribe.bass.words import grip_name, octaves_name, place_name, roman, where
from scribe.diagnostics import Span
from scribe.music.inforce import Tempo
from scribe.music.piece import Bar, Piece
from scribe.music.tuning import Tuning, string_name
from scribe.source.tree import Connector

Kind = Literal[
    "off the fretboard", "one string", "too wide", "wide stretch", "too fast", "connector", "position", "finger", "pin"
]  # fmt: skip
CAUTION = "wide stretches: stop when it hurts, warm up first, ask a teacher or a physiotherapist"
_CONNECTOR = {
    "hammer": "a hammer-on",
    "pull": "a pull-off",
    "slide up": "a slide",
    "slide down": "a slide",
}


Typed = Callable[[], "Mend | None"]
Way = tuple[str, Typed]  # what can be played instead, in words and as typed


def none() -> None:
    """What cannot be typed."""


class Problem(NamedTuple):
    """One thing that the hand cannot do, or only with strain (`wide stretch`).

    `moment` is its index in the line, `span` its place in the draft, `where` its bar and beat. `what` and `instead`
    are lower case, without a full stop; `instead` is the nearest playable alternative, `typed()` the same as
    text for the draft (its place counts from the bar's start), None where it cannot be typed. `asked`: the draft wants
    it so;
    else it is how this fingering does it, and the draft allows another.
    """

    kind: Kind
    moment: int
    span: Span
    where: str
    what: str
    instead: str
    typed: Typed = none
    asked: bool = True

    @property
    def message(self) -> str:
        """Where it is and what is wrong."""
        return f"{self.where}: {self.what}"


def problems(found: Fingered, system: System = "mixed") -> list[Problem]:
    """Return everything in a fingered piece that cannot be played at its tempo, in order, with a way out."""
    return _Checker(found, system).run()


def strained(found: Iterable[Problem]) -> bool:
    """Whether a line of caution belongs under these problems: a stretch beyond comfort is among what is proposed."""
    return any(problem.kind == "wide stretch" for problem in found)


def wide_stretches(found: Fingered) -> list[int]:
    """Return the moments whose grip spreads a finger beyond a stretch: 1.3 times its comfort."""
    return [
        i
        for i, grip in enumerate(found.grips)
        if grip is not None and _widest(grip, neck_at(found.line, i)) is not None
    ]


def _widest(grip: Grip, neck: Fretboard) -> tuple[float, int] | None:
    """The widest stretch of a grip that goes beyond the limit: mm, finger."""
    effort = effort_of(neck)
    wide = [
        (mm, stop.finger)
        for stop in grip.stops
        if stop.fret and stop.finger
        and (mm := neck.span(grip.hand, stop.fret)) > effort.wide * effort.comfort[stop.finger]
    ]  # fmt: skip
    return max(wide, default=None)


@dataclass(slots=True)
class _Checker:
    found: Fingered
    system: System

    def run(self) -> list[Problem]:
        line, grips = self.found.line, self.found.grips
        said: list[Problem] = []
        fast = {shift.at: shift for shift in shifts_of(line, grips)}
        before: int | None = None
        for i, grip in enumerate(grips):
            checkpoint()
            already = len(said)
            said += self._asked(i)
            if grip is None:
                continue
            if before is not None and before == i - 1 and line.moments[i].lead:
                said += self._connector(before, i)
            wide = _widest(grip, neck_at(line, i))
            if wide is not None and len(said) == already:
                said.append(self._wide(i, grip, *wide))
            shift = fast.get(i)
            alone = len(said) == already  # what has a fault already gets no second one
            if alone and shift is not None and before is not None and "slide" not in line.moments[i].lead:
                effort = effort_of(neck_at(line, i))
                if shift.mm / 1000 / shift.seconds > effort.too_fast:
                    said.append(self._fast(before, i, shift.mm, shift.seconds))
            before = i
        return said

    # --- where ---------------------------------------------------------------------------------------------------

    def _bar(self, i: int) -> Bar:
        return self.found.piece.bars[self.found.line.places[i].bar]

    def _tuning(self, i: int) -> Tuning:
        return neck_at(self.found.line, i).tuning

    def _lowest(self, i: int) -> int:
        return self.found.line.moments[i].tones[0].midi

    def _pitches(self, i: int) -> list[str]:
        """The names of the notes of a moment, as the draft spells them."""
        place = self.found.line.places[i]
        event = self._bar(i).events[place.event]
        if place.grace >= 0:
            return [str(event.graces[place.grace].head.pitch)]
        return [str(event.heads[h].pitch) if event.heads[h].kind == "note" else "x" for h in place.heads]

    def _say(self, kind: Kind, i: int, message: str, instead: str, typed: Typed = none) -> Problem:
        at, bar = self.found.line.places[i], self._bar(i)
        event = bar.events[at.event]
        span = event.graces[at.grace].span if at.grace >= 0 else event.span
        named = where(bar, at.event)
        return Problem(
            kind, i, span.shift(bar.offset), named, message, instead, typed if at.grace < 0 else none
        )

    def _typed_at(self, i: int, octaves: int, grip: Grip) -> Mend | None:
        """The moment as it is typed with the places of a grip, moved by octaves."""
        at, bar = self.found.line.places[i], self._bar(i)
        if at.grace >= 0 or len(at.heads) != len(bar.events[at.event].heads):
            return None
        if len(at.heads) == 1:
            return place(bar, at.event, octaves, grip.lead)
        return stack(bar, at.event, at.heads, grip) if not octaves else None

    # --- what the draft asks -----------------------------------------------------------------------------------

    def _asked(self, i: int) -> list[Problem]:
        relaxed = self.found.relaxed[i]
        if not relaxed:
            return []
        moment, grip, neck = self.found.line.moments[i], self.found.grips[i], neck_at(self.found.line, i)
        names = " ".join(f"`{name}`" for name in self._pitches(i))
        if relaxed == "fretboard":
            return [self._off(i, names, neck)]
        if relaxed == "reach" or (relaxed == "pins" and len(moment.tones) > 1):
            return [self._stack(i, moment, names, neck)]
        assert grip is not None
        there = grip_name(grip, neck.tuning, fingers=False)
        if relaxed == "position":
            message = f"{names} cannot be reached from position {moment.position}"
            return [self._say("position", i, message, f"it is played at `{there}`, and the hand comes back")]
        if relaxed == "finger":
            message = f"{names} is an open string here, and an open string takes no vibrato, bend or fall"
            up, higher = self._octave(i, neck)
            if not up:
                up, higher = (
                    "leave the mark out",
                    partial(unmarked, self._bar(i), self.found.line.places[i].event),
                )
            return [self._say("finger", i, message, up, higher)]
        message = f"{names} is pinned to a place that this neck does not have"
        return [self._say("pin", i, message, f"it lies at `{there}` too")]

    def _off(self, i: int, names: str, neck: Fretboard) -> Problem:
        low, high = neck.sounding_range
        midis = [tone.midi for tone in self.found.line.moments[i].tones if tone.midi != DEAD]
        side = "below the lowest string" if min(midis) < low else f"above fret {neck.frets}"
        if low <= min(midis) and max(midis) <= high:
            side = "on no place that the draft allows"
        instead, mend = self._octave(i, neck)
        if not instead and len(midis) > 1:
            instead, mend = self._smaller(i, self.found.line.moments[i], neck)
        instead = instead or "leave it out, or tune a string to it"
        return self._say("off the fretboard", i, f"{names} lies {side}", instead, mend)

    def _octave(self, i: int, neck: Fretboard) -> Way:
        """The nearest octave that the neck has; empty words if there is none."""
        moment = self.found.line.moments[i]
        for by in (1, -1, 2, -2, 3, -3):
            tones = tuple(Tone(t.midi + 12 * by) for t in moment.tones if t.midi != DEAD)
            moved = moment._replace(tones=tones, position=None)
            choice = choices(moved, neck, effort_of(neck), self.system)
            if choice.grips and not choice.relaxed:
                there = grip_name(choice.grips[0], neck.tuning, fingers=False)
                return f"{octaves_name(by)} it lies at `{there}`", partial(
                    self._typed_at, i, by, choice.grips[0]
                )
        return "", none

    def _stack(self, i: int, moment: Moment, names: str, neck: Fretboard) -> Problem:
        strings = [tone.string for tone in moment.tones if tone.string is not None]
        twice = next((s for s in strings if strings.count(s) > 1), None)
        instead, mend = self._smaller(i, moment, neck)
        if twice is not None:
            name = string_name(neck.tuning, twice)
            message = f"{names} are two notes on the `{name}` string at once"
            return self._say("one string", i, message, instead, mend)
        return self._say("too wide", i, f"{names} cannot be held down by one hand", instead, mend)

    def _smaller(self, i: int, moment: Moment, neck: Fretboard) -> Way:
        """The stack with the fewest notes left out, the lowest kept if that can be; first without its pins."""
        tones, names = moment.tones, self._pitches(i)
        free = tuple(tone._replace(string=None, fret=None) for tone in tones)
        effort = effort_of(neck)
        for count in range(len(tones), 0, -1):
            for kept in combinations(range(len(tones)), count):
                some = moment._replace(tones=tuple(free[k] for k in kept), position=None)
                choice = choices(some, neck, effort, self.system)
                if choice.grips and not choice.relaxed:
                    there = grip_name(choice.grips[0], neck.tuning, fingers=False)
                    left = " and ".join(f"`{names[k]}`" for k in range(len(tones)) if k not in kept)
                    at = self.found.line.places[i]
                    whole = len(at.heads) == len(self._bar(i).events[at.event].heads) and at.grace < 0
                    mend = partial(stack, self._bar(i), at.event, kept, choice.grips[0]) if whole else none
                    return f"without {left} it lies at `{there}`" if left else f"it lies at `{there}`", mend
        return "play the notes one after the other", none

    # --- what the hand would have to do ---------------------------------------------------------------------------

    def _wide(self, i: int, grip: Grip, mm: float, finger: int) -> Problem:
        neck = neck_at(self.found.line, i)
        fret = max(stop.fret or 0 for stop in grip.stops if stop.finger == finger)
        message = f"a stretch of {mm / 10:.0f} cm from fret {grip.hand} to finger {finger} at fret {fret}"
        moment = self.found.line.moments[i]._replace(position=None)
        free = moment._replace(tones=tuple(t._replace(string=None, fret=None) for t in moment.tones))
        effort = effort_of(neck)
        if moment.lead in ("hammer", "pull"):
            at = self.found.line.places[i]
            instead = "slide, or pluck the second note: then the hand may move"
            return self._say("wide stretch", i, message, instead, partial(plucked, self._bar(i), at.event))
        for asked in (moment, free):
            near = [
                other
                for other in choices(asked, neck, effort, self.system).grips
                if _widest(other, neck) is None and other.hand > FREE
            ]
            if near:
                best = min(near, key=lambda other: abs(other.hand - grip.hand))
                name = grip_name(best, neck.tuning)
                instead = f"with a shift to position {roman(best.hand)} it is `{name}`"
                said = self._say("wide stretch", i, message, instead, partial(self._typed_at, i, 0, best))
                held = self.found.line.moments[i].position is not None
                return said._replace(asked=held or asked is free)
        instead, mend = self._octave(i, neck)
        return self._say("wide stretch", i, message, instead or "leave a note out", mend)

    def _connector(self, before: int, i: int) -> list[Problem]:
        a, b = self.found.grips[before], self.found.grips[i]
        assert a is not None
        assert b is not None
        lead = self.found.line.moments[i].lead
        if lead not in _CONNECTOR:
            return []
        effort = effort_of(neck_at(self.found.line, i))
        if not connected(a.lead, b.lead, lead, a.hand == b.hand, effort)[0]:
            return []
        tuning = self._tuning(i)
        places = f"`{place_name(a.lead, tuning)}` to `{place_name(b.lead, tuning)}`"
        message = f"{_CONNECTOR[lead]} from {places} cannot be played"
        step = self._lowest(i) - self._lowest(before)
        bar, number = self._bar(i), self.found.line.places[i].event
        mend = partial(plucked, bar, number)
        turned: Connector = "pull" if lead == "hammer" else "hammer"
        against = lead in ("hammer", "pull") and step and (lead == "hammer") != (step > 0)
        if against and self._joins(before, i, turned):
            instead = "a hammer-on rises and a pull-off falls: take the other sign"
            mend = partial(other_sign, bar, number)
        elif a.lead.string != b.lead.string:
            instead = "pluck the second note, or put both on one string"
        elif "slide" in lead:
            instead = "begin and end the slide on a fret, or pluck the second note"
        elif not step:
            instead = "pluck the second note: it is the same place"
        else:
            instead = "slide, or pluck the second note: it is out of the hand's reach"
        return [self._say("connector", i, message, instead, mend)]

    def _joins(self, before: int, i: int, lead: Connector) -> bool:
        """Whether two moments have places that a connector can lead between."""
        neck = neck_at(self.found.line, i)
        effort = effort_of(neck)
        first, second = (
            choices(self.found.line.moments[at], neck, effort, self.system).grips for at in (before, i)
        )
        return any(
            not connected(a.lead, b.lead, lead, a.hand == b.hand, effort)[0] for a in first for b in second
        )

    def _fast(self, before: int, i: int, mm: float, seconds: float) -> Problem:
        line = self.found.line
        neck = neck_at(line, i)
        effort = effort_of(neck)
        a, b = self.found.grips[before], self.found.grips[i]
        assert a is not None
        assert b is not None
        slower = effort.too_fast * 1000 * seconds / mm
        speed = self._tempo(i)
        message = (
            f"the hand has {seconds:.2f} s for {mm / 10:.0f} cm (position {roman(a.hand)} to {roman(b.hand)})"
        )
        instead = f"playable up to {_tempo_name(speed, slower)}"
        near, mend = self._nearby(i, a, line.moments[before], neck, effort)
        return self._say("too fast", i, message, f"{instead}, or {near}" if near else instead, mend)

    def _nearby(self, i: int, a: Grip, held: Moment, neck: Fretboard, effort: Effort) -> Way:
        """The same note in reach, its pin left out, or its octave."""
        moment = self.found.line.moments[i]
        time = free_time(held, a.frees_the_hand, effort)
        for by in (0, 1, -1, 2, -2):
            tones = tuple(Tone(t.midi + 12 * by) for t in moment.tones if t.midi != DEAD)
            choice = choices(moment._replace(tones=tones, position=None), neck, effort, self.system)
            near = [
                grip
                for grip in (choice.grips if not choice.relaxed else ())
                if (
                    grip.frees_the_hand
                    or metres_a_second(a.hand, grip.hand, time, neck, effort) <= effort.too_fast
                )
                and self._gets_on(i, grip, neck, effort)
            ]
            if near:
                best = min(near, key=lambda grip: abs(grip.hand - a.hand) if grip.hand > FREE else 0)
                there = grip_name(best, neck.tuning, fingers=False)
                words = f"take it at `{there}`" + (f", {octaves_name(by)}" if by else "")
                return words, partial(self._typed_at, i, by, best)
        return "", none

    def _gets_on(self, i: int, grip: Grip, neck: Fretboard, effort: Effort) -> bool:
        """Whether the hand gets from another grip of a moment to the next one in time, or no later than it does now."""
        line, grips = self.found.line, self.found.grips
        here, after = grips[i], grips[i + 1] if i + 1 < len(grips) else None
        if after is None or here is None:
            return True
        speed, now = (
            metres_a_second(
                each.hand, after.hand, free_time(line.moments[i], each.frees_the_hand, effort), neck, effort
            )
            for each in (grip, here)
        )
        return speed <= max(effort.too_fast, now)

    def _tempo(self, i: int) -> Tempo | None:
        """The tempo with a number in force at a moment."""
        piece: Piece = self.found.piece
        last: Tempo | None = None
        for bar in piece.bars[: self.found.line.places[i].bar + 1]:
            if bar.tempo is not None and bar.tempo.bpm is not None:
                last = bar.tempo
        return last


def _tempo_name(tempo: Tempo | None, factor: float) -> str:
    """Return the speed at which so much more time is left, rounded down: `96 a minute`."""
    bpm = float(tempo.bpm) if tempo is not None and tempo.bpm is not None else 120.0
    return f"{max(1, floor(bpm * factor))} a minute"


def counted(found: Sequence[Problem]) -> str:
    """Return `2 problems`, empty for none."""
    return f"{len(found)} problem{'s' if len(found) != 1 else ''}" if found else ""
