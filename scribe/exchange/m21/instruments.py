"""Which of our instruments a part is for."""

from __future__ import annotations

import re

from music21 import clef, harmony, instrument, stream

from scribe.music.instrument import BASS, Instrument, find_instrument

_NUMBER = re.compile(r"\b(?:[IVX]+|\d+|in [A-G](?: ?(?:flat|♭|b))?|[A-G]♭?b?)\b\.?")
VOICES = frozenset(
    ("soprano", "alto", "tenor", "baritone")
)  # singers, unless they transpose: then saxophones


def instrument_of(part: stream.Part) -> tuple[Instrument, str]:
    """Return the instrument and a remark where it is a guess.

    By the part's name or its instrument's; else by the clef: what is written in the bass clef, or lies below middle
    C, is taken as a line for the bass.
    """
    made = part.getInstrument(returnDefault=False)
    names = [part.partName or "", (made.instrumentName if made is not None else "") or ""]
    for name in names:
        for tried in (name, _NUMBER.sub("", name)):
            if tried.strip().casefold() in VOICES and not _transposes(made):
                continue
            found = find_instrument(tried) if tried.strip() else None
            if found is not None:
                return found, ""
    first = part.recurse().getElementsByClass(clef.Clef).first()
    named = f"`{names[0] or names[1]}`" if names[0] or names[1] else "a part without a name"
    if isinstance(first, clef.Treble8vbClef):
        return _named("male voice"), f"{named} read as a male voice"
    pitches = [p.midi for n in part.recurse().notes if not isinstance(n, harmony.Harmony) for p in n.pitches]
    if isinstance(first, clef.BassClef) or (pitches and sum(pitches) / len(pitches) < 60):
        return BASS, f"{named} read as a bass"
    return _named("voice"), f"{named} read as a voice"


def _transposes(made: instrument.Instrument | None) -> bool:
    """Whether a part sounds at other names than it is written."""
    return made is not None and made.transposition is not None and made.transposition.semitones % 12 != 0


def _named(name: str) -> Instrument:
    found = find_instrument(name)
    assert found is not None
    return found
