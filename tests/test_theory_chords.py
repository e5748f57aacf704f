"""Chord symbols: kinds and spelled tones against the MusicXML schema, published rows and music21; drawing; moving."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import music21
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import harmony

from scribe.music.chord import Chord, ChordParts, Sign, chord_parts, move_chord_text, parse_chord
from scribe.music.chord_table import KINDS
from scribe.music.interval import Interval, parse_interval
from scribe.music.key import parse_key
from scribe.music.pitch import Pitch

# Symbols of one meaning, kind, degrees (MusicXML), tones, spelling on C. Kinds: MusicXML's kind-values. Tones: rows
# with a bare kind are also compared with music21 below; alt, add and omit rows are common practice. Wording of the
# qualities: bare 7 is the minor seventh, maj or M before it the major one (public articles on chord notation).
PUBLISHED = """
C Cmaj CM Cma               | major | | 1 3 5 | C E G
C5                          | power | | 1 5 | C G
Cm Cmin Cmi C-              | minor | | 1 b3 5 | C Eb G
C+ Caug C(#5) C+5           | augmented | | 1 3 #5 | C E G#
Cdim Co C° Cmb5             | diminished | | 1 b3 b5 | C Eb Gb
C6 CM6 Cmaj6                | major-sixth | | 1 3 5 6 | C E G A
Cm6 C-6 Cmin6               | minor-sixth | | 1 b3 5 6 | C Eb G A
C6/9 C69 C6(9) C6add9       | major-sixth | add 9 | 1 3 5 6 9 | C E G A D
Cm6/9 Cm69                  | minor-sixth | add 9 | 1 b3 5 6 9 | C Eb G A D
C7                          | dominant | | 1 3 5 b7 | C E G Bb
Cmaj7 CM7 CΔ CΔ7 Cma7 CMaj7 | major-seventh | | 1 3 5 7 | C E G B
Cm7 C-7 Cmi7 Cmin7          | minor-seventh | | 1 b3 5 b7 | C Eb G Bb
Cm(maj7) CmM7 Cmmaj7 C-Δ7 C-Δ Cm(M7) CminMaj7 | major-minor | | 1 b3 5 7 | C Eb G B
Cm7b5 Cø Cø7 C-7b5 Cm7(b5) Chalf-dim Cmin7-5  | half-diminished | | 1 b3 b5 b7 | C Eb Gb Bb
Cdim7 Co7 C°7               | diminished-seventh | | 1 b3 b5 bb7 | C Eb Gb Bbb
C7#5 Caug7 C+7 C7+ C7(#5) C7+5 | augmented-seventh | | 1 3 #5 b7 | C E G# Bb
C7b5 C7(b5) C7-5            | dominant | alter 5 -1 | 1 3 b5 b7 | C E Gb Bb
C9                          | dominant-ninth | | 1 3 5 b7 9 | C E G Bb D
Cmaj9 CM9 CΔ9               | major-ninth | | 1 3 5 7 9 | C E G B D
Cm9 C-9                     | minor-ninth | | 1 b3 5 b7 9 | C Eb G Bb D
C11                         | dominant-11th | | 1 3 5 b7 9 11 | C E G Bb D F
Cm11 C-11                   | minor-11th | | 1 b3 5 b7 9 11 | C Eb G Bb D F
C13                         | dominant-13th | | 1 3 5 b7 9 11 13 | C E G Bb D F A
Cmaj13 CM13                 | major-13th | | 1 3 5 7 9 11 13 | C E G B D F A
Cm13                        | minor-13th | | 1 b3 5 b7 9 11 13 | C Eb G Bb D F A
C7b9 C7(b9) C7-9            | dominant | add 9 -1 | 1 3 5 b7 b9 | C E G Bb Db
C7#9 C7(#9) C7+9            | dominant | add 9 1 | 1 3 5 b7 #9 | C E G Bb D#
C7#11                       | dominant | add 11 1 | 1 3 5 b7 #11 | C E G Bb F#
C7b13                       | dominant | add 13 -1 | 1 3 5 b7 b13 | C E G Bb Ab
C7alt Calt | dominant | alter 5 -1, add 9 -1, add 9 1, add 13 -1 | 1 3 b5 b7 b9 #9 b13 | C E Gb Bb Db D# Ab
Csus2                       | suspended-second | | 1 2 5 | C D G
Csus4 Csus                  | suspended-fourth | | 1 4 5 | C F G
C7sus4 C7sus Csus7          | suspended-fourth | add 7 | 1 4 5 b7 | C F G Bb
Cadd9 C(add9)               | major | add 9 | 1 3 5 9 | C E G D
Cmadd9 Cm(add9)             | minor | add 9 | 1 b3 5 9 | C Eb G D
C7no3 C7(no3) C7omit3       | dominant | subtract 3 | 1 5 b7 | C G Bb
C7b9b13 C7(b9,b13) C7b13b9 C7(b13)(b9) | dominant | add 9 -1, add 13 -1 | 1 3 5 b7 b9 b13 | C E G Bb Db Ab
C7#5#9 C7#9#5 C+7#9         | augmented-seventh | add 9 1 | 1 3 #5 b7 #9 | C E G# Bb D#
C9#11                       | dominant-ninth | add 11 1 | 1 3 5 b7 9 #11 | C E G Bb D F#
C13b9                       | dominant-13th | alter 9 -1 | 1 3 5 b7 b9 11 13 | C E G Bb Db F A
Cmaj7#11 CΔ#11 CM7(#11)     | major-seventh | add 11 1 | 1 3 5 7 #11 | C E G B F#
Cmaj7#5 C+maj7 Cmaj7+       | major-seventh | alter 5 1 | 1 3 #5 7 | C E G# B
C9sus4 C9sus Csus9          | suspended-fourth | add 7, add 9 | 1 4 5 b7 9 | C F G Bb D
C13sus4                     | suspended-fourth | add 7, add 9, add 13 | 1 4 5 b7 9 13 | C F G Bb D A
C7sus4b9 C7b9sus4 C7sus(b9) | suspended-fourth | add 7, add 9 -1 | 1 4 5 b7 b9 | C F G Bb Db
Cm9b5 Cø9                   | half-diminished | add 9 | 1 b3 b5 b7 9 | C Eb Gb Bb D
CmM9 Cm(maj9)               | major-minor | add 9 | 1 b3 5 7 9 | C Eb G B D
"""
ROWS = [[cell.strip() for cell in line.split("|")] for line in PUBLISHED.strip().splitlines()]

# Our symbol: music21's name of the type (harmony.CHORD_TYPES), also of types that need degrees in MusicXML.
IN_MUSIC21 = {
    "": "major", "m": "minor", "+": "augmented", "dim": "diminished", "7": "dominant-seventh",
    "maj7": "major-seventh", "m(maj7)": "minor-major-seventh", "m7": "minor-seventh",
    "maj7#5": "augmented-major-seventh", "+7": "augmented-seventh", "m7b5": "half-diminished-seventh",
    "dim7": "diminished-seventh", "7b5": "seventh-flat-five", "6": "major-sixth", "m6": "minor-sixth",
    "maj9": "major-ninth", "9": "dominant-ninth", "mM9": "minor-major-ninth", "m9": "minor-ninth",
    "+M9": "augmented-major-ninth", "9#5": "augmented-dominant-ninth", "ø9": "half-diminished-ninth",
    "øb9": "half-diminished-minor-ninth", "o9": "diminished-ninth", "o7b9": "diminished-minor-ninth",
    "11": "dominant-11th", "maj11": "major-11th", "mM11": "minor-major-11th", "m11": "minor-11th",
    "+M11": "augmented-major-11th", "+11": "augmented-11th", "ø11": "half-diminished-11th",
    "o11": "diminished-11th", "maj13": "major-13th", "13": "dominant-13th", "mM13": "minor-major-13th",
    "m13": "minor-13th", "+M13": "augmented-major-13th", "+13": "augmented-dominant-13th",
    "sus2": "suspended-second", "sus4": "suspended-fourth", "7sus4": "suspended-fourth-seventh", "5": "power",
}  # fmt: skip
ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B"]


def chord(text: str) -> Chord:
    found = parse_chord(text)
    assert found is not None, text
    return found


def spelled(found: Chord) -> list[str]:
    return [Pitch(*tone.name, 0).name for tone in found.tones]


def degrees(found: Chord) -> str:
    return ", ".join(f"{d.action} {d.number}" + (f" {d.alter}" if d.alter else "") for d in found.degrees)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0].split()[0])
def test_symbols_mean_what_is_published(row: list[str]) -> None:
    """Every way to write a chord gives the same kind, degrees, tones and spelling."""
    for symbol in row[0].split():
        found = chord(symbol)
        assert found.kind == row[1], symbol
        assert degrees(found) == row[2], symbol
        assert " ".join(tone.label for tone in found.tones) == row[3], symbol
        assert " ".join(spelled(found)) == row[4], symbol
        assert found.text == symbol


@pytest.mark.parametrize("suffix", IN_MUSIC21)
def test_tones_are_those_of_music21_s_chord_types(suffix: str) -> None:
    """Degrees in order of stacking as in music21's table; names as its chord symbols have them, on every root."""
    kind = IN_MUSIC21[suffix]
    table = harmony.CHORD_TYPES[kind][0].replace("-", "b").split(",")
    for root in ROOTS:
        found = chord(root + suffix)
        assert [tone.label for tone in found.tones] == table
        theirs = harmony.ChordSymbol(root=root.replace("b", "-"), kind=kind)
        assert sorted(spelled(found)) == sorted(p.name.replace("-", "b") for p in theirs.pitches)


# --- the MusicXML schema, as music21 ships it ---------------------------------------------------------------

SCHEMA = Path(music21.__file__).parent / "musicxml" / "musicxml.xsd"
SIZES = {  # words of the schema's text: our degrees
    "major second": (2, 0), "minor third": (3, -1), "major third": (3, 0), "perfect fourth": (4, 0),
    "perfect fifth": (5, 0), "augmented fifth": (5, 1), "diminished fifth": (5, -1), "added sixth": (6, 0),
    "minor seventh": (7, -1), "major seventh": (7, 0), "diminished seventh": (7, -2), "major ninth": (9, 0),
    "perfect 11th": (11, 0), "major 13th": (13, 0),
}  # fmt: skip
CALLED = {"dominant-seventh": "dominant", "diminished triad": "diminished", "augmented triad": "augmented"}
CALLED |= {"major triad": "major", "minor triad": "minor"}


def schema_kinds() -> tuple[set[str], dict[str, list[str]]]:
    """The kind-values of the schema, and the words that describe each."""
    xs = "{http://www.w3.org/2001/XMLSchema}"
    root = ElementTree.parse(SCHEMA).getroot()
    kind = next(t for t in root.iter(f"{xs}simpleType") if t.get("name") == "kind-value")
    values = {e.get("value", "") for e in kind.iter(f"{xs}enumeration")}
    text = next(kind.iter(f"{xs}documentation")).text or ""
    words = {name: said.split(", ") for name, said in re.findall(r"([a-z0-9-]+) \(([^)]*)\)", text)}
    return values, {name: said for name, said in words.items() if name in values}


def test_every_kind_is_one_of_musicxml() -> None:
    """No kind of ours is missing from the schema's list."""
    values, words = schema_kinds()
    assert set(KINDS) <= values
    assert len(words) > 20


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "none"])
def test_kinds_have_the_tones_that_the_schema_describes(kind: str) -> None:
    """`dominant-13th (dominant-11th, major 13th)` and so on, read from the schema's own text."""
    words = schema_kinds()[1]

    def tones(name: str) -> set[tuple[int, int]]:
        found: set[tuple[int, int]] = {(1, 0)}
        for word in words[name]:
            found |= {SIZES[word]} if word in SIZES else tones(CALLED.get(word, word))
        return found

    assert set(KINDS[kind]) == tones(kind)


@pytest.mark.parametrize("suffix", [
    "6/9", "m6/9", "7b5", "7b9", "7#9", "7#11", "7b13", "7alt", "add9", "madd9", "7no3", "7b9b13", "7#5#9", "9#11",
    "13b9", "13#11", "maj7#11", "maj9#11", "maj7#5", "maj7b5", "m7add11", "m(b6)", "7(9,13)", "dim(maj7)",
    "maj7sus4", "sus2sus4", "7b9#9", "m9b5",
])  # fmt: skip
def test_kind_and_degrees_are_read_alike_by_music21(suffix: str) -> None:
    """Kind and degrees, handed to music21's own reading of them, give the tones that we say.

    Not asked: `7sus4` and its kin. music21 takes an added 7 without alteration for the major seventh, the schema's
    `degree-alter` for the minor one ("relative to a dominant chord").
    """
    for root in ("C", "F#", "Bb"):
        found = chord(root + suffix)
        theirs = harmony.ChordSymbol(
            root=root.replace("b", "-"), kind=harmony.CHORD_ALIASES.get(found.kind, found.kind)
        )
        for degree in found.degrees:
            theirs.addChordStepModification(
                harmony.ChordStepModification(degree.action, degree.number, degree.alter)
            )
        assert {p.pitchClass for p in theirs.pitches} == {
            Pitch(*tone.name, 4).midi % 12 for tone in found.tones
        }
        if not any(
            degree.number == 7 for degree in found.degrees
        ):  # which music21 adds by semitones, unspelled
            assert sorted(p.name.replace("-", "b") for p in theirs.pitches) == sorted(spelled(found))


# --- slash, silence, nonsense -------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "root", "bass"), [
    ("D/F#", ("D", 0), ("F", 1)), ("C/Bb", ("C", 0), ("B", -1)), ("C6/9", ("C", 0), None),
    ("C6/9/E", ("C", 0), ("E", 0)), ("F#m7b5/A", ("F", 1), ("A", 0)), ("Abmaj7/Bb", ("A", -1), ("B", -1)),
    ("C7(b9/b13)/G", ("C", 0), ("G", 0)), ("Bb", ("B", -1), None), ("Bbm", ("B", -1), None),
])  # fmt: skip
def test_root_and_slash_bass(text: str, root: tuple[str, int], bass: tuple[str, int] | None) -> None:
    """A slash before a letter is a bass, one before a number is not."""
    assert (chord(text).root, chord(text).bass) == (root, bass)


def test_no_chord_has_neither_root_nor_tones() -> None:
    """`N.C.` and `NC`."""
    for text in ("N.C.", "NC", "N.C"):
        assert chord(text) == Chord(text, None, "none", (), None, ())


def test_accidentals_belong_to_the_root_first() -> None:
    """`Bb5` is a power chord on B flat, `Bbb5` a B flat major chord with a flat fifth, `Ab9` a ninth on A flat."""
    assert spelled(chord("Bb5")) == ["Bb", "F"]
    assert spelled(chord("Bbb5")) == ["Bb", "D", "Fb"]
    assert spelled(chord("Ab9")) == ["Ab", "C", "Eb", "Gb", "Bb"]
    assert spelled(chord("A(b9)")) == ["A", "C#", "E", "Bb"]


@pytest.mark.parametrize("text", [
    "", "H", "c7", "Cx", "C79", "C7b913", "Cmajmin", "C7maj", "C2", "C-5", "C7b9b9", "C7/H", "C/e", "Break", "Cno9",
    "Cadd3", "Cmmaj", "Cmaj7 ", "C7(b9", "C7)b9(", "C()", "C7((b9))", "C7,b9", "C7(,b9)", "C7(b9,)",
    "C7alt9", "C7altb9", "C5b9", "C7b11", "C7+13", "Csus69", "Cadd9o7",
    "Cø7b5", "Cno37", "Cøm", "C/", "N", "N.C.x",
])  # fmt: skip
def test_what_is_no_chord_is_none(text: str) -> None:
    """Unknown letters, contradictions, numbers run together, open brackets."""
    assert parse_chord(text) is None


PIECES = "m - maj M Δ dim o ø aug + 5 6 7 9 11 13 69 6/9 b5 #5 b9 #9 #11 b13 sus sus2 add9 no3 alt ( ) , /"
typed = st.builds(
    lambda root, pieces, bass: root + "".join(pieces) + bass,
    st.sampled_from(ROOTS),
    st.lists(st.sampled_from(PIECES.split()), max_size=4),
    st.sampled_from(["", "/G", "/Bb"]),
)


@settings(derandomize=True, max_examples=400)
@given(typed | st.text(max_size=6))
def test_any_text_is_a_chord_or_none(text: str) -> None:
    """Never an exception; what is understood has its root first, no tone twice, and can be drawn and moved."""
    found = parse_chord(text)
    moved = move_chord_text(text, Interval(2, 3))
    parts = chord_parts(text)
    if found is None or found.root is None:
        assert moved == text
        assert parts.base == text
        return
    assert found.tones[0].name == found.root
    assert len({tone.label for tone in found.tones}) == len(found.tones)
    assert (parts.root, parts.bass) == (found.root, found.bass)
    there = chord(moved)
    assert (there.kind, there.degrees) == (found.kind, found.degrees)


# --- moving -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "interval", "key", "expected"), [
    ("D/F#", "up P4", None, "G/B"),
    ("Bbmaj7", "down m3", None, "Gmaj7"),
    ("C6/9/E", "up M2", None, "D6/9/F#"),
    ("Ebm7", "up P4", None, "Abm7"),
    ("C#m7b5/G", "up M3", None, "Fm7b5/Cb"),
    ("F#m7(b5)", "up A4", None, "Cm7(b5)"),  # not B sharp
    ("B7alt", "up P5", None, "F#7alt"),
    ("N.C.", "up P4", None, "N.C."),
    ("Cwhat", "up P4", None, "Cwhat"),
    ("B/D#", "up A4", "F#", "F/A"),  # not E sharp over G double sharp
    ("B7/F#", "up A4", "F#", "E#7/B#"),
    ("B/D#", "up A4", "C", "F/A"),
])  # fmt: skip
def test_symbols_move_with_their_suffix(text: str, interval: str, key: str | None, expected: str) -> None:
    """Root and bass are respelled, what was typed between stays; far from the key the simpler twin is taken."""
    by = parse_interval(interval)
    assert by is not None
    assert move_chord_text(text, by, *filter(None, [key and parse_key(key)])) == expected


@pytest.mark.parametrize("interval", ["up m2", "up M3", "down P4", "up A4", "down M6"])
def test_a_moved_chord_sounds_the_interval_away(interval: str) -> None:
    """Every tone of every published symbol on every root, in semitones."""
    by = parse_interval(interval)
    assert by is not None
    for root in ROOTS:
        for row in ROWS:
            before = chord(root + row[0].split()[0][1:])
            after = chord(move_chord_text(before.text, by))
            for old, new in zip(before.tones, after.tones, strict=True):
                assert (Pitch(*new.name, 4).midi - Pitch(*old.name, 4).midi - by.semitones) % 12 == 0


# --- drawing ------------------------------------------------------------------------------------------------

FLAT, SHARP, TRIANGLE = Sign.FLAT, Sign.SHARP, Sign.TRIANGLE


@pytest.mark.parametrize(("text", "expected"), [
    ("C", ChordParts(("C", 0), "", (), None)),
    ("Bbmaj7", ChordParts(("B", -1), "", (TRIANGLE, "7"), None)),
    ("BbΔ", ChordParts(("B", -1), "", (TRIANGLE,), None)),
    ("Cmaj", ChordParts(("C", 0), "", (), None)),
    ("Cmaj6", ChordParts(("C", 0), "", ("6",), None)),
    ("C-7", ChordParts(("C", 0), "m", ("7",), None)),
    ("Cm7b5", ChordParts(("C", 0), "m", ("7", FLAT, "5"), None)),
    ("Cø7", ChordParts(("C", 0), "", (Sign.HALF_DIM, "7"), None)),
    ("Co7", ChordParts(("C", 0), "", (Sign.DIM, "7"), None)),
    ("Caug7", ChordParts(("C", 0), "", (Sign.AUG, "7"), None)),
    ("D7#9", ChordParts(("D", 0), "", ("7", SHARP, "9"), None)),
    ("D7(#9,b13)", ChordParts(("D", 0), "", ("7", "(", SHARP, "9", ",", FLAT, "13", ")"), None)),
    ("F7alt", ChordParts(("F", 0), "", ("7", "alt"), None)),
    ("C7sus4", ChordParts(("C", 0), "", ("7", "sus4"), None)),
    ("Cm(maj7)", ChordParts(("C", 0), "m", ("(", TRIANGLE, "7", ")"), None)),
    ("C6/9/E", ChordParts(("C", 0), "", ("6/9",), ("E", 0))),
    ("Cmadd9", ChordParts(("C", 0), "m", ("add9",), None)),
    ("Cadd#11", ChordParts(("C", 0), "", ("add", SHARP, "11"), None)),
    ("Comit5", ChordParts(("C", 0), "", ("no5",), None)),
    ("F#m7/C#", ChordParts(("F", 1), "m", ("7",), ("C", 1))),
    ("N.C.", ChordParts(None, "N.C.", (), None)),
    ("G something", ChordParts(None, "G something", (), None)),
])  # fmt: skip
def test_how_a_symbol_is_drawn(text: str, expected: ChordParts) -> None:
    """One sign for each quality however it was typed (jazz hand-book practice; common practice, no source)."""
    assert chord_parts(text) == expected
