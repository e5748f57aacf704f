"""Systems drawn: bars to MEI to Verovio to finished systems, for one staff size."""

from __future__ import annotations

from collections.abc import Sequence

from scribe.engrave.above import chord_width
from scribe.engrave.compose import System, Whole, compose, whole
from scribe.engrave.layout import Run
from scribe.engrave.measure import read
from scribe.engrave.mei.accidentals import Altered
from scribe.engrave.mei.bar import BarMei, write_bar
from scribe.engrave.mei.document import SystemMei, write_document, write_system
from scribe.engrave.mei.lines import trace
from scribe.engrave.options import options
from scribe.engrave.toolkit import render
from scribe.music.piece import Piece

_AT_ONCE = 12  # systems in one call of Verovio: its time grows faster than the music beyond that


def prepare(piece: Piece) -> Whole:
    """Return all bars as MEI, with what leads from bar to bar."""
    meis: list[BarMei] = []
    before: Altered = ()
    for bar in piece.bars:
        if bar.new_key:
            before = ()
        mei = write_bar(bar, before, chord_width)
        meis.append(mei)
        before = mei.altered
    return whole(piece.bars, tuple(meis), trace(piece.bars, meis))


def system_meis(piece: Whole, runs: Sequence[Run]) -> list[SystemMei]:
    """Return the MEI of each system."""
    return [write_system(piece.bars, piece.meis, piece.lines.lines, start, end) for start, end in runs]


def draw_systems(piece: Whole, runs: Sequence[Run], width: float) -> list[System]:
    """Return the finished systems of consecutive runs, each `width` page units long at the standard staff size.

    The piece's last system, if it is short, keeps its natural width.
    """
    meis = system_meis(piece, runs)
    done: list[System] = []
    for at in range(0, len(runs), _AT_ONCE):
        part = slice(at, at + _AT_ONCE)
        holds_end = runs[part][-1][1] == len(piece.bars)
        document = write_document(meis[part])
        pages = render(document, options(width, fill_last=holds_end))
        engraved = [system for page in pages for system in read(page, width)]
        done.extend(
            compose(found, piece, start, end)
            for found, (start, end) in zip(engraved, runs[part], strict=False)
        )
    return done
