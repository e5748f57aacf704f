"""All that a draft says, fact by fact, so that two drafts can be compared: what one says and the other does not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from scribe.music.events import Event, Head
from scribe.music.inforce import InForce
from scribe.music.piece import Bar, Piece
from scribe.source.directions import DIRECTIONS, LEVELS
from scribe.source.read import read
from scribe.source.tree import Directive

# Every kind of fact, as it is counted for a user: one, several.
KINDS = {
    "title": ("title", "titles"),
    "composer": ("composer", "composers"),
    "player": ("player", "players"),
    "recording": ("recording", "recordings"),
    "layout": ("layout", "layouts"),
    "bar": ("bar of its length", "bars of their length"),
    "system": ("line end", "line ends"),
    "instrument": ("instrument", "instruments"),
    "strings": ("tuning", "tunings"),
    "home": ("home", "homes"),
    "key": ("key", "keys"),
    "time": ("metre", "metres"),
    "feel": ("feel", "feels"),
    "tempo": ("tempo", "tempos"),
    "enharmonic": ("`enharmonic`", "`enharmonic`"),
    "degrees": ("`degrees`", "`degrees`"),
    "show": ("`show`", "`show`"),
    "position": ("`position`", "`position`"),
    "recorded": ("time in the recording", "times in the recording"),
    "section": ("section", "sections"),
    "rest": ("long rest", "long rests"),
    "repeat": ("repeat sign", "repeat signs"),
    "ending": ("ending", "endings"),
    "barline": ("barline", "barlines"),
    "to do": ("stretch still to do", "stretches still to do"),
    "chord": ("chord symbol", "chord symbols"),
    "doubtful chord": ("doubtful chord", "doubtful chords"),
    "text": ("text", "texts"),
    "dynamic": ("dynamic", "dynamics"),
    "direction": ("direction", "directions"),
    "note": ("note", "notes"),
    "dead": ("dead note", "dead notes"),
    "unheard": ("note still unheard", "notes still unheard"),
    "ghost": ("ghost note", "ghost notes"),
    "doubt": ("doubtful note", "doubtful notes"),
    "place": ("string and fret", "strings and frets"),
    "grace": ("grace note", "grace notes"),
    "connector": ("slur or slide", "slurs or slides"),
    "mark": ("mark of a note", "marks of notes"),
    "open": ("thing still open", "things still open"),
    # Of the text alone: the music is the same without them.
    "way": ("note typed in another way", "notes typed in another way"),
    "meant": ("`=`", "`=`"),
    "use": ("`use`", "`use`"),
    "comment": ("comment", "comments"),
}
LINED = ("use", "comment")  # their place is a line of the text


class Fact(NamedTuple):
    """Something said. `place`: the index of its bar, rest bars counted, or of its line in the text."""

    kind: str
    place: int
    what: tuple[object, ...] = ()


def facts_of(piece: Piece, text: str) -> Counter[Fact]:
    """Return all that a piece says and, beside its music, its text. Bars with an error say nothing."""
    head, layout = piece.heading, piece.layout
    found = Counter(Fact(name, 0, (value,)) for name, value in zip(head._fields, head, strict=True) if value)
    found[Fact("layout", 0, layout)] += 1
    starts = {start for start, _ in piece.systems}
    at = 0
    before: Bar | None = None
    for index, bar in enumerate(piece.bars):
        for rest in range(bar.rests or 1):
            found[Fact("bar", at + rest, (bar.music.length, bar.in_force.pickup))] += 1
        said = [*_frame(before, bar), *(() if bar.music.broken else _inside(bar))]
        said += [("system", ())] if index in starts else []
        found.update(Fact(kind, at, what) for kind, what in said)
        at += bar.rests or 1
        before = bar
    found.update(_of_text(text))
    return found


def bar_numbers(piece: Piece) -> list[int]:
    """The printed numbers of the bars, rest bars counted one by one."""
    return [bar.number + rest for bar in piece.bars for rest in range(bar.rests or 1)]


def broken_bars(piece: Piece) -> set[int]:
    """The indices of the bars with an error, rest bars counted."""
    numbers = [bar for bar in piece.bars for _ in range(bar.rests or 1)]
    return {index for index, bar in enumerate(numbers) if bar.music.broken}


Said = tuple[str, tuple[object, ...]]


def _frame(before: Bar | None, bar: Bar) -> Iterator[Said]:
    """What is in force from a bar on, where it changes, and what stands at its edges."""
    now, then = bar.in_force, None if before is None else before.in_force
    values: list[tuple[str, object, object]] = [
        ("instrument", now.instrument, then and then.instrument),
        ("strings", _tuning(now), then and _tuning(then)),
        ("home", now.home, then and then.home),
        ("key", now.key, then and then.key),
        ("time", now.metre, then and then.metre),
        ("feel", now.feel, then and then.feel),
        ("enharmonic", now.enharmonic, then and then.enharmonic),
        ("degrees", now.degrees, then and then.degrees),
        ("show", bar.shown.what, before and before.shown.what),
        ("position", bar.position, before and before.position),
    ]  # fmt: skip
    for kind, value, old in values:
        if before is None or value != old:
            yield kind, (value,)
    if bar.feel is not None:
        yield "feel", ("printed", bar.feel)
    if bar.tempo is not None:
        yield "tempo", bar.tempo
    if bar.time is not None:
        yield "recorded", (bar.time,)
    if bar.section:
        yield "section", (bar.section,)
    if bar.rests > 1:
        yield "rest", (bar.rests,)
    if bar.repeat:
        yield "repeat", (bar.repeat, bar.repeat_part)
    if bar.ending_starts:
        yield "ending", bar.endings
    if bar.left in ("repeat start", "double"):
        yield "barline", ("left", bar.left)
    if bar.right not in ("single", "invisible"):
        yield "barline", ("right", bar.right)


def _tuning(now: InForce) -> object:
    return now.tuning if now.instrument.fretted else None


def _inside(bar: Bar) -> Iterator[Said]:
    if bar.music.todo:
        yield "to do", ()
    for chord in bar.music.chords:
        yield "chord", (chord.onset, chord.name)
        if chord.doubtful:
            yield "doubtful chord", (chord.onset,)
    for word in bar.music.words:
        louder = word.kind == "direction" and DIRECTIONS[word.text].kind in LEVELS
        yield "dynamic" if louder else word.kind, (word.onset, word.text)
    for place, event in enumerate(bar.events):
        if event.heads:
            yield from _event(event, tied=place == 0 and event.held and bar.tied)
        elif event.todo and not bar.music.todo:
            yield "to do", (event.onset, event.length)


def _event(event: Event, *, tied: bool) -> Iterator[Said]:
    onset = event.onset
    for number, head in enumerate(event.heads):
        yield head.kind, (onset, event.length, tied, head.pitch)
        if not tied:
            yield from _head((onset, number), head)
    for number, grace in enumerate(event.graces):
        yield "grace", (onset, number, grace.head.kind, grace.head.pitch)
        yield from _head((onset, "grace", number), grace.head)
        if grace.connector:
            yield "connector", (onset, number, grace.connector)
    if event.connector:
        yield "connector", (onset, event.connector)
    for mark in event.marks:
        yield "mark", (onset, mark)


def _head(where: tuple[object, ...], head: Head) -> Iterator[Said]:
    if head.ghost:
        yield "ghost", where
    if head.doubtful:
        yield "doubt", where
    if head.string is not None:
        yield "place", (*where, head.string, head.fret)
    if head.way != "none":
        yield "way", (*where, head.way)
    if head.meant:
        yield "meant", where


def _of_text(text: str) -> Iterator[Fact]:
    """Comments and `use`, by lines."""
    starts = [0, *(i + 1 for i, sign in enumerate(text) if sign == "\n"), len(text) + 1]
    says = {line.span.start: line for line in read(text).lines}
    for number, (start, end) in enumerate(pairwise(starts)):
        line = next((says[at] for at in range(start, end) if at in says), None)
        if isinstance(line, Directive) and line.name == "use":
            yield Fact("use", number)
        rest = text[start if line is None else line.span.end : end].strip()
        if rest.startswith(";"):
            yield Fact("comment", number, (rest,))
