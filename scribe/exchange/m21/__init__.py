"""music21's scores as lines of plain values. Importing it imports music21."""

from __future__ import annotations

from scribe.exchange.m21.choose import Candidate, candidates
from scribe.exchange.m21.score import read_line

__all__ = ["Candidate", "candidates", "read_line"]
