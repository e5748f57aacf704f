"""What the player reads for a sounding pitch, and the clef it is read in."""

from __future__ import annotations

from functools import lru_cache

from scribe.music.instrument import Instrument, to_written
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
