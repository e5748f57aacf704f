"""The neck: strings, frets and millimetres. Every place of a pitch, the sounding and the written range."""

from __future__ import annotations

from typing import Literal, NamedTuple

from scribe.music.inforce import InForce
from scribe.music.instrument import BASS, Instrument, find_instrument, to_written
from scribe.music.name import name_pitch
from scribe.music.pitch import Pitch
from scribe.music.tuning import FRETS, STANDARD, Tuning, parse_tuning

Kind = Literal["electric", "double"]
SCALE = 863.6  # mm, 34 inches: the usual long scale
DOUBLE_SCALE = 1050.0  # mm, a three-quarter double bass (from memory)
FEWEST_FRETS, MOST_FRETS = 20, FRETS
SHORTEST, LONGEST = 500.0, 1300.0  # mm; what is sold as a bass lies between
STRINGS = range(4, 7)
IN_C = InForce()

# Natural harmonics: semitones above the open string, and the frets (to the nearest) where a touch gives them.
# The n-th harmonic sounds 12·log2(n) semitones above the string and is touched at k/n of its length,
# which is fret 12·log2(n/(n-k)); only the touches that sound clearly are kept.
NODES: dict[int, tuple[int, ...]] = {12: (12,), 19: (7, 19), 24: (5, 24), 28: (4, 9, 16)}


class Fretboard(NamedTuple):
    """A tuning (low to high, sounding), the number of frets, the scale length in millimetres, the kind of bass.

    A double bass has no frets: its stops are counted in semitones from the nut all the same.
    """

    tuning: Tuning = STANDARD
    frets: int = FRETS
    scale: float = SCALE
    kind: Kind = "electric"

    def nut_distance(self, fret: int) -> float:
        """Return the distance from the nut to a fret in mm: L·(1 − 2^(−n/12)), equal temperament."""
        return float(self.scale * (1 - 2 ** (-fret / 12)))

    def span(self, low: int, high: int) -> float:
        """Return the distance between two frets in mm."""
        return abs(self.nut_distance(high) - self.nut_distance(low))

    def midi(self, string: int, fret: int) -> int:
        """Return what sounds at a fret (0 = open) of a string (1 = highest)."""
        return self.tuning[-string].midi + fret

    def places(self, midi: int) -> list[tuple[int, int]]:
        """Return every (string, fret) that sounds `midi`, highest string (so lowest fret) first, or nothing."""
        return [
            (string, midi - open_string.midi)
            for string, open_string in enumerate(reversed(self.tuning), 1)
            if 0 <= midi - open_string.midi <= self.frets
        ]

    def touches(self, midi: int) -> list[tuple[int, int]]:
        """Return every (string, fret) where a natural harmonic sounds `midi`, or nothing."""
        return [
            (string, fret)
            for string, open_string in enumerate(reversed(self.tuning), 1)
            for fret in NODES.get(midi - open_string.midi, ())
            if fret <= self.frets
        ]

    @property
    def sounding_range(self) -> tuple[int, int]:
        """The lowest and the highest note as MIDI numbers."""
        return self.tuning[0].midi, max(string.midi for string in self.tuning) + self.frets

    def written_range(self, in_force: InForce = IN_C) -> tuple[Pitch, Pitch]:
        """The lowest and the highest note as a bass part shows them, an octave above their sound."""
        low, high = (name_pitch(midi, in_force) for midi in self.sounding_range)
        return to_written(low, BASS), to_written(high, BASS)


def fretboard(
    strings: str = "E A D G",
    frets: int = FRETS,
    scale: float | None = None,
    kind: Kind = "electric",
) -> Fretboard:
    """Return the neck of a bass with four, five or six strings, named low to high as `strings` takes them.

    Raises ValueError, in the words of a user, for a tuning, a number of frets (20 to 24) or a scale length
    (500 to 1300 mm) that no bass has.
    """
    tuning = parse_tuning(strings)
    if tuning is None or len(tuning) not in STRINGS:
        raise ValueError(f"`{strings}` is no tuning, expected four to six open strings such as `E A D G`")
    if not FEWEST_FRETS <= frets <= MOST_FRETS:
        raise ValueError(f"expected {FEWEST_FRETS} to {MOST_FRETS} frets, found {frets}")
    if scale is None:
        scale = DOUBLE_SCALE if kind == "double" else SCALE
    if not SHORTEST <= scale <= LONGEST:
        raise ValueError(f"expected a scale of {SHORTEST:g} to {LONGEST:g} mm, found {scale:g}")
    return Fretboard(tuning, frets, scale, kind)


def neck_of(
    instrument: Instrument, tuning: Tuning, frets: int = FRETS, scale: float | None = None
) -> Fretboard | None:
    """Return the neck that an instrument of a draft has, None if it has none."""
    if not instrument.fretted:
        return None
    double = instrument == find_instrument("double bass")
    if scale is None:
        scale = DOUBLE_SCALE if double else SCALE
    return Fretboard(tuning, frets, scale, "double" if double else "electric")
