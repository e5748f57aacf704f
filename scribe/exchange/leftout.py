"""What a file that goes out does not hold of its draft, counted: nothing is lost in silence.

MusicXML and MEI are read back and compared, fact by fact, so that the account is exact for scribe itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple

from scribe.exchange.facts import KINDS, LINED, Fact, bar_numbers, broken_bars, facts_of
from scribe.music.assemble import assemble
from scribe.music.piece import Piece
from scribe.source.read import read

# What MIDI has no place for and a listener may miss. The rest is played, or stands there as text (Standard MIDI Files
# 1.0: sequence name, marker, text), or says how the page looks.
UNHEARD = ("direction", "place", "grace", "connector", "mark", "open")
OPEN = ("to do", "doubtful chord", "unheard", "doubt")
PLAYED = ("accent", "staccato")


class LeftOut(NamedTuple):
    """So many facts of a kind. Of the first one `bar`: the printed number of its bar, or `line` of the text, from 1."""

    kind: str
    count: int  # type: ignore[assignment]  # hides tuple.count, which nobody needs
    bar: int | None = None
    line: int | None = None


def left_out(piece: Piece, text: str, data: bytes) -> tuple[LeftOut, ...]:
    """Return what comes back otherwise, or not at all, out of a file that was made of a piece without its text.

    Bars with an error are left aside; they are told elsewhere.

    Raises:
        Cannot: the file cannot be read back.
    """
    from scribe.exchange.worker import draft_of

    back = draft_of(data).text
    mine, theirs = facts_of(piece, text), facts_of(assemble(read(back)), back)
    broken = broken_bars(piece)
    lost, new = _whole(mine - theirs, broken), _whole(theirs - mine, broken)
    numbers = bar_numbers(piece)
    out = []
    for kind in KINDS:
        here, there = (_of_kind(kind, facts) for facts in (lost, new))
        if here or there:
            first = min(fact.place for fact in {**here, **there})
            count = max(sum(here.values()), sum(there.values()))
            if kind in LINED:
                out.append(LeftOut(kind, count, line=first + 1))
            else:
                out.append(LeftOut(kind, count, bar=numbers[min(first, len(numbers) - 1)]))
    return tuple(out)


def unheard_of(piece: Piece) -> tuple[LeftOut, ...]:
    """Return what a piece says that a MIDI file has no place for, besides the names of the notes."""
    counts: Counter[str] = Counter()
    for fact, count in facts_of(piece, "").items():
        kind = "open" if fact.kind in OPEN else fact.kind
        if kind in UNHEARD and not (kind == "mark" and fact.what[-1] in PLAYED):
            counts[kind] += count
    return summed(counts)


def summed(counts: Mapping[str, int]) -> tuple[LeftOut, ...]:
    """Return counts by kind in the order in which they are told."""
    return tuple(LeftOut(kind, counts[kind]) for kind in KINDS if counts.get(kind))


def told(left: tuple[LeftOut, ...]) -> str:
    """Say it in a few words: `2 comments (from line 1), 1 text (bar 3)`."""
    return ", ".join(_one(each) for each in left)


def _one(each: LeftOut) -> str:
    noun = KINDS[each.kind][each.count != 1]
    where = (
        f"line {each.line}" if each.line is not None else f"bar {each.bar}" if each.bar is not None else ""
    )
    return f"{each.count} {noun}" + (f" ({'from ' if each.count > 1 else ''}{where})" if where else "")


def _whole(facts: Counter[Fact], broken: set[int]) -> Counter[Fact]:
    """Facts without those of the bars with an error."""
    return Counter({f: count for f, count in facts.items() if f.kind in LINED or f.place not in broken})


def _of_kind(kind: str, facts: Counter[Fact]) -> dict[Fact, int]:
    return {fact: count for fact, count in facts.items() if fact.kind == kind}
