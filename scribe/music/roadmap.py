"""The way through the piece: repeats that close, endings that turn back, signs that lead somewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.draught import REPEAT_ENDS, REPEAT_STARTS, Draught


def roadmap(bars: Sequence[Draught]) -> list[Diagnostic]:
    """Return what a player would stumble over (common practice, no source); places count from the draft's start."""
    return [*_signs(bars), *_repeats(bars), *_endings(bars)]


def _places(bars: Sequence[Draught], name: str) -> list[Span]:
    return [
        word.span.shift(bar.offset)
        for bar in bars
        if not bar.copied
        for word in bar.music.words
        if word.kind == "direction" and word.text == name
    ]


def _signs(bars: Sequence[Draught]) -> Iterator[Diagnostic]:
    wanted = (
        ("ds", "segno", "leads back to a segno"),
        ("tocoda", "coda", "leads on to a coda"),
        ("coda", "tocoda", "is reached from To Coda"),
    )
    for name, other, why in wanted:
        if _places(bars, other):
            continue
        for span in _places(bars, name)[:1]:
            yield Diagnostic(
                "sign-alone",
                "warning",
                span,
                f"`'{name}` {why}, but no `'{other}` stands in the draft",
                (Hint(f"put `'{other}` before the beat word where it belongs"),),
            )


def _repeats(bars: Sequence[Draught]) -> Iterator[Diagnostic]:
    """Every `|:` needs its `:|` before the next one."""
    opened: Draught | None = None
    for i, bar in enumerate(bars):
        if bar.edge.left in REPEAT_STARTS or (i and bars[i - 1].edge.right in REPEAT_STARTS):
            if opened is not None:
                yield _open(opened)
            opened = bar
        following = bars[i + 1].edge.left if i + 1 < len(bars) else None
        if bar.edge.right in REPEAT_ENDS or following in REPEAT_ENDS:
            opened = None
    if opened is not None:
        yield _open(opened)


def _open(bar: Draught) -> Diagnostic:
    start = bar.offset + len(bar.text) - len(bar.text.lstrip())
    return Diagnostic(
        "repeat-open",
        "warning",
        Span(start, bar.offset + len(bar.text.rstrip()) or start),
        "the repeat that begins with this bar never ends",
        (Hint("end it with `:|`, or begin the bar with a plain `|`"),),
    )


def _endings(bars: Sequence[Draught]) -> Iterator[Diagnostic]:
    """All endings but the last of a group turn back with `:|`."""
    starts = [i for i, bar in enumerate(bars) if bar.ending and not bar.copied]
    for n, start in enumerate(starts):
        stop = starts[n + 1] if n + 1 < len(starts) else len(bars)
        first = 1 in bars[start].ending
        last = n + 1 == len(starts) or 1 in bars[starts[n + 1]].ending
        turns = any(bar.edge.right in REPEAT_ENDS for bar in bars[start:stop])
        if turns or (last and not first):
            continue
        bar = bars[start]
        yield Diagnostic(
            "ending-open",
            "warning",
            Span(bar.offset, bar.offset + len(bar.text)),
            f"ending {', '.join(map(str, bar.ending))} does not turn back: no `:|` ends it",
            (Hint("end its last bar with `:|`"),),
        )
