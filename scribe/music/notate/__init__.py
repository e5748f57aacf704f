"""Exact onsets and lengths to written values: ties, dots, rests, tuplets, beams, as a good reader expects them."""

from __future__ import annotations

from scribe.music.notate.bar import Stretch, notate, notate_spans
from scribe.music.notate.codes import codes, values
from scribe.music.notate.style import CHOICES, DEFAULT, Style
from scribe.music.notate.swing import straighten, written_time
from scribe.music.notate.values import NotWritable

__all__ = [
    "CHOICES",
    "DEFAULT",
    "NotWritable",
    "Stretch",
    "Style",
    "codes",
    "notate",
    "notate_spans",
    "straighten",
    "values",
    "written_time",
]
