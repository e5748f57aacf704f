"""What the player reads for a sounding pitch or chord, and the clef it is read in."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from scribe.music.chord import move_chord_text
from scribe.music.events import PlacedChord
from scribe.music.inforce import InForce
from scribe.music.instrument import Instrument, to_written, written_interval, written_key
from scribe.music.key import Key
from scribe.music.pitch import Pitch

CLEFS = {
    "bass": ("F", 4),
    "treble": ("G", 2),
    "tenor": ("C", 4),
    "alto": ("C", 3),
}  # MEI clef.shape, clef.line


@lru_cache(maxsize=8192)
def written_pitch(pitch: Pitch, instrument: Instrument, key: Key) -> Pitch:
    """Return the pitch as printed for the instrument in the (sounding) key."""
    return to_written(pitch, instrument, key)


def written_chord(placed: PlacedChord, force: InForce) -> PlacedChord:
    """Return the chord symbol as printed: moved with the part, as its player reads it; octaves change nothing."""
    if force.instrument.chromatic % 12 == 0:
        return placed
    return replace(placed, name=_written_name(placed.name, force.instrument, force.key))


@lru_cache(maxsize=2048)
def _written_name(name: str, instrument: Instrument, key: Key) -> str:
    return move_chord_text(name, written_interval(instrument, key), written_key(key, instrument))
