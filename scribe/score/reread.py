"""The sounding events of a music21 part as plain values, so that two scores can be compared."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from music21 import chord, note, stream
from music21.common import opFrac

PITCHLESS = {"x": "dead", "slash": "unheard"}


class Sounded(NamedTuple):
    """One note or stack, ties joined; times in quarters from the start. A grace note has length 0.

    `names`: sounding, `Bb2`, lowest first; `dead` and `unheard` for heads of that kind. `midi` has None for those.
    """

    onset: Fraction
    length: Fraction
    names: tuple[str, ...]
    midi: tuple[int | None, ...]


def sounded(part: stream.Part) -> list[Sounded]:
    """Return the notes of a part at sounding pitch, ties joined; without chord symbols and rests."""
    part = part.toSoundingPitch()
    found: list[Sounded] = []
    goes_on = False  # the last note is tied to the next one
    for measure in part.getElementsByClass(stream.Measure):
        start = _exact(measure.getOffsetBySite(part))
        for each in measure.recurse().getElementsByClass(note.NotRest):
            if "Harmony" in each.classes:
                continue
            this = _one(each, start + _exact(each.getOffsetInHierarchy(measure)))
            tied = each.tie is not None and each.tie.type in ("stop", "continue")
            if tied and goes_on and found[-1].names == this.names:
                found[-1] = found[-1]._replace(length=found[-1].length + this.length)
            else:
                found.append(this)
            goes_on = each.tie is not None and each.tie.type in ("start", "continue")
    return found


def _one(each: note.NotRest, onset: Fraction) -> Sounded:
    notes = each.notes if isinstance(each, chord.Chord) else (each,)
    heads = [head for head in notes if isinstance(head, note.Note)]
    heads.sort(key=lambda head: (head.pitch.diatonicNoteNum, head.pitch.midi))
    kinds = [PITCHLESS.get(head.notehead) for head in heads]
    return Sounded(
        onset,
        _exact(each.duration.quarterLength),
        tuple(kind or _name(head) for kind, head in zip(kinds, heads, strict=True)),
        tuple(None if kind else head.pitch.midi for kind, head in zip(kinds, heads, strict=True)),
    )


def _name(head: note.Note) -> str:
    return f"{head.pitch.name.replace('-', 'b')}{head.pitch.octave}"


def _exact(value: float | Fraction) -> Fraction:
    return Fraction(opFrac(value)).limit_denominator(10080)
