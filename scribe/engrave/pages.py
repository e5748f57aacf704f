"""The engraving of a whole piece, or of a part of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scribe.engrave.compose import Whole
from scribe.engrave.layout import Run, part, runs
from scribe.engrave.mei.score import write_score
from scribe.engrave.options import SPACE
from scribe.engrave.page import excerpt_svg, on_white, page_svg, tops
from scribe.engrave.paper import PAPERS, SIZES, scale
from scribe.engrave.sheet import draw_systems, estimated_widths, measured_widths, prepare
from scribe.engrave.stack import Standing, distance, lonely, stack
from scribe.music.piece import Piece

_EDGE = 2.0 * SPACE  # white round an excerpt


@dataclass(frozen=True, slots=True)
class Pages:
    """An engraved piece: one self-contained SVG a page, all of one size, and the MEI behind them."""

    svgs: tuple[str, ...]
    mei: str
    width_mm: float
    height_mm: float
    title: str
    composer: str


def engrave(
    piece: Piece,
    *,
    bars: tuple[int, int] | None = None,
    system: int | None = None,
    transparent: bool = False,
) -> Pages:
    """Engrave a piece.

    Args:
        piece: compiled; with errors in it too: broken bars are drawn as empty, marked bars.
        bars: printed numbers of the first and the last bar of an excerpt.
        system: number, from 1, of one system as an excerpt.
        transparent: no white paper behind the ink.

    Returns:
        Pages of the draft's paper; an excerpt is one picture without a title block, as high as its ink.

    Raises:
        ValueError: no such bars or system.
    """
    pages = _engrave(piece, bars, system)
    return pages if transparent else replace(pages, svgs=tuple(on_white(svg) for svg in pages.svgs))


def _engrave(piece: Piece, bars: tuple[int, int] | None, system: int | None) -> Pages:
    whole = prepare(piece)
    if bars is not None or system is not None:
        cut = _cut(piece, whole, PAPERS[piece.layout.page].text_width)
        return _excerpt(piece, whole, _chosen(piece, cut, bars, system), cut)
    paper = PAPERS[piece.layout.page]
    if not piece.bars:
        svg = page_svg((), piece.heading, paper, 1.0, 0, 1, "No bars yet")
        return _pages(piece, (svg,), "", paper.width, paper.height)
    first, other = tops(piece.heading, paper)
    for size in SIZES:
        by = scale(size)
        cut = _cut(piece, whole, paper.text_width / by)
        systems = draw_systems(whole, cut, paper.text_width / by)
        stacked = stack(systems, paper, by, first, other)
        if not lonely(stacked):
            break
    about = describe(piece)
    svgs = tuple(
        page_svg(page, piece.heading, paper, by, index, len(stacked), about)
        for index, page in enumerate(stacked)
    )
    mei = write_score(whole.bars, whole.meis, whole.lines, cut, piece.heading)
    return _pages(piece, svgs, mei, paper.width, paper.height)


def engrave_system(piece: Piece, first: int, last: int) -> str:
    """Return bars `first` … `last` (indices, both included) as one system: an SVG just as high as its ink."""
    whole = prepare(piece)
    cut = _cut(piece, whole, PAPERS[piece.layout.page].text_width)
    return _excerpt(piece, whole, [(first, last + 1)], cut).svgs[0]


def _cut(piece: Piece, whole: Whole, room: float) -> list[Run]:
    return runs(piece, room, lambda: estimated_widths(whole), lambda: measured_widths(whole))


def describe(piece: Piece) -> str:
    """Return a sentence about the part for screen readers."""
    if not piece.bars:
        return "No bars yet"
    force = piece.bars[0].in_force
    count = sum(max(1, bar.rests) for bar in piece.bars)
    many = f"{count} bars" if count != 1 else "1 bar"
    return f"{force.instrument.name.capitalize()} part in {force.key}, {force.metre}, {many}"


def _chosen(piece: Piece, cut: Sequence[Run], bars: tuple[int, int] | None, system: int | None) -> list[Run]:
    if system is not None:
        if not 1 <= system <= len(cut):
            raise ValueError(f"there is no system {system}: the piece has {len(cut)}")
        return [cut[system - 1]]
    assert bars is not None
    low, high = bars
    inside = [
        index
        for index, bar in enumerate(piece.bars)
        if low <= bar.number + max(0, bar.rests - 1) and bar.number <= high
    ]
    if not inside:
        raise ValueError(f"there are no bars {low}-{high}")
    return part(cut, inside[0], inside[-1] + 1)


def _excerpt(piece: Piece, whole: Whole, chosen: Sequence[Run], cut: Sequence[Run]) -> Pages:
    paper = PAPERS[piece.layout.page]
    systems = draw_systems(whole, chosen, paper.text_width, cut)
    standings: list[Standing] = []
    y = _EDGE + systems[0].high
    for index, each in enumerate(systems):
        if index:
            y += distance(systems[index - 1], each)
        standings.append(Standing(each, y))
    width, height = paper.text_width + 2 * _EDGE, y + systems[-1].low + _EDGE
    svg = excerpt_svg(standings, width, height, _EDGE, 1.0, piece.heading.title, describe(piece))
    mei = write_score(whole.bars, whole.meis, whole.lines, chosen, piece.heading)
    return _pages(piece, (svg,), mei, width, height)


def _pages(piece: Piece, svgs: tuple[str, ...], mei: str, width: float, height: float) -> Pages:
    heading = piece.heading
    return Pages(svgs, mei, width / 100, height / 100, heading.title, heading.composer)
