"""Names that the speller finds: what a good reader expects, case by case, with where the expectation comes from."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe.music.chord import Chord, parse_chord
from scribe.music.key import Key, parse_key
from scribe.music.pitch import LETTERS, Pitch, parse_pitch
from scribe.music.spelling.explain import explain
from scribe.music.spelling.note import Note
from scribe.music.spelling.speller import Phrase, first_guess, solve, spell

COMMON = "common practice, no source"
CHORD = "chord tone beats scale rule: common practice, no source"
MINOR = "harmonic and melodic minor keep their raised degrees as raised letters (table of the 15 signatures, music21)"
RUN = "chromatic scale: raised when rising, lowered when falling (moodlemusic.net, Chromatic scale)"
STAYS = "the flat seventh rising and the raised fourth falling usually stay in major (from memory)"
NEIGHBOUR = "a semitone to a scale note and back is a minor second (stage 2 of ps13, six patterns)"
BLUES = "flat third and seventh always flat, flat fifth when falling, raised fourth when rising (from memory)"
PLAIN = (
    "B rather than C flat, plain names rather than double accidentals in charts: common practice, no source"
)

CASES: list[tuple[str, str, str]] = [
    # Secondary dominants: #1 leads to ii, #2 to iii, #4 to V, #5 to vi.
    ("C", "@C C2 E2 G2 @A7 A1 C#2 E2 G2 @Dm7 D2 F2 A2 C3", CHORD),
    ("C", "@C C2 E2 G2 @E7 E2 G#2 B2 D3 @Am A2", CHORD),
    ("C", "@C C2 @B7 B1 D#2 F#2 A2 @Em E2", CHORD),
    ("Eb", "@Eb Eb2 G2 @G7 B1 G1 @Cm C2", CHORD),
    ("Bb", "@D7 D2 F#2 A2 C3 @Gm G2", CHORD),
    ("C", "C2 E2 G2 A1 C#2 E2 G2 D2 F2 A2 D2", COMMON),
    ("C", "E2 G#2 B2 D3 C3 A2", COMMON),
    ("C", "D2 F#2 A2 C3 B2 G2", COMMON),
    ("G", "B1 D#2 F#2 A2 G2 E2", COMMON),
    ("Eb", "G1 B1 D2 F2 Eb2 C2", COMMON),
    ("Bb", "A1 C#2 E2 G2 F2 D2", COMMON),
    # Flat ninths: b9 of V is b6 of the key.
    ("C", "@G7b9 G1 B1 D2 F2 Ab2 @C G2", CHORD),
    ("F", "@C7b9 C2 E2 Bb2 Db2 @F C2", CHORD),
    ("A minor", "@E7b9 E2 G#2 B2 D3 F3 E3 @Am A2", CHORD),
    ("E minor", "@B7b9 B1 D#2 F#2 C3 B2 @Em E2", CHORD),
    # Sharp elevenths: #11 of I is #4.
    ("C", "@Cmaj7#11 C2 E2 G2 F#2 G2", CHORD),
    ("F", "@F7#11 F2 A2 B2 C3", CHORD),
    ("Eb", "@Ab7#11 Ab1 C2 Eb2 D2 C2", CHORD),
    # Diminished sevenths.
    ("C", "@C#dim7 C#2 E2 G2 Bb2 @Dm D2", CHORD),
    ("G", "@D#dim7 D#2 F#2 A2 C3 @Em E2", CHORD),
    ("Bb", "@F#dim7 F#2 A2 C3 Eb3 @Gm G2", CHORD),
    ("C minor", "@Bdim7 B1 D2 F2 Ab2 @Cm G2", CHORD),
    ("C", "@Cdim7 C2 Eb2 Gb2 A2", PLAIN),
    ("Eb", "@Eb Db2 D2 Eb2 E2", PLAIN),
    # Over chords far from the key.
    ("Eb", "@B7 B1 D#2 F#2 A2 @Em E2", CHORD),
    ("E", "@C C2 E2 G2 @E E2", CHORD),
    ("C", "@Fm F2 Ab2 C3 @C G2 E2 C2", CHORD),
    ("C", "@Dm7 D2 F2 @Db7 Db2 Ab1 @Cmaj7 C2", CHORD),
    ("C", "@Db7 Db2 F2 Ab2 B2 @C C3", PLAIN),
    ("Ab minor", "@Abm7 Ab1 Cb2 Eb2 Gb2", CHORD),
    ("C# minor", "@G#7 G#1 B#1 D#2 F#2 @C#m C#2", CHORD),
    # Approach notes between chords.
    ("C", "@Dm7 D2 F2 A2 Ab2 @G7 G2 B1 D2 Db2 @C C2", RUN),
    ("C", "@Dm7 D2 F2 A2 F#2 @G7 G2", RUN),
    ("C", "@Dm7 D2 D2 A2 G#2 @Am7 A2", RUN),
    # Blues.
    ("C", "C2 Eb2 F2 Gb2 F2 Eb2 C2", BLUES),
    ("C", "C2 Eb2 F2 F#2 G2 Bb2 C3", BLUES),
    ("C", "@C7 C3 Bb2 G2 Gb2 F2 Eb2 C2", BLUES),
    ("C", "G2 Gb2 F2 Eb2 C2", BLUES),
    ("C", "G2 F#2 F2 E2 D2 C2", STAYS),
    ("C", "@C7 C2 Eb2 F2 F#2 G2 Gb2 F2 Eb2 C2", BLUES),
    ("G", "D3 Db3 C3 Bb2 G2", BLUES),
    ("E", "B2 Bb2 A2 G2 E2", BLUES),
    ("A minor", "E2 Eb2 D2 C2 A1", BLUES),
    ("Bb", "F2 E2 Eb2 Db2 Bb1", f"{BLUES}; {PLAIN}"),
    ("C", "@C7 C2 D2 Eb2 E2 G2 A2 Bb2 C3", BLUES),
    ("G", "@G7 G1 Bb1 C2 Db2 C2 Bb1 G1", BLUES),
    ("G", "@G7 G1 Bb1 C2 C#2 D2 F2 G2", BLUES),
    ("F", "@F7 Ab1 A1 C2 F2", BLUES),
    ("E", "@E7 E1 G1 G#1 B1 D2 E2", BLUES),
    ("E", "@E7#9 E1 G1 G#1 B1 D2 E2", PLAIN),
    ("A minor", "A1 C2 D2 Eb2 D2 C2 A1", BLUES),
    ("A minor", "A1 C2 D2 D#2 E2 G2 A2", BLUES),
    # Chromatic runs.
    ("C", "C2 C#2 D2 D#2 E2 F2 F#2 G2 G#2 A2 Bb2 B2 C3", f"{RUN}; {STAYS}"),
    ("C", "C3 B2 Bb2 A2 Ab2 G2 F#2 F2 E2 Eb2 D2 Db2 C2", f"{RUN}; {STAYS}"),
    ("G", "G1 G#1 A1 A#1 B1 C2 C#2 D2", RUN),
    ("Eb", "Eb2 E2 F2 F#2 G2 Ab2 A2 Bb2", RUN),
    ("F", "F1 F#1 G1 G#1 A1", RUN),
    ("F", "C2 B1 Bb1 A1 Ab1 G1 Gb1 F1", RUN),
    ("Bb", "G2 C2 Bb1 Ab1 G1 Gb1 F1 E1 F1 Bb1", RUN),
    ("C", "E2 A2 A2 D#2 E2 Eb2 D2 E2 F2 C2", f"{RUN}; a run that turns takes both names"),
    # A note struck again is one note: it is what lies beyond its repetitions that counts.
    ("C", "D2 D2 Eb2 Eb2 Eb2 D2 D2 D#2 D#2 E2", RUN),
    ("C", "G2 G2 F#2 F#2 F#2 G2", NEIGHBOUR),
    # Neighbour notes.
    ("C", "G2 F#2 G2", NEIGHBOUR),
    ("C", "A2 G#2 A2", NEIGHBOUR),
    ("C", "E2 D#2 E2", NEIGHBOUR),
    ("C", "G2 Ab2 G2", NEIGHBOUR),
    ("C", "C2 Db2 C2", NEIGHBOUR),
    ("Bb", "F2 E2 F2 Gb2 F2", NEIGHBOUR),
    # Minor.
    ("A minor", "A1 B1 C2 D2 E2 F2 G#2 A2", MINOR),
    ("A minor", "A1 B1 C2 D2 E2 F#2 G#2 A2 G2 F2 E2", MINOR),
    ("C minor", "C2 D2 Eb2 F2 G2 A2 B2 C3 Bb2 Ab2 G2", MINOR),
    ("C# minor", "C#2 D#2 E2 F#2 G#2 A2 B#2 C#3", MINOR),
    ("G# minor", "G#1 A#1 B1 C#2 D#2 E2 F##2 G#2", MINOR),
    ("F minor", "F1 G1 Ab1 Bb1 C2 Db2 E2 F2", MINOR),
    ("Eb minor", "Eb2 F2 Gb2 Ab2 Bb2 Cb3 D3 Eb3", MINOR),
    # Modes.
    ("D dorian", "D2 C#2 D2 A1 C2 D2", COMMON),
    ("E phrygian", "E2 F2 G#2 A2 G#2 F2 E2", COMMON),
    ("G mixolydian", "G1 F#1 G1 F1 E1 F1 G1", COMMON),
    ("F# locrian", "F#2 G2 A2 B2 C3 D3 E3", COMMON),
    # Seventh chords of flat keys without a symbol.
    ("Db", "Db2 F2 Ab2 Cb3 Bb2 Gb2", COMMON),
    ("Gb", "Gb1 Bb1 Db2 Fb2 Eb2 Cb2", COMMON),
]


def phrase(key: str, text: str) -> tuple[list[Note], list[Pitch]]:
    """Read a line of pitches and `@` chord symbols into free notes and the names that stand there."""
    known = parse_key(key)
    assert known is not None
    chord: Chord | None = None
    notes: list[Note] = []
    names: list[Pitch] = []
    for word in text.split():
        if word.startswith("@"):
            chord = parse_chord(word[1:])
            assert chord is not None
            continue
        pitch = parse_pitch(word)
        assert pitch is not None
        names.append(pitch)
        notes.append(Note(pitch.midi, known, chord))
    return notes, names


@pytest.mark.parametrize(("key", "text", "source"), CASES)
def test_a_line_is_spelled_as_expected(key: str, text: str, source: str) -> None:
    """Every case of the table gets its names back from key, chords and neighbours."""
    notes, names = phrase(key, text)
    assert [str(p) for p in spell(notes)] == [str(p) for p in names], source


@pytest.mark.parametrize("mode", ["major", "minor", "dorian", "phrygian", "lydian", "mixolydian"])
def test_every_scale_gets_its_own_names(mode: str) -> None:
    """The scale of every key and mode, up and down, is spelled by its signature."""
    keys = [
        Key(letter, alter, mode)
        for letter in LETTERS
        for alter in (-1, 0, 1)
        if -7 <= Key(letter, alter, mode).fifths <= 7
    ]
    assert len(keys) >= 12
    for key in keys:
        tonic = LETTERS.index(key.letter)
        names = [LETTERS[(tonic + k) % 7] for k in range(8)]
        up = [Pitch(n, key.alteration(n), 2 + (tonic + k) // 7) for k, n in enumerate(names)]
        line = [*up, *up[::-1]]
        assert list(spell([Note(p.midi, key) for p in line])) == line, key


def test_the_writers_preference_rules_outside_key_and_chord() -> None:
    """`sharps` and `flats` decide names that neither the key nor the chord settles, and only those."""
    notes, _ = phrase("C", "C2 C#2 D2 F#2 Bb2 A2")
    sharps = spell([n._replace(prefer="sharps") for n in notes])
    flats = spell([n._replace(prefer="flats") for n in notes])
    assert [p.name for p in sharps] == ["C", "C#", "D", "F#", "A#", "A"]
    assert [p.name for p in flats] == ["C", "Db", "D", "Gb", "Bb", "A"]
    chordal, _ = phrase("C", "@A7 C#2")
    assert [p.name for p in spell([n._replace(prefer="flats") for n in chordal])] == ["C#"]


def test_settled_names_stay_and_guide_the_others() -> None:
    """A name that is settled is kept, and free notes of the same sound beside it take it over."""
    notes, _ = phrase("C", "C2 G#2 F2 G#2 C2")
    settled = [n._replace(name=-4) if i == 1 else n for i, n in enumerate(notes)]
    assert [p.name for p in spell(settled)] == ["C", "Ab", "F", "Ab", "C"]


def test_pitches_keep_their_sound() -> None:
    """Whatever the names, the MIDI numbers are those that were given, at the octave breaks too."""
    for key, text, _ in CASES:
        notes, _ = phrase(key, text)
        assert [p.midi for p in spell(notes)] == [n.midi for n in notes]


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    st.sampled_from(["C", "Eb", "F# minor", "Db", "E", "D dorian"]),
    st.lists(st.tuples(st.integers(36, 48), st.sampled_from([None, "B7", "Ab7#9"])), min_size=1, max_size=6),
)
def test_the_solution_is_exact(key: str, sounds: list[tuple[int, str | None]]) -> None:
    """No assignment of names costs less than the one found, and every margin is the true one (all are tried)."""
    known = parse_key(key)
    assert known is not None
    notes = [Note(midi, known, parse_chord(chord) if chord else None) for midi, chord in sounds]
    laid_out = Phrase(notes, [first_guess(n) for n in notes])
    everything = range(len(notes))
    totals = {names: laid_out.cost(names, everything) for names in itertools.product(*laid_out.names)}
    least = min(totals.values())
    assert totals[laid_out.best()] == pytest.approx(least)
    for i, margins in enumerate(laid_out.margins()):
        for place, margin in zip(laid_out.names[i], margins, strict=True):
            assert margin == pytest.approx(
                min(cost for names, cost in totals.items() if names[i] == place) - least
            )


@settings(max_examples=80, derandomize=True, deadline=None)
@given(
    st.sampled_from(["C", "Eb", "E", "A minor"]),
    st.sampled_from(["", "@C7", "@B7", "@Ab7#9"]),
    st.lists(st.sampled_from([-2, -1, 1, 2]), min_size=3, max_size=12),
)
def test_no_semitone_spans_three_letters(key: str, chord: str, moves: list[int]) -> None:
    """However a line winds about, two names in a row never read as F double sharp and G flat."""
    known = parse_key(key)
    assert known is not None
    over = parse_chord(chord[1:]) if chord else None
    line = list(itertools.accumulate(moves, initial=43))
    names = solve([Note(midi, known, over) for midi in line])
    for (one, two), move in zip(itertools.pairwise(names), moves, strict=True):
        assert abs(move) != 1 or abs(two - one) in (5, 7)


def test_nothing_gives_nothing() -> None:
    """An empty phrase has no names and no explanations."""
    assert spell([]) == ()
    assert explain([]) == ()


def test_explanations_show_what_was_weighed() -> None:
    """The first candidate is the name chosen, costs are broken up by rule, and the reason is in the trade's words."""
    notes, names = phrase("C", "D2 D#2 E2")
    told = explain(notes)
    assert [t.candidates[0].place for t in told] == [p.fifths for p in names]
    chosen, other = told[1].candidates[:2]
    assert (chosen.margin, other.place) == (0, -3)
    assert other.margin > 0
    assert {"unison", "rising"} <= set(other.terms)
    assert told[1].reason == "before E: a note that leads up a semitone stands one letter below, D sharp"


def test_explanations_agree_with_the_speller() -> None:
    """For every case of the table the explained winner is the spelled name."""
    for key, text, _ in CASES:
        notes, _ = phrase(key, text)
        assert tuple(t.candidates[0].place for t in explain(notes)) == solve(notes)
