"""Keys and modes: which name a small letter gets, and what a degree is called."""

from __future__ import annotations

import re
from typing import NamedTuple

from scribe.music.pitch import ACCIDENTAL, FIFTHS, LETTERS, name_at

# Places that the mode's tonic lies above the tonic of the major key with the same signature, on the line of fifths.
MODES = {
    "major": 0,
    "ionian": 0,
    "dorian": 2,
    "phrygian": 4,
    "lydian": -1,
    "mixolydian": 1,
    "minor": 3,
    "aeolian": 3,
    "locrian": 5,
}
MAJOR_DEGREES = (0, 2, 4, -1, 1, 3, 5)  # degrees 1-7 of a major scale above its tonic, on the line of fifths


class Key(NamedTuple):
    """Tonic (letter, alteration) and mode. `fifths` is the signature: sharps positive, flats negative, -7 to 7."""

    letter: str
    alter: int
    mode: str

    @property
    def tonic_fifths(self) -> int:
        return FIFTHS[LETTERS.index(self.letter)] + 7 * self.alter

    @property
    def fifths(self) -> int:
        return self.tonic_fifths - MODES[self.mode]

    def alteration(self, letter: str) -> int:
        """Return the alteration that the signature gives a letter: -1, 0 or 1.

        Sharps enter F C G D A E B, flats B E A D G C F (common practice; reference table of all 15 signatures).
        """
        place = FIFTHS[LETTERS.index(letter)]  # F is -1, B is 5: the order in which sharps enter
        if self.fifths > 0:
            return 1 if place + 1 < self.fifths else 0
        return -1 if 5 - place < -self.fifths else 0

    def degree(self, number: int, alter: int) -> tuple[str, int]:
        """Return letter and alteration of a degree, 1-7, counted against the major scale of the tonic.

        The mode does not matter: `b3` of G minor and of G major are both B flat (common practice).
        """
        return degree_of(self.tonic_fifths, number, alter)

    def __str__(self) -> str:
        return f"{self.letter}{ACCIDENTAL[self.alter]} {self.mode}"


def degree_of(tonic_fifths: int, number: int, alter: int) -> tuple[str, int]:
    """Return letter and alteration of degree `number` (1-7), altered, over a tonic on the line of fifths."""
    return name_at(tonic_fifths + MAJOR_DEGREES[number - 1] + 7 * alter)


def parse_key(text: str) -> Key | None:
    """Read `G`, `Bb minor`, `F# dorian`; None if it is no key or its signature would need more than seven signs."""
    found = re.fullmatch(r"([A-Ga-g])([#b]?)(?:\s+(\w+))?", text.strip())
    if not found:
        return None
    mode = (found[3] or "major").lower()
    if mode not in MODES:
        return None
    key = Key(found[1].upper(), {"#": 1, "b": -1, "": 0}[found[2]], mode)
    return key if -7 <= key.fifths <= 7 else None
