"""Drafts in another key and back: names, keys, symbols and octave marks go along, everything else stays."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.music.rewrite.lines import first_key
from scribe.music.rewrite.target import interval_to, parse_target, suggest_target
from scribe.music.rewrite.transpose import transpose
from tests.rewrite_help import interval, midi, moved

DRAFT = """; a made-up line
title   Window Seat   ; sketch
key     G minor
tempo   96

[A]
0:04.2 | @Gm9 g--. .-^g- b.c- d  | @C13/E c.-c -.B a(g) / |   ; two bars
| @D7#9 A:5>:9 qF# ,eda? 'mf . |: 5b3 #4^1 "easy" x e+b :|
"""


MOVED = """; a made-up line
title   Window Seat   ; sketch
key     C minor
tempo   96

home    D2 ; added by transpose
[A]
0:04.2 | @Cm9 c--. .-^c- e.f- g  | @F13/A f.-f -.E d(c) / |   ; two bars
| @G7#9 A:10>:14 qB ,agd? 'mf . |: 5b3 #4^1 "easy" x a+e :|
"""


def test_notes_chords_and_keys_move_and_all_else_stays() -> None:
    """A fourth up: letters through the new key, degrees as they are, frets five further; comments and blanks stay."""
    assert moved(DRAFT, "up P4") == MOVED
    assert moved(MOVED, "down P4") == DRAFT


@pytest.mark.parametrize(
    ("key", "where", "there"),
    [
        ("G minor", "to Ab minor", "Ab minor"),
        ("G minor", "to Ab", "Ab minor"),
        ("F", "to F#", "F#"),
        ("F", "up A1", "F#"),
        ("F", "up m2", "Gb"),
        ("B", "up m2", "C"),
        ("B", "up P4", "E"),
        ("F#", "up P4", "B"),
        ("Db", "down m3", "Bb"),
        ("C", "down m2", "B"),
        ("E", "up A4", "Bb"),
        ("D dorian", "up m3", "F dorian"),
        ("bb", "down M2", "ab"),
    ],
)
def test_keys_move_to_a_key_with_few_signs(key: str, where: str, there: str) -> None:
    """A key of six signs at most, or the one asked for by name; mode and way of writing stay."""
    assert moved(f"key {key}\n| g b d g |\n", where).splitlines()[0] == f"key {there}"


def test_a_draft_without_a_key_gets_one_that_goes_again() -> None:
    """C major is what it stood in; what was added says so, and is gone when the draft is back."""
    text = "; for two\n| c e g b |\n| ^c |\n"
    there = moved(text, "up P4")
    assert there == (
        "; for two\nkey F ; added by transpose\nhome D2 ; added by transpose\n| f a c e |\n| ^f |\n"
    )
    assert moved(there, "down P4") == text
    assert moved(moved(text, "up m2"), "to C") == text


@pytest.mark.parametrize(
    ("line", "where", "there"),
    [
        ("home A1", "up P4", "home D2"),
        ("home A:0   ; low", "up P4", "home A:5   ; low"),
        ("home A:0   ; low", "down m3", "home F#1 ; from A:0   ; low"),
        ("home E:0", "down P8", "home E0 ; from E:0"),
        ("position 5", "up M2", "position 7"),
        ("position 2", "down M3", "position free ; at fret -2"),
        ("position free", "down M3", "position free"),
        ("key F#", "up M2", "key Ab ; from F#"),
        ("key F# ; bright", "up P5", "key Db ; from F# ; bright"),
        ("key C#;sic", "down M2", "key B ; from C#;sic"),
        ("key Ab minor", "up M2", "key Bb minor ; from Ab"),
        ("key E ; from G", "up m3", "key G ; from G"),
        ("key C ; added by ear", "up P4", "key F ; added by ear"),
    ],
)
def test_lines_that_move_come_back(line: str, where: str, there: str) -> None:
    """`key`, `home` and `position` move along; a name that the way back would not find is kept in a comment."""
    text = f"{line}\n| D:12 |\n"
    way, by = where.split()
    new = moved(text, where)
    assert there in new.splitlines()
    assert moved(new, f"{'down' if way == 'up' else 'up'} {by}") == text


def test_a_key_that_was_kept_is_found_again_by_any_way() -> None:
    """F sharp to A flat, on to B, back to F sharp: not to G flat."""
    text = "key F#\n| f A c F |\n"
    assert moved(moved(moved(text, "up M2"), "up m3"), "down P4") == text


def test_keys_of_a_draft_stay_related() -> None:
    """B and G sharp minor go to sharps or flats together: one that would need too many signs takes the other along."""
    text = "key D minor\n| d f a d |\nkey A minor\n| a c e a |\n"
    there = moved(text, "up d5")
    assert [n for n in there.splitlines() if n.startswith("key")] == ["key G# minor", "key D# minor"]
    assert moved(there, "down d5") == text


def test_octave_marks_stay_as_typed() -> None:
    """Needed or not: the home that they are measured from moves, with a line of its own if there is none."""
    text = "key F\n| ^c d ^e f | c c |\n"
    assert moved(text, "up m2") == "key Gb\n| ^d e ^f g | d d |\n"
    assert moved(text, "up P4") == "key Bb\nhome D2 ; added by transpose\n| ^f g ^a b | f f |\n"
    assert moved(moved(text, "up P4"), "down P4") == text
    assert moved("key F\n| a b c d |\n", "up M2") == "key G\n| b c d e |\n"


def test_an_instrument_that_comes_later_brings_its_home() -> None:
    """Each gets its own line, and both go."""
    text = "key C\n| c e g c |\ninstrument trumpet\n| g c e g |\n"
    there = moved(text, "up P5")
    assert there.count("added by transpose") == 2
    assert midi(there) == [m and m + 7 for m in midi(text)]
    assert moved(there, "down P5") == text


@pytest.mark.parametrize(
    ("key", "typed", "where", "there"),
    [
        ("C", "Bb f# c d", "up P5", "fn c# g a"),  # a writer of small letters with signs
        ("C", "Bb F# c d", "up P5", "F C# g a"),  # a writer of capitals
        ("G", "fn c# g a", "down P5", "Bb f# c d"),
        ("C", "Cnb c An d", "up M2", "Dc d Bn e"),
        ("C", "^f f g:A. f", "up A4", "^b b c:A. b"),
        ("D minor", "D:3:5A:5 A:3", "up M2", "D:5:7A:7 A:5"),
        ("Eb", "^g:Ac c c c", "down m2", "^f:AB b b b"),
    ],
)
def test_the_way_a_note_is_typed_stays(key: str, typed: str, where: str, there: str) -> None:
    """Small or capital, with a sign or without; two notes are never read as one."""
    found = moved(f"key {key}\nhome A:0\n| {typed} |\n", where)
    assert found.splitlines()[2] == f"| {there} |"
    way, by = where.split()
    back = moved(found, f"{'down' if way == 'up' else 'up'} {by}")
    assert back.splitlines()[2] == f"| {typed} |"


@pytest.mark.parametrize(
    ("key", "chord", "where", "there"),
    [
        ("C", "Db7", "down m2", "C7"),  # tritone substitute in B
        ("B", "C7", "up m2", "Db7"),
        ("Gb", "A7", "down m2", "Ab7"),  # stands for B double flat
        ("F", "Ab7", "up m2", "A7"),
        ("Gb", "Cb/Eb", "down m2", "Bb/D"),
        ("B", "F#7/A#", "down m2", "F7/A"),
        ("C", "Gfoo/B", "up P4", "Cfoo/E"),
        ("C", "N.C.", "up P4", "N.C."),
        ("C", "C6/9", "up P4", "F6/9"),
        ("F# minor", "E#dim7", "down M2", "D#dim7"),
        ("Bb minor", "B7", "up M2", "Db7"),
        ("G", "D♭7", "down P4", "Ab7"),
    ],
)
def test_chord_symbols_move_with_their_key(key: str, chord: str, where: str, there: str) -> None:
    """Roots keep their place in the key; a name that stands for one that nobody reads is taken for that one."""
    text = f"key {key}\nenharmonic free\n| @{chord} A:7 |\n"
    new = moved(text, where)
    assert new.splitlines()[2].split()[1] == f"@{there}"
    way, by = where.split()
    again = moved(new, f"{'down' if way == 'up' else 'up'} {by}")
    assert again.splitlines()[2].split()[1] == f"@{chord}".replace("♭", "b")


def test_degrees_of_the_chord_stay_where_its_root_gives_way() -> None:
    """The sound is what it was; the text stays."""
    text = "key Gb\ndegrees chord\n| @A7 1 3 5 b7 |\n"
    there = moved(text, "down m2")
    assert there.splitlines()[-1] == "| @Ab7 1 3 5 b7 |"
    assert midi(there) == [m and m - 1 for m in midi(text)]


def test_used_sections_move_too() -> None:
    """`use A up P4` says the same everywhere."""
    text = "key G\n[A]\n| g b d F |\nuse A up P4\nkey D\nuse A\n"
    there = moved(text, "up m3")
    assert "use A up P4\n" in there
    assert midi(there) == [m and m + 3 for m in midi(text)]


def test_the_mode_stays() -> None:
    """A minor draft cannot be moved to a major key: that would be another piece."""
    draft = compile("key G minor\n| g |\n").draft
    target = parse_target("to Ab major")
    assert target is not None
    said = interval_to(first_key(draft), target)
    assert (
        said
        == "the draft begins in G minor, and transposing keeps the mode: expected `to Ab minor` or another minor key"
    )


def test_the_shortest_way_is_taken() -> None:
    """To a key: up or down, whichever is nearer; a tritone goes up."""
    for goal, way in (("to D", "up M2"), ("to A", "down m3"), ("to F#", "up A4"), ("to Gb", "up d5")):
        target = parse_target(goal)
        assert target is not None
        assert str(interval_to(first_key(compile("| c |\n").draft), target)) == way


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("up 4", "up P4"),
        ("up fourth", "up P4"),
        ("down a third", "down M3"),
        ("down minor third", "down m3"),
        ("up P3", "up M3"),
        ("up m5", "up P5"),
        ("octave", "up P8"),
        ("up a half step", "up m2"),
        ("down 3 semitones", "down m3"),
        ("two tones", ""),
        ("up 13 semitones", ""),
        ("G minor", "to G minor"),
        ("to Gm", "to G minor"),
        ("b flat", "to Bb"),
        ("in F# dorian", "to F# dorian"),
        ("to H", ""),
        ("to G# major", ""),
        ("sideways", ""),
    ],
)
def test_what_was_meant_is_said(typed: str, meant: str) -> None:
    """Intervals without their quality or in words, keys in chord style: what is expected is ready to type."""
    assert suggest_target(typed) == meant
    assert parse_target(typed) is None
    assert not meant or parse_target(meant) is not None


def test_an_octave_keeps_every_key() -> None:
    """Keys of seven signs too, and nothing is put down about them."""
    assert moved("key C#\nhome A1\n| e |\n", "up P8") == "key C#\nhome A2\n| e |\n"


def test_what_leaves_the_fretboard_is_a_fault_and_nothing_moves() -> None:
    """Frets and pins stay on their string."""
    text = "| A:3 ^g:D E:1 A:20 |\n"
    down, up = transpose(text, interval("down A4")), transpose(text, interval("up P5"))
    assert down.text == up.text == text
    assert [f.message for f in down.faults] == [
        "bar 1: Gb1 would lie 3 semitones below its open string",
        "bar 1: Db2 would lie 1 semitone below its open string",
        "bar 1: Cb1 would lie 5 semitones below its open string",
    ]
    assert [f.message for f in up.faults] == ["bar 1: C4 would lie at fret 27"]
    assert {f.code for f in (*down.faults, *up.faults)} == {"off-fretboard"}
