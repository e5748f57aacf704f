"""Sheets of paper and staff sizes, in page units (1/100 mm)."""

from __future__ import annotations

from typing import NamedTuple

from scribe.engrave.options import UNIT


class Paper(NamedTuple):
    """A sheet with its margins."""

    width: float
    height: float
    left: float = 1500.0
    right: float = 1500.0
    top: float = 1300.0
    bottom: float = 1500.0

    @property
    def text_width(self) -> float:
        return self.width - self.left - self.right


PAPERS = {"A4": Paper(21000.0, 29700.0), "letter": Paper(21590.0, 27940.0)}

# Verovio's unit in 1/10 mm: a staff of 7.6, 7.2 and 6.8 mm. The first with which no system stands alone is taken.
SIZES = (9.5, 9.0, 8.5)


def scale(size: float) -> float:
    """Return by what a system drawn at the standard size is scaled to have this staff size."""
    return size / UNIT
