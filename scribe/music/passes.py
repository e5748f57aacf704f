"""Which bars follow which when a piece is played: repeats and endings lead elsewhere than the text goes on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.music.draught import REPEAT_ENDS, REPEAT_STARTS, Draught
from scribe.music.piece import Bar


class Jump(NamedTuple):
    """Two bars, by index, that are played one after the other though the text has others between them."""

    bar: int
    to: int


class Ways(NamedTuple):
    """All jumps of a piece, and the bars that the next bar of the text never follows: ends of endings."""

    jumps: tuple[Jump, ...] = ()
    ends: frozenset[int] = frozenset()


AS_WRITTEN = Ways()


def ways_through(bars: Sequence[Draught]) -> Ways:
    """Return where repeats and endings lead. A repeat without its `|:` goes back to the end of the one before.

    D.S. and D.C. are not followed: they come once, after everything was played as written.
    """
    jumps: list[Jump] = []
    ends: set[int] = set()
    back_to = 0
    fork: int | None = None
    for i, bar in enumerate(bars):
        following = bars[i + 1] if i + 1 < len(bars) else None
        if bar.edge.left in REPEAT_STARTS or (i and bars[i - 1].edge.right in REPEAT_STARTS):
            back_to = i
        if bar.ending and (fork is None or not (i and _turns(bars[i - 1], bar))):
            fork = i - 1  # a later ending follows the bar before the first one
        if not _turns(bar, following):
            continue
        jumps.append(Jump(i, back_to))
        if following is None or not following.ending:
            back_to = i + 1
        elif fork is not None and fork >= 0:
            jumps.append(Jump(fork, i + 1))
            ends.add(i)
    return Ways(tuple(jumps), frozenset(ends)) if jumps else AS_WRITTEN


def led_from(bars: Sequence[Draught]) -> dict[int, int]:
    """Return, by index, the bars that another one leads to than the one before them: later endings, and what leads."""
    if not any(bar.ending for bar in bars):
        return {}
    ways = ways_through(bars)
    return {jump.to: jump.bar for jump in ways.jumps if jump.to - 1 in ways.ends}


def later_ending(before: Bar | None, bar: Bar) -> bool:
    """Whether a bar begins a second or later ending: what it holds on comes from the bar before the first one."""
    return bar.ending_starts and before is not None and bool(before.endings) and before.right in REPEAT_ENDS


def _turns(bar: Draught, following: Draught | None) -> bool:
    return bar.edge.right in REPEAT_ENDS or (following is not None and following.edge.left in REPEAT_ENDS)
