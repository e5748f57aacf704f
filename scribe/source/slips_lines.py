"""Usual slips in the way a line is divided: endings and numbers of times as they stand on a printed page."""

from __future__ import annotations

import re
from collections.abc import Callable

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.source.slips_words import MOST_REPEATED


def ending_at_barline(ending: re.Match[str], raw: str) -> Diagnostic:
    """Return the fault of an ending's number at a barline (`|1 g b`). Places count from the start of its line."""
    passes = re.sub(r"[ \t]", "", ending["passes"]).replace("-", ",")
    message = f"an ending has a line of its own, found `{ending['passes']}` at a barline"
    order = f"write `ending {passes}` on a line, and the bars of the ending on the next one"
    before = raw[: ending.start()].strip()
    if before.strip("|:"):
        hint = Hint(order, f"\nending {passes}\n  | ", Span(*ending.span()))
    else:  # nothing but its barline before it
        hint = Hint(order, f"ending {passes}\n{before} ", Span(0, ending.end()))
    return Diagnostic("ending-at-barline", "error", Span(*ending.span("passes")), message, (hint,))


def times_as_bar(text: str, start: int, times: int, bars: int, repeated: bool) -> Diagnostic:
    """Return the hint about a line's last bar, at `start`, that says how often something is played: `x4`.

    `bars` stand before it on the line; `repeated` tells whether they end with a repeat sign.
    """
    span = Span(start, start + len(text))
    message = f"`{text}` is a bar of its own here, a dead note and a degree"
    again = " | ".join(["%"] * (times - 1))
    if repeated:
        order = f'a repeat is played twice; to say more write words into its first bar: `"{times} times"`'
        hint = Hint(order)
    elif bars == 1 and 1 < times <= MOST_REPEATED:
        hint = Hint(f"for the bar before it {times} times in all write `{again}`", again, span)
    else:
        hint = Hint("the last bar again is `%`; several bars again stand between `|:` and `:|`")
    return Diagnostic("times-as-bar", "hint", span, message, (hint,))


def music_behind(name: str, text: str, fits: Callable[[str], bool]) -> Diagnostic | None:
    """Return the fault of a directive's value with music on the same line, if it is one: `ending 1 | g b :|`.

    `fits` tells whether a text is a value. Places count from the value's start.
    """
    found = re.match(r"(.*?)[ \t]*(\|[|:]?[ \t]*[^ \t].*)$", text)
    if found is None or not fits(found[1]):
        return None
    message = f"`{name} {found[1]}` has a line of its own, found music behind it"
    hint = Hint("begin a new line with the music", f"{found[1]}\n{found[2]}", Span(0, len(text)))
    return Diagnostic(f"{name}-value", "error", Span(found.start(2), len(text)), message, (hint,))


def used_twice(text: str, code: str) -> Diagnostic | None:
    """Return the fault of a value of `use` with a number of times behind it, if it is one: `A up P4 x2`."""
    found = re.search(r"[ \t]+(?:x[ \t]*(\d{1,2})|(\d{1,2})[ \t]*x)$", text)
    times = int(found[1] or found[2]) if found else 0
    if found is None or times < 1:
        return None
    once = text[: found.start()]
    message = f"`use` plays its bars once, found `{found[0].strip()}`"
    order = "write the line once for each time"
    lines = f"{once}\n" + "\n".join([f"use {once}"] * (times - 1))
    hint = Hint(order, lines.rstrip("\n"), Span(0, len(text))) if times <= MOST_REPEATED else Hint(order)
    return Diagnostic(code, "error", Span(found.end() - len(found[0].strip()), len(text)), message, (hint,))
