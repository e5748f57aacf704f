"""Strings, frets and tunings: against published tables of the bass."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe.music.instrument import BASS, to_written
from scribe.music.pitch import Pitch, parse_pitch
from scribe.music.tuning import (
    STANDARD,
    Tuning,
    fret_pitch_midi,
    parse_tuning,
    places,
    show_tuning,
    string_name,
    string_of,
)

# Sounding pitch, MIDI number, hertz, written pitch. Published bass tuning table, and f = 440 * 2^((m - 69) / 12).
OPEN_STRINGS = [
    ("C3", 48, 130.8128, "C4"),
    ("G2", 43, 97.9989, "G3"),
    ("D2", 38, 73.4162, "D3"),
    ("A1", 33, 55.0000, "A2"),
    ("E1", 28, 41.2034, "E2"),
    ("B0", 23, 30.8677, "B1"),
]
OTHER_NOTES = [
    ("C1", 24, 32.7032),
    ("D1", 26, 36.7081),
    ("C2", 36, 65.4064),
    ("E2", 40, 82.4069),
    ("G3", 55, 195.9977),
    ("E4", 64, 329.6276),
    ("A4", 69, 440.0),
]
# String numbers of the usual tunings, 1 = highest (same table).
NUMBERS = {
    "E A D G": {"G": 1, "D": 2, "A": 3, "E": 4},
    "B E A D G": {"G": 1, "D": 2, "A": 3, "E": 4, "B": 5},
    "E A D G C": {"C": 1, "G": 2, "D": 3, "A": 4, "E": 5},
    "B E A D G C": {"C": 1, "G": 2, "D": 3, "A": 4, "E": 5, "B": 6},
}
# Frets, top note of the G string, of the C string: MIDI and written pitch (computed: open string + fret).
TOP_NOTES = [(20, 63, "Eb5", 68, "Ab5"), (21, 64, "E5", 69, "A5"), (24, 67, "G5", 72, "C6")]


def tuned(text: str) -> Tuning:
    tuning = parse_tuning(text)
    assert tuning is not None, text
    return tuning


def pitch(text: str) -> Pitch:
    found = parse_pitch(text)
    assert found is not None, text
    return found


@pytest.mark.parametrize(("name", "midi", "hertz", "written"), OPEN_STRINGS)
def test_open_strings_sound_and_are_written_as_published(
    name: str, midi: int, hertz: float, written: str
) -> None:
    """MIDI number and frequency of each open string; written an octave higher."""
    string = next(s for s in tuned("B E A D G C") if s.midi == midi)
    assert str(string) == name
    assert string.hertz == pytest.approx(hertz, abs=0.001)
    assert str(to_written(string, BASS)) == written


@pytest.mark.parametrize(("name", "midi", "hertz"), OTHER_NOTES)
def test_other_notes_have_their_published_frequency(name: str, midi: int, hertz: float) -> None:
    """A4 is 440 Hz, and the rest follows."""
    assert pitch(name).midi == midi
    assert pitch(name).hertz == pytest.approx(hertz, abs=0.001)


@pytest.mark.parametrize(("typed", "sounding"), [
    ("E A D G", "E1 A1 D2 G2"),
    ("B E A D G", "B0 E1 A1 D2 G2"),
    ("E A D G C", "E1 A1 D2 G2 C3"),
    ("B E A D G C", "B0 E1 A1 D2 G2 C3"),
    ("D A D G", "D1 A1 D2 G2"),
    ("F# B E A", "F#1 B1 E2 A2"),  # solo tuning of the double bass, a tone higher
    ("Eb Ab Db Gb", "Eb1 Ab1 Db2 Gb2"),
    ("C G D A", "C1 G1 D2 A2"),  # in fifths
    ("A E A D G", "A0 E1 A1 D2 G2"),
    ("A1 D G C", "A1 D2 G2 C3"),
    ("F#0 B E A D G C", "F#0 B0 E1 A1 D2 G2 C3"),
    ("A D G", "A0 D1 G1"),
])  # fmt: skip
def test_a_tuning_without_octaves_means_the_usual_ones(typed: str, sounding: str) -> None:
    """The lowest string lies from A0 to G#1, each next one above the one before; digits fix an octave."""
    assert " ".join(map(str, tuned(typed))) == sounding
    assert parse_tuning(show_tuning(tuned(typed))) == tuned(typed)


@pytest.mark.parametrize(
    "text", ["", "E A", "E A D G C F B E", "E A D H", "E1 A0 D G", "E2 E2 A D", "E, A, D"]
)
def test_what_is_no_tuning_is_none(text: str) -> None:
    """Too few or too many strings, unknown names, strings that do not rise."""
    assert parse_tuning(text) is None


@pytest.mark.parametrize("typed", NUMBERS)
def test_string_numbers_count_from_the_highest(typed: str) -> None:
    """As in MusicXML and MEI, string 1 is the highest; a small letter finds a string that is alone too."""
    for name, number in NUMBERS[typed].items():
        assert string_of(tuned(typed), name) == number
        assert string_of(tuned(typed), name.lower()) == number
        assert string_name(tuned(typed), number) == name


def test_a_small_letter_names_the_lower_of_two_strings() -> None:
    """In drop D, `D` is the second string and `d` the fourth."""
    drop = tuned("D A D G")
    assert (string_of(drop, "D"), string_of(drop, "d")) == (2, 4)
    assert (string_name(drop, 2), string_name(drop, 4)) == ("D", "d")
    flat = tuned("Eb Ab Db Gb")
    assert (string_of(flat, "Eb"), string_of(flat, "eb"), string_of(flat, "E")) == (4, 4, None)
    assert string_of(flat, "") is None
    assert string_of(flat, "D#") is None


@pytest.mark.parametrize(("fret", "on_g", "written_g", "on_c", "written_c"), TOP_NOTES)
def test_top_notes_of_the_neck(fret: int, on_g: int, written_g: str, on_c: int, written_c: str) -> None:
    """The highest notes of necks with 20, 21 and 24 frets, sounding and written."""
    six = tuned("B E A D G C")
    assert fret_pitch_midi(six, 2, fret) == on_g
    assert fret_pitch_midi(six, 1, fret) == on_c
    assert to_written(pitch(written_g).octaves(-1), BASS) == pitch(written_g)
    assert pitch(written_g).octaves(-1).midi == on_g
    assert pitch(written_c).octaves(-1).midi == on_c


@pytest.mark.parametrize(("typed", "low", "high"), [
    ("E A D G", 28, 67), ("B E A D G", 23, 67), ("B E A D G C", 23, 72),
])  # fmt: skip
def test_the_range_of_a_neck_with_24_frets(typed: str, low: int, high: int) -> None:
    """Lowest and highest notes of 4, 5 and 6 strings; nothing lies outside."""
    tuning = tuned(typed)
    assert all(places(midi, tuning) for midi in range(low, high + 1))
    assert not places(low - 1, tuning)
    assert not places(high + 1, tuning)


def test_the_places_of_one_note() -> None:
    """E2 lies in three places on four strings: D string 2, A string 7, E string 12; fret 5 is the next string."""
    assert places(40) == [(2, 2), (3, 7), (4, 12)]
    assert all(fret_pitch_midi(STANDARD, n + 1, 5) == fret_pitch_midi(STANDARD, n, 0) for n in (1, 2, 3))


tunings = st.sampled_from(["E A D G", "B E A D G", "B E A D G C", "D A D G", "Eb Ab Db Gb", "C G D A"])


@settings(derandomize=True, max_examples=100)
@given(tunings, st.integers(15, 80), st.integers(12, 24))
def test_every_place_of_a_note_gives_it_back(typed: str, midi: int, frets: int) -> None:
    """And none is left out: every string and fret that sounds it is among them."""
    tuning = tuned(typed)
    found = places(midi, tuning, frets)
    assert all(fret_pitch_midi(tuning, string, fret) == midi for string, fret in found)
    every = {
        (string, fret)
        for string in range(1, len(tuning) + 1)
        for fret in range(frets + 1)
        if fret_pitch_midi(tuning, string, fret) == midi
    }
    assert set(found) == every
    assert len(found) == len(every)
