"""Pitches, keys and metres of music21 in our terms."""

from __future__ import annotations

from fractions import Fraction

from music21 import key, meter, pitch
from music21.common import opFrac

from scribe.music.key import MODES, Key, parse_key
from scribe.music.metre import Metre
from scribe.music.pitch import Pitch, name_at

FINEST = 64  # parts of a quarter: a 128th with two dots needs no more
MOST = 480  # parts of a quarter in tuplets
SIMPLE = (
    1,
    2,
    3,
    4,
    5,
    6,
    7,
    8,
    9,
    10,
    12,
    14,
    15,
    16,
    18,
    20,
    21,
    24,
    28,
    30,
    32,
    36,
    40,
    48,
)  # parts of a quarter
ROUNDED = Fraction(1, 250)
C_MAJOR = Key("C", 0, "major")


def exact(value: float | Fraction) -> Fraction:
    """Return a time of music21 as an exact fraction of a quarter.

    Programs that count in 256ths or 1024ths of a quarter round triplets (85/256): what is not on any grid that can be
    written goes to the nearest simple fraction, if that is no further than 1/250 of a quarter.
    """
    found = Fraction(opFrac(value))
    bottom = found.denominator
    if bottom <= FINEST or (bottom <= MOST and bottom & (bottom - 1)):
        return found
    for parts in SIMPLE:
        simple = Fraction(round(found * parts), parts)
        if abs(simple - found) <= ROUNDED:
            return simple
    return found


def span_of(onset: Fraction, length: float | Fraction) -> Fraction:
    """Return the exact length of what begins at an exact onset: its end is brought to the grid as well."""
    return exact(onset + Fraction(opFrac(length))) - onset


def pitch_of(found: pitch.Pitch) -> Pitch:
    """Return the same name and octave; a quarter tone is rounded down (see `is_exact`)."""
    alter = found.accidental.alter if found.accidental is not None else 0
    return Pitch(found.step, int(alter // 1), found.implicitOctave)


def is_exact(found: pitch.Pitch) -> bool:
    """Whether a pitch is one of the twelve."""
    return found.accidental is None or float(found.accidental.alter).is_integer()


def key_of(found: key.KeySignature) -> Key | None:
    """Return the key; a signature without a mode is taken as major. None for signatures of another kind."""
    if found.sharps is None or not -7 <= found.sharps <= 7:
        return None
    mode = getattr(found, "mode", None) or "major"
    if mode not in MODES:
        mode = "major"
    letter, alter = name_at(found.sharps + MODES[mode])
    return parse_key(f"{letter}{'#' * alter}{'b' * -alter} {mode}")


def metre_of(found: meter.TimeSignature) -> Metre | None:
    """Return the metre with its groups where the source prints some (`3+2/8`)."""
    parts = [(p.numerator, p.denominator) for p in found.displaySequence]
    count, unit = found.numerator, found.denominator
    if unit not in (1, 2, 4, 8, 16, 32) or not 1 <= count <= 64:
        return None
    groups: tuple[int, ...] = ()
    if len(parts) > 1 and all(p[1] == unit for p in parts) and sum(p[0] for p in parts) == count:
        groups = tuple(p[0] for p in parts)
    return Metre(count, unit, groups)
