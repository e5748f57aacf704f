"""From a compiled piece to finished pages: MEI with stand-ins, Verovio's notes, our own words and signs round them.

The names are looked up when they are used: importing this package alone loads neither Verovio nor the fonts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from scribe.engrave.pages import Pages, engrave, engrave_system

__all__ = ["Pages", "engrave", "engrave_system"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from scribe.engrave import pages

        return getattr(pages, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
