"""The key of a line that names none: the one whose tones it plays most, and few that are foreign to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from music21 import key as m21_key
from music21 import note as m21_note
from music21 import stream

from scribe.exchange.m21.pitches import key_of
from scribe.exchange.midi.quantise import Taken
from scribe.music.key import Key

# Profiles that weigh the keynote most, as a bass does (Krumhansl and Kessler 1982, in music21). They were chosen on the
# bass parts of 60 of Bach's chorales (music21's corpus), of which 55 get their signature so, 44 with music21's own
# choice, and on the demos, 4 of 5 and 1; of 124 lines of the corpus drawn at random, chorale basses, fiddle tunes and
# folk songs, 97 get theirs and 98 with music21's own choice: there it is no better.
PROFILES = "key.krumhansl"
FOREIGN = 2.0  # how much of a correlation a line costs that has no tone in common with a key
# Semitones above the keynote; in minor with both sixths and both sevenths (common practice).
SCALES = {"major": frozenset((0, 2, 4, 5, 7, 9, 11)), "minor": frozenset((0, 2, 3, 5, 7, 8, 9, 10, 11))}


class Guess(NamedTuple):
    """A key, and how much better than the next it fits, as a difference of correlations."""

    key: Key
    margin: float


def estimate(notes: Sequence[Taken]) -> Guess | None:
    """Return the key that fits the lowest notes of a line best; None if none can be named."""
    part = stream.Part()
    for taken in notes:
        each = m21_note.Note(taken.midis[0])
        each.quarterLength = float(taken.end - taken.onset)
        part.append(each)
    first = part.analyze(PROFILES)
    rows = sorted(_worth([first, *first.alternateInterpretations], notes), key=lambda row: -row[0])
    made = key_of(rows[0][1])
    return None if made is None else Guess(made, rows[0][0] - rows[1][0])


def _worth(keys: Iterable[m21_key.Key], notes: Sequence[Taken]) -> list[tuple[float, m21_key.Key]]:
    total = float(sum(taken.end - taken.onset for taken in notes))
    out = []
    for each in keys:
        scale, tonic = SCALES[each.mode], each.tonic.pitchClass
        foreign = sum(float(t.end - t.onset) for t in notes if (t.midis[0] - tonic) % 12 not in scale)
        out.append(((each.correlationCoefficient or 0.0) - FOREIGN * foreign / total, each))
    return out
