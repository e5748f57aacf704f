"""The names of chords of a part that transposes: which of them do not come back from the page, and which one is meant.

Such a part prints its chords as its player reads them, with the names that are usual there: E#7 in F# is C7 for alto
sax in Eb, whose way back is F7 as well. What sounds is never in doubt, the name is.
"""

from __future__ import annotations

import re

from scribe.engrave.mei.transpose import written_chord
from scribe.music.chord import move_chord_text, parse_chord
from scribe.music.events import PlacedChord
from scribe.music.inforce import InForce
from scribe.music.instrument import written_interval
from scribe.music.pitch import NATURAL

ROOT = re.compile(r"([A-G])([#b]?)")
_LETTERS = "CDEFGAB"


def is_lost(placed: PlacedChord, force: InForce) -> bool:
    """Whether a chord's name cannot be told from what the instrument in force reads for it."""
    if force.instrument.chromatic % 12 == 0:
        return False
    if placed.chord is None:
        return ROOT.match(placed.name) is not None  # formats take its root for one, and move it
    back = -written_interval(force.instrument, force.key)
    return move_chord_text(written_chord(placed, force).name, back, force.key) != placed.name


def sound_alike(one: str, other: str) -> bool:
    """Whether two chord symbols mean the same, whatever their root and bass are called."""
    a, b = parse_chord(one), parse_chord(other)
    if a is not None and b is not None:
        same = (a.kind, a.degrees) == (b.kind, b.degrees)
        return same and _sounds(a.root) == _sounds(b.root) and _sounds(a.bass) == _sounds(b.bass)
    first, second = ROOT.match(one), ROOT.match(other)
    if first is None or second is None or one[first.end() :] != other[second.end() :]:
        return False
    return _class(first[1], first[2]) == _class(second[1], second[2])


def _sounds(name: tuple[str, int] | None) -> int | None:
    return None if name is None else (NATURAL[_LETTERS.index(name[0])] + name[1]) % 12


def _class(letter: str, sign: str) -> int | None:
    return _sounds((letter, sign.count("#") - sign.count("b")))
