"""Changes to the text of a draft that leave everything else in it as it was typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from scribe.bass.grips import Grip
from scribe.bass.line import Line
from scribe.diagnostics import Span
from scribe.music.events import Head
from scribe.music.piece import Bar, Piece
from scribe.music.tuning import FRETS, pin_text

# A note as typed: signs before it, its name, signs behind (the alphabet of bar.lark, taken apart only so far).
_NOTE = re.compile(
    r"(?P<before>[~hp/\\^vq]*)"
    r"(?P<name>(?:[A-Ga-g][#b]?)?:\d+|(?:##?|bb?|n)?\d|[A-G](?:##?|n|w|b)?|[a-g](?:##?|n)?|[xu])"
    r"(?P<pin>:(?:[A-G][#b]?|[a-g]#?))?(?P<after>.*)",
    re.DOTALL,
)


class Edit(NamedTuple):
    """`text` in place of `span` of a text."""

    span: Span
    text: str


def apply(text: str, edits: Iterable[Edit]) -> str:
    """Return the text with all edits made; of two that overlap the first one counts."""
    done, at = [], 0
    for span, new in sorted(set(edits)):
        if span.start < at:
            continue
        done += [text[at : span.start], new]
        at = span.end
    return "".join([*done, text[at:]])


def parts(typed: str) -> tuple[str, str, str, str] | None:
    """Return a typed note as signs before it, name, pin (with its colon, or empty), signs behind it."""
    found = _NOTE.fullmatch(typed)
    return (found["before"], found["name"], found["pin"] or "", found["after"]) if found else None


def first_bars(piece: Piece) -> list[int]:
    """Return the indices of the bars whose text stands in the draft for itself: not `%`, not `use`, not a rest line."""
    seen: set[int] = set()
    found = []
    for index, bar in enumerate(piece.bars):
        if bar.text and not bar.repeat and bar.offset not in seen:
            seen.add(bar.offset)
            found.append(index)
    return found


def pinned(text: str, piece: Piece, line: Line, grips: Sequence[Grip | None]) -> str:
    """Return the draft with the string of every fingered note typed behind it, where it is not typed already.

    Notes that `/`, `%` and `use` repeat follow the note that is typed. Frets stay as they are: they say their string.
    """
    edits: list[Edit] = []
    own = set(first_bars(piece))
    for place, grip in zip(line.places, grips, strict=True):
        if grip is None or place.bar not in own:
            continue
        bar = piece.bars[place.bar]
        event = bar.events[place.event]
        heads = (
            [event.graces[place.grace].head] if place.grace >= 0 else [event.heads[h] for h in place.heads]
        )
        for head, stop in zip(heads, grip.stops, strict=True):
            edit = _pin(bar, head, stop.string)
            if edit is not None:
                edits.append(edit)
    return apply(text, edits)


def _pin(bar: Bar, head: Head, string: int) -> Edit | None:
    if head.string is not None or head.way == "fret":
        return None
    found = parts(bar.text[head.span.start : head.span.end])
    if found is None or found[2]:  # a `/`, or a pin that could not be kept
        return None
    if head.kind == "note" and not 0 <= head.pitch.midi - bar.in_force.tuning[-string].midi <= FRETS:
        return None  # a harmonic sounds higher than its string is long
    end = head.span.start + len(found[0]) + len(found[1])
    pin = pin_text(bar.in_force.tuning, string, bar.text[end : end + 1])
    return Edit(Span(end, end).shift(bar.offset), pin)
