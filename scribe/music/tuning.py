"""Strings and frets of the bass."""

from __future__ import annotations

from scribe.music.pitch import Pitch

Tuning = tuple[Pitch, ...]  # low to high, sounding

STANDARD: Tuning = (Pitch("E", 0, 1), Pitch("A", 0, 1), Pitch("D", 0, 2), Pitch("G", 0, 2))
FRETS = 24
