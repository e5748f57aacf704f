"""The cheapest path of the hand through a line: exact dynamic programming over string, fret, finger and position.

One layer a moment, one state a grip and hand position. The sum that is made least is, to the last term, the sum of
`own_cost` and `change_cost`; here their terms are read from tables because this loop runs some hundred times a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from operator import itemgetter
from typing import NamedTuple

from scribe.bass.breaking_off import checkpoint
from scribe.bass.change import ON_ONE_STRING, SLIDES, change_cost, connected
from scribe.bass.fretboard import Fretboard
from scribe.bass.grips import FREE, OPEN, STAYS, Grip, Relaxed, Stop, choices, free_time, own_cost
from scribe.bass.hand import Cost, Effort, System, tables, tones
from scribe.bass.line import DEAD, Moment, Tone
from scribe.source.tree import Connector

Fixed = tuple[Grip, int]  # the only grip allowed, and the octaves that the notes are moved by
Places = tuple[tuple[int, "int | None"], ...]  # string and fret of every stop of a grip
_NOTHING: frozenset[Places] = frozenset()
_NO_STRING = 0  # before the first note the hand lies on no string
# Sums are kept to this part of a unit and count from the least of their moment: two ways that cost the same then do so
# to the last bit wherever in a line they stand, and a part of a line is fingered as the whole line is.
_GRAIN = float(2**36)


class Hand(NamedTuple):
    """The hand as a phrase finds it: the grip of the last moment before, its position filled in, and that moment."""

    grip: Grip
    moment: Moment


class Path(NamedTuple):
    """The grips of a line, None where a moment has none on this neck; `cost` is their sum, `octaves` one each."""

    grips: tuple[Grip | None, ...]
    relaxed: tuple[Relaxed, ...]
    cost: float
    octaves: tuple[int, ...]


class Task(NamedTuple):
    """What one search may choose among besides the moments.

    `fixed[i]`: the only grip allowed at moment i (its hand left open where it frees the hand), or None.
    `taken[i]`: grips of other ways that cost `taken_cost` more here. `octaves`: what the notes may be moved by, in
    octaves; `fold[i]`: the cost of changing that by one between moment i-1 and
    i; each octave more costs half as much again. `orders[i]`: the notes of stack i in the
    order in which they are to be kept as far as one hand reaches, empty where none may be dropped; each dropped note
    costs `drop`.
    """

    fixed: tuple[Fixed | None, ...] = ()
    taken: tuple[frozenset[Places], ...] = ()
    taken_cost: float = 0.0
    octaves: tuple[int, ...] = (0,)
    fold: tuple[float, ...] = ()
    register: float = 0.0  # per octave of distance from where the line was written
    orders: tuple[tuple[int, ...], ...] = ()
    drop: float = 0.0


PLAIN = Task()
# A state of a moment: own cost, hand (or STAYS), string, finger, fret, octave, its grip.
_State = tuple[float, int, int, int, "int | None", int, Grip]
# A row, a state of the moment before with all that the step from it needs: value, its index in its layer, hand,
# string, finger, fret, factor of the move, 1/time² for the way, octave.
_Row = tuple[float, int, int, int, int, "int | None", float, float, int]


def places_of(grip: Grip) -> Places:
    """Return strings and frets of a grip without its fingers."""
    return tuple((stop.string, stop.fret) for stop in grip.stops)


def shifted(moment: Moment, octaves: int) -> Moment:
    """Return a moment moved by octaves; pins stay only where nothing moves."""
    if not octaves:
        return moment
    tones = tuple(
        Tone(t.midi + 12 * octaves, harmonic=t.harmonic) if t.midi != DEAD else t for t in moment.tones
    )
    return moment._replace(tones=tones)


def kept_of(
    moment: Moment, order: Sequence[int], neck: Fretboard, effort: Effort, system: System
) -> tuple[int, ...]:
    """Return which notes of a stack one hand can hold: taken in `order`, each kept if it can be reached with
    those before.

    The numbers come back in the order of the stack, lowest first; none if the first of `order` is not on the neck.
    """
    kept: list[int] = []
    for i in order:
        tones = tuple(moment.tones[k] for k in sorted([*kept, i]))
        choice = choices(moment._replace(tones=tones), neck, effort, system)
        if choice.grips and not choice.relaxed:
            kept.append(i)
        elif not kept:  # the first of all must stay
            return ()
    return tuple(sorted(kept))


class _States:
    """The states of a moment, kept for moments that ask the same."""

    def __init__(self, neck: Fretboard, effort: Effort, system: System, task: Task) -> None:
        self.neck, self.effort, self.system, self.task = neck, effort, system, task
        self.known: dict[object, tuple[list[_State], Relaxed]] = {}

    def of(
        self, moment: Moment, fixed: Fixed | None, order: tuple[int, ...], taken: frozenset[Places]
    ) -> tuple[list[_State], Relaxed]:
        key = (moment.tones, moment.ghost, moment.finger, moment.position, fixed, order, taken)
        found = self.known.get(key)
        if found is None:
            states, relaxed = self._make(moment, fixed, order)
            if taken:
                extra = self.task.taken_cost
                states = [(s[0] + extra * (places_of(s[6]) in taken), *s[1:]) for s in states]
            found = self.known[key] = (states, relaxed)
        return found

    def _make(
        self, moment: Moment, fixed: Fixed | None, order: tuple[int, ...]
    ) -> tuple[list[_State], Relaxed]:
        states: list[_State] = []
        relaxed: Relaxed = ""
        for octave in self.task.octaves:
            moved = shifted(moment, octave)
            dropped = 0
            if order:
                kept = kept_of(moved, order, self.neck, self.effort, self.system)
                if not kept:
                    continue
                dropped = len(order) - len(kept)
                moved = moved._replace(tones=tuple(moved.tones[i] for i in kept))
            choice = choices(moved, self.neck, self.effort, self.system)
            if octave == self.task.octaves[0] or not choice.relaxed:
                relaxed = choice.relaxed
            away = abs(octave) * self.task.register + dropped * self.task.drop
            for grip in choice.grips:
                if fixed is not None and (grip, octave) != fixed:
                    continue
                own = own_cost(grip, moved, self.neck, self.effort).total + away
                lead = grip.lead
                states.append((own, grip.hand, lead.string, lead.finger, lead.fret, octave, grip))
        if fixed is not None and not states:  # what must be alike cannot be here: the draft asks otherwise
            return self._make(moment, None, order)
        return states, relaxed


def solve(
    moments: Sequence[Moment],
    neck: Fretboard,
    effort: Effort,
    system: System = "mixed",
    entry: Hand | None = None,
    task: Task = PLAIN,
) -> Path:
    """Return the cheapest path through `moments`. Ties go to the higher string, so to the lower fret.

    The time is linear in the number of moments. Never raises: what cannot be (a connector between two strings, a pin
    off the neck) costs `effort.impossible` or is relaxed.
    """
    source = _States(neck, effort, system, task)
    fixed = task.fixed or (None,) * len(moments)
    layers: list[_Layer] = []
    relaxed: list[Relaxed] = []
    spent = 0.0
    rows = [_entry(entry, effort)]
    for i, moment in enumerate(moments):
        checkpoint()
        order = task.orders[i] if task.orders else ()
        states, left_out = source.of(moment, fixed[i], order, task.taken[i] if task.taken else _NOTHING)
        relaxed.append(left_out)
        if not states:
            lost = moment.sounds + moment.silence
            rows = [(*row[:7], _later(row[7], lost), row[8]) for row in rows]
            continue
        lead = moment.lead if layers or entry is not None else ""
        fold = task.fold[i] if task.fold and layers else 0.0
        layer = _step(i, rows, states, neck, effort, lead, fold)
        layers.append(layer)
        least = min(layer.values)
        spent += least
        rows = _leave(layer, moment, effort, least)
    return _trace(layers, rows[0][1], spent, tuple(relaxed))


class _Layer(NamedTuple):
    """The states of moment `at`, reached: a state that leaves the hand where it is stands there once a hand."""

    at: int
    values: list[float]
    hands: list[int]
    states: list[_State]
    parents: list[int]


def _entry(entry: Hand | None, effort: Effort) -> _Row:
    if entry is None:
        return (0.0, -1, FREE, _NO_STRING, OPEN, None, 1.0, 0.0, 0)
    lead, free = entry.grip.lead, entry.grip.frees_the_hand
    time = free_time(entry.moment, free, effort)
    factor = effort.open_shift if free else 1.0
    return (0.0, -1, entry.grip.hand, lead.string, lead.finger, lead.fret, factor, 1 / time**2, 0)


def _later(inverse_square: float, seconds: float) -> float:
    """The same way with more time for it, as 1/time²."""
    return float(1 / (inverse_square**-0.5 + seconds) ** 2) if inverse_square else 0.0


def _leave(layer: _Layer, moment: Moment, effort: Effort, least: float) -> list[_Row]:
    """The rows for the next step, cheapest first; their values count from the least one."""
    stopped = 1 / free_time(moment, False, effort) ** 2
    freed = 1 / free_time(moment, True, effort) ** 2
    rows: list[_Row] = []
    for index, (value, hand, state) in enumerate(zip(layer.values, layer.hands, layer.states, strict=True)):
        _, stays, string, finger, fret, octave, _ = state
        value = round((value - least) * _GRAIN) / _GRAIN
        if stays == STAYS:
            rows.append((value, index, hand, string, finger, fret, effort.open_shift, freed, octave))
        else:
            rows.append((value, index, hand, string, finger, fret, 1.0, stopped, octave))
    rows.sort(key=itemgetter(0))
    return rows


def _step(
    at: int,
    rows: list[_Row],
    states: list[_State],
    neck: Fretboard,
    effort: Effort,
    lead: Connector,
    fold: float,
) -> _Layer:
    """Reach every state from the rows, which come cheapest first: behind the best sum so far none can win."""
    moves, squares = tables(neck, effort)
    tone = tones(neck, effort)
    crossing, slip = effort.crossing, effort.slip
    roll, hop, change = effort.roll, effort.hop, effort.change
    joined = lead in ON_ONE_STRING
    if lead in SLIDES:
        rows = [(*row[:6], row[6] * effort.guided, 0.0, row[8]) for row in rows]
    layer = _Layer(at, [], [], [], [])
    for state in states:
        own, hand, string, finger, fret, octave, _ = state
        if hand == STAYS:
            _stay(layer, rows, state, tone, effort, lead if joined else "", fold)
            continue
        move, square = moves[hand], squares[hand]
        beside = tone[fret] if fret else 0.0
        best, parent = inf, -1
        for value, index, there, from_string, from_finger, from_fret, factor, time, from_octave in rows:
            if value >= best:
                break
            if there == hand:
                sum_ = value
                if from_finger:
                    if finger == from_finger:
                        if fret != from_fret:
                            sum_ += slip
                        elif string != from_string:
                            sum_ += roll if abs(string - from_string) == 1 else hop
                    elif fret == from_fret and string == from_string:
                        sum_ += change
            else:
                sum_ = value + move[there] * factor + square[there] * time
            if from_string:
                sum_ += crossing[abs(string - from_string)]
            if from_fret == 0:
                sum_ += beside
            elif fret == 0 and from_fret:
                sum_ += tone[from_fret]
            if octave != from_octave:
                sum_ += fold * (1 + abs(octave - from_octave)) / 2
            if joined:
                a, b = Stop(from_string, from_fret, from_finger), Stop(string, fret, finger)
                wrong, extra = connected(a, b, lead, there == hand, effort)
                sum_ += effort.impossible * wrong + extra
            if sum_ < best:
                best, parent = sum_, index
        layer.values.append(best + own)
        layer.hands.append(hand)
        layer.states.append(state)
        layer.parents.append(parent)
    return layer


def _stay(
    layer: _Layer,
    rows: list[_Row],
    state: _State,
    tone: list[float],
    effort: Effort,
    lead: Connector,
    fold: float,
) -> None:
    """Reach a state that leaves the hand where it is: the best way for every place where it may be."""
    own, _, string, finger, fret, octave, _ = state
    best: dict[int, tuple[float, int]] = {}
    for value, index, there, from_string, from_finger, from_fret, _, _, from_octave in rows:
        if there in best and value >= best[there][0]:
            continue
        sum_ = value
        if from_string:
            sum_ += effort.crossing[abs(string - from_string)]
        if fret == 0 and from_fret:
            sum_ += tone[from_fret]
        if octave != from_octave:
            sum_ += fold * (1 + abs(octave - from_octave)) / 2
        if lead:
            a, b = Stop(from_string, from_fret, from_finger), Stop(string, fret, finger)
            wrong, extra = connected(a, b, lead, True, effort)
            sum_ += effort.impossible * wrong + extra
        if there not in best or sum_ < best[there][0]:
            best[there] = (sum_, index)
    for there, (sum_, index) in best.items():
        layer.values.append(sum_ + own)
        layer.hands.append(there)
        layer.states.append(state)
        layer.parents.append(index)


def _trace(layers: list[_Layer], index: int, cost: float, relaxed: tuple[Relaxed, ...]) -> Path:
    """Follow the cheapest path back."""
    grips: list[Grip | None] = [None] * len(relaxed)
    octaves = [0] * len(relaxed)
    for layer in reversed(layers):
        _, _, _, _, _, octave, grip = layer.states[index]
        grips[layer.at] = grip._replace(hand=layer.hands[index])
        octaves[layer.at] = octave
        index = layer.parents[index]
    return Path(tuple(grips), relaxed, cost, tuple(octaves))


def price(
    grips: Sequence[Grip | None],
    moments: Sequence[Moment],
    neck: Fretboard,
    effort: Effort,
    entry: Hand | None = None,
) -> list[Cost]:
    """Return what each moment of a path costs: its own grip and the change that leads to it."""
    costs: list[Cost] = []
    before = entry
    for grip, moment in zip(grips, moments, strict=True):
        if grip is None:
            costs.append(Cost())
            if before is not None:
                waits = before.moment.silence + moment.sounds + moment.silence
                before = Hand(before.grip, before.moment._replace(silence=waits))
            continue
        cost = own_cost(grip, moment, neck, effort)
        if before is not None:
            cost = cost.plus(change_cost(before.grip, before.moment, grip, moment.lead, neck, effort))
        costs.append(cost)
        before = Hand(grip, moment)
    return costs
