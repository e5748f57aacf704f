"""Bars that cannot be read at the moment keep their last good music on the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scribe.live.sketch import Sketch
from scribe.music.piece import Bar


class LastGood:
    """Remembers the music that was shown last and puts it where a bar is broken now."""

    def __init__(self) -> None:
        self._lines: Sequence[str] = ()
        self._bars: dict[int, Sequence[Bar]] = {}  # of each line
        self._made: dict[tuple[int, int], tuple[Bar, Bar, Bar]] = {}

    def fill(self, sketch: Sketch) -> tuple[Sequence[Bar], frozenset[int]]:
        """Return the bars to show, and which of them (by index) show music that is not in the text any more."""
        lines = sketch.walk.text.split("\n")
        stale: set[int] = set()
        shown = sketch.bars
        if any(bar.music.broken for bar in sketch.bars):
            shown = list(sketch.bars)
            made: dict[tuple[int, int], tuple[Bar, Bar, Bar]] = {}
            sources = {id(new): source for _, source, new in self._made.values()}
            match = _Match(self._lines, lines)
            for first, settled in sketch.settled:
                count = len(settled.bars)
                for index in range(count):
                    bar = settled.bars[index]
                    if not bar.music.broken:
                        continue
                    old = self._old(match.line(sketch.played[first]), settled.bars, index)
                    if old is None or old.music.broken:
                        continue
                    old = sources.get(id(old), old)
                    key = (id(bar), id(old))
                    found = made[key] = self._made.get(key) or (bar, old, _with_music(bar, old))
                    shown[first + index] = found[2]
                    stale.add(first + index)
            self._made = made
        self._lines = lines
        self._bars = {
            sketch.played[first]: shown[first : first + len(settled.bars)]
            for first, settled in sketch.settled
        }
        return shown, frozenset(stale)

    def _old(self, line: int | None, bars: Sequence[Bar], index: int) -> Bar | None:
        """The bar that stood in this place: counted from the line's start, or from its end if that fits better."""
        before = self._bars.get(line, ()) if line is not None else ()
        gone = len(before) - len(bars)
        from_end = index + gone
        behind_alike = all(
            0 <= i + gone < len(before) and before[i + gone].text == bars[i].text
            for i in range(index + 1, len(bars))
        )
        if gone and behind_alike and 0 <= from_end < len(before):
            return before[from_end]
        return before[index] if index < len(before) else None


class _Match:
    """Which line of the old text a line of the new one was."""

    def __init__(self, old: Sequence[str], new: Sequence[str]) -> None:
        self._shift = len(old) - len(new)
        most = min(len(old), len(new))
        start = 0
        while start < most and old[start] == new[start]:
            start += 1
        end = 0
        while end < most - start and old[-1 - end] == new[-1 - end]:
            end += 1
        self._start, self._end = start, len(new) - end
        self._old_end = len(old) - end

    def line(self, number: int) -> int | None:
        if number < self._start:
            return number
        if number >= self._end:
            return number + self._shift
        return min(number, self._old_end - 1) if self._old_end > self._start else None


def _with_music(bar: Bar, old: Bar) -> Bar:
    """The bar with another one's music, for its place in the form."""
    return replace(
        bar,
        music=replace(old.music, diagnostics=()),
        written=old.written,
        events=old.events,
        tied=old.tied,
        repeat=old.repeat,
        repeat_part=old.repeat_part,
        rests=old.rests,
    )
