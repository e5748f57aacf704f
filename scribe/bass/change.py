"""From one grip to the next: what the change costs, term by term. The search uses the same terms as tables."""

from __future__ import annotations

from scribe.bass.fretboard import Fretboard
from scribe.bass.grips import FREE, OPEN, STAYS, Grip, Stop, free_time
from scribe.bass.hand import Cost, Effort, metres_a_second, move_of, tones
from scribe.bass.line import Moment
from scribe.source.tree import Connector

SLIDES = frozenset(("slide up", "slide down"))
ON_ONE_STRING = frozenset(("hammer", "pull", *SLIDES))


def change_cost(
    before: Grip, moment: Moment, after: Grip, lead: Connector, neck: Fretboard, effort: Effort
) -> Cost:
    """Return the cost of going from a grip, held through `moment`, to the next one, to which `lead` leads.

    `hand` of both is a position or FREE; a grip that frees the hand must have the hand of the grip before, else the
    change counts as impossible.
    """
    a, b = before.lead, after.lead
    free = before.frees_the_hand
    travel = move_of(before.hand, after.hand, neck, effort)
    if free:
        travel *= effort.open_shift
    metres = metres_a_second(before.hand, after.hand, free_time(moment, free, effort), neck, effort)
    speed = effort.speed * metres**2
    impossible = effort.impossible if after.frees_the_hand and before.hand != after.hand else 0.0
    fingers = 0.0
    if before.hand == after.hand:
        fingers = finger_cost(a, b, effort)
    crossing = effort.crossing[abs(a.string - b.string)]
    open_ = tone_cost(a, b, neck, effort)
    if lead in ON_ONE_STRING:
        wrong, extra = connected(a, b, lead, before.hand == after.hand, effort)
        impossible += effort.impossible * wrong
        fingers += extra
        if lead in SLIDES:
            travel, speed = travel * effort.guided, 0.0
    return Cost(travel, speed, crossing=crossing, fingers=fingers, open=open_, impossible=impossible)


def tone_cost(a: Stop, b: Stop, neck: Fretboard, effort: Effort) -> float:
    """Return the cost of an open string and a stopped note one after the other, for their tone."""
    if a.fret is None or b.fret is None or bool(a.fret) == bool(b.fret):
        return 0.0
    return tones(neck, effort)[a.fret or b.fret]


def finger_cost(a: Stop, b: Stop, effort: Effort) -> float:
    """Return the cost of the order of fingers while the hand stays: one finger twice over, two on one place."""
    if OPEN in (a.finger, b.finger):
        return 0.0
    if a.finger == b.finger:
        if a.fret != b.fret:
            return effort.slip
        apart = abs(a.string - b.string)
        return 0.0 if not apart else effort.roll if apart == 1 else effort.hop
    return effort.change if (a.string, a.fret) == (b.string, b.fret) else 0.0


def connected(a: Stop, b: Stop, lead: Connector, same_hand: bool, effort: Effort) -> tuple[int, float]:
    """Return (1 if this connector cannot be played so, a cost of its fingers).

    A hammer-on puts a higher finger down, a pull-off leaves a lower one or the open string, both on one string and
    without moving the hand; a slide takes a stopped note along its string.
    """
    if a.string != b.string:
        return 1, 0.0
    if lead in SLIDES:
        wrong = not a.fret or not b.fret
        return int(wrong), effort.change if a.finger != b.finger else 0.0
    if a.fret is None or b.fret is None or a.fret == b.fret:
        return 1, 0.0
    if lead == "hammer" and not (b.fret > a.fret and b.fret):
        return 1, 0.0
    if lead == "pull" and not b.fret < a.fret:
        return 1, 0.0
    if OPEN in (a.finger, b.finger):
        return 0, 0.0
    return int(not same_hand or a.finger == b.finger), 0.0


__all__ = ["FREE", "ON_ONE_STRING", "SLIDES", "STAYS", "change_cost", "connected", "finger_cost"]
