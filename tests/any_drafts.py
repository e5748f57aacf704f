"""Made-up drafts as people type them, not as a program would write them: needless marks, capitals, odd blanks.

Everything that moving or rewriting a draft must take with it or leave alone. The same seed gives the same draft.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import NamedTuple

from scribe import compile
from scribe.music.key import Key, parse_key
from scribe.music.pitch import name_at

_NEAR = ("C", "F", "G", "Bb", "D minor", "A minor", "E minor", "G minor", "Eb", "D dorian")
_ALL = (
    *("C", "G", "D", "A", "E", "B", "F#", "C#", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb", "D major"),
    *(
        "A minor",
        "E minor",
        "C# minor",
        "G# minor",
        "D# minor",
        "F minor",
        "Bb minor",
        "Ab minor",
        "bb minor",
    ),
    *("F# dorian", "Eb lydian", "B mixolydian", "C phrygian", "G locrian"),
)


class Habits(NamedTuple):
    """How a writer types.

    `outside`: how often a note lies outside the key. `capitals`: of those, how often it is a capital rather than a
    small letter with a sign; 0 and 1 are writers with one habit. `needless`: how often a sign is typed that is not
    needed: an octave mark, a capital for a note of the key. `odd`: how often an accidental says what the letter would
    say without it, or is double, how often a degree or a chord is far from the key. `key`: the one in force.
    """

    outside: float = 0.12
    capitals: float = 1.0
    needless: float = 0.0
    odd: float = 0.0
    keys: tuple[str, ...] = _NEAR
    key: Key = Key("C", 0, "major")


PLAYER = Habits()
SMALL_SIGNS = Habits(capitals=0.0)
NEEDLESS = Habits(outside=0.3, needless=0.35, keys=_ALL)
CARELESS = Habits(capitals=0.5, needless=0.08, odd=0.02)
WILD = Habits(outside=0.4, capitals=0.6, needless=0.35, odd=0.35, keys=_ALL)

_QUALITIES = ("", "m7", "7", "maj7", "m7b5", "7b9", "6/9", "13sus4", "7alt", "dim7", "m9", "aug", "sus4")
_NAMES = ("C", "C#", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")
_COMMENTS = ("; like the second time", ";sic", "; from G", "; a | b", "; added by ear")


def draft(rng: random.Random, habits: Habits = WILD) -> str:
    """Return a draft without errors, of some two to ten bars."""
    lines = _head(rng, habits)
    names: list[str] = []
    for number in range(rng.choice((1, 1, 2, 3))):
        if rng.random() < 0.6:
            names.append("AB"[number % 2] + "'" * (number // 2))
            lines.append(f"[{names[-1]}]")
        for _ in range(rng.randint(1, 2)):
            if rng.random() < 0.15:
                lines.append(_between(rng, habits))
            lines.append(_music(rng, habits, lines))
        if names and rng.random() < 0.25:
            where = rng.choice(("", " up P4", " down M2", " up m3", " down P5"))
            lines.append(f"use {names[-1]}{where}")
    end = rng.choice(("\n", "\n", "\n", "\r\n"))
    return end.join(lines) + rng.choice(("", end))


def _head(rng: random.Random, habits: Habits) -> list[str]:
    lines = ["; made up"] if rng.random() < 0.3 else []
    if rng.random() < 0.5:
        lines.append("title   Key of G, up P4; or so")
    if rng.random() < 0.8:
        lines.append(_key(rng, habits))
    if rng.random() < 0.3:
        lines.append("home " + rng.choice(("A:0", "D:7", "E:0", "G:3", "A1", "C2", "Bb1", "f#2")))
    if rng.random() < 0.15:
        lines.append("strings B E A D G")
    if rng.random() < 0.1:
        lines.append("instrument " + rng.choice(("trumpet", "double bass")))
    if rng.random() < 0.2:
        lines.append("degrees chord")
    if rng.random() < 0.2:
        lines.append("enharmonic " + rng.choice(("free", "fix", "sharps", "flats")))
    return lines


def _key(rng: random.Random, habits: Habits) -> str:
    comment = "  " + rng.choice(_COMMENTS) if rng.random() < 0.15 else ""
    return f"key{rng.choice((' ', '     '))}{rng.choice(habits.keys)}{comment}"


def _between(rng: random.Random, habits: Habits) -> str:
    return rng.choice(
        (
            _key(rng, habits),
            "home D:2",
            "home G1",
            "degrees key",
            "degrees chord",
            "position 5",
            "; bridge",
            "",
        )
    )


def _music(rng: random.Random, habits: Habits, before: list[str]) -> str:
    """A line of bars, each tried until it has no error behind what stands before it."""
    line = rng.choice(("| ", "|", "0:12.4 | ", "|: "))
    first = line
    for _ in range(rng.randint(1, 3)):
        habits = habits._replace(key=_in_force(before))
        bar = next(b for b in _tries(rng, habits) if _good("\n".join([*before, line + b + "|"])))
        line += bar + rng.choice((" | ", "|", "  | ", " || "))
    if first == "|: ":
        line = line.rstrip(" |") + " :|"
    return line + (" " + rng.choice(_COMMENTS) if rng.random() < 0.1 else "")


def _in_force(lines: list[str]) -> Key:
    keys = [line.partition(";")[0].removeprefix("key") for line in lines if line.startswith("key")]
    return (parse_key(keys[-1]) if keys else None) or Key("C", 0, "major")


def _tries(rng: random.Random, habits: Habits) -> Iterator[str]:
    for _ in range(30):
        yield _bar(rng, habits)
    while True:
        yield rng.choice(("c d e f", "1 3 5 1", "?", "."))


def _good(text: str) -> bool:
    return all(d.severity != "error" for d in compile(text).piece.diagnostics)


def _bar(rng: random.Random, habits: Habits) -> str:
    words: list[str] = []
    way = rng.choices(("letter", "degree", "fret", "mixed"), (20, 6, 1, 2))[0]
    for number in range(4):
        if rng.random() < (0.5 if number == 0 else 0.15):
            words.append(_chord(rng, habits))
        if rng.random() < 0.06:
            words.append(rng.choice(('"easy"', "'mf", "“b flat”", "'slap")))
        if number and rng.random() < 0.07:
            words.append("/")
            continue
        here = rng.choice(("letter", "degree", "fret")) if way == "mixed" else way
        if number < 3 and len(words) < 8 and rng.random() < 0.04:
            inner = " ".join(_word(rng, habits, here) for _ in range(3))
            words.append("1{" + inner + "}")
            continue
        words.append(_word(rng, habits, here))
    blanks = rng.choice((" ", " ", "  ", "   "))
    return "".join(word + (blanks if i < len(words) - 1 else "") for i, word in enumerate(words))


def _chord(rng: random.Random, habits: Habits) -> str:
    if rng.random() < 0.03:
        return rng.choice(("@N.C.", "@Gfoo"))
    quality = rng.choice(_QUALITIES)
    if rng.random() < habits.odd:
        root = rng.choice(_NAMES)
        bass = "/" + rng.choice(_NAMES) if rng.random() < 0.2 else ""
    else:
        place = habits.key.fifths + rng.randint(-3, 6)
        if not (-6 <= place <= 10 or -1 <= place - habits.key.fifths <= 5):
            place += -12 if place > 0 else 12
        root = _plain(place)
        bass = (
            "/" + _plain(place + rng.choice((-3, -2, 1, 4))) if rng.random() < 0.2 and -3 < place < 6 else ""
        )
    return f"@{root}{quality}{bass}" + ("?" if rng.random() < 0.1 else "")


def _plain(fifths: int) -> str:
    letter, alter = name_at(fifths)
    return letter + "#" * alter + "b" * -alter


def _word(rng: random.Random, habits: Habits, way: str) -> str:
    if rng.random() < 0.05:
        return rng.choice((".", "u", "?"))
    count = rng.choices((1, 2, 3, 4), (8, 4, 1, 1))[0]
    return "".join(_slot(rng, habits, way, first=n == 0) for n in range(count))


def _slot(rng: random.Random, habits: Habits, way: str, first: bool) -> str:
    chance = rng.random
    if not first and chance() < 0.12:
        return rng.choice(("-", ".", "x"))
    lead = rng.choice(("~", "h", "p", "/", "\\")) if not first and chance() < 0.1 else ""
    grace = "," + _name(rng, habits, way) if chance() < 0.04 else ""
    ghost = "q" if chance() < 0.05 else ""
    pin = ":" + rng.choice("EADG") if way != "fret" and chance() < 0.02 else ""
    meant = "=" if way != "fret" and chance() < 0.05 else ""
    marks = rng.choice((">", "*", "_", "'v", "'p", ">'b")) if chance() < 0.12 else ""
    doubt = "?" if chance() < 0.06 else ""
    note = _octave(rng, habits, way) + ghost + _name(rng, habits, way) + pin + meant
    if not ghost and chance() < 0.04:
        note = f"({note})"
    if chance() < 0.04:
        note += "+" + rng.choice(("", "^")) * (way != "fret") + _name(rng, habits, way)
    return grace + lead + note + marks + doubt


def _octave(rng: random.Random, habits: Habits, way: str) -> str:
    if way == "fret":
        return ""
    chance = rng.random()
    return rng.choice(("^", "v")) if chance < 0.12 + habits.needless / 2 else "^^" if chance < 0.01 else ""


def _name(rng: random.Random, habits: Habits, way: str) -> str:
    if way == "fret":
        return f"{rng.choice('EADG')}:{rng.choice((3, 5, 5, 7, 7, 8, 10, 0, 2, 12))}"
    chance = rng.random()
    odd = rng.random() < habits.odd
    if way == "degree":
        if chance >= habits.outside:
            return rng.choice("1234567")
        if odd:
            return rng.choice(("#", "b", "n", "bb")) + rng.choice("1234567")
        return rng.choice(("b2", "b3", "#4", "b5", "#5", "b6", "b7"))
    letter = rng.choice("abcdefg")
    own = habits.key.alteration(letter.upper())
    if chance < habits.outside:
        small = rng.random() >= habits.capitals
        signs = [(s, a) for s, a in (("#", 1), ("n" if small else "", 0), ("b", -1)) if not small or a >= 0]
        if odd:
            return letter + rng.choice(("#", "n", "##")) if small else letter.upper() + rng.choice("#bnw")
        return (letter if small else letter.upper()) + rng.choice([s for s, a in signs if abs(a - own) == 1])
    if rng.random() < habits.needless / 2:
        return letter.upper() + {1: "#", 0: "n" if odd else "", -1: "b"}[own]
    return letter + "n" * odd
