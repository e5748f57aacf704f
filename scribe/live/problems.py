"""What is wrong with a draft, as the page lists it: places in lines and columns, mends, the bar on the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.diagnostics.show import Lines
from scribe.live.sketch import Sketch
from scribe.live.systems import Placed


class Mend(NamedTuple):
    """A way out: what to do, and the text to put in place where there is one (else empty)."""

    text: str
    replacement: str


class Problem(NamedTuple):
    """One remark. `line`, `column`, `end` from 1. `system`, `bar`: where it stands on the page, -1 for nowhere."""

    severity: str
    code: str
    message: str
    line: int
    column: int
    end: int
    mends: tuple[Mend, ...]
    system: int
    bar: int


def problems_of(sketch: Sketch, placed: Sequence[Placed]) -> tuple[Problem, ...]:
    """Return everything there is to say about a draft, in order of place."""
    if not sketch.diagnostics:
        return ()
    lines = Lines(sketch.walk.text)
    systems = _systems(placed)
    bars: dict[int, list[int]] = {}
    for index, line in enumerate(sketch.written):
        bars.setdefault(line, []).append(index)
    found = []
    for each in sketch.diagnostics:
        line, column = lines.place(each.span.start)
        last, end = lines.place(each.span.end)
        if last != line:
            end = len(lines.line(line)) + 1
        bar = next(
            (
                index
                for index in bars.get(line - 1, ())
                if sketch.offset(index)
                <= each.span.start
                <= sketch.offset(index) + len(sketch.bars[index].text)
                and sketch.played[index] == line - 1
            ),
            -1,
        )
        system, inside = systems(bar)
        mends = tuple(Mend(hint.text, hint.replacement or "") for hint in each.hints)
        found.append(
            Problem(
                each.severity,
                each.code,
                each.message,
                line,
                column,
                max(end, column + 1),
                mends,
                system,
                inside,
            )
        )
    return tuple(found)


def not_engraved(reason: str, sketch: Sketch, placed: Placed) -> Problem:
    """Return the problem of a system that has no picture."""
    bar = placed.first
    line = sketch.written[bar]
    column = sketch.draughts[bar].offset + 1
    number = sketch.number(bar)
    message = f"{reason}: the one that begins with bar {number}"
    mend = Mend("change or take out its bars one by one to find out which one it is", "")
    return Problem("error", "not-engraved", message, line + 1, column, column + 1, (mend,), -1, -1)


class _systems:
    """Finds the system of a bar and the bar's index in it."""

    def __init__(self, placed: Sequence[Placed]) -> None:
        self._firsts = [each.first for each in placed]

    def __call__(self, bar: int) -> tuple[int, int]:
        from bisect import bisect_right

        if bar < 0:
            return -1, -1
        system = bisect_right(self._firsts, bar) - 1
        return system, bar - self._firsts[system]
