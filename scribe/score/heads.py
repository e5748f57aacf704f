"""Note heads, stacks and grace notes: one thing struck becomes a music21 note or chord."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import NamedTuple

from music21 import articulations, beam, chord, duration, note

from scribe.diagnostics import Span
from scribe.music.events import Event, GraceNote, Head
from scribe.music.interval import move
from scribe.score.label import at, in_doubt
from scribe.score.pitches import Accidentals, m21_pitch

NOTEHEAD = {"note": "normal", "dead": "x", "unheard": "slash"}


class Ground(NamedTuple):
    """What the heads of a bar are made on. `everywhere`: the place that all share (a `%` bar)."""

    accidentals: Accidentals
    offset: int
    everywhere: Span | None

    def place(self, span: Span) -> Span:
        return self.everywhere or span.shift(self.offset)


def struck(event: Event, length: duration.Duration, ground: Ground, *, repeat: bool) -> note.NotRest:
    """Return the note or chord of one written value of an event that has heads.

    `repeat`: tied from an earlier value, so that no accidental is printed and no string or fret given again.
    """
    made = [_head(head, ground, repeat=repeat) for head in event.heads]
    whole: note.NotRest = made[0] if len(made) == 1 else chord.Chord(made)
    whole.duration = length
    return at(whole, ground.place(event.span))


def graces(notes: Sequence[GraceNote], ground: Ground) -> list[note.Note]:
    """Return the grace notes at the head of a slot: one a slashed eighth, several beamed sixteenths."""
    made = []
    for index, grace in enumerate(notes):
        each = _head(grace.head, ground, repeat=False)
        value = duration.GraceDuration("eighth" if len(notes) == 1 else "16th")
        value.slash = len(notes) == 1
        each.duration = value
        if len(notes) > 1:
            kind = "start" if index == 0 else "stop" if index + 1 == len(notes) else "continue"
            each.beams = beam.Beams()
            each.beams.fill("16th", type=kind)
        made.append(at(each, ground.place(grace.span)))
    return made


def _head(head: Head, ground: Ground, *, repeat: bool) -> note.Note:
    name = move(head.pitch, ground.accidentals.up)
    made = note.Note(m21_pitch(name))
    ground.accidentals.show(made.pitch, name, repeat=repeat, silent=head.kind != "note")
    place = ground.place(head.span)
    at(made, place)
    if head.kind != "note":
        made.notehead = NOTEHEAD[head.kind]
        made.editorial["scribeKind"] = head.kind
    if head.ghost:
        made.noteheadParenthesis = True
    if head.doubtful:
        in_doubt(made)
    if head.meant:
        made.editorial["scribeMeant"] = True
    if not repeat:
        made.articulations = [at(sign, place) for sign in _fingerboard(head)]
    return made


def _fingerboard(head: Head) -> list[articulations.Articulation]:
    """Return string (1 is the highest) and fret, where they are known."""
    signs: list[articulations.Articulation] = []
    if head.string is not None:
        signs.append(articulations.StringIndication(head.string))
    if head.fret is not None:
        signs.append(articulations.FretIndication(head.fret))
    return signs


def rest(length: duration.Duration, span: Span, *, whole_bar: bool = False) -> note.Rest:
    """Return a rest; `whole_bar`: the one that fills its bar, whatever the metre."""
    made = note.Rest()
    made.duration = copy.deepcopy(length)
    if whole_bar:
        made.fullMeasure = True
    return at(made, span)
