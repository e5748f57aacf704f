"""Doubts about typed names and keys: what is said, what is not, and in which words."""

from __future__ import annotations

import pytest

from scribe.music.pitch import parse_pitch
from scribe.music.spelling.check import Doubt, check_key, check_names
from tests.test_spelling_names import CASES, phrase

# A line under its typed names, the names doubted, and what is said of each. All common practice, no source.
DOUBTED: list[tuple[str, str, dict[int, tuple[str, str]]]] = [
    (
        "Eb",
        "Eb2 G#2 Bb2 Eb3",
        {1: ("Ab", "in Eb major: this is the key's own fourth degree, A flat")},
    ),
    ("Eb", "@B7 B1 Eb2 F#2 A2 @Em E2", {1: ("D#", "over B7: the third of the chord is D sharp")}),
    ("A minor", "A1 B1 C2 D2 E2 F2 Ab2 A2", {6: ("G#", "in A minor: the leading tone is G sharp")}),
    ("C# minor", "G#1 A#1 C2 C#2 E2", {2: ("B#", "in C# minor: the leading tone is B sharp")}),
    (
        "C minor",
        "G1 A1 B1 C2 D2 D#2 D2 C2",
        {5: ("Eb", "in C minor: this is the key's own third degree, E flat")},
    ),
    (
        "G",
        "G1 B1 D2 Gb2 G2",
        {3: ("F#", "in G major: this is the key's own seventh degree, F sharp")},
    ),
    (
        "C",
        "C2 E2 G2 Ab2 A2 F2 G2 E2",
        {3: ("G#", "before A: a note that leads up a semitone stands one letter below, G sharp")},
    ),
    ("C", "@Cmaj7#11 C2 E2 Gb2 G2", {2: ("F#", "over Cmaj7#11: the sharp eleventh of the chord is F sharp")}),
    ("C", "@A7b9 A1 A#1 A1 C#2", {1: ("Bb", "over A7b9: the flat ninth of the chord is B flat")}),
    ("F", "@Gm7b5 G1 Bb1 C#2 F2", {2: ("Db", "over Gm7b5: the fifth of the chord is D flat")}),
    ("D", "@D7 D2 F#2 A2 B#2", {3: ("C", "over D7: the seventh of the chord is C")}),
    ("F", "F1 G1 A1 A#1 C2", {3: ("Bb", "in F major: this is the key's own fourth degree, B flat")}),
]

# Lines as somebody may well write them, though the speller would not always: nothing is said.
DEFENDED = [
    ("C", "C2 Eb2 E2 F2 F#2 G2 Bb2 C3"),
    ("C", "@C7 C2 D#2 E2 F2 F#2 G2 A2 Bb2"),
    ("C", "@C7 C3 Bb2 G2 F#2 F2 Eb2 C2"),
    ("C", "@Cdim7 C2 Eb2 Gb2 Bbb2"),
    ("C", "@Db7 Db2 F2 Ab2 Cb3 @C C3"),
    ("C", "@G7 D2 C#2 @C C2 E2"),
    ("C", "C2 D2 Ab2 G2 F2 G#2 E2"),
    ("C", "@E7#9 E2 G2 G#2 B2"),
    # Altered tones of dominant and augmented chords go by two names.
    ("Eb", "@Bb7alt Bb1 D2 F#2 A2"),
    ("Eb", "@Caug C2 E2 Ab2 C3"),
    ("C", "@G7#9 G1 Bb1 B1 D2"),
    ("C", "@C7b5 C2 E2 F#2 Bb2"),
    # The raised fourth may fall, in a blues line too.
    ("C", "G2 F#2 F2 Eb2 C2"),
    ("C", "C2 Eb2 F2 F#2 F2 Eb2 C2"),
    ("A minor", "E2 D#2 D2 C2 A1"),
    ("Eb", "Bb2 A2 Ab2 G2 F#2 F2 E2 Eb2"),
    ("A minor", "E2 F2 F#2 G2 G#2 A2 Bb2 B2"),
    # The harmonic chromatic scale, the same up and down (as in the theory of the keys: flat second to raised fourth).
    ("C", "C2 Db2 D2 Eb2 E2 F2 F#2 G2 Ab2 A2 Bb2 B2 C3"),
    ("F", "C2 C#2 D2 Eb2 E2 F2 Gb2 G2 Ab2 A2"),
    # Passages in another key than the signature's.
    ("Bb", "Bb1 D2 F2 F#2 C#2 B1 E2 C#2 B1 A#1 F#1 E2 G#2 E2 D#2 C#2 F#2 D#2 C#2 A#1 D#2 D#2 B1"),
    ("F", "F1 A1 C2 Db2 Cb2 Db2 Gb2 Eb2 Cb2 Ab1 Bb1 Gb1 Db2 Cb2 Eb2 Gb1 Bb1 Db2 C2 F1 A1 F1"),
]


def typed(key: str, text: str) -> tuple[Doubt, ...]:
    """Check a line under the names that stand there."""
    notes, names = phrase(key, text)
    return check_names(notes, [p.fifths for p in names])


@pytest.mark.parametrize(("key", "text", "expected"), DOUBTED)
def test_a_name_nobody_expects_is_doubted(key: str, text: str, expected: dict[int, tuple[str, str]]) -> None:
    """The wrong names are found, no others, with the better name and the reason in the trade's words."""
    notes, _ = phrase(key, text)
    found = {d.at: d for d in typed(key, text)}
    assert set(found) == set(expected)
    for at, (better, reason) in expected.items():
        pitch = parse_pitch(f"{better}2")
        assert pitch is not None
        assert found[at].better == pitch.fifths
        assert found[at].reason == reason
        assert (found[at].better - 7 * notes[at].midi) % 12 == 0


@pytest.mark.parametrize(("key", "text"), DEFENDED)
def test_a_defensible_name_is_left_alone(key: str, text: str) -> None:
    """Blues notes, approach notes, plain names of chord tones: common practice, no doubt."""
    assert typed(key, text) == ()


@pytest.mark.parametrize(("key", "text", "source"), CASES)
def test_what_the_speller_writes_is_never_doubted(key: str, text: str, source: str) -> None:
    """The checker and the speller agree on every case of the table."""
    assert typed(key, text) == (), source


def test_a_wrong_name_in_a_passage_of_another_key_is_doubted() -> None:
    """In E major under no signature the names of E major are left alone, and others are not."""
    line = "E2 F#2 G#2 B2 C#3 D#3 C#3 B2 {} F#2 E2 D#2 E2 F#2 G#2 B2 E2"
    assert typed("C", line.format("G#2")) == ()
    assert [d.at for d in typed("C", line.format("Ab2"))] == [8]


def test_a_settled_name_is_not_in_question() -> None:
    """A name that is meant (`=`) or came from a degree is never doubted."""
    notes, names = phrase("Eb", "Eb2 G#2 Bb2 Eb3")
    places = [p.fifths for p in names]
    meant = [n._replace(name=place) for n, place in zip(notes, places, strict=True)]
    assert check_names(notes, places)
    assert check_names(meant, places) == ()


def test_the_writers_preference_is_respected() -> None:
    """A sharp under `enharmonic sharps` is what the writer asked for; a flat is still looked at."""
    notes, names = phrase("C", "C2 E2 G2 Ab2 A2 F2 G2 E2")
    places = [p.fifths for p in names]
    assert check_names([n._replace(prefer="sharps") for n in notes], places)
    assert check_names([n._replace(prefer="flats") for n in notes], places) == ()
    settled, names = phrase("Eb", "Eb2 G#2 Bb2 Eb3")  # what the key settles is no matter of preference
    assert check_names([n._replace(prefer="sharps") for n in settled], [p.fifths for p in names])


def test_repetitions_of_a_wrong_name_are_all_found() -> None:
    """Who thinks in the wrong name types it every time."""
    assert [d.at for d in typed("Eb", "G#2 G#2 Eb2 G#2 G#2 Bb2 Eb3")] == [0, 1, 3, 4]


@pytest.mark.parametrize(
    ("given", "line", "better", "same_tonic"),
    [
        ("G", "G1 A1 B1 C2 D2 E2 F2 F2 E2 D2 F2 G2 F2 D2 C2 B1", "C major", "G mixolydian"),
        ("C", "C2 D2 E2 F2 G2 A2 Bb2 A2 Bb2 G2 Bb2 C3 Bb2 F2", "F major", "C mixolydian"),
        ("A minor", "A1 B1 C2 D2 E2 F#2 G2 A2 F#2 E2 F#2 G2 F#2 D2", "E minor", "A dorian"),
        ("F", "F1 G1 A1 B1 C2 D2 E2 F2 B1 A1 B1 C2 B1 G1", "C major", "F lydian"),
        # No key typed, every flat by hand: the key that has them all, not the nearest one.
        ("C", "Bb1 F2 Bb1 G2 Eb2 F2 Bb1 C2 Eb2 Ab2 G2 Ab2 Bb2", "Eb major", "C minor"),
    ],
)
def test_a_wrong_key_is_suspected(given: str, line: str, better: str, same_tonic: str) -> None:
    """Where the notes alter one letter all the time, the key that has it so is named, with the count."""
    notes, names = phrase(given, line)
    found = check_key(notes, [p.fifths for p in names])
    assert found is not None
    assert (str(found.key), str(found.mode)) == (better, same_tonic)
    low = notes[0].key.fifths - 1
    strange = sum(not low <= p.fifths <= low + 6 for p in names)
    assert (found.outside, found.there, found.notes) == (strange, 0, len(notes))


@pytest.mark.parametrize(
    ("given", "line"),
    [
        ("A minor", "A1 B1 C2 D2 E2 F2 G#2 A2 G#2 E2 G#2 A2 G#2 B1"),  # the leading tone is no other key
        ("G", "@G7 G1 B1 D2 F2 F2 D2 F2 F2 F2 G2 F2 D2"),  # the chord's own seventh
        ("G", "G1 A1 B1 C2 D2 E2 F2 F#2 G2 F#2 D2 F2 F2 F2"),  # both forms of a letter
    ],
)
def test_a_key_with_accidentals_is_not_suspected(given: str, line: str) -> None:
    """Leading tones, chord tones and letters in both forms are no sign of another key."""
    notes, names = phrase(given, line)
    assert check_key(notes, [p.fifths for p in names]) is None
