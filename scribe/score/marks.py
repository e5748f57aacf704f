"""Marks of a note: articulations, playing signs, fermatas."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from music21 import articulations, expressions, interval, note, spanner

from scribe.diagnostics import Span
from scribe.score.label import at
from scribe.source.tree import Mark


def _letter(letter: str) -> articulations.FrettedPluck:
    """A letter for the plucking hand (T, P): MusicXML's `pluck`; music21 10 writes it out as `fingering`."""
    made = articulations.FrettedPluck()
    made.fingerNumber = letter
    return made


def _fermata() -> expressions.Fermata:
    """A fermata above the staff, as on our page: music21's own is the inverted one, for below."""
    made = expressions.Fermata()
    made.type = "upright"
    return made


def _bend() -> articulations.FretBend:
    """A bend has a size in MusicXML; the draft gives none, so a semitone (common practice, no source)."""
    return articulations.FretBend(bendAlter=interval.ChromaticInterval(1))


# On the first written note of an event: what happens as it is struck.
AT_START: dict[Mark, Callable[[], articulations.Articulation]] = {
    "accent": articulations.Accent,
    "staccato": articulations.Staccato,
    "tenuto": articulations.Tenuto,
    "thumb": lambda: _letter("T"),
    "popped": lambda: _letter("P"),
    "harmonic": articulations.StringHarmonic,
    "bent": _bend,
}


def add_marks(notes: Sequence[note.NotRest], marks: Iterable[Mark], span: Span) -> list[spanner.Spanner]:
    """Put the marks of an event on its written notes (tied, in order); return the signs that span them."""
    lines: list[spanner.Spanner] = []
    for mark in marks:
        if mark in AT_START:
            notes[0].articulations.append(at(AT_START[mark](), span))
        elif mark == "fall":
            notes[-1].articulations.append(at(articulations.Falloff(), span))
        elif mark == "held":
            notes[-1].expressions.append(at(_fermata(), span))
        elif mark == "vibrato":  # MusicXML: wavy lines "indicate trills and vibrato"
            lines.append(at(expressions.TrillExtension(notes), span))
    return lines


def slide_from_nowhere(up: bool, span: Span) -> articulations.Articulation:
    """Return the short slide into a note from nowhere: a scoop from below, a plop from above (MusicXML)."""
    return at(articulations.Scoop() if up else articulations.Plop(), span)
