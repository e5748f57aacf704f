"""What is wrong with a draft, as the page lists it: places in lines and columns, mends, the bar on the page."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from operator import attrgetter
from typing import NamedTuple

from scribe.diagnostics import Diagnostic
from scribe.live.sketch import Sketch
from scribe.live.systems import Placed
from scribe.music.form import home_for, numbered
from scribe.music.slips import gathered


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
    """Return everything there is to say about a draft, in order of place.

    Lines and columns come from where a bar stands in its line, so nothing is counted through the text.
    """
    firsts = [each.first for each in placed]
    found: list[Problem] = []
    told = [(first + i, remark) for first, settled in sketch.settled for i, remark in settled.remarks]
    said = gathered([remark for _, remark in told], lambda: home_for(sketch.draughts))
    for (bar, _), remark in zip(told, said, strict=True):
        if remark is not None:
            line = sketch.written[bar]
            system, inside = -1, -1
            if sketch.played[bar] == line:
                system = bisect_right(firsts, bar) - 1
                inside = bar - firsts[system]
            named = numbered(remark, sketch.number(bar))
            found.append(problem_at(named, line, sketch.draughts[bar].offset, system, inside))
    for line, fault in sketch.faults():
        found.append(problem_at(fault, line, 0, -1, -1))
    for bar, remark in sketch.way_through():
        system = bisect_right(firsts, bar) - 1
        offset = sketch.draughts[bar].offset
        found.append(problem_at(remark, sketch.written[bar], offset, system, bar - firsts[system]))
    found.sort(key=_place)
    return tuple(found)


_place = attrgetter("line", "column", "end", "code")


def problem_at(remark: Diagnostic, line: int, offset: int, system: int, bar: int) -> Problem:
    """Return a remark as the page lists it: it counts from column `offset` (from 0) of a line (from 0)."""
    start, end = remark.span
    column = offset + start + 1
    mends = tuple(Mend(hint.text, hint.replacement or "") for hint in remark.hints)
    return Problem(
        remark.severity,
        remark.code,
        remark.message,
        line + 1,
        column,
        max(offset + end, column) + 1,
        mends,
        system,
        bar,
    )


def not_engraved(reason: str, sketch: Sketch, placed: Placed) -> Problem:
    """Return the problem of a system that has no picture."""
    bar = placed.first
    line = sketch.written[bar]
    column = sketch.draughts[bar].offset + 1
    number = sketch.number(bar)
    message = f"{reason}: the one that begins with bar {number}"
    mend = Mend("change or take out its bars one by one to find out which one it is", "")
    return Problem("error", "not-engraved", message, line + 1, column, column + 1, (mend,), -1, -1)
