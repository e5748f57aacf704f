"""What to say of a directive whose value stands for nothing, and the value that was meant where one is sure."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Hint
from scribe.music import settings
from scribe.music.inforce import InForce
from scribe.music.instrument import INSTRUMENTS
from scribe.music.key import MODES, Key
from scribe.music.metre import FINEST
from scribe.music.pitch import ACCIDENTAL, name_at
from scribe.music.tuning import FRETS, show_tuning, string_of
from scribe.source.suggest import nearest
from scribe.source.tree import Directive


class Said(NamedTuple):
    """`order` is the hint, `value` what was meant, if that is sure; `message` says more than the usual one."""

    order: str
    value: str | None = None
    message: str = ""


# What was expected, and one value that is right.
EXPECTED: dict[str, tuple[str, str]] = {
    "key": ("a tonic and a mode with at most seven signs", "G minor"),
    "time": ("a metre, its groups adding up", "7/8 2+2+3"),
    "tempo": ("words, a beat, or beats a minute up to 999", "Medium swing 152"),
    "feel": ("straight, swing, swing 16ths, shuffle or triplet, and a ratio or not", "swing 3:2"),
    "enharmonic": ("check, fix, sharps, flats or free", "check"),
    "degrees": ("key or chord", "key"),
    "strings": ("the open strings, low to high", "E A D G"),
    "instrument": ("the name of an instrument", "alto sax"),
    "home": ("a place on the strings or a sounding pitch", "A1"),
    "pickup": ("a number of beats, less than a bar", "1 1/2"),
    "short": ("a number of beats, less than a bar", "2"),
    "rest": ("a number of bars, 1 to 999", "8"),
    "ending": ("the passes that the ending is for", "1,2"),
    "layout": ("lines, fit, bars a system up to 16, or page A4 or letter", "4"),
    "show": ("tab, strings, fingers, positions, degrees, names, tones or none", "tab fingers"),
    "position": ("a fret from 1 to 24, or free", "5"),
    "use": ("a section, and an interval or bars", "A up P4"),
}


def refuse(line: Directive, in_force: InForce) -> Diagnostic:
    """Return the error of a directive whose value was not taken; `in_force` is what stood before it."""
    name, text = line.name, line.text
    expected, example = EXPECTED[name]
    find = _CASES.get(name)
    said = (find and find(text, in_force)) or Said(f"for example `{name} {example}`")
    return Diagnostic(
        "bad-value",
        "error",
        line.value_span,
        said.message or f"`{text}` is no value for `{name}`, expected {expected}",
        (Hint(said.order, said.value, None if said.value is None else line.value_span),),
    )


_NUMBER = re.compile(
    r"(?<![\d/:])(?<!\d\.)([1-9]\d{1,2})(?:[.,]([1-9]))?(?![\d:]|/\d|(?:th|nd|rd|st|s|\'s)\b)"
)
SLOWEST, FASTEST = 30, 400  # beats a minute of tempos in use (common practice, no source)


def number_in_words(line: Directive) -> Diagnostic | None:
    """Return a hint about a tempo of words alone that hold a number of beats: `120bpm`, `ca.120`, `120-126`."""
    found = [n for n in _NUMBER.finditer(line.text) if SLOWEST <= int(n[1]) <= FASTEST]
    if not found:
        return None
    first, last = found[0], found[-1]
    before, behind = line.text[: first.start()].strip(" \t([~="), line.text[last.end() :].strip(" \t)].")
    words = re.sub(r"(?i)\b(?:c(?:a|irc)?|about|around|approx|m\.?m)\b\.?$", "", before).strip()
    about = (
        len(found) > 1
        or re.search(r"(?i)\b(?:c|ca|circa|about|around|approx)\b\.?$", before)
        or "~" in line.text
        or behind.lower() in ("ish", "-ish", "+")
    )
    number = str((int(first[1]) + int(last[1])) // 2) if len(found) > 1 else first[0].replace(",", ".")
    value = " ".join(part for part in (words, "ca." if about else "", number) if part)
    if (meant := settings.parse_tempo(value)) is None or meant.bpm is None:
        return None
    return Diagnostic(
        "tempo-words",
        "hint",
        line.value_span,
        f"`{line.text}` is printed as words and sets no speed",
        (Hint(f"to set the speed write `{line.name} {value}`", value, line.value_span),),
    )


def _key(text: str, _: InForce) -> Said | None:
    """Of a key with too many signs the enharmonic one: A sharp major is B flat major."""
    found = re.fullmatch(r"([A-Ga-g])([#b]?)((?:\s+\w+)?)", text)
    mode = found[3].strip().lower() or "major" if found else ""
    if not found or mode not in MODES:
        return None
    far = Key(found[1].upper(), {"#": 1, "b": -1, "": 0}[found[2]], mode)
    letter, alter = name_at(far.tonic_fifths + (-12 if far.fifths > 0 else 12))
    value = f"{letter}{ACCIDENTAL[alter]}{found[3]}"
    if settings.parse_key(value) is None:
        return None
    signs = f"{abs(far.fifths)} {'sharps' if far.fifths > 0 else 'flats'}"
    message = f"`{text}` has {signs}, expected a key with at most seven"
    return Said(f"the same scale with fewer is `{value}`", value, message)


def _pickup(text: str, in_force: InForce) -> Said:
    return _beats("pickup", text, in_force)


def _short(text: str, in_force: InForce) -> Said:
    return _beats("short", text, in_force)


def _beats(name: str, text: str, in_force: InForce) -> Said:
    """Of a pickup or short bar: too long, a part of a beat that nobody writes, or one that cannot stand alone."""
    beats, metre = settings.parse_beats(text), in_force.metre
    if beats is None:
        return Said("parts of a beat are halves, thirds, quarters, sixths, eighths, twelfths and sixteenths")
    length = settings.beats_length(beats, metre, at_end=name == "pickup")
    if length is None or length >= metre.length:
        message = f"`{text}` beats fill a bar of {metre}, expected less than a bar"
        return Said("leave this line out: the bar is as long as others", None, message)
    if (length * FINEST).denominator % 3:
        return Said(
            f"for example `{name} 1/2`", None, f"`{text}` of a beat of {metre} is shorter than a 128th note"
        )
    whole, part = divmod(beats, 1)
    tuplet = "triplet" if part.denominator == 3 else "tuplet"
    notes, silence = "g" * part.numerator, "." * (part.denominator - part.numerator)
    order = [silence + notes, *"g" * whole] if name == "pickup" else [*"g" * whole, notes + silence]
    return Said(
        f"fill the beat up with silence: `{name} {whole + 1}`, and a bar such as `| {' '.join(order)} |`",
        None,
        f"`{text}` is part of a {tuplet} in {metre}, which is written as a whole",
    )


_TUNINGS = {"4": "E A D G", "5": "B E A D G", "6": "B E A D G C"}


def _instrument(text: str, _: InForce) -> Said | None:
    counted = re.match(r"(?i)(4|5|6|four|five|six)[ -]*str(?:ing(?:ed)?|\.)?s?\b", text)
    if counted and not re.search(r"(?i)guitar$(?<!bass guitar)", text):
        number = {"four": "4", "five": "5", "six": "6"}.get(counted[1].lower(), counted[1])
        lines = f"bass\nstrings {_TUNINGS[number]}"
        return Said(f"the strings have a line of their own: `strings {_TUNINGS[number]}`", lines)
    near = nearest(" ".join(text.split()), tuple(instrument.name for instrument in INSTRUMENTS))
    return Said(f"did you mean `{near}`?", near) if near else None


def _feel(text: str, _: InForce) -> Said | None:
    """Of a ratio of short to long, the same turned round."""
    words = text.split()
    low, _colon, high = words[-1].partition(":")
    value = " ".join((*words[:-1], f"{high}:{low}"))
    return Said(f"the ratio is long to short: `{value}`", value) if settings.parse_feel(value) else None


def _ending(text: str, _: InForce) -> Said | None:
    value = ",".join(map(str, sorted({int(number) for number in re.findall(r"\d+", text)})))
    return Said(f"write them in order, each once: `{value}`", value) if settings.parse_ending(value) else None


def _strings(text: str, _: InForce) -> Said | None:
    value = " ".join(text.split()[::-1])
    if settings.parse_tuning(value) is None:
        return Said("a tuning has three to seven strings, each higher than the one before")
    return Said(f"from low to high it is `{value}`", value)


def _home(text: str, in_force: InForce) -> Said | None:
    string, colon, fret = text.partition(":")
    if colon and string_of(in_force.tuning, string) is None:
        return Said(
            f"the strings are {show_tuning(in_force.tuning)}; another tuning stands above, after `strings`"
        )
    return Said(f"the last fret is {FRETS}") if colon and int(fret) > FRETS else None


_CASES: dict[str, Callable[[str, InForce], Said | None]] = {
    "key": _key,
    "pickup": _pickup,
    "short": _short,
    "instrument": _instrument,
    "feel": _feel,
    "ending": _ending,
    "strings": _strings,
    "home": _home,
}
