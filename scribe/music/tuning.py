"""Strings and frets of the bass."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from scribe.music.pitch import Pitch

Tuning = tuple[Pitch, ...]  # low to high, sounding

STANDARD: Tuning = (Pitch("E", 0, 1), Pitch("A", 0, 1), Pitch("D", 0, 2), Pitch("G", 0, 2))
FRETS = 24
_LOWEST = 21  # A0: without an octave digit the lowest string lies from here up to G#1
_STRINGS = range(3, 8)  # how many strings a tuning may have


def parse_tuning(text: str) -> Tuning | None:
    """Read `B E A D G`, `Eb Ab Db Gb`, `A1 D G C`: three to seven strings, low to high; else None.

    Without octave digits the lowest string is the one from A0 to G#1 (the low B, C, D, E … of a bass), and
    each next string is the next higher pitch of its name. A digit fixes the octave of its string; strings
    that do not rise are no tuning.
    """
    names = text.split()
    if len(names) not in _STRINGS:
        return None
    strings: list[Pitch] = []
    for name in names:
        found = re.fullmatch(r"([A-Ga-g])([#b]?)(\d?)", name)
        if not found:
            return None
        lowest = Pitch(found[1].upper(), {"#": 1, "b": -1, "": 0}[found[2]], 0)
        if found[3]:
            string = lowest.octaves(int(found[3]))
        else:
            above = strings[-1].midi + 1 if strings else _LOWEST
            string = lowest.octaves(-((lowest.midi - above) // 12))
        if strings and string.midi <= strings[-1].midi:
            return None
        strings.append(string)
    return tuple(strings)


def risen(strings: Sequence[Pitch | None]) -> Tuning | None:
    """Return strings, low to high, as a tuning; None unless all are known, three to seven, and each above the last."""
    known = tuple(string for string in strings if string is not None)
    rising = all(low.midi < high.midi for low, high in pairwise(known))
    return known if len(known) == len(strings) in _STRINGS and rising else None


def show_tuning(tuning: Tuning) -> str:
    """Return the tuning as it is typed, with octave digits only where they are needed: `B E A D G`."""
    plain = " ".join(string.name for string in tuning)
    return plain if parse_tuning(plain) == tuning else " ".join(map(str, tuning))


def string_of(tuning: Tuning, typed: str) -> int | None:
    """Return the number of the string typed as `A`, `Eb`, `d`: 1 is the highest; None if there is none.

    Of two strings of one name a capital means the higher, a small letter the lower one.
    """
    if not typed:
        return None
    name = typed[0].upper() + typed[1:]
    numbers = [len(tuning) - i for i, string in enumerate(tuning) if string.name == name]
    if not numbers:
        return None
    return min(numbers) if typed[0].isupper() else max(numbers)


def string_name(tuning: Tuning, number: int) -> str:
    """Return how string `number` (1 = highest) is typed: `A`, or `d` for the lower of two D strings."""
    name = tuning[-number].name
    return name if string_of(tuning, name) == number else name[0].lower() + name[1:]


def pin_text(tuning: Tuning, string: int, follows: str) -> str:
    """Return `:A` for a string; `follows` is what stands behind it, which must not be read into its name."""
    name = string_name(tuning, string)
    if follows[:1] not in ("b", "#") or (name[-1:] in "#b" and len(name) > 1):
        return f":{name}"
    small = name[0].lower() + name[1:]
    if follows[0] == "b" and string_of(tuning, small) == string:
        return f":{small}"
    return f":{name}="


def fret_pitch_midi(tuning: Tuning, string_number: int, fret: int) -> int:
    """Return the sounding MIDI number at a fret (0 = open) of a string (1 = highest)."""
    return tuning[-string_number].midi + fret


def places(midi: int, tuning: Tuning = STANDARD, frets: int = FRETS) -> list[tuple[int, int]]:
    """Return every (string, fret) that sounds `midi`, highest string (so lowest fret) first, or nothing."""
    return [
        (number, midi - tuning[-number].midi)
        for number in range(1, len(tuning) + 1)
        if 0 <= midi - tuning[-number].midi <= frets
    ]
