"""Chord symbols of a score as a draft names them."""

from __future__ import annotations

import re
from functools import lru_cache

from music21 import harmony, pitch

from scribe.exchange.m21.pitches import pitch_of
from scribe.music.chord import ChordDegree, parse_chord, tones_of
from scribe.music.chord_table import KINDS
from scribe.music.interval import simplest
from scribe.music.pitch import ACCIDENTAL

# One usual way to write each kind-value of MusicXML behind a root.
SUFFIX = {
    "major": "", "minor": "m", "augmented": "+", "diminished": "dim", "dominant": "7", "major-seventh": "maj7",
    "minor-seventh": "m7", "diminished-seventh": "dim7", "augmented-seventh": "7#5", "half-diminished": "m7b5",
    "major-minor": "m(maj7)", "major-sixth": "6", "minor-sixth": "m6", "dominant-ninth": "9",
    "major-ninth": "maj9", "minor-ninth": "m9", "dominant-11th": "11", "major-11th": "maj11",
    "minor-11th": "m11", "dominant-13th": "13", "major-13th": "maj13", "minor-13th": "m13",
    "suspended-second": "sus2", "suspended-fourth": "sus4", "power": "5",
}  # fmt: skip
# music21's names for kinds where they are not MusicXML's.
KIND = {own: kind for kind, own in harmony.CHORD_ALIASES.items() if kind in KINDS} | {
    "augmented-dominant-seventh": "augmented-seventh",
    "minor-major-seventh": "major-minor",
}
_NO_CHORD = re.compile(r"N\.? ?C\.?")
_SIGNS = str.maketrans(
    {"♯": "#", "♭": "b", " ": None, "|": "/", ";": ",", '"': None, ":": None, "{": "(", "}": ")"}
)


def symbol_name(symbol: harmony.Harmony) -> str:
    """Return a name that a draft takes: one that means the same if there is one, else what the source prints."""
    if isinstance(symbol, harmony.NoChord):
        return "N.C."
    if not isinstance(symbol, harmony.ChordSymbol):
        return as_typed(symbol.figure or "N.C.")
    root = _name(symbol.root())
    bass = _name(symbol.bass()) if symbol.bass() is not None else root
    slash = f"/{bass}" if bass != root else ""
    kind = KIND.get(symbol.chordKind, symbol.chordKind)
    degrees = tuple(
        ChordDegree(int(m.degree), int(m.interval.semitones) if m.interval else 0, m.modType)
        for m in symbol.chordStepModifications
        if m.modType in ("add", "alter", "subtract")
    )
    printed = as_typed(symbol.chordKindStr or "")
    said = parse_chord(root + printed + slash)
    if printed and not degrees and said is not None and said.kind == kind:
        return root + printed + slash  # some programs say degrees in the text only: `7sus4`, `7alt`
    for suffix in dict.fromkeys((printed, *suffixes(kind, degrees))):
        made = parse_chord(root + suffix + slash)
        if kind in KINDS and made is not None and made.kind == kind and made.degrees == _sorted(degrees):
            return root + suffix + slash
    for suffix in suffixes(kind, degrees):
        made = parse_chord(root + suffix + slash)
        if kind in KINDS and made is not None and _tones(made.kind, made.degrees) == _tones(kind, degrees):
            return root + suffix + slash
    return root + (printed or as_typed(kind)) + slash


def says_no_chord(words: str) -> bool:
    """Whether some words above the staff are the usual sign that the chords are silent."""
    return _NO_CHORD.fullmatch(words.strip()) is not None


def as_typed(text: str) -> str:
    """Return a text as the name of a chord may hold it."""
    return re.sub(r"[^\x21-\x7eΔøØ°º+-]", "", text.translate(_SIGNS))


def _name(found: pitch.Pitch | None) -> str:
    """Return root or bass as a symbol names it, with one accidental at most."""
    if found is None:
        return "C"
    return simplest(pitch_of(found)).name


def _sorted(degrees: tuple[ChordDegree, ...]) -> tuple[ChordDegree, ...]:
    return tuple(sorted(degrees, key=lambda degree: degree.number))


def _tones(kind: str, degrees: tuple[ChordDegree, ...]) -> list[tuple[int, int]]:
    return tones_of(kind, degrees)


@lru_cache(maxsize=512)
def suffixes(kind: str, degrees: tuple[ChordDegree, ...]) -> tuple[str, ...]:
    """Ways to write a kind with its degrees, the likeliest first."""
    base = SUFFIX.get(kind)
    if base is None:
        return ()
    if not degrees:
        return (base,)
    bare = _degree_texts(degrees, dict(KINDS[kind]))
    ways = [base + bare, f"{base}({bare})", base + _degree_texts(degrees, dict(KINDS[kind]), "add")]
    if kind == "suspended-fourth":
        ways += ["7sus4", "9sus4", "13sus4", "6sus4", "maj7sus4", "7sus4b9", "sus24"]
    if kind == "suspended-second":
        ways += ["7sus2", "9sus2", "6sus2"]
    if kind == "dominant":
        ways += ["7alt"]
    if kind == "major-sixth":
        ways += ["6/9"]
    if kind == "minor-sixth":
        ways += ["m6/9"]
    return tuple(ways)


def _degree_texts(degrees: tuple[ChordDegree, ...], there: dict[int, int], added: str = "") -> str:
    out = []
    for number, alter, action in _sorted(degrees):
        if action == "subtract":
            out.append(f"no{number}")
        elif action == "alter":
            out.append(f"{ACCIDENTAL.get(there.get(number, 0) + alter, '')}{number}")
        else:
            sign = ACCIDENTAL.get(alter - (number == 7), "")
            out.append(f"{added or ('' if sign else 'add')}{sign}{number}")
    return "".join(out)
