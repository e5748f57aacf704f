"""The build stage: a compiled piece becomes a `music21.stream.Score`. Importing it imports music21."""

from __future__ import annotations

from scribe.score.assemble import build
from scribe.score.measure import BuiltMeasure, build_measure
from scribe.score.reread import Sounded, sounded

__all__ = ["BuiltMeasure", "Sounded", "build", "build_measure", "sounded"]
