"""Names that stay as the source prints them, though the speller would have others: they get their `=`."""

from __future__ import annotations

from collections.abc import Collection

from scribe.music.assemble import assemble
from scribe.music.piece import Piece
from scribe.music.rewrite.draft import walk
from scribe.music.spelling.bars import doubts
from scribe.source.read import read

ROUNDS = 4  # a name that is kept may throw doubt on the one beside it


def with_meant(text: str, piece: Piece) -> str:
    """Return a draft, which `piece` was compiled of, with `=` behind every name that is doubted or put right."""
    made = _meant(text, {d.span.end for d in piece.diagnostics if d.code == "spelling"})
    if any(bar.in_force.enharmonic == "fix" for bar in piece.bars):
        for _ in range(ROUNDS):
            if not (ends := _put_right(made)):
                break
            made = _meant(made, ends)
    if made != text and any(d.severity == "error" for d in assemble(read(made)).diagnostics):
        return text
    return made


def _meant(text: str, ends: Collection[int]) -> str:
    for end in sorted(ends, reverse=True):
        text = f"{text[:end]}={text[end:]}"
    return text


def _put_right(text: str) -> set[int]:
    """The ends of the names that a draft's `enharmonic fix` changes without a word."""
    bars = walk(text).bars
    return {
        bars[at].offset + head.span.end
        for at, head, _ in doubts(bars)
        if bars[at].in_force.enharmonic == "fix" and not bars[at].copied
    }
