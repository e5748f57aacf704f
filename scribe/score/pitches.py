"""Pitches, names and keys in music21's terms, and which accidentals are printed."""

from __future__ import annotations

from music21 import interval, key, pitch

from scribe.music.instrument import Instrument, written_interval, written_key
from scribe.music.interval import Interval
from scribe.music.key import Key
from scribe.music.pitch import Pitch


def m21_pitch(name: Pitch) -> pitch.Pitch:
    """Return the music21 pitch of the same name and octave."""
    made = pitch.Pitch(f"{name.letter}{name.octave}")
    if name.alter:
        made.accidental = pitch.Accidental(name.alter)
    return made


def m21_key(printed: Key) -> key.Key:
    """Return the music21 key of the same tonic and mode."""
    return key.Key(printed.letter + "#" * printed.alter + "-" * -printed.alter, printed.mode)


def to_sounding(instrument: Instrument, sounding: Key) -> interval.Interval | None:
    """Return music21's interval from written to sounding pitch (P-8 for the bass), None if they agree."""
    steps, semitones = -written_interval(instrument, sounding)
    if not steps and not semitones:
        return None
    generic = steps + 1 if steps >= 0 else steps - 1  # an octave is the eighth, and seven steps
    return interval.intervalFromGenericAndChromatic(
        interval.GenericInterval(generic), interval.ChromaticInterval(semitones)
    )


class Accidentals:
    """Which accidentals a bar prints: those that the signature, or an earlier sign in the bar, does not say.

    A sign holds to the barline, for its own octave (common practice). There are no courtesy accidentals here.
    """

    def __init__(self, sounding: Key, instrument: Instrument) -> None:
        self.up: Interval = written_interval(instrument, sounding)
        self._key = written_key(sounding, instrument)
        self._seen: dict[tuple[str, int], int] = {}

    def show(self, made: pitch.Pitch, name: Pitch, *, repeat: bool = False, silent: bool = False) -> None:
        """Set whether `made` prints its sign. `repeat`: tied from before; `silent`: no pitch is meant."""
        place = name.letter, name.octave
        said = self._seen.get(place, self._key.alteration(name.letter))
        needed = said != name.alter and not repeat and not silent
        if needed:
            self._seen[place] = name.alter
            if made.accidental is None:
                made.accidental = pitch.Accidental("natural")
        if made.accidental is not None:
            made.accidental.displayStatus = needed
