"""What the hand cannot play, as remarks about the draft: one for each mistake, with its mend."""

from __future__ import annotations

from collections.abc import Iterable

from scribe.bass.fingered import Fingered, effort_of, fingering
from scribe.bass.grips import choices
from scribe.bass.warnings import Kind, Problem, problems
from scribe.bass.ways import neck_at
from scribe.diagnostics import Diagnostic, Hint
from scribe.diagnostics.playing import PLAYING
from scribe.music.piece import Piece

# What lies off the fretboard has remarks of the stages before; so has a pin to a place that is not there.
CODES: dict[Kind, str] = {
    "one string": "one-string",
    "too wide": "out-of-reach",
    "wide stretch": "wide-stretch",
    "too fast": "fast-shift",
    "connector": "cannot-join",
    "position": "leaves-position",
    "finger": "open-string-mark",
}
_ONCE_A_BAR = frozenset(("too fast", "wide stretch", "position"))  # one cause, many notes


def playing(piece: Piece) -> tuple[Diagnostic, ...]:
    """Return what in a piece cannot be played as it stands, in order; spans are offsets in the draft."""
    return tuple(remark.shift(piece.bars[bar].offset) for bar, remark in remarks(fingering(piece)))


def remarks(found: Fingered) -> tuple[tuple[int, Diagnostic], ...]:
    """Return the same for a piece that is fingered already, each with the index of its bar; spans count from the
    bar's start. What is written once and played again is said once.
    """
    rows: dict[object, list[Problem]] = {}
    for problem in problems(found):
        if problem.kind in CODES and problem.asked:
            bar = found.piece.bars[found.line.places[problem.moment].bar]
            if bar.repeat:
                continue
            place = (bar.offset,) if problem.kind in _ONCE_A_BAR else problem.span
            rows.setdefault((problem.kind, place), []).append(problem)
    return tuple((found.line.places[row[0].moment].bar, _remark(found, row)) for row in rows.values())


def _remark(found: Fingered, row: list[Problem]) -> Diagnostic:
    first = row[0]
    bar = found.piece.bars[found.line.places[first.moment].bar]
    code = CODES[first.kind]
    others = len({problem.span for problem in row}) - 1
    more = f" (and {others} more in this bar)" if others else ""
    if first.kind == "position":
        hint = Hint(f"{first.instead}; {_other_position(found, first.moment)}")
    elif (mend := first.typed()) is None:
        hint = Hint(first.instead)
    else:
        hint = Hint(f"{first.instead}: write `{mend.text}`", mend.text, mend.span)
    span = first.span.shift(-bar.offset)
    return Diagnostic(code, PLAYING[code].severity, span, first.what + more, (hint,))


def _other_position(found: Fingered, i: int) -> str:
    """The nearest position from which the whole bar can be played, as it is typed."""
    line, neck = found.line, neck_at(found.line, i)
    effort = effort_of(neck)
    asked = line.moments[i].position or 1
    here = [m for m, p in zip(line.moments, line.places, strict=True) if p.bar == line.places[i].bar]
    for position in _near(asked, neck.frets):
        held = (moment._replace(position=position) for moment in here)
        if all(not choices(moment, neck, effort, "mixed").relaxed for moment in held):
            return f"`position {position}` has all of this bar"
    return "write `position free` before this bar"


def _near(position: int, frets: int) -> Iterable[int]:
    return sorted((p for p in range(1, frets + 1) if p != position), key=lambda p: (abs(p - position), p))
