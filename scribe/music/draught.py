"""A bar on its way into the piece: known in itself, its place in the form not settled yet."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from scribe.music.events import BarMusic, Event
from scribe.music.inforce import Feel, InForce, Tempo
from scribe.music.piece import Shown
from scribe.music.written import WrittenBar
from scribe.source.tree import Barline

REPEAT_ENDS = frozenset(("repeat end", "repeat both"))
REPEAT_STARTS = frozenset(("repeat start", "repeat both"))


class Edge(NamedTuple):
    """The barlines as typed around a bar; None where none was."""

    left: Barline | None
    right: Barline | None


@dataclass(slots=True)
class Draught:
    """Fields as in `scribe.music.piece.Bar`.

    `line` counts source lines; `ending` is set on an ending's first bar; `opens` tells that a system begins here;
    `copied` that `use` made it: remarks are made where it was written.
    """

    text: str
    offset: int
    music: BarMusic
    written: WrittenBar
    in_force: InForce
    events: tuple[Event, ...]
    edge: Edge
    line: int
    number: int = 0
    tied: bool = False
    section: str = ""
    new_key: bool = False
    new_metre: bool = False
    tempo: Tempo | None = None
    feel: Feel | None = None
    rests: int = 0
    repeat: int = 0
    repeat_part: int = 0
    time: Fraction | None = None
    shown: Shown = Shown()
    position: int | None = None
    ending: tuple[int, ...] = ()
    shape: tuple[int, int] = (0, 0)
    opens: bool = False
    copied: bool = False
    spelling: object = field(
        default=None, init=False, repr=False, compare=False
    )  # what its spelling depends on
