"""How much of a draft is still open. Unfinished is a normal state: it is counted, never complained about."""

from __future__ import annotations

from typing import NamedTuple

from scribe.music.piece import Piece


class Progress(NamedTuple):
    """Counts over a piece. `bars`: as they are numbered, so a pickup is none and a long rest as many as it lasts.

    The others count what is written once; what is played again by `%` is not counted again.
    """

    bars: int
    bars_to_do: int
    beats_to_do: int
    unheard: int
    doubtful: int
    doubtful_chords: int


def progress(piece: Piece) -> Progress:
    """Count what is still to do."""
    written = [b for b in piece.bars if not b.repeat and not b.rests]
    heads = [h for b in written for e in b.events for h in (*e.heads, *(g.head for g in e.graces))]
    return Progress(
        bars=sum(b.rests or 1 for b in piece.bars if b.number),
        bars_to_do=sum(b.music.todo for b in written),
        beats_to_do=sum(e.todo for b in written for e in b.events),
        unheard=sum(h.kind == "unheard" for h in heads),
        doubtful=sum(h.doubtful for h in heads),
        doubtful_chords=sum(c.doubtful for b in piece.bars for c in b.music.chords),
    )


def bars_words(done: Progress) -> str:
    """Return `1 bar`, `24 bars`."""
    return f"{done.bars} bar{'s' if done.bars != 1 else ''}"


def open_words(done: Progress) -> str:
    """Return `2 bars to do, 1 doubtful note`, empty when nothing is open."""
    names = (
        (done.bars_to_do, "bar to do", "bars to do"),
        (done.beats_to_do, "place to do", "places to do"),
        (done.unheard, "unheard note", "unheard notes"),
        (done.doubtful, "doubtful note", "doubtful notes"),
        (done.doubtful_chords, "doubtful chord", "doubtful chords"),
    )
    return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in names if n)
