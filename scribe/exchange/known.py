"""What a user knows of a file that does not say it itself: metre, tempo and feel of played MIDI."""

from __future__ import annotations

from typing import NamedTuple

from scribe.music.inforce import Feel, Tempo
from scribe.music.metre import Metre


class Known(NamedTuple):
    """What a user says of a file; None: nothing. `tempo` has a number."""

    metre: Metre | None = None
    tempo: Tempo | None = None
    feel: Feel | None = None

    @property
    def said(self) -> str:
        """All of it in words: `time 6/8, tempo 92`."""
        parts = [f"time {self.metre}"] if self.metre is not None else []
        if self.tempo is not None:
            parts.append(
                f"tempo {'dotted ' if self.tempo.value.endswith('.') else ''}{float(self.tempo.bpm or 0):g}"
            )
        if self.feel is not None:
            ratio = f" {self.feel.ratio[0]}:{self.feel.ratio[1]}" if self.feel.ratio else ""
            parts.append(f"feel {self.feel.name}{' 16ths' if self.feel.unit == '16' else ''}{ratio}")
        return ", ".join(parts)


NOTHING = Known()
