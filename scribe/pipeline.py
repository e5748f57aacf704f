"""The whole pipeline: text is read bar by bar, each bar becomes music, the music becomes a score and a page."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from scribe.diagnostics import Diagnostic
from scribe.music.assemble import assemble
from scribe.music.piece import Piece
from scribe.music.sounding import Sounding, sounding
from scribe.music.suspect import suspect
from scribe.source.read import read
from scribe.source.tree import Draft

if TYPE_CHECKING:
    from music21.stream import Score

    from scribe.engrave import Pages


class Compiled:
    """A compiled draft. Nothing here touches the disk."""

    def __init__(self, draft: Draft, piece: Piece) -> None:
        self.draft = draft
        self.piece = piece

    @cached_property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """Everything there is to say about the draft, in order of place; spans are offsets in `draft.text`.

        What the hand cannot play is looked for only in drafts where something may be: finding it out takes a
        fingering of the whole line.
        """
        if not suspect(self.piece):
            return self.piece.diagnostics
        from scribe.bass.remarks import playing

        return tuple(sorted((*self.piece.diagnostics, *playing(self.piece)), key=lambda d: (d.span, d.code)))

    @property
    def notes(self) -> tuple[Sounding, ...]:
        """Every sounding event in the order of the page, tied ones as one."""
        return sounding(self.piece)

    @property
    def score(self) -> Score:
        """The draft as a `music21.stream.Score`, built when asked for."""
        from scribe.score import build

        return build(self.piece)


def compile(text: str) -> Compiled:
    """Compile a draft: read it, place its words, find its pitches, write its rhythm. Never raises on a `str`."""
    draft = read(text)
    return Compiled(draft, assemble(draft))


def engrave(
    compiled: Compiled,
    *,
    bars: tuple[int, int] | None = None,
    system: int | None = None,
    transparent: bool = False,
) -> Pages:
    """Engrave a compiled draft: one self-contained SVG a page, and the MEI behind it.

    `bars`: only these printed bar numbers; `system`: only that system (from 1), cropped. Raises ValueError, in the
    words of a user, if there are no such bars or no such system.
    """
    from scribe.engrave import engrave as engrave_piece

    return engrave_piece(compiled.piece, bars=bars, system=system, transparent=transparent)
