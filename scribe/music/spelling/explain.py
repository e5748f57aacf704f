"""How the speller came to its names, note by note: the candidates, what they cost and why the winner won."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.music.spelling.costs import COSTS, Costs, Terms
from scribe.music.spelling.note import Note
from scribe.music.spelling.reasons import Case, reason
from scribe.music.spelling.speller import Phrase, first_guess, merged


class Candidate(NamedTuple):
    """A name (place on the line of fifths), what the phrase costs more with it at least, and its costs by rule.

    `terms` holds the costs that the note itself has a part in when the other notes bear their chosen names.
    """

    place: int
    margin: float
    terms: Terms


class Explanation(NamedTuple):
    """The candidates of one note, best first, and why the first beats the second (empty if there is only one)."""

    candidates: tuple[Candidate, ...]
    reason: str


def explain(notes: Sequence[Note], costs: Costs = COSTS) -> tuple[Explanation, ...]:
    """Return for every note of a phrase what `spell` weighed; the first candidate is the name that it chooses."""
    if not notes:
        return ()
    notes, index = merged(notes)
    around = Phrase(notes, [first_guess(n) for n in notes], costs).best()
    phrase = Phrase(notes, around, costs)
    names = phrase.best()
    found: list[Explanation] = []
    for i, margins in enumerate(phrase.margins()):
        rows: list[Candidate] = []
        for place, margin in zip(phrase.names[i], margins, strict=True):
            changed = [*names[:i], place, *names[i + 1 :]]
            rows.append(Candidate(place, margin, phrase.terms(i, changed)))
        rows.sort(key=lambda row: (row.place != names[i], row.margin))
        why = ""
        if len(rows) > 1:
            worse = [*names[:i], rows[1].place, *names[i + 1 :]]
            why = reason(Case(notes, worse, i, names[i]), rows[1].terms, rows[0].terms)
        found.append(Explanation(tuple(rows), why))
    return tuple(found[k] for k in index)
