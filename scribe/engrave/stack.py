"""Systems on pages: how many fit, how far apart they stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from scribe.engrave.compose import System
from scribe.engrave.options import SPACE
from scribe.engrave.paper import Paper

_CLEAR = 2.0 * SPACE  # between the ink of two systems
_STAVES = 7.0 * SPACE  # least distance from a staff's bottom line to the next staff's top line
_FILL = 6.0 * SPACE  # a full page may be opened up by so much a gap
_CALM = 2.4 * SPACE  # … and the last page, if it does not fill, by so much


class Standing(NamedTuple):
    """A system on a page: `y` is where the top line of its staff lies, in page units from the sheet's top edge."""

    system: System
    y: float


def distance(above: System, below: System) -> float:
    """Return the natural distance between the top lines of two systems, at the standard size."""
    ink = above.sky.gap_below(below.sky) + (below.top - above.top)
    return max(ink + _CLEAR, above.bottom - above.top + _STAVES)


def stack(
    systems: Sequence[System], paper: Paper, scale: float, first_top: float, other_top: float
) -> list[list[Standing]]:
    """Return the pages. `first_top` and `other_top`: where the ink of the first page, of the others may begin."""
    pages: list[list[Standing]] = []
    page: list[Standing] = []
    floor = paper.height - paper.bottom
    for system in systems:
        if page:
            y = page[-1].y + distance(page[-1].system, system) * scale
            if y + system.low * scale > floor:
                pages.append(page)
                page = []
        if not page:
            y = (other_top if pages else first_top) + system.high * scale
        page.append(Standing(system, y))
    if page:
        pages.append(page)
    _share_lonely(pages, scale, other_top)
    return [_open(each, floor, scale, last=number == len(pages) - 1) for number, each in enumerate(pages)]


def lonely(pages: Sequence[Sequence[Standing]]) -> bool:
    """Whether the last of several pages holds one system only."""
    return len(pages) > 1 and len(pages[-1]) == 1


def _share_lonely(pages: list[list[Standing]], scale: float, top: float) -> None:
    """Give a last system that would stand alone the company of the one before it."""
    if not lonely(pages) or len(pages[-2]) < 3:
        return
    moved = [pages[-2].pop().system, pages[-1][0].system]
    y = top + moved[0].high * scale
    pages[-1] = [Standing(moved[0], y), Standing(moved[1], y + distance(moved[0], moved[1]) * scale)]


def _open(page: list[Standing], floor: float, scale: float, *, last: bool) -> list[Standing]:
    """Use the room that is left: a full page fills down to its foot, a half-full one is opened a little."""
    if len(page) < 2:
        return page
    end = page[-1]
    free = floor - (end.y + end.system.low * scale)
    each = free / (len(page) - 1)
    most = (_FILL if not last else _CALM) * scale
    if last and each <= 0.8 * _FILL * scale:
        most = each  # so nearly full that filling it is the calmer picture
    each = min(each, most)
    return [Standing(standing.system, standing.y + number * each) for number, standing in enumerate(page)]
