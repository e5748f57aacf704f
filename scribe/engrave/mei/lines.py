"""What leads from note to note over the whole piece: ties, slurs (chains joined), slides, hammer-on letters."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

from scribe.engrave.mei.bar import BarMei
from scribe.engrave.mei.notes import NoteRef
from scribe.music.passes import later_ending
from scribe.music.piece import Bar


class Line(NamedTuple):
    """A tie, a slur or a slide, from one head to another; bars by index.

    `start` is empty for a slide from nowhere, and for a tie into a second or later ending.
    """

    kind: Literal["tie", "slur", "slide up", "slide down"]
    start: str
    start_bar: int
    end: str
    end_bar: int

    @property
    def id(self) -> str:
        """The id of its curve on the page."""
        return f"{self.kind}.{self.start}"


class Letter(NamedTuple):
    """The H or P between two heads of one slur; `slur` is the id of that slur's curve."""

    letter: Literal["H", "P"]
    slur: str
    start: str
    start_bar: int
    end: str
    end_bar: int


class Lines(NamedTuple):
    """All of a piece, in order of their starts."""

    lines: tuple[Line, ...]
    letters: tuple[Letter, ...]


def trace(bars: Sequence[Bar], meis: Sequence[BarMei]) -> Lines:
    """Return what leads from note to note. `bars` and `meis` run in step."""
    return _Tracer().run(bars, meis)


class _Tracer:
    def __init__(self) -> None:
        self.lines: list[Line] = []
        self.letters: list[Letter] = []
        self.chain: Line | None = None
        self.struck: dict[str, str] = {}  # of a note tied to another, the one that was struck

    def run(self, bars: Sequence[Bar], meis: Sequence[BarMei]) -> Lines:
        last: tuple[NoteRef, ...] = ()
        last_bar = 0
        for index, (bar, mei) in enumerate(zip(bars, meis, strict=True)):
            later = later_ending(bars[index - 1] if index else None, bar)
            for link in mei.notes.links:
                before = tuple(ref.id for ref in last) if link.start is None else link.start
                start_bar = last_bar if link.start is None else index
                if link.kind == "tie":
                    if link.start is None:
                        if bar.tied and later:
                            self.lines += [Line("tie", "", index, ref.id, index) for ref in mei.notes.first]
                        elif bar.tied:
                            self._ties(last, last_bar, mei.notes.first, index)
                    else:
                        self._tie(before[0], start_bar, link.end[0], index)
                elif link.kind in ("slide up", "slide down"):
                    self._slides(link.kind, before, start_bar, link.end, index)
                elif before:
                    self._slur(before[0], start_bar, link.end[0], index)
                    if link.kind != "slur":
                        letter: Literal["H", "P"] = "H" if link.kind == "hammer" else "P"
                        assert self.chain is not None
                        self.letters.append(
                            Letter(letter, self.chain.id, before[0], start_bar, link.end[0], index)
                        )
            last, last_bar = mei.notes.last, index
        if self.chain:
            self.lines.append(self.chain)
        fallen = {sign.id for mei in meis for sign in mei.notes.signs if sign.kind == "fall"}
        self.lines = [_from_nowhere(line) if line.start in fallen else line for line in self.lines]
        return Lines(tuple(sorted(self.lines, key=lambda line: line.start_bar)), tuple(self.letters))

    def _ties(self, last: tuple[NoteRef, ...], last_bar: int, first: tuple[NoteRef, ...], bar: int) -> None:
        left = {ref.pitch: ref.id for ref in last}
        for ref in first:
            if ref.pitch in left:
                self._tie(left[ref.pitch], last_bar, ref.id, bar)

    def _tie(self, start: str, start_bar: int, end: str, bar: int) -> None:
        self.lines.append(Line("tie", start, start_bar, end, bar))
        self.struck[end] = self.struck.get(start, start)

    def _slides(
        self,
        kind: Literal["slide up", "slide down"],
        before: tuple[str, ...],
        start_bar: int,
        end: tuple[str, ...],
        bar: int,
    ) -> None:
        if len(before) == len(end):
            self.lines.extend(Line(kind, a, start_bar, b, bar) for a, b in zip(before, end, strict=True))
        elif before:
            self.lines.append(Line(kind, before[0], start_bar, end[0], bar))
        else:
            self.lines.extend(Line(kind, "", bar, b, bar) for b in end)

    def _slur(self, start: str, start_bar: int, end: str, bar: int) -> None:
        # A slur goes on over a tied note (Gould, Behind Bars, "Slurs": ties within a phrase lie inside its slur; from
        # memory).
        if self.chain and self.chain.end in (start, self.struck.get(start)):
            self.chain = self.chain._replace(end=end, end_bar=bar)
            return
        if self.chain:
            self.lines.append(self.chain)
        self.chain = Line("slur", start, start_bar, end, bar)


def _from_nowhere(line: Line) -> Line:
    """A slide that follows a fall: the hand has left the note before, so that the two would cross."""
    return line._replace(start="", start_bar=line.end_bar) if line.kind.startswith("slide") else line
