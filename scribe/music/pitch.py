"""A spelled, sounding pitch, and the line of fifths."""

from __future__ import annotations

import re
from typing import NamedTuple

LETTERS = "CDEFGAB"
NATURAL = (0, 2, 4, 5, 7, 9, 11)  # semitones of C D E F G A B above C
FIFTHS = (0, 2, 4, -1, 1, 3, 5)  # place of C D E F G A B on the line of fifths, C = 0
ACCIDENTAL = {-3: "bbb", -2: "bb", -1: "b", 0: "", 1: "#", 2: "##", 3: "###"}
SIGN = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}


class Pitch(NamedTuple):
    """Letter (`C`-`B`), alteration in semitones, octave in scientific numbering (middle C = C4), all as it sounds."""

    letter: str
    alter: int
    octave: int

    @property
    def midi(self) -> int:
        """MIDI note number, A4 = 69 (MIDI 1.0; middle C = 60)."""
        return 12 * (self.octave + 1) + NATURAL[LETTERS.index(self.letter)] + self.alter

    @property
    def hertz(self) -> float:
        """Frequency in hertz, equal temperament, A4 = 440 Hz (ISO 16)."""
        return float(440 * 2 ** ((self.midi - 69) / 12))

    @property
    def staff(self) -> int:
        """Diatonic place: C0 = 0, D0 = 1 … C1 = 7. Accidentals do not count."""
        return 7 * self.octave + LETTERS.index(self.letter)

    @property
    def fifths(self) -> int:
        """Place on the line of fifths, C = 0, G = 1, F = -1; each sharp adds 7."""
        return FIFTHS[LETTERS.index(self.letter)] + 7 * self.alter

    @property
    def name(self) -> str:
        """`Bb`, `F##`: the name without the octave."""
        return self.letter + ACCIDENTAL[self.alter]

    def __str__(self) -> str:
        return f"{self.name}{self.octave}"

    def octaves(self, by: int) -> Pitch:
        """Return the same name `by` octaves higher."""
        return Pitch(self.letter, self.alter, self.octave + by)


def at_staff(staff: int, alter: int = 0) -> Pitch:
    """Return the pitch at a diatonic place (C0 = 0)."""
    octave, index = divmod(staff, 7)
    return Pitch(LETTERS[index], alter, octave)


def parse_pitch(text: str) -> Pitch | None:
    """Read `Bb2`, `F##1`, `c#3`; None if it is not one."""
    found = re.fullmatch(r"([A-Ga-g])(##?|bb?|)(-?\d)", text)
    if not found:
        return None
    sign = found[2]
    return Pitch(found[1].upper(), sign.count("#") - sign.count("b"), int(found[3]))


def name_at(fifths: int) -> tuple[str, int]:
    """Return letter and alteration of a place on the line of fifths."""
    alter, rest = divmod(fifths + 1, 7)
    return "FCGDAEB"[rest], alter
