"""The sounding events of a music21 part as plain values, so that two scores can be compared."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from music21 import note, stream
from music21.common import opFrac


class Sounded(NamedTuple):
    """One note or stack, ties joined. `pitches`: sounding, `Bb2`, lowest first; times in quarters.

    A grace note has length 0.
    """

    onset: Fraction
    length: Fraction
    pitches: tuple[str, ...]
    midi: tuple[int, ...]


def sounded(part: stream.Part) -> list[Sounded]:
    """Return the notes of a part at sounding pitch, ties joined; without chord symbols and rests."""
    part = part.toSoundingPitch()
    found: list[Sounded] = []
    for measure in part.getElementsByClass(stream.Measure):
        start = _exact(measure.getOffsetBySite(part))
        for each in measure.recurse().getElementsByClass(note.NotRest):
            if "Harmony" in each.classes:
                continue
            found.append(_one(each, start + _exact(each.getOffsetInHierarchy(measure))))
            if each.tie is not None and each.tie.type in ("stop", "continue") and len(found) > 1:
                second, first = found.pop(), found.pop()
                found.append(first._replace(length=first.length + second.length))
    return found


def _one(each: note.NotRest, onset: Fraction) -> Sounded:
    pitches = sorted(each.pitches, key=lambda p: (p.midi, p.diatonicNoteNum))
    return Sounded(
        onset,
        _exact(each.duration.quarterLength),
        tuple(p.nameWithOctave.replace("-", "b", p.name.count("-")) for p in pitches),
        tuple(p.midi for p in pitches),
    )


def _exact(value: float | Fraction) -> Fraction:
    return Fraction(opFrac(value)).limit_denominator(10080)
