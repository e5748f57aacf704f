"""Which accidentals a reader needs to see, bar by bar."""

from __future__ import annotations

from functools import cache

from scribe.music.key import Key
from scribe.music.pitch import LETTERS, Pitch

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
        self._usual = _alterations(key)
        self._before = dict(before)
        self._here: dict[Place, int] = {}
        self._shown: set[Place] = set()

    def sign(self, pitch: Pitch) -> str | None:
        """Return the MEI accidental to print before this written pitch, None if there is none to print."""
        place = (pitch.letter, pitch.octave)
        in_force = self._here.get(place)
        if in_force is None:
            in_force = self._usual[pitch.letter]
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
        return any(
            letter == pitch.letter and alter != pitch.alter for (letter, _), alter in self._here.items()
        )

    @property
    def left(self) -> Altered:
        """What differs from the key at the end of the bar."""
        usual = self._usual
        return tuple(
            sorted((place, alter) for place, alter in self._here.items() if alter != usual[place[0]])
        )


@cache
def _alterations(key: Key) -> dict[str, int]:
    """What the signature gives each letter."""
    return {letter: key.alteration(letter) for letter in LETTERS}
