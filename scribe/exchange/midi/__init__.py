"""MIDI files as lines: beats, pickup and swing found, key estimated, notes named."""

from __future__ import annotations

from scribe.exchange.midi.line import take_midi

__all__ = ["take_midi"]
