"""Intervals: names, sizes, inversion and moving, against the handbook table and music21."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import interval as m21_interval
from music21 import pitch as m21_pitch

from scribe.music.interval import Interval, between, move, move_key, move_name, parse_interval, simplest
from scribe.music.key import Key, parse_key
from scribe.music.pitch import ACCIDENTAL, Pitch, parse_pitch

# Semitones, name, other spelling, place on the line of fifths of both (None where the table gives none).
# Semitones and qualities: university handouts on intervals; places on the line of fifths computed.
TABLE = [
    (0, "P1", "d2", 0, None),
    (1, "m2", "A1", -5, 7),
    (2, "M2", "d3", 2, None),
    (3, "m3", "A2", -3, 9),
    (4, "M3", "d4", 4, None),
    (5, "P4", "A3", -1, None),
    (6, "A4", "d5", 6, -6),
    (7, "P5", "d6", 1, None),
    (8, "m6", "A5", -4, 8),
    (9, "M6", "d7", 3, None),
    (10, "m7", "A6", -2, 10),
    (11, "M7", "d8", 5, None),
    (12, "P8", "A7", 0, None),
]
COMPOUND = [("m9", 13), ("M9", 14), ("A9", 15), ("P11", 17), ("A11", 18), ("m13", 20), ("M13", 21)]

letters = st.sampled_from("CDEFGAB")
plain_pitches = st.builds(Pitch, letters, st.integers(-1, 1), st.integers(0, 5))
NAMES = [
    f"{quality}{number}"
    for number in range(1, 16)
    for quality in (("P", "A", "d") if number % 7 in (1, 4, 5) else ("M", "m", "A", "d"))
    if f"{quality}{number}" != "d1"
]
intervals = st.sampled_from([f"{way} {name}" for way in ("up", "down") for name in NAMES])


def named(text: str) -> Interval:
    found = parse_interval(text)
    assert found is not None, text
    return found


def m21(pitch: Pitch) -> m21_pitch.Pitch:
    return m21_pitch.Pitch(pitch.name.replace("b", "-") + str(pitch.octave))


@pytest.mark.parametrize(("semitones", "name", "other", "fifths", "other_fifths"), TABLE)
def test_simple_intervals_are_those_of_the_handbook(
    semitones: int, name: str, other: str, fifths: int, other_fifths: int | None
) -> None:
    """Both names of each size, and how far they move on the line of fifths."""
    assert named(name).semitones == named(other).semitones == semitones
    assert named(name).fifths == fifths
    if other_fifths is not None:
        assert named(other).fifths == other_fifths


@pytest.mark.parametrize(("name", "semitones"), COMPOUND)
def test_compound_intervals_are_those_of_the_handbook(name: str, semitones: int) -> None:
    """Ninths, elevenths and thirteenths."""
    assert named(name).semitones == semitones


@pytest.mark.parametrize("name", NAMES)
def test_sizes_and_inversions_agree_with_music21(name: str) -> None:
    """Semitones, staff places and the inversion of every interval up to two octaves, as music21 has them."""
    ours, theirs = named(name), m21_interval.Interval(name)
    assert (ours.semitones, ours.steps) == (theirs.semitones, theirs.generic.staffDistance)
    assert named(f"down {name}").semitones == -theirs.semitones
    if name not in (
        "A1",
        "A8",
        "d8",
        "d15",
        "A15",
    ):  # whose inversion is wider than an octave, or said otherwise
        assert ours.inversion.name.replace("P8", "P1") == theirs.complement.name.replace("P8", "P1")


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row[1])
def test_inversion_sums_to_nine_and_swaps_the_quality(row: tuple[int, str, str, int, int | None]) -> None:
    """Numbers add up to nine; P stays, M and m, A and d change places (handbook rule)."""
    quality, number = row[1][0], int(row[1][1:])
    swapped = {"P": "P", "M": "m", "m": "M", "A": "d", "d": "A"}[quality]
    assert named(row[1]).inversion.name == f"{swapped}{9 - number}"


@pytest.mark.parametrize(
    "text", ["P3", "m5", "M4", "P16", "d1", "up", "x4", "4", "up P", "sideways P4", "P0"]
)
def test_what_is_no_interval_is_none(text: str) -> None:
    """Qualities that the number cannot have, and sizes over two octaves, are no intervals."""
    assert parse_interval(text) is None


@settings(derandomize=True, max_examples=150)
@given(plain_pitches, intervals)
def test_moving_there_and_back_is_where_one_was(pitch: Pitch, text: str) -> None:
    """The name comes back too, and the distance in semitones is exact (from names with one accidental)."""
    interval = named(text)
    there = move(pitch, interval)
    assert there.midi - pitch.midi == interval.semitones
    assert abs(there.alter) <= 2
    if there.staff - pitch.staff == interval.steps:  # not respelled for want of triple accidentals
        assert move(there, -interval) == pitch
        assert between(pitch, there) == interval
        assert str(between(pitch, there)) == text or interval == (0, 0)


@pytest.mark.parametrize("letter", list("CDEFGAB"))
def test_moved_pitches_are_spelled_as_music21_spells_them(letter: str) -> None:
    """Every interval up and down from every name; spelling compared where at most two accidentals are needed."""
    for alter in (-1, 0, 1):
        for name in NAMES:
            for way, sign in (("up", ""), ("down", "-")):
                if name == "P1" and way == "down":
                    continue  # no direction, says music21
                pitch = Pitch(letter, alter, 4)
                theirs = m21(pitch).transpose(m21_interval.Interval(sign + name))
                ours = move(pitch, named(f"{way} {name}"))
                assert ours.midi == theirs.midi
                if abs(theirs.alter) <= 2:
                    assert m21(ours).nameWithOctave == theirs.nameWithOctave


def test_triple_accidentals_give_way_to_the_simpler_name() -> None:
    """An augmented third above G double sharp would be B triple sharp: it is written C double sharp."""
    assert str(move(Pitch("G", 2, 2), named("A3"))) == "C##3"
    assert str(move(Pitch("B", -2, 2), named("dd5"))) == "Ebb3"
    assert str(simplest(Pitch("F", 2, 2))) == "G2"
    assert str(simplest(Pitch("C", -2, 3))) == "Bb2"
    assert str(simplest(Pitch("C", -1, 3))) == "Cb3"


@settings(derandomize=True, max_examples=60)
@given(plain_pitches, intervals)
def test_names_move_as_pitches_do(pitch: Pitch, text: str) -> None:
    """A chord root moves to the same name as a pitch."""
    moved = move(pitch, named(text))
    letter, alter = move_name((pitch.letter, pitch.alter), named(text))
    if abs(alter) <= 2:
        assert letter + ACCIDENTAL[alter] == moved.name


@pytest.mark.parametrize(
    ("key", "interval", "expected"),
    [
        ("C", "up P4", "F major"),
        ("G minor", "down m3", "E minor"),
        ("E", "up M3", "Ab major"),  # G sharp major would have eight sharps
        ("Ab minor", "down m2", "G minor"),
        ("Db", "up m2", "D major"),  # E double flat would have ten flats
        ("A dorian", "up M2", "B dorian"),
    ],
)
def test_keys_move_and_stay_within_seven_signs(key: str, interval: str, expected: str) -> None:
    """The key keeps its mode; past seven signs it is the enharmonic one."""
    before = parse_key(key)
    assert before is not None
    assert str(move_key(before, named(interval))) == expected


@settings(derandomize=True, max_examples=60)
@given(st.integers(-7, 7), st.sampled_from(["major", "minor", "dorian"]), intervals)
def test_a_moved_key_has_its_tonic_the_interval_away(fifths: int, mode: str, text: str) -> None:
    """In semitones, whatever the spelling."""
    before = move_key(Key("C", 0, "major"), Interval(0, 0))
    before = next(
        k for letter in "CDEFGAB" for alter in (-1, 0, 1) if (k := Key(letter, alter, mode)).fifths == fifths
    )
    after = move_key(before, named(text))
    assert -7 <= after.fifths <= 7
    rise = Pitch(after.letter, after.alter, 4).midi - Pitch(before.letter, before.alter, 4).midi
    assert (rise - named(text).semitones) % 12 == 0


@pytest.mark.parametrize("midi", range(21, 109))
def test_names_of_pitches_have_the_midi_number_that_music21_gives(midi: int) -> None:
    """Scientific octaves: middle C is C4, 60."""
    theirs = m21_pitch.Pitch(midi=midi)
    ours = parse_pitch(theirs.nameWithOctave.replace("-", "b"))
    assert ours is not None
    assert ours.midi == midi
    assert ours.hertz == pytest.approx(theirs.frequency, rel=1e-9)
