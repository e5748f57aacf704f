"""The instruments a line may be written for."""

from __future__ import annotations

from typing import NamedTuple

from scribe.music.pitch import Pitch


class Instrument(NamedTuple):
    """Name, clef and transposition of a part.

    A draft speaks in sounding pitch; the page shows it as this instrument reads it: written = sounding moved by
    `diatonic` staff places and `chromatic` semitones (both with the octaves in; 7 and 12 for the bass).
    """

    name: str
    clef: str  # "bass", "treble", "tenor"
    diatonic: int
    chromatic: int
    home: Pitch  # sounding: where each bar's first octave is measured from
    low: Pitch  # usual sounding range
    high: Pitch
    fretted: bool  # has strings and frets that a draft may name


BASS = Instrument(
    "bass", "bass", 7, 12, Pitch("A", 0, 1), Pitch("E", 0, 1), Pitch("G", 0, 4), True
)
