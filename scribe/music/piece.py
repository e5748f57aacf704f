"""The whole draft, compiled: bars in order with everything the score, the page and the sound need."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from scribe.diagnostics import Diagnostic, Span
from scribe.music.events import BarMusic, Event
from scribe.music.inforce import Feel, InForce, Tempo
from scribe.music.written import WrittenBar


class Heading(NamedTuple):
    """The title block. Empty strings where the draft says nothing."""

    title: str = ""
    composer: str = ""
    player: str = ""
    recording: str = ""


class Shown(NamedTuple):
    """What `show` prints besides the notes; a frozen set of the directive's words."""

    what: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the page.

    `id` stems the ids of everything in it: made from the bar's text and how often that text came before, so it does
    not change when other bars do. `offset` makes the spans in `music` absolute. `number` is the printed one (a pickup
    is 0). `left` and `right` are the barlines as they are to be drawn, both sides already agreeing with the
    neighbours. `rests` > 0: one sign for so many bars of rest. `repeat` 1 (`%`), or 2 (`%%`, two bars in a row with
    `repeat_part` 1 and 2). `events` are what sounds, also in repeat and rest bars; elsewhere they are
    `music.events`. `tied`: the first event is tied to the last note before. `new_key`, `new_metre`, `tempo`, `feel`:
    changes to print at this bar. `endings`: numbers of the ending that this bar lies in; `ending_starts`,
    `ending_ends` where its bracket does.
    """

    id: str
    number: int
    text: str
    offset: int
    music: BarMusic
    written: WrittenBar
    in_force: InForce
    events: tuple[Event, ...]
    tied: bool
    left: Literal["", "single", "double", "repeat start"]
    right: Literal["single", "double", "repeat end", "repeat both", "final", "invisible"]
    section: str
    new_key: bool
    new_metre: bool
    tempo: Tempo | None
    feel: Feel | None
    endings: tuple[int, ...]
    ending_starts: bool
    ending_ends: bool
    rests: int
    repeat: int
    repeat_part: int
    time: Fraction | None
    shown: Shown
    position: int | None  # the fret that `position` holds the hand at

    @property
    def span(self) -> Span:
        return Span(self.offset, self.offset + len(self.text))


class Layout(NamedTuple):
    """How bars are put into systems: `per_system` bars, or by density (`fit`), or source lines (both unset)."""

    per_system: int | None = None
    fit: bool = False
    page: Literal["A4", "letter"] = "A4"


@dataclass(frozen=True, slots=True)
class Piece:
    """A compiled draft. `systems` are the source lines as runs of bar indices (start, end exclusive)."""

    heading: Heading
    bars: tuple[Bar, ...]
    systems: tuple[tuple[int, int], ...]
    layout: Layout
    diagnostics: tuple[Diagnostic, ...]  # all of them, absolute spans, in order of place
