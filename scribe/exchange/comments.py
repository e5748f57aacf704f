"""What a draft cannot say, as comments before the line of music that does not say it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from scribe.exchange.values import text_value

SUNG = "lyrics "  # how the readers begin what they say of the words of a song
_TIMES = re.compile(r" \((\d+) times\)$")


class Unsaid(NamedTuple):
    """Something that the source says and the draft does not. `bar`: its number in the draft, 0 for its head."""

    bar: int
    what: str


def comments(unsaid: Sequence[Unsaid]) -> list[str]:
    """Return what a line of music does not say, as few comments as can be read well.

    One thing that is said of several bars is said once (`bars 2-3, 5: …`), short things that are said of the same bars
    stand together, and the words of a song are one line, bar by bar.
    """
    sung = {each.bar: each.what.removeprefix(SUNG) for each in unsaid if each.what.startswith(SUNG)}
    out: list[str] = []
    if len(sung) > 1:
        numbers = range(min(sung), max(sung) + 1)
        words = " | ".join(text_value(sung.get(bar, "-")) for bar in numbers)
        out.append(f"; {_bars(numbers)}: {SUNG}{words}")
    said: dict[str, list[tuple[int, int]]] = {}  # of each thing the bars, and how often there
    for bar, what in unsaid:
        if len(sung) <= 1 or not what.startswith(SUNG):
            times = _TIMES.search(what)
            said.setdefault(_TIMES.sub("", what), []).append((bar, int(times[1]) if times else 1))
    rows: dict[str, list[str]] = {}  # by the bars
    for what, places in said.items():
        bars = _bars([bar for bar, _ in places])
        times_in_all = sum(times for _, times in places)
        counted = text_value(what) + (f" ({times_in_all} times)" if times_in_all > len(places) else "")
        rows.setdefault(bars, []).append(counted)
    for bars, things in rows.items():
        short = [thing for thing in things if "," not in thing and not thing.startswith(SUNG)]
        out += [f"; {bars}: {thing}" for thing in things if thing not in short]
        out += [f"; {bars}: {', '.join(short)}"] if short else []
    return out


def _bars(numbers: Sequence[int]) -> str:
    """`bar 3`, `bars 2-4, 7`."""
    runs = [
        [number for _, number in run]
        for _, run in groupby(enumerate(sorted(set(numbers))), key=lambda pair: pair[1] - pair[0])
    ]
    named = ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
    return f"bar{'s' if len(set(numbers)) > 1 else ''} {named}"
