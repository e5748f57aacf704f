"""What a passage may be read as, whatever the signature says: in another key, or as a chromatic scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scribe.music.key import Key
from scribe.music.pitch import name_at
from scribe.music.spelling.costs import REACH
from scribe.music.spelling.note import Note

ENOUGH = 5  # notes that show a key
FIT = 4  # of so many notes one may lie outside the key
CLEARER = 3  # so many notes more must lie outside the key in force
AWAY = 2  # signs by which the two differ at least: a neighbour key has nearly the same names
CLOSE = 3  # fifths that a name may lie outside the scale of the passage's key
SIGNS = range(-9, 10)  # signatures that a passage may be in: a few beyond those that are written, on the way
SCALE = 4  # semitones in a row that make a chromatic scale


def passage_keys(notes: Sequence[Note], names: Sequence[int], i: int) -> set[Key]:
    """Return the keys, far from the one in force, that the notes before, after or around note `i` are in.

    The notes count under their own names, without those that sound like note `i`. A key is known by its scale; of
    several that fit as well it is the one nearest to the key in force.
    """
    own = notes[i].key.fifths
    found: set[Key] = set()
    for around in _windows(notes, i):
        places = [names[k] for k in around]
        signature = min(SIGNS, key=lambda s: (_outside(places, s), abs(s - own)))
        strange = _outside(places, signature)
        if (
            len(places) >= ENOUGH
            and abs(signature - own) >= AWAY
            and strange * FIT <= len(places)
            and _outside(places, own) - strange >= CLEARER
            and -1 - CLOSE <= names[i] - signature <= 5 + CLOSE
        ):
            found.add(Key(*name_at(signature), "major"))
    return found


def in_chromatic_scale(notes: Sequence[Note], names: Sequence[int], i: int) -> bool:
    """Whether note `i` lies inside a chromatic scale, under its name in the harmonic one.

    The harmonic chromatic scale is written the same way up and down: from the tonic's flat second to its raised fourth.
    """
    if not -5 <= names[i] - notes[i].key.tonic_fifths <= 6 or not 0 < i < len(notes) - 1:
        return False
    by = notes[i].midi - notes[i - 1].midi
    if abs(by) != 1:
        return False
    first = last = i
    while first > 0 and notes[first].midi - notes[first - 1].midi == by:
        first -= 1
    while last < len(notes) - 1 and notes[last + 1].midi - notes[last].midi == by:
        last += 1
    return last > i and last - first >= SCALE


def _windows(notes: Sequence[Note], i: int) -> Iterator[list[int]]:
    """Yield the notes of other sounds before, after and around a note, as far as they count as nearby."""
    half = REACH // 2
    for low, high in ((i - REACH, i), (i + 1, i + 1 + REACH), (i - half, i + half + 1)):
        reach = range(max(0, low), min(len(notes), high))
        yield [k for k in reach if (notes[k].midi - notes[i].midi) % 12]


def _outside(places: Sequence[int], signature: int) -> int:
    return sum(not -1 <= place - signature <= 5 for place in places)
