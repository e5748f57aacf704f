"""Which of our instruments a part is for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from music21 import clef, harmony, instrument, note, percussion, stream
from music21.languageExcerpts.instrumentLookup import allToClassName

from scribe.exchange.meilayers import UNPITCHED
from scribe.music.instrument import BASS, Instrument, find_instrument

# What names of parts have besides the instrument: numbers, the key of a transposing instrument, words in brackets.
_BESIDE = re.compile(
    r"\(.*?\)|(?<!\w)(?:[IVX]+|\d+|in [A-G](?: ?(?:flat|sharp|[♭♯b#]))?|[A-G][♭b]?)(?!\w)\.?"
)
VOICES = frozenset(
    ("soprano", "alto", "tenor", "baritone")
)  # singers, unless they transpose: then saxophones

LOWER = {
    "piano": "piano left hand",
    "organ": "organ pedals",
}  # what begins in the bass clef
BASSES = (BASS, find_instrument("double bass"))
NO_NAME = "MusicXML Part"  # what some programs write where a part has none
MIDDLE_C = 60
HIGH = 67  # a left hand lies lower on the whole
MISTAKEN = frozenset(("corno",))  # in music21's table an English horn


def instrument_of(part: stream.Part, *, hand: bool = False) -> tuple[Instrument, str]:
    """Return the instrument and a remark where it is a guess.

    By the part's name or its instrument's; else by the clef: what is written in the bass clef, or lies below middle
    C, is taken as a line for the bass. `hand`: it is one of two staves, as for a piano.
    """
    made = part.getInstrument(returnDefault=False)
    names = [part.partName or "", (made.instrumentName if made is not None else "") or ""]
    names = ["" if name == NO_NAME else name for name in names]
    first = part.recurse().getElementsByClass(clef.Clef).first()
    pitches = [p.midi for n in part.recurse().notes if not isinstance(n, harmony.Harmony) for p in n.pitches]
    mean = sum(pitches) / len(pitches) if pitches else None
    for name in names:
        for tried in _readings(name):
            if tried.strip().casefold() in VOICES and not _transposes(made):
                return _named(_singer(tried.strip().casefold(), first)), ""
            found = find_instrument(tried) if tried.strip() else None
            if found is not None:
                lower = LOWER.get(found.name)
                left = isinstance(first, clef.BassClef) and mean is not None and mean < HIGH
                return (_named(lower) if lower and left else found), ""
    named = f"`{names[0] or names[1]}`" if names[0] or names[1] else "a part without a name"
    low = isinstance(first, clef.BassClef) or (mean is not None and mean < MIDDLE_C)
    if hand:
        lower = "piano left hand" if low else "piano"
        return _named(lower), f"{named}, one of two staves, read as {lower}"
    if isinstance(first, clef.Treble8vbClef):
        return _named("male voice"), f"{named} read as a male voice"
    struck = [n for n in part.recurse().notes if not isinstance(n, harmony.Harmony)]
    if struck and all(map(_is_stroke, struck)):
        return BASS, f"{named} is percussion: every stroke is a dead note"
    if low:
        return BASS, f"{named} read as a bass"
    return _named("voice"), f"{named} read as a voice"


def is_for_bass(name: str) -> bool:
    """Whether the name of a part says that it is for a bass, plucked or bowed."""
    return any(find_instrument(tried) in BASSES for tried in _readings(name) if tried.strip())


def _is_stroke(found: note.GeneralNote) -> bool:
    """Whether a note has no pitch."""
    return isinstance(found, (note.Unpitched, percussion.PercussionChord)) or str(found.id).startswith(
        UNPITCHED
    )


def _singer(name: str, first: clef.Clef | None) -> str:
    """The voice of a singer by the name and the clef: tenors read a treble clef an octave lower, or the bass clef."""
    if isinstance(first, clef.BassClef):
        return "bass voice"
    return "male voice" if name in ("tenor", "baritone") else "voice"


def _readings(name: str) -> Iterator[str]:
    """A part's name, then without what stands beside the instrument, its words turned round, in other languages."""
    yield name
    yield name.replace("(", " ").replace(")", " ")
    bare = " ".join(_BESIDE.sub(" ", name).replace(",", " ").split())
    yield bare
    words = bare.split()
    if len(words) == 2:
        yield f"{words[1]} {words[0]}"
    known = allToClassName.get(bare.casefold())
    if known is not None and bare.casefold() not in MISTAKEN:
        yield re.sub(r"(?<=[a-z])(?=[A-Z])", " ", known)


def _transposes(made: instrument.Instrument | None) -> bool:
    """Whether a part sounds at other names than it is written."""
    return made is not None and made.transposition is not None and made.transposition.semitones % 12 != 0


def _named(name: str) -> Instrument:
    found = find_instrument(name)
    assert found is not None
    return found
