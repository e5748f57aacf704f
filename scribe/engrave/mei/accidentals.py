"""Which accidentals a reader needs to see, bar by bar."""

from __future__ import annotations

from collections.abc import Iterable

from scribe.music.key import Key
from scribe.music.pitch import Pitch

Place = tuple[str, int]  # letter and octave: one line or space of the staff
Altered = tuple[
    tuple[Place, int], ...
]  # what accidentals left in force at a bar's end, against the key; sorted

SIGN = {-3: "tf", -2: "ff", -1: "f", 0: "n", 1: "s", 2: "x", 3: "ts"}  # MEI data.ACCIDENTAL.WRITTEN


class Accidentals:
    """The accidentals of one bar, asked note by note in order.

    An accidental holds for its own line or space to the end of the bar (common practice). Besides those that must
    be there, a note gets a courtesy one, without parentheses, the first time it comes on a place that was altered
    otherwise in the bar before, or when the same letter was altered otherwise in another octave (Gould, Behind
    Bars, from memory).
    """

    def __init__(self, key: Key, before: Altered) -> None:
        self._key = key
        self._before = dict(before)
        self._here: dict[Place, int] = {}
        self._shown: set[Place] = set()

    def sign(self, pitch: Pitch) -> str | None:
        """Return the MEI accidental to print before this written pitch, None if there is none to print."""
        place = (pitch.letter, pitch.octave)
        usual = self._key.alteration(pitch.letter)
        in_force = self._here.get(place, usual)
        if pitch.alter != in_force:
            needed = True
        elif place in self._shown:
            needed = False
        else:
            needed = self._differs(pitch)
        self._here[place] = pitch.alter
        self._shown.add(place)
        return SIGN.get(pitch.alter) if needed else None

    def _differs(self, pitch: Pitch) -> bool:
        """Whether the reader may still have another alteration of this letter in mind."""
        place = (pitch.letter, pitch.octave)
        if self._before.get(place, pitch.alter) != pitch.alter:
            return True
        others = _same_letter(self._here.items(), pitch)
        return any(alter != pitch.alter for alter in others)

    @property
    def left(self) -> Altered:
        """What differs from the key at the end of the bar."""
        key = self._key
        return tuple(
            sorted((place, alter) for place, alter in self._here.items() if alter != key.alteration(place[0]))
        )


def _same_letter(items: Iterable[tuple[Place, int]], pitch: Pitch) -> list[int]:
    return [alter for (letter, octave), alter in items if letter == pitch.letter and octave != pitch.octave]
