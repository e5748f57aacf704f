"""From a compiled piece to finished pages: MEI with stand-ins, Verovio's notes, our own words and signs round them."""

from __future__ import annotations

from scribe.engrave.pages import Pages, engrave, engrave_system

__all__ = ["Pages", "engrave", "engrave_system"]
