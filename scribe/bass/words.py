"""How strings, frets, fingers and beats are named in reports."""

from __future__ import annotations

from fractions import Fraction

from scribe.bass.grips import Grip, Stop
from scribe.bass.hand import THUMB
from scribe.music.piece import Bar
from scribe.music.tuning import Tuning, string_name

_ROMAN = ((10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))


def roman(number: int) -> str:
    """Return a Roman numeral, as positions are written: `IV`. Empty for 0."""
    text = ""
    for value, sign in _ROMAN:
        while number >= value:
            text, number = text + sign, number - value
    return text


def finger_name(finger: int) -> str:
    """`1` to `4`, `0` for an open string, `T` for the thumb on the string (common practice)."""
    return "T" if finger == THUMB else str(finger)


def place_name(stop: Stop, tuning: Tuning) -> str:
    """Return `A:3`, as a draft has it; `A:x` for a dead note."""
    return f"{string_name(tuning, stop.string)}:{'x' if stop.fret is None else stop.fret}"


def grip_name(grip: Grip, tuning: Tuning, fingers: bool = True) -> str:
    """Return `A:3(4)`, open `D:0`, a stack as `A:3(1)+G:4(2)`; without fingers `A:3`."""
    return "+".join(
        place_name(stop, tuning) + (f"({finger_name(stop.finger)})" if fingers and stop.finger else "")
        for stop in grip.stops
    )


def octaves_name(by: int) -> str:
    """Return `an octave higher`, `two octaves lower`."""
    names = ("no octave", "an octave", "two octaves", "three octaves", "four octaves", "five octaves")
    count = names[abs(by)] if abs(by) < len(names) else f"{abs(by)} octaves"
    return f"{count} {'higher' if by > 0 else 'lower'}"


def bar_name(number: int) -> str:
    """Return `bar 5`, or `the pickup` for 0."""
    return f"bar {number}" if number else "the pickup"


def beat_name(bar: Bar, onset: Fraction) -> str:
    """Return `beat 2`, `beat 2 1/2`: counted in the metre's beats from 1; a pickup counts its own."""
    beats = bar.in_force.metre.beat_lengths
    number, start = 1, Fraction(0)
    for length in beats:
        if onset < start + length:
            break
        start += length
        number += 1
    part = (onset - start) / beats[min(number, len(beats)) - 1]
    return f"beat {number}" + (f" {part}" if part else "")


def where(bar: Bar, event: int) -> str:
    """Return `bar 5, beat 2`."""
    return f"{bar_name(bar.number)}, {beat_name(bar, bar.events[event].onset)}"
