"""From Verovio's drawing to files: `tidy` makes its SVG small, self-contained and the same every time; `pdf` and `png`
turn such pages into documents and pictures. Nothing here touches the disk.
"""

from __future__ import annotations

from scribe.engrave.output.pdf import pdf
from scribe.engrave.output.png import png
from scribe.engrave.output.tidy import clean, ids_of, tidy

__all__ = ["clean", "ids_of", "pdf", "png", "tidy"]
