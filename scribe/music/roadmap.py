"""The way through the piece: repeats that close, endings that turn back, signs that lead somewhere or end something."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.music.draught import REPEAT_ENDS, REPEAT_STARTS, Draught
from scribe.source.directions import DIRECTIONS, LEVELS

SIGNS = frozenset(("ds", "dc", "segno", "coda", "tocoda", "fine"))
LOOKED_AT = SIGNS | {"steady"}  # directions of which something may be said here

Remark = tuple[int, Diagnostic]  # index of its bar; places count from the bar's start


def roadmap(bars: Sequence[Draught]) -> list[Remark]:
    """Return what a player would stumble over (common practice, no source)."""
    return [*_signs(bars), *_repeats(bars), *_endings(bars), *_steady(bars)]


def _signs(bars: Sequence[Draught]) -> Iterator[Remark]:
    places: dict[str, list[tuple[int, Span]]] = {}
    for index, bar in enumerate(bars):
        for word in bar.music.words:
            if word.kind == "direction" and word.text in SIGNS and not bar.copied:
                places.setdefault(word.text, []).append((index, word.span))
    wanted = (
        ("ds", "segno", "leads back to a segno"),
        ("tocoda", "coda", "leads on to a coda"),
        ("coda", "tocoda", "is reached from To Coda"),
    )
    for name, other, why in wanted:
        here = [place for place in places.get(name, ()) if not bars[place[0]].music.broken]
        if not here or other in places:
            continue
        index, span = here[0]
        yield (
            index,
            Diagnostic(
                "sign-alone",
                "warning",
                span,
                f"`'{name}` {why}, but no `'{other}` stands in the draft",
                (Hint(f"put `'{other}` before the beat word where it belongs"),),
            ),
        )


def _repeats(bars: Sequence[Draught]) -> Iterator[Remark]:
    """Every `|:` needs its `:|` before the next one."""
    opened: int | None = None
    for i, bar in enumerate(bars):
        if bar.edge.left in REPEAT_STARTS or (i and bars[i - 1].edge.right in REPEAT_STARTS):
            if opened is not None:
                yield opened, _open(bars[opened])
            opened = i
        following = bars[i + 1].edge.left if i + 1 < len(bars) else None
        if bar.edge.right in REPEAT_ENDS or following in REPEAT_ENDS:
            opened = None
    if opened is not None:
        yield opened, _open(bars[opened])


def _open(bar: Draught) -> Diagnostic:
    start = len(bar.text) - len(bar.text.lstrip())
    return Diagnostic(
        "repeat-open",
        "warning",
        Span(start, max(start, len(bar.text.rstrip()))),
        "the repeat that begins with this bar never ends",
        (Hint("end it with `:|`, or begin the bar with a plain `|`"),),
    )


def _endings(bars: Sequence[Draught]) -> Iterator[Remark]:
    """All endings but the last of a group turn back with `:|`."""
    starts = [i for i, bar in enumerate(bars) if bar.ending and not bar.copied]
    wanted = 1  # the pass that the next ending is for, if it is not the first of its group
    for n, start in enumerate(starts):
        found = bars[start].ending
        if 1 not in found and 1 < wanted < min(found):
            yield start, _pass_missing(bars[start], wanted)
        wanted = max(found) + 1
        stop = starts[n + 1] if n + 1 < len(starts) else len(bars)
        first = 1 in bars[start].ending
        last = n + 1 == len(starts) or 1 in bars[starts[n + 1]].ending
        turns = any(bar.edge.right in REPEAT_ENDS for bar in bars[start:stop])
        if turns or (last and not first):
            continue
        bar = bars[start]
        yield (
            start,
            Diagnostic(
                "ending-open",
                "warning",
                Span(0, len(bar.text)),
                f"ending {', '.join(map(str, bar.ending))} does not turn back: no `:|` ends it",
                (Hint("end its last bar with `:|`"),),
            ),
        )


def _pass_missing(bar: Draught, wanted: int) -> Diagnostic:
    return Diagnostic(
        "ending-missing",
        "warning",
        Span(0, len(bar.text)),
        f"ending {', '.join(map(str, bar.ending))} stands here, but no ending {wanted} before it",
        (
            Hint(
                f"write `ending {wanted}` on a line before the bars of that pass, or number this one {wanted}"
            ),
        ),
    )


def _steady(bars: Sequence[Draught]) -> Iterator[Remark]:
    """`'steady` needs a hairpin that it ends."""
    open_now = False
    for index, bar in enumerate(bars):
        for word in bar.music.words:
            kind = DIRECTIONS[word.text].kind if word.kind == "direction" else ""
            if kind == "level" and not open_now and not bar.copied and not bar.music.broken:
                hint = Hint("leave it out, or begin one with `'cresc` or `'dim`", "", word.span)
                yield (
                    index,
                    Diagnostic("no-hairpin", "hint", word.span, "`'steady` ends no hairpin here", (hint,)),
                )
            if kind in LEVELS:
                open_now = kind == "hairpin"
