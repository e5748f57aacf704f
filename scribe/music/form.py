"""The form of the piece: barlines that agree, endings with their length, ids, remarks that need the neighbours."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Literal
from zlib import crc32

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.context import Context
from scribe.music.draught import REPEAT_ENDS, REPEAT_STARTS, Draught
from scribe.music.events import Event, Head, sound_alike
from scribe.music.passes import ways_through
from scribe.music.piece import Bar, Piece
from scribe.music.place import BAR
from scribe.music.roadmap import Remark, roadmap
from scribe.music.slips import far_leap, forgotten_beats, gathered
from scribe.music.spelling.bars import respelled, spelled

if TYPE_CHECKING:
    from scribe.music.better_home import Better

Left = Literal["", "single", "double", "repeat start"]
Right = Literal["single", "double", "repeat end", "repeat both", "final", "invisible"]
Passes = tuple[tuple[int, ...], bool, bool]  # of an ending; whether its bracket starts and ends at this bar
NO_ENDING: Passes = ((), False, False)


def settle(
    bars: Sequence[Draught], systems: Sequence[int], context: Context, faults: Sequence[Diagnostic]
) -> Piece:
    """Return the finished piece: the drafted bars in their places, all diagnostics in order of place."""
    lefts, rights = barlines(bars)
    passes = endings(bars)
    named = [respelled(bar, spelling) for bar, spelling in zip(bars, spelled(bars), strict=True)]
    found = list(faults)
    seen: dict[int, int] = {}
    last: Head | None = None
    done: list[Bar] = []
    for i, bar in enumerate(named):
        local, last = remarks(named, i, last)
        found += [numbered(d, bar.number).shift(bar.offset) for d in local]
        stem = stem_of(bar.text)
        seen[stem] = seen.get(stem, 0) + 1
        done.append(in_place(bar, bar_id(stem, seen[stem]), lefts[i], rights[i], passes[i]))
    found += [remark.shift(bars[i].offset) for i, remark in way_through(bars, lambda end: bars[end].number)]
    found.sort(key=lambda d: (d.span, d.code))
    starts = list(dict.fromkeys(s for s in systems if s < len(bars)))
    runs = tuple(zip(starts, [*starts[1:], len(bars)], strict=False))
    return Piece(
        context.heading,
        tuple(done),
        runs,
        context.layout,
        tuple(filter(None, gathered(found, lambda: home_for(bars)))),
    )


def home_for(bars: Sequence[Draught]) -> Better | None:
    """The home under which least is said of the bars' octaves; most drafts never ask, and start faster without it."""
    from scribe.music.better_home import better_home

    return better_home(bars)


def in_place(bar: Draught, id: str, left: Left, right: Right, ending: Passes) -> Bar:
    """Return a drafted bar as a bar of the piece."""
    return Bar(
        id=id,
        number=bar.number,
        text=bar.text,
        offset=bar.offset,
        music=bar.music,
        written=bar.written,
        in_force=bar.in_force,
        events=bar.events,
        tied=bar.tied,
        left=left,
        right=right,
        section=bar.section,
        new_key=bar.new_key,
        new_metre=bar.new_metre,
        tempo=bar.tempo,
        feel=bar.feel,
        endings=ending[0],
        ending_starts=ending[1],
        ending_ends=ending[2],
        rests=bar.rests,
        repeat=bar.repeat,
        repeat_part=bar.repeat_part,
        time=bar.time,
        shown=bar.shown,
        position=bar.position,
    )


def stem_of(text: str) -> int:
    """The number that a bar's text alone gives to its id."""
    return crc32(text.encode("utf-8", "surrogatepass"))


def bar_id(stem: int, count: int) -> str:
    """The id of a bar whose text stands there for the `count`-th time; `-` leads to what is in it."""
    return f"b{stem:08x}" + (f".{count}" if count > 1 else "")


def remarks(bars: Sequence[Draught], index: int, last: Head | None) -> tuple[list[Diagnostic], Head | None]:
    """Everything to say about one bar, its neighbours considered; spans count from the bar's start.

    `last` is the last sounding head before it; the second result is the last one behind it.
    """
    bar = bars[index]
    if bar.copied:
        return [], _last_head(bar, last)
    local = list(bar.music.diagnostics)
    shapes = [b.shape for b in bars[max(0, index - 1) : index + 2]]
    hint = forgotten_beats(shapes, min(index, 1), Span(0, len(bar.text)))
    if hint is not None:
        local.append(hint)
    return local, _leap(bar, last, local)


def numbered(fault: Diagnostic, number: int) -> Diagnostic:
    """Say which bar it is: a bar's results are memoised without its number."""
    if BAR not in fault.message:
        return fault
    name = f"bar {number}" if number else "the pickup"
    return fault._replace(message=fault.message.replace(BAR, name))


def barlines(bars: Sequence[Draught]) -> tuple[list[Left], list[Right]]:
    """The barlines at the left and the right of every bar, both sides agreeing."""
    lefts: list[Left] = [""] * len(bars)
    rights: list[Right] = ["single"] * len(bars)
    for i, bar in enumerate(bars):
        here = bar.edge.right
        following = bars[i + 1] if i + 1 < len(bars) else None
        there = following.edge.left if following else None
        ends = here in REPEAT_ENDS or there in REPEAT_ENDS
        starts = following is not None and (here in REPEAT_STARTS or there in REPEAT_STARTS)
        if following is None:
            rights[i] = "repeat end" if ends else "final"
        elif ends:
            rights[i] = "repeat both" if starts else "repeat end"
        elif not starts and ("double" in (here, there) or (following.section and bar.number)):
            rights[i] = "double"
        if starts:
            lefts[i + 1] = "repeat start"
    if bars and bars[0].edge.left in REPEAT_STARTS:
        lefts[0] = "repeat start"
    elif bars and bars[0].edge.left == "double":
        lefts[0] = "double"
    return lefts, rights


def endings(bars: Sequence[Draught], lines: Sequence[object] | None = None) -> list[Passes]:
    """For every bar: the passes of the ending it lies in, whether the bracket starts there, whether it ends there.

    `lines`: what names the source line of each bar, if the bars' own count of lines does not.
    """
    lines = [bar.line for bar in bars] if lines is None else lines
    found: list[Passes] = [NO_ENDING] * len(bars)
    starts = [i for i, b in enumerate(bars) if b.ending]
    for n, start in enumerate(starts):
        stop = starts[n + 1] if n + 1 < len(starts) else len(bars)
        last = _ending_end(bars, lines, start, stop, more=n + 1 < len(starts))
        for i in range(start, last + 1):
            found[i] = (bars[start].ending, i == start, i == last)
    return found


def _ending_end(bars: Sequence[Draught], lines: Sequence[object], start: int, stop: int, more: bool) -> int:
    """An ending lasts to its `:|`; one without, to the end of its source line."""
    line_end = start
    while line_end + 1 < stop and lines[line_end + 1] == lines[start]:
        line_end += 1
    for i in range(start, stop if more else line_end + 1):
        if bars[i].edge.right in REPEAT_ENDS:
            return i
    return line_end


def _leap(bar: Draught, last: Head | None, local: list[Diagnostic]) -> Head | None:
    """Remark on a far leap into the bar; returns the last sounding head behind it."""
    notes = [e for e in bar.events if e.heads and e.heads[0].kind == "note"]
    if not notes:
        return _last_head(bar, last)
    first = notes[0]
    head = first.heads[0]
    if last is not None and not first.held and not bar.repeat and first is bar.events[0]:
        span = head.span
        hint = far_leap(last, head, bar.in_force, bar.text[span.start : span.end], span)
        if hint is not None:
            local.append(hint)
    return _last_head(bar, last)


def _last_head(bar: Draught, last: Head | None) -> Head | None:
    """The last sounding head behind a bar, if it is known."""
    notes = [e for e in bar.events if e.heads and e.heads[0].kind == "note"]
    if notes:
        return notes[-1].heads[0]
    return None if bar.music.broken or bar.music.todo else last


def way_through(bars: Sequence[Draught], number: Callable[[int], int]) -> list[Remark]:
    """Everything to say about repeats, endings and signs, each remark with the index of its bar.

    `number` gives the printed number of a bar.
    """
    holds = [(held, hold_differs(bars[held], number(end))) for held, end in second_passes(bars)]
    return [*holds, *roadmap(bars)]


def second_passes(bars: Sequence[Draught]) -> list[tuple[int, int]]:
    """Find holds at the start of a repeated stretch that meet another pitch when they are reached again.

    Returns pairs of indices: the bar that begins with the hold, the bar that leads back to it.
    """
    found: list[tuple[int, int]] = []
    for end, start in ways_through(bars).jumps:
        first = bars[start].events[0] if start <= end and bars[start].events else None
        if (
            first is not None
            and first.held
            and not _same(first, bars[end].events[-1] if bars[end].events else None)
        ):
            found.append((start, end))
    return found


def hold_differs(held: Draught, number: int) -> Diagnostic:
    """Say that a hold is reached again from bar `number`, which ends on another note."""
    at = held.events[0].span.start
    return Diagnostic(
        "hold-differs",
        "warning",
        Span(at, at + 1),
        f"this hold is reached again after bar {number}, which ends on another note: there it is struck again",
        (Hint("write the note instead of the hold if it is always struck"),),
    )


def _same(held: Event, last: Event | None) -> bool:
    return last is not None and sound_alike(held.heads, last.heads)
