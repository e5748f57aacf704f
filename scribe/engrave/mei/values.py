"""Written values in MEI's words, and stretches of time as rows of spaces."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from scribe.music.metre import Metre
from scribe.music.written import VALUES

DUR = {code: dur for code, (_, dur, _) in VALUES.items()}
DOTS = ("", ' dots="1"', ' dots="2"', ' dots="3"')
_STEPS = [
    (length * (2 - Fraction(1, 2**dots)), dur, dots) for _, dur, length in VALUES.values() for dots in (1, 0)
]


def dur(value: str, dots: int) -> str:
    """Return the MEI attributes of a written value: `dur="4" dots="1"`."""
    return f'dur="{DUR[value]}"{DOTS[dots]}'


@lru_cache(maxsize=512)
def spaces(length: Fraction) -> str:
    """Return MEI spaces that last `length` quarters (rounded down to a 64th of a whole note where it fits none)."""
    out, left = [], length
    for step, name, dots in _STEPS:
        while step <= left:
            out.append(f'<space dur="{name}"{DOTS[dots]}/>')
            left -= step
    return "".join(out)


@lru_cache(maxsize=512)
def beat_grid(metre: Metre, length: Fraction) -> str:
    """Return one space a beat for a bar of `length`: it keeps bars without notes as wide as the others."""
    return "".join(spaces(beat) for beat in _beats(metre, length))


@lru_cache(maxsize=512)
def beats_of(metre: Metre, length: Fraction) -> frozenset[Fraction]:
    """Return the onsets of the beats of a bar of `length`."""
    onsets, at = [], Fraction(0)
    for beat in _beats(metre, length):
        onsets.append(at)
        at += beat
    return frozenset(onsets)


def _beats(metre: Metre, length: Fraction) -> list[Fraction]:
    """The lengths of a bar's beats. A short bar is counted from the metre's end, as a pickup is."""
    beats: list[Fraction] = []
    left = length
    for beat in reversed(metre.beat_lengths):
        if left <= 0:
            break
        beats.append(min(beat, left))
        left -= beats[-1]
    if left > 0:
        beats.append(left)
    return beats[::-1]
