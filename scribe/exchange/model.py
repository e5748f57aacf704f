"""A line of music as other formats have it, in plain values: between their readers and the writer of drafts.

Times are in quarters from the bar's start, exact. Pitches are sounding ones.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.music.events import HeadKind
from scribe.music.inforce import Feel, Tempo
from scribe.music.instrument import BASS, Instrument
from scribe.music.key import Key
from scribe.music.metre import Metre
from scribe.music.pitch import Pitch
from scribe.music.tuning import Tuning
from scribe.source.tree import Connector, Mark


class Head(NamedTuple):
    """One head. `string`: 1 is the highest; `string` and `fret` are None where nothing is said."""

    pitch: Pitch
    kind: HeadKind = "note"
    ghost: bool = False
    doubtful: bool = False
    string: int | None = None
    fret: int | None = None


class Grace(NamedTuple):
    """A grace note before an event; `connector` leads to it."""

    head: Head
    connector: Connector = ""


class Event(NamedTuple):
    """A note, a stack (`heads` lowest first) or a silence (no heads). `held`: tied from the bar before."""

    onset: Fraction
    length: Fraction
    heads: tuple[Head, ...] = ()
    graces: tuple[Grace, ...] = ()
    connector: Connector = ""
    marks: tuple[Mark, ...] = ()
    held: bool = False
    todo: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.length


class Symbol(NamedTuple):
    """A chord symbol, its name as a draft has it."""

    onset: Fraction
    name: str
    doubtful: bool = False


class Sign(NamedTuple):
    """Words above the staff, or a direction: a key of `scribe.source.directions`."""

    onset: Fraction
    kind: Literal["text", "direction"]
    text: str


class Printed(NamedTuple):
    """One written note or rest as the source prints it. `code`: `Q.`; `tuplets`: (actual, normal), outermost first."""

    onset: Fraction
    length: Fraction
    code: str
    rest: bool
    tuplets: tuple[tuple[int, int], ...] = ()
    whole: bool = False  # the whole-bar rest, whatever the metre


Left = Literal["", "double", "repeat start"]
Right = Literal["", "double", "repeat end", "final"]


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar. `events` fill it without a gap. `key`, `metre`: what is in force.

    `pickup`: a short bar that ends with the metre's last beat. `tempo`, `feel`, `section`: said at its start.
    `unsaid`: what the source says here and a draft cannot, in words, one entry each. `repeat`: 1 where the source
    prints the sign that repeats the bar before, 2 for the two bars before (`repeat_part` 1 and 2); the notes are here
    all the same. `rests`: so many bars of rest from here on are printed as one. `directives` (name, value) and `time`
    (seconds into the recording) are those that stand before this bar in the draft that the source was made from.
    """

    number: str
    length: Fraction
    key: Key
    metre: Metre
    events: tuple[Event, ...]
    pickup: bool = False
    symbols: tuple[Symbol, ...] = ()
    signs: tuple[Sign, ...] = ()
    tempo: Tempo | None = None
    feel: Feel | None = None
    section: str = ""
    left: Left = ""
    right: Right = ""
    endings: tuple[int, ...] = ()
    ending_starts: bool = False
    new_system: bool = False
    printed: tuple[Printed, ...] = ()
    unsaid: tuple[str, ...] = ()
    repeat: int = 0
    repeat_part: int = 0
    rests: int = 0
    directives: tuple[tuple[str, str], ...] = ()
    time: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One voice of one part, with what stands at the head of the page. `tuning` None: the usual one.

    `lined`: its systems are the lines of a draft, with all the directives between them. `credits`: who and what else is
    named on the page, in words (`lyricist Ada Lowe`).
    """

    title: str = ""
    composer: str = ""
    player: str = ""
    recording: str = ""
    part: str = ""
    instrument: Instrument = BASS
    tuning: Tuning | None = None
    bars: tuple[Bar, ...] = ()
    lined: bool = False
    credits: tuple[str, ...] = ()
    remarks: tuple[str, ...] = field(default=())  # about the whole line, for the report


class Cannot(ValueError):
    """A file that cannot be taken in or given out; the message is for the user: lower case, no full stop."""
