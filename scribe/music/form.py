"""The form of the piece: barlines that agree, endings with their length, ids, remarks that need the neighbours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal
from zlib import crc32

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.context import Context
from scribe.music.draught import REPEAT_ENDS, REPEAT_STARTS, Draught
from scribe.music.events import Event, Head
from scribe.music.piece import Bar, Piece
from scribe.music.place import BAR
from scribe.music.slips import far_leap, forgotten_beats

Left = Literal["", "single", "double", "repeat start"]
Right = Literal["single", "double", "repeat end", "repeat both", "final", "invisible"]


def settle(
    bars: Sequence[Draught], systems: Sequence[int], context: Context, faults: Sequence[Diagnostic]
) -> Piece:
    """Return the finished piece: the drafted bars in their places, all diagnostics in order of place."""
    lefts, rights = _barlines(bars)
    endings = _endings(bars)
    found = list(faults)
    seen: dict[int, int] = {}
    last_head: Head | None = None
    shapes = [b.shape for b in bars]
    done: list[Bar] = []
    for i, bar in enumerate(bars):
        stem = crc32(bar.text.encode("utf-8", "surrogatepass"))
        seen[stem] = seen.get(stem, 0) + 1
        local = list(bar.music.diagnostics)
        hint = forgotten_beats(shapes, i, Span(0, len(bar.text)))
        if hint is not None:
            local.append(hint)
        last_head = _leap(bar, last_head, local)
        found += [_numbered(d, bar.number).shift(bar.offset) for d in local]
        done.append(
            Bar(
                id=f"b{stem:08x}" + (f"-{seen[stem]}" if seen[stem] > 1 else ""),
                number=bar.number,
                text=bar.text,
                offset=bar.offset,
                music=bar.music,
                written=bar.written,
                in_force=bar.in_force,
                events=bar.events,
                tied=bar.tied,
                left=lefts[i],
                right=rights[i],
                section=bar.section,
                new_key=bar.new_key,
                new_metre=bar.new_metre,
                tempo=bar.tempo,
                feel=bar.feel,
                endings=endings[i][0],
                ending_starts=endings[i][1],
                ending_ends=endings[i][2],
                rests=bar.rests,
                repeat=bar.repeat,
                repeat_part=bar.repeat_part,
                time=bar.time,
                shown=bar.shown,
                position=bar.position,
            )
        )
    found += _second_passes(bars)
    found.sort(key=lambda d: (d.span, d.code))
    starts = list(dict.fromkeys(s for s in systems if s < len(bars)))
    runs = tuple(zip(starts, [*starts[1:], len(bars)], strict=True))
    return Piece(context.heading, tuple(done), runs, context.layout, tuple(found))


def _numbered(fault: Diagnostic, number: int) -> Diagnostic:
    """Say which bar it is: a bar's results are memoised without its number."""
    if BAR not in fault.message:
        return fault
    name = f"bar {number}" if number else "the pickup"
    return replace(fault, message=fault.message.replace(BAR, name))


def _barlines(bars: Sequence[Draught]) -> tuple[list[Left], list[Right]]:
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
        elif "double" in (here, there) or following.section:
            rights[i] = "double"
        if starts:
            lefts[i + 1] = "repeat start"
    if bars and bars[0].edge.left in REPEAT_STARTS:
        lefts[0] = "repeat start"
    elif bars and bars[0].edge.left == "double":
        lefts[0] = "double"
    return lefts, rights


def _endings(bars: Sequence[Draught]) -> list[tuple[tuple[int, ...], bool, bool]]:
    """For every bar: the passes of the ending it lies in, whether the bracket starts there, whether it ends there."""
    found: list[tuple[tuple[int, ...], bool, bool]] = [((), False, False)] * len(bars)
    starts = [i for i, b in enumerate(bars) if b.ending]
    for n, start in enumerate(starts):
        stop = starts[n + 1] if n + 1 < len(starts) else len(bars)
        last = _ending_end(bars, start, stop, more=n + 1 < len(starts))
        for i in range(start, last + 1):
            found[i] = (bars[start].ending, i == start, i == last)
    return found


def _ending_end(bars: Sequence[Draught], start: int, stop: int, more: bool) -> int:
    """An ending lasts to its `:|`; one without, to the end of its source line."""
    line_end = start
    while line_end + 1 < stop and bars[line_end + 1].line == bars[start].line:
        line_end += 1
    for i in range(start, stop if more else line_end + 1):
        if bars[i].edge.right in REPEAT_ENDS:
            return i
    return line_end


def _leap(bar: Draught, last: Head | None, local: list[Diagnostic]) -> Head | None:
    """Remark on a far leap into the bar; returns the last sounding head behind it."""
    notes = [e for e in bar.events if e.heads and e.heads[0].kind == "note"]
    if not notes:
        return None if bar.music.broken or bar.music.todo else last
    first = notes[0]
    head = first.heads[0]
    if last is not None and not first.held and not bar.repeat and first is bar.events[0]:
        span = head.span
        hint = far_leap(last, head, bar.text[span.start : span.end], span)
        if hint is not None:
            local.append(hint)
    return notes[-1].heads[0]


def _second_passes(bars: Sequence[Draught]) -> list[Diagnostic]:
    """Find holds at the start of a repeated stretch that meet another pitch when they are reached again."""
    found: list[Diagnostic] = []
    back_to = 0
    for i, bar in enumerate(bars):
        if bar.edge.left in REPEAT_STARTS or (i and bars[i - 1].edge.right in REPEAT_STARTS):
            back_to = i
        ends = bar.edge.right in REPEAT_ENDS or (i + 1 < len(bars) and bars[i + 1].edge.left in REPEAT_ENDS)
        if not ends:
            continue
        target = bars[back_to]
        first = target.events[0] if target.events else None
        if first is not None and first.held and not _same(first, bar.events[-1] if bar.events else None):
            hold = first.span.shift(target.offset)
            found.append(
                Diagnostic(
                    "hold-differs",
                    "warning",
                    Span(hold.start, hold.start + 1),
                    f"this hold is reached again after bar {bar.number}, which ends on another note: "
                    "there it is struck again",
                    (Hint("write the note instead of the hold if it is always struck"),),
                )
            )
        if not (i + 1 < len(bars) and bars[i + 1].ending):
            back_to = i + 1
    return found


def _same(held: Event, last: Event | None) -> bool:
    return last is not None and [h.pitch for h in held.heads] == [h.pitch for h in last.heads]
