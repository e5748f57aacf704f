"""Finished pages as SVG: systems, title block, running head, page number; each outline once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from scribe.engrave.compose import System
from scribe.engrave.ink import Glyph, defs
from scribe.engrave.ink.heading import TitleBlock, page_number, running_head, title_block
from scribe.engrave.ink.model import escape
from scribe.engrave.ink.outline import number
from scribe.engrave.paper import Paper
from scribe.engrave.stack import Standing
from scribe.music.piece import Heading

_AFTER_TITLE = 750.0  # from the title block to the ink of the first system
_AFTER_HEAD = 700.0


@lru_cache(maxsize=64)
def heading_block(heading: Heading, paper: Paper) -> TitleBlock:
    """Return the title block of the first page."""
    return title_block(heading.title, [heading.player], [heading.composer], paper.text_width)


def tops(heading: Heading, paper: Paper) -> tuple[float, float]:
    """Return where the ink of the first page's and of later pages' systems may begin, from the sheet's top edge."""
    block = heading_block(heading, paper)
    first = paper.top + (block.height + _AFTER_TITLE if block.pieces else 0.0)
    return first, paper.top + (_AFTER_HEAD if heading.title else 0.0)


def page_svg(
    standings: Sequence[Standing],
    heading: Heading,
    paper: Paper,
    scale: float,
    index: int,
    of: int,
    about: str,
) -> str:
    """Return one page. `index` counts from 0; `about` describes the part for screen readers."""
    glyphs: set[Glyph] = set()
    out: list[str] = []
    if index == 0:
        for piece in heading_block(heading, paper).pieces:
            glyphs |= piece.ink.glyphs
            out.append(piece.ink.svg(paper.left + piece.x, paper.top + piece.y, piece.kind))
    elif heading.title:
        head = running_head(heading.title, paper.text_width)
        glyphs |= head.glyphs
        out.append(head.svg(paper.left, paper.top, "running-head"))
    if of > 1:
        foot = page_number(index + 1, of)
        glyphs |= foot.glyphs
        x = paper.width - paper.right - foot.advance
        out.append(foot.svg(x, paper.height - 0.55 * paper.bottom, "page-number"))
    out.extend(_system(each, paper.left, scale, glyphs) for each in standings)
    page = f", page {index + 1} of {of}" if of > 1 else ""
    return sheet_svg(out, glyphs, paper.width, paper.height, heading.title or "Untitled", about + page)


def on_white(svg: str) -> str:
    """Return the page with white paper behind it: a dark viewer shows it as a printer would."""
    return svg.replace("</defs>", '</defs><rect class="paper" width="100%" height="100%" fill="#fff"/>', 1)


def excerpt_svg(
    standings: Sequence[Standing],
    width: float,
    height: float,
    left: float,
    scale: float,
    title: str,
    about: str,
) -> str:
    """Return systems alone on a sheet of just their size."""
    glyphs: set[Glyph] = set()
    out = [_system(each, left, scale, glyphs) for each in standings]
    return sheet_svg(out, glyphs, width, height, title or "Untitled", about)


def _system(standing: Standing, left: float, scale: float, glyphs: set[Glyph]) -> str:
    system = standing.system
    glyphs |= system.glyphs
    return system_group(system, left, standing.y, scale)


def system_group(system: System, left: float, y: float, scale: float) -> str:
    """Return a system as one group, its staff's left end at `left` and its top line at `y`."""
    down = y - system.top * scale
    size = f" scale({number(scale, 5)})" if scale != 1.0 else ""
    return (
        f'<g class="system" data-bars="{system.first}-{system.last - 1}"'
        f' transform="translate({number(left)} {number(down)}){size}">{system.svg}</g>'
    )


def sheet_svg(
    groups: Iterable[str], glyphs: Iterable[Glyph], width: float, height: float, title: str, about: str
) -> str:
    """Return a whole SVG file without a ground of its own; `width` and `height` in page units (1/100 mm)."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        f' width="{number(width / 100, 2)}mm" height="{number(height / 100, 2)}mm"'
        f' viewBox="0 0 {number(width)} {number(height)}" role="graphics-document">'
        f"<title>{escape(title)}</title><desc>{escape(about)}</desc>"
        f"<defs>{defs(glyphs)}</defs>{''.join(groups)}</svg>\n"
    )
