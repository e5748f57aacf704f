"""The speller: the cheapest names for a whole phrase, found exactly.

Every note has two or three candidate names, twelve fifths apart. What a name costs depends on the key, the chord, the
names of the two notes before (`costs.py`) and the names nearby; dynamic programming over the names of the last two
notes finds the cheapest assignment of all in time linear in the notes. "Nearby" reaches further than two notes, so it
is judged by names known beforehand: first those of the key's own window, then those of a first solution.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import TypeVar

from scribe.music.name import with_name
from scribe.music.pitch import Pitch, name_at
from scribe.music.spelling.costs import (
    COSTS,
    DECAY,
    REACH,
    TRITONE,
    WHITE,
    Costs,
    Pass,
    Step,
    Terms,
    fifths_of,
    in_reach,
    nearby_term,
    own_terms,
    pass_terms,
    step_terms,
)
from scribe.music.spelling.note import Note
from scribe.music.spelling.tables import HIGHEST, LOWEST, tables_of

INFINITE = float("inf")
Item = TypeVar("Item")


def spell(notes: Sequence[Note], costs: Costs = COSTS) -> tuple[Pitch, ...]:
    """Return the pitches of a phrase under the names that a good reader expects.

    Names that are settled (`Note.name`) stay and guide the others. Linear in the number of notes.
    """
    names = solve(notes, costs)
    return tuple(with_name(n.midi, *name_at(place)) for n, place in zip(notes, names, strict=True))


def solve(notes: Sequence[Note], costs: Costs = COSTS) -> tuple[int, ...]:
    """Return the names as places on the line of fifths."""
    if not notes:
        return ()
    struck, index = merged(notes)
    names = tuple(first_guess(n) for n in struck)
    for _ in range(2):
        names = Phrase(struck, names, costs).best()
    return tuple(names[k] for k in index)


def merged(items: Sequence[Item]) -> tuple[list[Item], list[int]]:
    """Return the items without direct repetitions, and for each one given where it is among them.

    A note struck again is one note to a reader: where it comes from and leads to lies beyond its repetitions.
    """
    found: list[Item] = []
    index: list[int] = []
    for item in items:
        if not found or found[-1] != item:
            found.append(item)
        index.append(len(found) - 1)
    return found, index


def first_guess(note: Note) -> int:
    """The name that key and chord alone suggest: the chord's own, else the window of fifths from 3 below to 8 above.

    (On the basses of 60 chorales of music21's corpus the window alone names 99.25 % of the notes as printed.)
    """
    if note.name is not None:
        return note.name
    if note.chord is not None:
        for tone in note.chord.tones:
            place = fifths_of(*tone.name)
            if (place - 7 * note.midi) % 12 == 0 and abs(tone.name[1]) <= 1:
                return place
    low = note.key.fifths - 3
    return low + (7 * note.midi - low) % 12


class Phrase:
    """A phrase with all costs laid out, given the names that count as nearby (`around`).

    `also` holds one name a note that is to be a candidate in any case.
    """

    def __init__(
        self,
        notes: Sequence[Note],
        around: Sequence[int],
        costs: Costs = COSTS,
        also: Sequence[int] | None = None,
    ) -> None:
        self.notes = notes
        self.costs = costs
        self.nearby = _nearby(notes, around)
        self.names = [candidates(n) for n in notes]
        if also is not None:
            self.names = [
                places if own in places else tuple(sorted((*places, own)))
                for places, own in zip(self.names, also, strict=True)
            ]
        self.tables = tables_of(costs)
        self.steps, self.passes = _moves(notes)
        self.blues = _blues(notes)
        self.alone = [
            [self.tables.alone(note, place, near, i in self.blues) for place in places]
            for i, (note, places, near) in enumerate(zip(notes, self.names, self.nearby, strict=True))
        ]
        self.inside = [[self._inside(i, place) for place in places] for i, places in enumerate(self.names)]

    def best(self) -> tuple[int, ...]:
        """Return the cheapest assignment of names; of equal ones the flatter."""
        names, alone = self.names, self.alone
        if len(names) == 1:
            return (names[0][alone[0].index(min(alone[0]))],)
        tables, back = self._forward()
        _, b, c = min((cost, b, c) for b, row in enumerate(tables[-1]) for c, cost in enumerate(row))
        path = [c, b]
        for chosen in reversed(back[1:]):
            a = chosen[b][c]
            path.append(a)
            b, c = a, b
        path.reverse()
        return tuple(places[k] for places, k in zip(names, path, strict=True))

    def margins(self) -> list[list[float]]:
        """For every candidate of every note: how much more the whole phrase costs at least with that name."""
        if len(self.names) == 1:
            least = min(self.alone[0])
            return [[cost - least for cost in self.alone[0]]]
        forward, _ = self._forward()
        found: list[list[float]] = []
        behind = [[0.0] * len(self.names[-1]) for _ in self.names[-2]]
        for i in range(len(self.names) - 1, 0, -1):
            whole = [
                [f + b for f, b in zip(*rows, strict=True)]
                for rows in zip(forward[i - 1], behind, strict=True)
            ]
            least = min(map(min, whole))
            found.append([min(column) - least for column in zip(*whole, strict=True)])
            if i == 1:
                found.append([min(row) - least for row in whole])
            else:
                behind = self._backward(i, behind)
        found.reverse()
        return found

    def _forward(self) -> tuple[list[list[list[float]]], list[list[list[int]]]]:
        """For every note from the second on, by the names of the note before and its own: the least cost of all up to
        here, and the name two notes before that gives it."""
        names, alone = self.names, self.alone
        reached = [[cost] for cost in alone[0]]
        tables: list[list[list[float]]] = []
        back: list[list[list[int]]] = []
        for i in range(1, len(names)):
            step = self.tables.step[self.steps[i]]
            over = self.tables.passing[self.passes[i]] if i > 1 else None
            before = names[i - 2] if i > 1 else (0,)
            following: list[list[float]] = []
            chosen: list[list[int]] = []
            for b, q in enumerate(names[i - 1]):
                row: list[float] = []
                picks: list[int] = []
                for c, r in enumerate(names[i]):
                    if over is None:
                        least, pick = reached[b][0], 0
                    else:
                        least, pick = INFINITE, 0
                        for a, p in enumerate(before):
                            total = reached[a][b] + over[r - p]
                            if total < least:
                                least, pick = total, a
                    row.append(least + alone[i][c] + step[r - q, self.inside[i - 1][b], self.inside[i][c]])
                    picks.append(pick)
                following.append(row)
                chosen.append(picks)
            reached = following
            tables.append(following)
            back.append(chosen)
        return tables, back

    def _backward(self, i: int, behind: list[list[float]]) -> list[list[float]]:
        """From the least costs behind note `i` (by the names of `i - 1` and `i`) to those behind note `i - 1`."""
        names = self.names
        step, over = self.tables.step[self.steps[i]], self.tables.passing[self.passes[i]]
        found: list[list[float]] = []
        for p in names[i - 2]:
            row: list[float] = []
            for b, q in enumerate(names[i - 1]):
                row.append(
                    min(
                        over[r - p]
                        + step[r - q, self.inside[i - 1][b], self.inside[i][c]]
                        + self.alone[i][c]
                        + behind[b][c]
                        for c, r in enumerate(names[i])
                    )
                )
            found.append(row)
        return found

    def terms(self, i: int, names: Sequence[int]) -> Terms:
        """The costs that note `i` has a part in, by rule, when all notes bear these names."""
        found = self._alone_terms(i, names[i])
        for k in (i, i + 1):
            if 0 < k < len(names):
                _add(found, self._step_terms(k, names))
        for k in (i, i + 2):
            if 1 < k < len(names):
                _add(found, self._pass_terms(k, names))
        return {rule: cost for rule, cost in found.items() if cost}

    def cost(self, names: Sequence[int], group: Collection[int]) -> float:
        """Everything that the notes of a group have a part in, each cost once, when all notes bear these names."""
        total = sum(sum(self._alone_terms(i, names[i]).values()) for i in group)
        for k in {k for i in group for k in (i, i + 1) if 0 < k < len(names)}:
            total += sum(self._step_terms(k, names).values())
        for k in {k for i in group for k in (i, i + 2) if 1 < k < len(names)}:
            total += sum(self._pass_terms(k, names).values())
        return total

    def _alone_terms(self, i: int, place: int) -> Terms:
        found, weighs = own_terms(self.notes[i], place, self.costs, i in self.blues)
        found = dict(found)
        if weighs:
            for other, weight in self.nearby[i].items():
                rule = nearby_term(place - other)
                if rule:
                    found[rule] = found.get(rule, 0.0) + weighs * weight * float(getattr(self.costs, rule))
        return found

    def _inside(self, i: int, place: int) -> bool:
        note = self.notes[i]
        return i not in self.blues and in_reach(place, note.key, note.chord)

    def _step_terms(self, k: int, names: Sequence[int]) -> Terms:
        one, two = (self._inside(j, names[j]) for j in (k - 1, k))
        return step_terms(self.steps[k], names[k] - names[k - 1], one, two, self.costs)

    def _pass_terms(self, k: int, names: Sequence[int]) -> Terms:
        return pass_terms(self.passes[k], names[k] - names[k - 2], self.costs)


def _add(terms: Terms, more: Terms) -> None:
    for rule, cost in more.items():
        terms[rule] = terms.get(rule, 0.0) + cost


@lru_cache(maxsize=4096)
def _places(pitch_class: int, signature: int) -> tuple[int, ...]:
    """Names of a pitch class that a key with this signature can ask for: from 9 fifths below its tonic to 14 above."""
    low = max(LOWEST, signature - 9)
    first = low + (7 * pitch_class - low) % 12
    return tuple(range(first, min(HIGHEST, signature + 14) + 1, 12))


def candidates(note: Note) -> tuple[int, ...]:
    """The names worth considering for a note, from flat to sharp; at least one."""
    if note.name is not None:
        return (note.name,)
    found = _places(note.midi % 12, note.key.fifths)
    if note.chord is not None:
        own = {fifths_of(*t.name) for t in note.chord.tones}
        extra = [
            p for p in own if (p - 7 * note.midi) % 12 == 0 and p not in found and LOWEST <= p <= HIGHEST
        ]
        if extra:
            found = tuple(sorted((*found, *extra)))
    return found


def _moves(notes: Sequence[Note]) -> tuple[list[Step], list[Pass]]:
    """How every note is reached from the one before and from the one before that (for the first ones: not at all)."""
    by = [0, *(two.midi - one.midi for one, two in pairwise(notes)), 0]
    steps = [Step(by[i], i > 1 and abs(by[i]) == 1 and by[i - 1] == by[i]) for i in range(len(notes))]
    passes = [Pass(0)]
    for i in range(1, len(notes)):
        semitones = by[i - 1] + by[i]
        turn = (
            semitones == 0 and abs(by[i]) == 1 and (by[i + 1] == by[i] or (i > 2 and by[i - 2] == by[i - 1]))
        )
        passes.append(Pass(semitones, turn))
    return steps, passes


def _blues(notes: Sequence[Note]) -> set[int]:
    """The notes that fall from the flat fifth to the fourth and on to the flat third of their key: a blues line.

    Not those whose flat fifth would be C flat or F flat: they have a plain name.
    """
    return {
        i
        for i, (one, two, three) in enumerate(zip(notes, notes[1:], notes[2:], strict=False))
        if one.midi - two.midi == 1
        and two.midi - three.midi == 2
        and (one.midi - 7 * one.key.tonic_fifths) % 12 == 6
        and one.key.tonic_fifths - TRITONE not in WHITE
    }


def _nearby(notes: Sequence[Note], names: Sequence[int]) -> list[dict[int, float]]:
    """For every note the names of other sounds nearby, each with its weight."""
    found: list[dict[int, float]] = []
    classes = [n.midi % 12 for n in notes]
    for i, own in enumerate(classes):
        here: dict[int, float] = {}
        for j in range(max(0, i - REACH), min(len(notes), i + REACH + 1)):
            if classes[j] != own:
                place = names[j]
                here[place] = here.get(place, 0.0) + _WEIGHTS[abs(i - j)]
        found.append(here)
    return found


_WEIGHTS = tuple(DECAY**k for k in range(REACH + 1))
