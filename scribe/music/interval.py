"""Intervals by name: so many staff places, so many semitones; moving pitches, names and keys by them."""

from __future__ import annotations

import re
from typing import NamedTuple

from scribe.music.key import Key
from scribe.music.pitch import NATURAL, Pitch, at_staff, name_at

# Semitones of the perfect or major interval of each number, 1-7: those of the major scale.
_NATURAL_SIZE = NATURAL
_PERFECT = {0, 3, 4}  # unison, fourth, fifth (and the octave, which is a unison again)
_USUAL_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)  # by semitones
_LARGEST = 15  # the largest number that can be typed: two octaves


class Interval(NamedTuple):
    """`steps` staff places and `semitones`, both signed: up M3 is (2, 4), down M3 is (-2, -4).

    A unison that is not perfect counts as upward when it raises: down A1 is (0, -1).
    """

    steps: int
    semitones: int

    @property
    def fifths(self) -> int:
        """How far the interval moves a name on the line of fifths: P5 is 1, m2 is -5."""
        return 7 * self.semitones - 12 * self.steps

    @property
    def downward(self) -> bool:
        return self.steps < 0 or (self.steps == 0 and self.semitones < 0)

    @property
    def name(self) -> str:
        """Quality and number without direction: `P4`, `m3`, `A11`, `dd5`."""
        size = -self if self.downward else self
        octaves, index = divmod(size.steps, 7)
        excess = size.semitones - 12 * octaves - _NATURAL_SIZE[index]
        if index in _PERFECT:
            quality = "P" if excess == 0 else "A" * excess if excess > 0 else "d" * -excess
        elif excess >= 0:
            quality = "M" if excess == 0 else "A" * excess
        else:
            quality = "m" if excess == -1 else "d" * (-excess - 1)
        return f"{quality}{size.steps + 1}"

    def __str__(self) -> str:
        """`up P4`, `down m3`: as `use` takes it."""
        return f"{'down' if self.downward else 'up'} {self.name}"

    def __neg__(self) -> Interval:
        """Return the same interval in the other direction."""
        return Interval(-self.steps, -self.semitones)

    @property
    def inversion(self) -> Interval:
        """The interval that completes this one to an octave: m3 gives M6, P4 gives P5.

        Numbers add up to nine, perfect stays perfect, major and minor, augmented and diminished change places
        (common practice). A compound interval is brought within an octave first; a unison gives an octave.
        The direction stays.
        """
        size = -self if self.downward else self
        octaves = size.steps // 7 if size.steps != 7 else 0
        inverted = Interval(7 - (size.steps - 7 * octaves), 12 - (size.semitones - 12 * octaves))
        return -inverted if self.downward else inverted


UNISON = Interval(0, 0)


def parse_interval(text: str) -> Interval | None:
    """Read `P4`, `up P4`, `down m3`; None if it names no interval or one of more than two octaves.

    Qualities P M m A d, doubled for doubly augmented (`AA4`) and diminished.
    """
    found = re.fullmatch(r"(?:(up|down)\s+)?(P|M|m|A{1,2}|d{1,2})(\d{1,2})", text.strip())
    if not found or not 1 <= int(found[3]) <= _LARGEST:
        return None
    quality, steps = found[2], int(found[3]) - 1
    octaves, index = divmod(steps, 7)
    perfect = index in _PERFECT
    if quality == "P" if not perfect else quality in "Mm":
        return None
    excess = {"P": 0, "M": 0, "m": -1}.get(quality)
    if excess is None:
        excess = len(quality) if quality[0] == "A" else -len(quality) - (0 if perfect else 1)
    semitones = 12 * octaves + _NATURAL_SIZE[index] + excess
    if steps == 0 and semitones < 0:  # no diminished unison: it is an augmented one downward
        return None
    interval = Interval(steps, semitones)
    return -interval if found[1] == "down" else interval


def usual(semitones: int) -> Interval:
    """Return the interval that so many semitones usually are: 3 a minor third, 6 an augmented fourth."""
    octaves, rest = divmod(abs(semitones), 12)
    steps = 7 * octaves + _USUAL_STEPS[rest]
    return Interval(-steps if semitones < 0 else steps, semitones)


def between(low: Pitch, high: Pitch) -> Interval:
    """Return the interval from the first pitch to the second, signed."""
    return Interval(high.staff - low.staff, high.midi - low.midi)


def move(pitch: Pitch, interval: Interval) -> Pitch:
    """Return the pitch an interval away, spelled exactly; beyond double accidentals, its simpler name."""
    target = pitch.midi + interval.semitones
    staff = pitch.staff + interval.steps
    alter = target - at_staff(staff).midi
    while abs(alter) > 2:
        staff += 1 if alter > 0 else -1
        alter = target - at_staff(staff).midi
    return at_staff(staff, alter)


def simplest(pitch: Pitch, most: int = 1) -> Pitch:
    """Return the pitch under a name with at most `most` (1 or 2) accidentals: its own if that will do."""
    staff, alter = pitch.staff, pitch.alter
    while abs(alter) > most:
        staff += 1 if alter > 0 else -1
        alter = pitch.midi - at_staff(staff).midi
    return at_staff(staff, alter)


def move_name(name: tuple[str, int], interval: Interval) -> tuple[str, int]:
    """Return letter and alteration an interval away, exactly, however many accidentals that takes."""
    return name_at(Pitch(name[0], name[1], 0).fifths + interval.fifths)


def move_key(key: Key, interval: Interval) -> Key:
    """Return the key an interval away in the same mode; beyond seven signs, the enharmonic one."""
    fifths = key.tonic_fifths + interval.fifths
    signature = fifths - (key.tonic_fifths - key.fifths)
    while signature > 7:
        fifths, signature = fifths - 12, signature - 12
    while signature < -7:
        fifths, signature = fifths + 12, signature + 12
    letter, alter = name_at(fifths)
    return Key(letter, alter, key.mode)
