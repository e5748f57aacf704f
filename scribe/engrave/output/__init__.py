"""From finished SVG pages to documents and pictures: `pdf` and `png`. Nothing here touches the disk."""

from __future__ import annotations

from scribe.engrave.output.pdf import pdf
from scribe.engrave.output.png import png

__all__ = ["pdf", "png"]
