"""Instruments: written and sounding pitch, keys and ranges, against handbook rows and music21."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import instrument as m21_instrument

from scribe.music.instrument import (
    BASS,
    INSTRUMENTS,
    Instrument,
    find_instrument,
    to_sounding,
    to_written,
    written_interval,
    written_key,
)
from scribe.music.key import Key, parse_key
from scribe.music.pitch import Pitch, parse_pitch

# Instrument, written minus sounding in staff places and semitones, what a written C4 sounds, sharps more than the
# concert key. Handbook tables of transposing instruments (two published ones agree); MEI counts octaves in.
ROWS = [
    ("soprano sax", 1, 2, "Bb3", 2),
    ("trumpet", 1, 2, "Bb3", 2),
    ("clarinet", 1, 2, "Bb3", 2),
    ("alto sax", 5, 9, "Eb3", 3),
    ("tenor sax", 8, 14, "Bb2", 2),
    ("bass clarinet", 8, 14, "Bb2", 2),
    ("baritone sax", 12, 21, "Eb2", 3),
    ("guitar", 7, 12, "C3", 0),
    ("bass", 7, 12, "C3", 0),
    ("double bass", 7, 12, "C3", 0),
    ("trombone", 0, 0, "C4", 0),
    ("flute", 0, 0, "C4", 0),
    ("piano", 0, 0, "C4", 0),
    ("horn", 4, 7, "F3", 1),
]
# Our name, music21's class. music21 leaves bass guitar and guitar untransposed, so they are not among them.
IN_MUSIC21 = {
    "double bass": m21_instrument.Contrabass,
    "soprano sax": m21_instrument.SopranoSaxophone,
    "alto sax": m21_instrument.AltoSaxophone,
    "tenor sax": m21_instrument.TenorSaxophone,
    "baritone sax": m21_instrument.BaritoneSaxophone,
    "trumpet": m21_instrument.Trumpet,
    "clarinet": m21_instrument.Clarinet,
    "bass clarinet": m21_instrument.BassClarinet,
    "horn": m21_instrument.Horn,
    "trombone": m21_instrument.Trombone,
    "bass trombone": m21_instrument.BassTrombone,
    "tuba": m21_instrument.Tuba,
    "flute": m21_instrument.Flute,
    "oboe": m21_instrument.Oboe,
    "bassoon": m21_instrument.Bassoon,
    "violin": m21_instrument.Violin,
    "viola": m21_instrument.Viola,
    "cello": m21_instrument.Violoncello,
    "piano": m21_instrument.Piano,
}
# The middle line of each clef (common practice), and how it is called there.
MIDDLE_LINES = {"treble": "B4", "bass": "D3", "alto": "C4"}


def instrument(name: str) -> Instrument:
    found = find_instrument(name)
    assert found is not None, name
    return found


def pitch(text: str) -> Pitch:
    found = parse_pitch(text)
    assert found is not None, text
    return found


@pytest.mark.parametrize(("name", "steps", "semitones", "c_sounds", "sharps"), ROWS)
def test_transpositions_are_those_of_the_handbook(
    name: str, steps: int, semitones: int, c_sounds: str, sharps: int
) -> None:
    """Interval, what a written C sounds, and the key signature of the part in concert C."""
    player = instrument(name)
    assert (player.diatonic, player.chromatic) == (steps, semitones)
    assert to_sounding(pitch("C4"), player) == pitch(c_sounds)
    assert to_written(pitch(c_sounds), player) == pitch("C4")
    assert written_key(Key("C", 0, "major"), player).fifths == sharps


@pytest.mark.parametrize("name", IN_MUSIC21)
def test_transpositions_agree_with_music21(name: str) -> None:
    """Staff places and semitones of the part, as music21's instrument has them."""
    theirs = IN_MUSIC21[name]().transposition
    steps, semitones = (0, 0) if theirs is None else (theirs.generic.staffDistance, theirs.semitones)
    player = instrument(name)
    assert (-player.diatonic, -player.chromatic) == (steps, semitones)


@pytest.mark.parametrize("name", sorted(set(IN_MUSIC21) - {"baritone sax", "horn"}))
def test_lowest_notes_agree_with_music21(name: str) -> None:
    """Usual low ends. Left out: the baritone, now built to low A (common practice), and the horn's pedal notes."""
    theirs = IN_MUSIC21[name]()
    written = theirs.lowestNote
    sounding = written.transpose(theirs.transposition) if theirs.transposition else written
    assert instrument(name).low.midi == sounding.midi


@pytest.mark.parametrize("player", INSTRUMENTS, ids=lambda player: player.name)
def test_home_is_the_open_a_of_a_bass_and_the_middle_line_of_others(player: Instrument) -> None:
    """Home is kept at sounding pitch; written, it is the staff's middle line."""
    if player.name in ("bass", "double bass"):
        assert str(player.home) == "A1"
    else:
        assert str(to_written(player.home, player)) == MIDDLE_LINES[player.clef]
    assert player.low.midi < player.home.midi < player.high.midi


@pytest.mark.parametrize(("typed", "name"), [
    ("bass", "bass"), ("Bass Guitar", "bass"), ("electric bass", "bass"), ("Upright", "double bass"),
    ("upright bass", "double bass"), ("double-bass", "double bass"), ("Alto Sax", "alto sax"),
    ("alto saxophone", "alto sax"), ("tenor  sax", "tenor sax"), ("bari", "baritone sax"), ("Trumpet", "trumpet"),
    ("french horn", "horn"), ("keys", "piano"), ("vocals", "voice"), ("SYNTH BASS", "synth bass"),
    ("Left Hand", "piano left hand"), ("organ pedal", "organ pedals"),
])  # fmt: skip
def test_instruments_are_found_by_the_names_in_use(typed: str, name: str) -> None:
    """Case, blanks and hyphens do not matter."""
    assert instrument(typed).name == name


@pytest.mark.parametrize("typed", ["", "nose flute", "bass drum", "sax alto x"])
def test_an_unknown_instrument_is_none(typed: str) -> None:
    """No guessing."""
    assert find_instrument(typed) is None


@pytest.mark.parametrize(("concert", "name", "written"), [
    ("Bb", "trumpet", "C major"),
    ("G minor", "tenor sax", "A minor"),
    ("F", "alto sax", "D major"),
    ("E", "alto sax", "C# major"),
    ("B", "alto sax", "Ab major"),  # G sharp major would have eight sharps
    ("F#", "tenor sax", "Ab major"),
    ("G# minor", "tenor sax", "A# minor"),
    ("D# minor", "alto sax", "C minor"),
    ("Cb", "horn", "Gb major"),
    ("C dorian", "trumpet", "D dorian"),
])  # fmt: skip
def test_the_key_that_a_part_is_written_in(concert: str, name: str, written: str) -> None:
    """Past seven signs, the enharmonic key (common practice)."""
    key = parse_key(concert)
    assert key is not None
    assert str(written_key(key, instrument(name))) == written


def test_notes_go_along_into_the_enharmonic_key() -> None:
    """In B major the alto reads A flat major: the third D sharp is read as C, not as B sharp."""
    key, alto = parse_key("B"), instrument("alto sax")
    assert str(to_written(pitch("D#3"), alto)) == "B#3"
    assert str(to_written(pitch("D#3"), alto, key)) == "C4"
    assert to_sounding(pitch("C4"), alto, key) == pitch("D#3")


@settings(derandomize=True, max_examples=150)
@given(
    st.sampled_from(INSTRUMENTS),
    st.sampled_from("CDEFGAB"),
    st.integers(-1, 1),
    st.integers(0, 5),
    st.sampled_from([None, *(f"{t} {m}" for t in ("C", "F#", "Db", "B") for m in ("major", "mixolydian"))]),
)
def test_written_and_sounding_are_each_other_s_way_back(
    player: Instrument, letter: str, alter: int, octave: int, key_text: str | None
) -> None:
    """To the page and back gives the same name; the distance is the instrument's, in any key."""
    sounding = Pitch(letter, alter, octave)
    key = parse_key(key_text) if key_text else None
    written = to_written(sounding, player, key)
    assert written.midi - sounding.midi == player.chromatic
    if written.staff - sounding.staff == written_interval(player, key).steps:
        assert to_sounding(written, player, key) == sounding
    assert to_sounding(written, player, key).midi == sounding.midi


def test_scale_notes_of_a_key_become_scale_notes_of_the_written_key() -> None:
    """Every note of every major key stands in the written key without an accidental."""
    for player in INSTRUMENTS:
        for tonic in ["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb", "G", "D", "A", "E", "B", "F#", "C#"]:
            key = parse_key(tonic)
            assert key is not None
            page = written_key(key, player)
            for letter in "CDEFGAB":
                note = to_written(Pitch(letter, key.alteration(letter), 2), player, key)
                assert note.alter == page.alteration(note.letter)


def test_the_bass_is_the_default() -> None:
    """Range of a four-string bass with 24 frets, E1 to G4."""
    assert (BASS.low.midi, BASS.high.midi) == (28, 67)
