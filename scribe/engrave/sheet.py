"""Systems drawn: bars to MEI to Verovio to finished systems, for one staff size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scribe.engrave.above import chord_width
from scribe.engrave.compose import System, Whole, compose, whole
from scribe.engrave.density import natural_width, system_widths
from scribe.engrave.hand import with_hands
from scribe.engrave.layout import Run
from scribe.engrave.mei.accidentals import Altered
from scribe.engrave.mei.bar import BarMei, write_bar
from scribe.engrave.mei.document import SystemMei, write_document, write_system
from scribe.engrave.mei.lines import trace
from scribe.engrave.options import natural_options, options
from scribe.engrave.scan import read
from scribe.engrave.toolkit import render
from scribe.music.piece import Piece

BARS_AT_ONCE = 60  # for measuring natural widths
_AT_ONCE = 12  # systems in one call of Verovio: its time grows faster than the music beyond that


def prepare(piece: Piece) -> Whole:
    """Return all bars as MEI, with what leads from bar to bar."""
    meis: list[BarMei] = []
    before: Altered = ()
    hands = with_hands(piece.bars)
    for bar in hands.bars:
        if bar.new_key:
            before = ()
        mei = write_bar(bar, before, chord_width)
        meis.append(mei)
        before = mei.altered
    found = whole(hands.bars, tuple(meis), trace(hands.bars, meis))
    return found._replace(fingers=hands.fingers, positions=hands.positions)


def system_meis(piece: Whole, runs: Sequence[Run]) -> list[SystemMei]:
    """Return the MEI of each system."""
    return [write_system(piece.bars, piece.meis, piece.lines.lines, start, end) for start, end in runs]


def estimated_widths(piece: Whole) -> list[float]:
    """Return about how wide each bar wants to be."""
    return [natural_width(bar, mei) for bar, mei in zip(piece.bars, piece.meis, strict=True)]


def measured_widths(piece: Whole) -> list[float]:
    """Return the natural width of each bar as Verovio sets it, without the signs at a system's start."""
    found: list[float] = []
    for start in range(0, len(piece.bars), BARS_AT_ONCE):
        run = (start, min(start + BARS_AT_ONCE, len(piece.bars)))
        found += bar_widths(render(write_document(system_meis(piece, [run])), natural_options()))
    return found


def bar_widths(pages: Sequence[str]) -> list[float]:
    """Return the widths of the bars that Verovio set at their natural width, all on one line."""
    return [bar.right - bar.left for page in pages for system in read(page, 0.0)[:1] for bar in system.bars]


def draw_systems(piece: Whole, runs: Sequence[Run], width: float, of: Sequence[Run] = ()) -> list[System]:
    """Return the finished systems of `runs`, each `width` page units long at the standard staff size.

    A system with much less music than the others keeps about their density and ends earlier. `of`: the runs of the
    whole piece, to compare with, where `runs` are only some of them.
    """
    all_runs = list(of) or list(runs)
    found = dict(zip(all_runs, system_widths(piece.bars, piece.meis, all_runs, width), strict=True))
    if any(run not in found for run in runs):
        found = dict(zip(runs, system_widths(piece.bars, piece.meis, runs, width), strict=True))
    meis = dict(zip(runs, system_meis(piece, runs), strict=True))
    done: list[System] = []
    for group, wide in _groups(runs, found):
        document = write_document([meis[run] for run in group])
        pages = render(document, options(wide))
        engraved = [system for page in pages for system in read(page, width)]
        done.extend(
            compose(system, piece, start, end, width)
            for system, (start, end) in zip(engraved, group, strict=False)
        )
    return done


def _groups(runs: Sequence[Run], widths: dict[Run, float]) -> Iterator[tuple[list[Run], float]]:
    """Systems that go to Verovio together: neighbours of one width."""
    group: list[Run] = []
    for run in runs:
        apart = group and (widths[run] != widths[group[0]] or run[0] != group[-1][1])
        if apart or len(group) == _AT_ONCE:
            yield group, widths[group[0]]
            group = []
        group.append(run)
    if group:
        yield group, widths[group[0]]
