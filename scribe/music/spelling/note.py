"""What the speller is told about a note."""

from __future__ import annotations

from typing import NamedTuple

from scribe.music.chord import Chord
from scribe.music.key import Key


class Note(NamedTuple):
    """A sound in search of a name.

    `midi`: its MIDI number. `key`, `chord`: what is in force (`chord` None: none is, or N.C.). `name`: place on the
    line of fifths of a name that is settled already, None for a free one. `prefer`: "sharps" or "flats" where the
    writer wants one or the other outside key and chord.
    """

    midi: int
    key: Key
    chord: Chord | None = None
    name: int | None = None
    prefer: str = ""
