"""What is in force when a bar begins: all that a bar's meaning depends on besides its own text."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.music.chord import Chord
from scribe.music.events import Head
from scribe.music.instrument import BASS, Instrument
from scribe.music.key import Key
from scribe.music.metre import Metre
from scribe.music.pitch import Pitch
from scribe.music.tuning import STANDARD, Tuning


class Feel(NamedTuple):
    """`unit`: the value that is swung, "8" or "16" ("" when straight); `ratio` long:short, None when not said."""

    name: str = "straight"  # straight, swing, shuffle, triplet
    unit: str = ""
    ratio: tuple[int, int] | None = None


class Tempo(NamedTuple):
    """`words` may be empty; `value` is a code such as `Q` or `Q.`; `bpm` None when only words were given."""

    words: str
    value: str
    bpm: Fraction | None


class InForce(NamedTuple):
    """The context of one bar. Small, frozen and hashable: half of the memo key of every stage up to MEI."""

    key: Key = Key("C", 0, "major")
    metre: Metre = Metre(4, 4)
    length: Fraction | None = None  # of this bar, where `pickup` or `short` says so
    pickup: bool = False  # such a bar ends with the metre's last beat instead of beginning with its first
    feel: Feel = Feel()
    home: Pitch = BASS.home
    tuning: Tuning = STANDARD
    instrument: Instrument = BASS
    degrees: Literal["key", "chord"] = "key"
    enharmonic: Literal["check", "fix", "sharps", "flats", "free"] = "check"
    chord: Chord | None = None
    slap: bool = False

    @property
    def bar_length(self) -> Fraction:
        return self.metre.length if self.length is None else self.length


class Entry(NamedTuple):
    """What the bar before leaves behind, for a hold at a bar's start.

    `heads` of the last note (spans zeroed), empty after a silence. `known` is False after a bar that could not be
    read: then a hold is taken as silence, without a word.
    """

    heads: tuple[Head, ...] = ()
    known: bool = True
