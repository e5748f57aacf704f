"""What names cost, worked out once: tables that the search looks into."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from scribe.music.chord import Chord
from scribe.music.key import Key
from scribe.music.spelling.costs import Costs, Pass, Step, nearby_term, own_terms, pass_terms, step_terms
from scribe.music.spelling.note import Note

LOWEST, HIGHEST = -15, 19  # F double flat to B double sharp


class _Steps(dict[tuple[int, bool, bool], float]):
    """Costs of a step by (fifths, from the scale, to the scale), worked out when first asked."""

    def __init__(self, step: Step, costs: Costs) -> None:
        self.step, self.costs = step, costs

    def __missing__(self, at: tuple[int, bool, bool]) -> float:
        self[at] = cost = sum(step_terms(self.step, *at, self.costs).values())
        return cost


class _Passes(dict[int, float]):
    """Costs of a note and the next but one by their fifths."""

    def __init__(self, between: Pass, costs: Costs) -> None:
        self.between, self.costs = between, costs

    def __missing__(self, fifths: int) -> float:
        self[fifths] = cost = sum(pass_terms(self.between, fifths, self.costs).values())
        return cost


class _StepTables(dict[Step, _Steps]):
    def __init__(self, costs: Costs) -> None:
        self.costs = costs

    def __missing__(self, step: Step) -> _Steps:
        self[step] = table = _Steps(step, self.costs)
        return table


class _PassTables(dict[Pass, _Passes]):
    def __init__(self, costs: Costs) -> None:
        self.costs = costs

    def __missing__(self, between: Pass) -> _Passes:
        self[between] = table = _Passes(between, self.costs)
        return table


class Tables:
    """All that was worked out under one set of weights."""

    def __init__(self, costs: Costs) -> None:
        self.costs = costs
        self.step = _StepTables(costs)
        self.passing = _PassTables(costs)
        reach = range(LOWEST - HIGHEST, HIGHEST - LOWEST + 1)
        self.near = {d: float(getattr(costs, rule)) if (rule := nearby_term(d)) else 0.0 for d in reach}
        self._alone: dict[tuple[int, Key, Chord | None, str, bool], tuple[float, float]] = {}

    def alone(self, note: Note, place: int, near: Mapping[int, float], blues: bool) -> float:
        """What a name costs by itself: key or chord, and, unless it is a chord tone, what lies nearby."""
        at = place, note.key, note.chord, note.prefer, blues
        known = self._alone.get(at)
        if known is None:
            terms, weighs = own_terms(note, place, self.costs, blues)
            known = self._alone[at] = sum(terms.values()), weighs
        total, weighs = known
        if weighs:
            total += weighs * sum(weight * self.near[place - other] for other, weight in near.items())
        return total


@lru_cache(maxsize=8)
def tables_of(costs: Costs) -> Tables:
    """The tables under one set of weights."""
    return Tables(costs)
