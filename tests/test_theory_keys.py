"""Keys: signatures, scales and degrees, against a handbook table and music21."""

from __future__ import annotations

import pytest
from music21 import key as m21_key
from music21 import scale as m21_scale

from scribe.music.key import MODES, Key, degree_of, parse_key
from scribe.music.pitch import ACCIDENTAL, LETTERS, name_at

# The handbook table of the 15 signatures: sharps, major tonic and scale, its #1 #2 #4 #5 and b2 b3 b5 b6 b7; minor
# tonic and natural scale, its raised 7, natural 6, b2, #4, major 3, b5. (Computed by interval transposition in
# music21; the signatures are every theory handbook's.)
TABLE = """
-7 | Cb | Cb Db Eb Fb Gb Ab Bb | C D F G | Dbb Ebb Gbb Abb Bbb | Ab | Ab Bb Cb Db Eb Fb Gb | G F Bbb D C Ebb
-6 | Gb | Gb Ab Bb Cb Db Eb F | G A C D | Abb Bbb Dbb Ebb Fb | Eb | Eb F Gb Ab Bb Cb Db | D C Fb A G Bbb
-5 | Db | Db Eb F Gb Ab Bb C | D E G A | Ebb Fb Abb Bbb Cb | Bb | Bb C Db Eb F Gb Ab | A G Cb E D Fb
-4 | Ab | Ab Bb C Db Eb F G | A B D E | Bbb Cb Ebb Fb Gb | F | F G Ab Bb C Db Eb | E D Gb B A Cb
-3 | Eb | Eb F G Ab Bb C D | E F# A B | Fb Gb Bbb Cb Db | C | C D Eb F G Ab Bb | B A Db F# E Gb
-2 | Bb | Bb C D Eb F G A | B C# E F# | Cb Db Fb Gb Ab | G | G A Bb C D Eb F | F# E Ab C# B Db
-1 | F | F G A Bb C D E | F# G# B C# | Gb Ab Cb Db Eb | D | D E F G A Bb C | C# B Eb G# F# Ab
0 | C | C D E F G A B | C# D# F# G# | Db Eb Gb Ab Bb | A | A B C D E F G | G# F# Bb D# C# Eb
1 | G | G A B C D E F# | G# A# C# D# | Ab Bb Db Eb F | E | E F# G A B C D | D# C# F A# G# Bb
2 | D | D E F# G A B C# | D# E# G# A# | Eb F Ab Bb C | B | B C# D E F# G A | A# G# C E# D# F
3 | A | A B C# D E F# G# | A# B# D# E# | Bb C Eb F G | F# | F# G# A B C# D E | E# D# G B# A# C
4 | E | E F# G# A B C# D# | E# F## A# B# | F G Bb C D | C# | C# D# E F# G# A B | B# A# D F## E# G
5 | B | B C# D# E F# G# A# | B# C## E# F## | C D F G A | G# | G# A# B C# D# E F# | F## E# A C## B# D
6 | F# | F# G# A# B C# D# E# | F## G## B# C## | G A C D E | D# | D# E# F# G# A# B C# | C## B# E G## F## A
7 | C# | C# D# E# F# G# A# B# | C## D## F## G## | D E G A B | A# | A# B# C# D# E# F# G# | G## F## B D## C## E
"""
LINE_OF_FIFTHS = "Fb Cb Gb Db Ab Eb Bb F C G D A E B F# C# G# D# A# E# B# F##"  # from -8
ROWS = [[cell.strip() for cell in line.split("|")] for line in TABLE.strip().splitlines()]
KEYS = [parse_key(name) for row in ROWS for name in (row[1], f"{row[5]} minor")]


def spelled(name: tuple[str, int]) -> str:
    return name[0] + ACCIDENTAL[name[1]]


def scale_of(key: Key) -> list[str]:
    """The seven letters from the tonic on, each as the signature has it."""
    start = LETTERS.index(key.letter)
    letters = [LETTERS[(start + i) % 7] for i in range(7)]
    return [spelled((letter, key.alteration(letter))) for letter in letters]


def test_the_table_covers_all_thirty_keys() -> None:
    """Fifteen signatures, a major and a minor key each."""
    assert len({key for key in KEYS if key is not None}) == 30


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[1])
def test_signatures_and_scales_are_those_of_the_handbook(row: list[str]) -> None:
    """Both keys of a signature have its signs, and small letters give their natural scales."""
    major, minor = parse_key(row[1]), parse_key(f"{row[5]} minor")
    assert major is not None
    assert minor is not None
    assert major.fifths == minor.fifths == int(row[0])
    assert scale_of(major) == row[2].split()
    assert scale_of(minor) == row[6].split()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[1])
def test_altered_degrees_are_spelled_as_in_the_handbook(row: list[str]) -> None:
    """Degrees count from the major scale of the tonic and keep their letter, double accidentals and all."""
    major, minor = parse_key(row[1]), parse_key(f"{row[5]} minor")
    assert major is not None
    assert minor is not None
    assert [spelled(major.degree(n, 1)) for n in (1, 2, 4, 5)] == row[3].split()
    assert [spelled(major.degree(n, -1)) for n in (2, 3, 5, 6, 7)] == row[4].split()
    of_minor = [(7, 0), (6, 0), (2, -1), (4, 1), (3, 0), (5, -1)]
    assert [spelled(minor.degree(n, a)) for n, a in of_minor] == row[7].split()


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_keys_agree_with_music21(key: Key) -> None:
    """Signature, scale and the major-scale degrees of all 30 keys, as music21 has them."""
    tonic = spelled((key.letter, key.alter)).replace("b", "-")
    theirs = m21_key.Key(tonic, key.mode)
    assert key.fifths == theirs.sharps
    assert scale_of(key) == [p.name.replace("-", "b") for p in theirs.pitches[:7]]
    major = m21_scale.MajorScale(tonic)
    degrees = [spelled(key.degree(n, 0)) for n in range(1, 8)]
    assert degrees == [major.pitchFromDegree(n).name.replace("-", "b") for n in range(1, 8)]


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("tonic", ["C", "D", "G", "Bb"])
def test_modes_have_the_signature_that_music21_gives_them(tonic: str, mode: str) -> None:
    """`D dorian` has no signs, `Bb lydian` one flat, and so on through the modes."""
    key = parse_key(f"{tonic} {mode}")
    assert key is not None
    assert key.fifths == m21_key.Key(tonic.replace("b", "-"), mode).sharps


def test_a_minor_degree_does_not_depend_on_the_mode() -> None:
    """`b3` is B flat in G minor and in G major (common practice)."""
    for text in ("G minor", "G major", "G dorian"):
        key = parse_key(text)
        assert key is not None
        assert key.degree(3, -1) == ("B", -1)


@pytest.mark.parametrize("text", ["H", "G# major", "Fb", "D# lydian", "G foo", "", "Gmaj7", "G  minor x"])
def test_what_is_no_key_is_none(text: str) -> None:
    """Unknown tonics and modes, and keys of more than seven signs, are no keys."""
    assert parse_key(text) is None


def test_the_line_of_fifths_names_every_place() -> None:
    """Places and names on the line of fifths as in the handbook: Fb -8 … F -1 C 0 … B 5 F# 6 … Fx 13."""
    names = LINE_OF_FIFTHS.split()
    assert [spelled(name_at(place)) for place in range(-8, 14)] == names
    assert all(degree_of(place, 1, 0) == name_at(place) for place in range(-8, 14))
