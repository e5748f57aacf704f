"""Chord symbols as they are written elsewhere: the symbol that scribe knows for one that it does not."""

from __future__ import annotations

import re

from scribe.music.chord import parse_chord
from scribe.source.note_names import plain_names

# Qualities, each pattern with what it is here.
_QUALITIES = (
    (r"mj(?=\d|$)", "maj"),
    (r"\^(?=\d)", "maj"),
    (r"\^$", "maj7"),
    (r"7M$", "maj7"),
    (r"h7?$", "m7b5"),
    (r"(?i:-?\s*moll?)(?=\d|$)", "m"),
    (r"(?i:-?\s*dur)(?=\d|$)", ""),
    (r"(?i:dom)(?=\d)", ""),
    (r"(?i:m(?:in)?/(?:maj|ma|M|mj))7$", "m(maj7)"),
    (r"(?<=[A-G#b])4$", "sus4"),
    (r"(/[A-G][#b]?)\d+$", r"\1"),
    (r"(/[A-G][#b]?)m(?:aj)?\d*$", r"\1"),
)


def meant_chord(text: str) -> str | None:
    """Return the symbol that one not understood probably means: `Cis7` is C#7, `Cmj7` is Cmaj7; else None."""
    tries = [plain_names(text)]
    for pattern, replacement in _QUALITIES:
        tries.append(re.sub(pattern, replacement, tries[-1]))
    return next((name for name in tries if name != text and parse_chord(name)), None)


def two_chords(text: str) -> tuple[str, str] | None:
    """Return the two symbols that were typed as one: `Am7-D7`, `Am7@D7`; else None."""
    for found in re.finditer(r"@|[-,>]+(?=[A-G])", text):
        first, second = text[: found.start()], text[found.end() :]
        if parse_chord(first) and parse_chord(second):
            return first, second
    return None
