"""Chord symbols: what a typed one means, how it is drawn, how it is moved to another key."""

from __future__ import annotations

from enum import Enum
from functools import lru_cache
from typing import Literal, NamedTuple

from scribe.music.chord_table import (
    EXTENSIONS,
    KINDS,
    NAMED,
    NO_CHORD,
    SYMBOL,
    Degree,
    Quality,
    Token,
    punctuated,
    split,
)
from scribe.music.interval import Interval, move_name, simplest
from scribe.music.key import Key, degree_of
from scribe.music.pitch import ACCIDENTAL, Pitch

Name = tuple[str, int]  # letter and alteration


class ChordDegree(NamedTuple):
    """One `<degree>` of MusicXML: a tone added to, altered in or taken from what `kind` says.

    As MusicXML has it, the `alter` of an added tone counts from the major and perfect intervals *and the
    minor seventh* above the root (an added 7 with alter 0 is the minor one); of an altered tone, from the
    kind's own.
    """

    number: int  # 2-13
    alter: int
    action: Literal["add", "alter", "subtract"]


class ChordTone(NamedTuple):
    """`label` is the degree against the major scale of the root (`1`, `b3`, `#11`), `name` its spelling."""

    label: str
    name: Name


class Chord(NamedTuple):
    """A chord symbol understood. `root` is None for N.C. only."""

    text: str  # as typed, without `?`
    root: Name | None
    kind: str  # a MusicXML 4.0 kind-value
    degrees: tuple[ChordDegree, ...]
    bass: Name | None
    tones: tuple[ChordTone, ...]  # root first, spelled; the slash bass only where it is a chord tone


@lru_cache(maxsize=4096)
def parse_chord(text: str) -> Chord | None:
    """Read a chord symbol: `C`, `Bbmaj7`, `F#m7b5`, `D7(#9,b13)`, `G13sus4/D`, `N.C.`; else None.

    Every usual way to write a quality is taken (`m` `min` `mi` `-`; `maj` `ma` `M` `Δ`; `dim` `o` `°`; `ø` or
    `m7b5`; `aug` `+`; `sus` is `sus4`). A bare 7 is the minor seventh; 9, 11 and 13 bring the odd numbers
    below them.
    Tones are stacked by number, so `6` stands below `9` and a `2` above the root.
    """
    plain = text.replace("♯", "#").replace("♭", "b").replace("–", "-").replace("−", "-")
    if NO_CHORD.fullmatch(plain):
        return Chord(text, None, "none", (), None, ())
    found = SYMBOL.fullmatch(plain)
    tokens = split(found["body"]) if found else None
    if not found or tokens is None or not punctuated(tokens):
        return None
    reading = _read(tokens)
    if reading is None:
        return None
    kind, degrees = reading
    root = _name(found["root"])
    fifths = Pitch(*root, 0).fifths
    tones = tuple(
        ChordTone(ACCIDENTAL[alter] + str(number), degree_of(fifths, (number - 1) % 7 + 1, alter))
        for number, alter in tones_of(kind, degrees)
    )
    return Chord(text, root, kind, degrees, _name(found["bass"]) if found["bass"] else None, tones)


def _name(typed: str) -> Name:
    return typed[0], typed.count("#") - typed.count("b")


def tones_of(kind: str, degrees: tuple[ChordDegree, ...]) -> list[Degree]:
    """Return the tones (number, alteration against the major scale) of a kind with its degrees, stacked.

    A degree that alters or takes away a tone which the kind does not have changes nothing.
    """
    tones = list(KINDS[kind])
    for number, alter, action in degrees:
        if action == "add":
            tones.append((number, alter - (number == 7)))
            continue
        for i, (there, old) in enumerate(tones):
            if there == number:
                tones[i : i + 1] = [(number, old + alter)] if action == "alter" else []
                break
    return sorted(tones)


class _Wish(NamedTuple):
    """What the tokens of a symbol ask for."""

    quality: Quality
    major: bool  # `maj` before the number
    number: int
    sus: tuple[int, ...]
    changes: tuple[Degree, ...]  # b5, #9 …
    adds: tuple[Degree, ...]
    omits: tuple[int, ...]


def _read(tokens: tuple[Token, ...]) -> tuple[str, tuple[ChordDegree, ...]] | None:
    """Return kind and degrees, or None for a combination that means nothing."""
    wish = _collect(tokens)
    wish = wish and _fold_fifth(wish)
    if wish is None or len(set(wish.changes)) < len(wish.changes):
        return None
    based = _suspended(wish) if wish.sus else _based(wish)
    if based is None:
        return None
    kind, changes, adds = based
    degrees: list[ChordDegree] = []
    there = dict(KINDS[kind])
    changed: set[int] = set()
    for number, alter in changes:
        if number in there and number not in changed:
            changed.add(number)
            if alter != there[number]:
                degrees.append(ChordDegree(number, alter - there[number], "alter"))
        else:
            degrees.append(_added(number, alter))
    for number, alter in adds:
        if (number, alter) not in tones_of(kind, tuple(degrees)):
            degrees.append(_added(number, alter))
    for number in wish.omits:
        if number not in there:
            return None
        degrees.append(ChordDegree(number, 0, "subtract"))
    return kind, tuple(sorted(degrees, key=lambda degree: degree.number))


def _added(number: int, alter: int) -> ChordDegree:
    return ChordDegree(number, alter + (number == 7), "add")


def _collect(tokens: tuple[Token, ...]) -> _Wish | None:
    quality: Quality = ""
    major = altered = False
    number = 0
    sus: list[int] = []
    changes: list[Degree] = []
    adds: list[Degree] = []
    omits: list[int] = []
    before: Token | None = None
    for i, token in enumerate(tokens):
        match token.kind:
            case "minor" | "dim" | "half" | "aug":
                # `C7+` and `Cmaj7+` put the sign last; any other quality stands first.
                if quality or sus or not (i == 0 or (number and token.text == "+")):
                    return None
                quality = token.kind
            case "major":
                if quality == "half" or any(
                    t.kind not in ("minor", "dim", "aug", "mark") for t in tokens[:i]
                ):
                    return None
                major = True
                after = tokens[i + 1] if i + 1 < len(tokens) else None
                bare = after is None or after.kind != "number"
                number = 7 if token.text in "Δ∆△" and bare else 0
            case "number":
                if not _may_lead(before):
                    return None
                if number == 0 and not (changes or adds or omits or sus or altered):
                    number = token.number
                elif token.number in (9, 11, 13):
                    adds.append((token.number, 0))
                else:
                    return None
            case "six-nine":
                if number or not _may_lead(before):
                    return None
                number = 6
                adds.append((9, 0))
            case "sus":
                if token.number in (7, 9, 13):
                    if number:
                        return None
                    number = token.number
                    sus.append(4)
                else:
                    sus += [2, 4] if token.number == 24 else [token.number or 4]
            case "add":
                adds.append((token.number, token.alter))
            case "omit":
                omits.append(token.number)
            case "alter":
                changes.append((token.number, token.alter))
            case "altered":
                if altered or quality or major or sus or number not in (0, 7):
                    return None
                altered = True
        before = token
    if quality in ("dim", "half", "aug") and any(degree == 5 for degree, _ in changes):
        return None
    if major and not number and quality:  # a minor, diminished or augmented "maj" needs its number
        return None
    if altered:
        if changes or adds or quality or sus or number not in (0, 7):
            return None
        return _Wish("", False, 7, (), ((5, -1), (9, -1), (9, 1), (13, -1)), (), tuple(omits))
    return _Wish(quality, major, number, tuple(sus), tuple(changes), tuple(adds), tuple(omits))


def _may_lead(before: Token | None) -> bool:
    """Tell whether a number may follow: `79`, `b913`, `no37` are unreadable without a comma or a bracket."""
    return before is None or before.kind in ("minor", "major", "dim", "half", "aug", "mark")


def _fold_fifth(wish: _Wish) -> _Wish:
    """Give `m7b5`, `mb5`, `(#5)` and `7#5` the names that MusicXML has for them."""
    flat, sharp = (5, -1), (5, 1)
    if wish.sus or (flat in wish.changes and sharp in wish.changes):
        return wish
    if flat in wish.changes and wish.quality == "minor" and not wish.major and wish.number != 6:
        quality: Quality = "half" if wish.number else "dim"
        return wish._replace(quality=quality, changes=tuple(c for c in wish.changes if c != flat))
    if sharp in wish.changes and wish.quality == "" and not wish.major and wish.number in (0, 7):
        return wish._replace(quality="aug", changes=tuple(c for c in wish.changes if c != sharp))
    return wish


_Based = tuple[str, tuple[Degree, ...], tuple[Degree, ...]]


def _based(wish: _Wish) -> _Based | None:
    """Return kind, changes and added tones of a chord with a third (or a power chord)."""
    quality, major, number = wish.quality, wish.major, wish.number
    if quality == "" and number == 5 and (major or wish.changes):
        return None
    if quality == "aug" and (major or number > 7):  # named by what is above, with the fifth raised
        above = NAMED.get(("", major, number))
        return (above, ((5, 1), *wish.changes), wish.adds) if above else None
    named = NAMED.get((quality, major, number))
    if named:
        return named, wish.changes, wish.adds
    if number not in EXTENSIONS or (number == 13 and quality == "half"):
        return None
    if quality == "dim" and major:
        return "diminished", wish.changes, ((7, 0), *EXTENSIONS[number], *wish.adds)
    seventh = NAMED.get((quality, major, 7))
    return (seventh, wish.changes, EXTENSIONS[number] + wish.adds) if seventh else None


def _suspended(wish: _Wish) -> _Based | None:
    """Return kind, changes and added tones of a sus chord: the second or fourth stands for the third."""
    if wish.quality not in ("", "minor") or len(set(wish.sus)) < len(wish.sus):
        return None
    kind = "suspended-fourth" if 4 in wish.sus else "suspended-second"
    adds: list[Degree] = [(2, 0)] if set(wish.sus) == {2, 4} else []
    if wish.number in (7, 9, 13):
        changed = {number for number, _ in wish.changes}
        adds.append((7, 0 if wish.major else -1))
        adds += [(n, 0) for n in (9, 13) if n <= wish.number and n not in changed]
    elif wish.number == 6:
        adds.append((6, 0))
    elif wish.number:
        return None
    return kind, wish.changes, (*adds, *wish.adds)


# --- moving ------------------------------------------------------------------------------------------------

_C_MAJOR = Key("C", 0, "major")
_NEAR = range(
    -7, 10
)  # places on the line of fifths around a key's signature in which a root may stay as spelled


def move_chord_text(text: str, interval: Interval, key: Key = _C_MAJOR) -> str:
    """Return the symbol an interval away: root and slash bass are moved, the suffix stays as typed.

    The spelling is exact (`Ebm7` up P4 is `Abm7`), except that root and bass give way to their enharmonic twins
    where the root is far from `key` (the one the chord comes to stand in), or where one of them would need a
    double accidental. N.C. and what is not understood stay as they are.
    """
    chord = parse_chord(text)
    if chord is None or chord.root is None:
        return text
    names = [move_name(name, interval) for name in (chord.root, chord.bass) if name is not None]
    root_fifths = Pitch(*names[0], 0).fifths
    if root_fifths - key.fifths not in _NEAR or any(abs(alter) > 1 for _, alter in names):
        sharp = root_fifths > key.fifths
        twin = Interval(1, 0) if sharp else Interval(-1, 0)  # a diminished second, the same sound
        names = [move_name(name, twin) for name in names]
    suffix = text[1 + abs(chord.root[1]) :]
    if chord.bass is not None:
        suffix = suffix.rpartition("/")[0]
    root, *bass = (_plain_name(name) for name in names)
    return root + suffix + "".join("/" + name for name in bass)


def _plain_name(name: Name) -> str:
    return simplest(Pitch(*name, 4)).name


# --- drawing -----------------------------------------------------------------------------------------------


class Sign(Enum):
    """A piece of a chord symbol that is drawn as a sign and not as letters."""

    FLAT = "flat"
    SHARP = "sharp"
    TRIANGLE = "triangle"  # major seventh
    HALF_DIM = "half-dim"  # circle with a stroke
    DIM = "dim"  # circle
    AUG = "aug"  # plus


class ChordParts(NamedTuple):
    """A symbol as it is to be drawn, in this order from the left: root, base, raised, slash and bass.

    `base` stands at the foot line beside the root: `m` for minor or nothing. `raised` is the suffix, smaller
    and higher. Root and bass are names (letter, alteration), None where there is none. Of a symbol not
    understood, and of N.C., only `base` is filled, with the text.
    """

    root: Name | None
    base: str
    raised: tuple[str | Sign, ...]
    bass: Name | None


@lru_cache(maxsize=4096)
def chord_parts(text: str) -> ChordParts:
    """Return how a symbol is drawn: one sign for each quality however it was typed, the rest as typed.

    `m` for minor (`min`, `mi`, `-`), the triangle for `maj`, `ma`, `M` before a number from 7 on, the circle
    for `dim` and `o`, the stroked circle where `ø` was typed (`m7b5` stays `m`, 7, flat 5), the plus for
    `aug`. Major triads and `maj6` show no sign. Brackets and commas stay where they were typed; `omit` is
    drawn `no`.
    """
    chord = parse_chord(text)
    if chord is None or chord.root is None:
        return ChordParts(None, text, (), None)
    plain = text.replace("♯", "#").replace("♭", "b").replace("–", "-").replace("−", "-")
    found = SYMBOL.fullmatch(plain)
    tokens = (split(found["body"]) if found else None) or ()
    base = ""
    raised: list[str | Sign] = []
    for i, token in enumerate(tokens):
        match token.kind:
            case "minor":
                base = "m"
            case "major":
                after = tokens[i + 1] if i + 1 < len(tokens) else None
                if token.text in "Δ∆△" or (after and after.kind == "number" and after.number >= 7):
                    raised.append(Sign.TRIANGLE)
            case "dim":
                raised.append(Sign.DIM)
            case "half":
                raised.append(Sign.HALF_DIM)
            case "aug":
                raised.append(Sign.AUG)
            case "number":
                raised.append(str(token.number))
            case "six-nine":
                raised.append("6/9")
            case "sus" if token.number in (7, 9, 13):
                raised += [str(token.number), "sus"]
            case "sus":
                raised.append(f"sus{token.number or ''}")
            case "add":
                number = str(token.number)
                raised += ["add", *_accidental(token.alter), number] if token.alter else ["add" + number]
            case "alter":
                raised += [*_accidental(token.alter), str(token.number)]
            case "omit":
                raised.append(f"no{token.number}")
            case "altered":
                raised.append("alt")
            case "mark":
                raised.append(token.text)
    return ChordParts(chord.root, base, tuple(raised), chord.bass)


def _accidental(alter: int) -> list[Sign]:
    return [Sign.SHARP] if alter > 0 else [Sign.FLAT] if alter < 0 else []
