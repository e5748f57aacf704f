"""Rewriting drafts: into another key and back, into another way of writing; what sounds is what sounded."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe import compile
from scribe.diagnostics import Span
from scribe.music.interval import Interval, parse_interval
from scribe.music.rewrite.bar import Form
from scribe.music.rewrite.edit import Edit, aligned, apply, joined
from scribe.music.rewrite.lines import first_key
from scribe.music.rewrite.respell import explain_bar, respell
from scribe.music.rewrite.target import interval_to, parse_target, signs_of, suggest_target
from scribe.music.rewrite.transpose import transpose
from scribe.music.rewrite.ways import rewrite
from tests.pieces import random_draft


def interval(text: str) -> Interval:
    found = parse_interval(text)
    assert found is not None
    return found


def midi(text: str) -> list[int | None]:
    """Everything that sounds in a draft without errors."""
    compiled = compile(text)
    assert not [d for d in compiled.piece.diagnostics if d.severity == "error"]
    return [n.midi for n in compiled.notes]


def names(text: str) -> list[str]:
    return [str(n.pitch) for n in compile(text).notes]


def moved(text: str, where: str) -> str:
    """A draft moved as `scribe transpose` would; it must be possible."""
    target = parse_target(where)
    assert target is not None
    key = first_key(compile(text).draft)
    by = interval_to(key, target)
    assert isinstance(by, Interval), by
    result = transpose(text, by, signs_of(key, target))
    assert result.faults == ()
    return result.text


# --- transposing -------------------------------------------------------------------------------------------

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


# --- ways of writing ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "form", "expected"),
    [
        ("key G minor\n| g b d f |\n", "degree", "key G minor\n| 1 b3 5 b7 |\n"),
        ("key G minor\n| 1 b3 5 #4 |\n", "letter", "key G minor\n| g b d C# |\n"),
        ("key G minor\n| E:3 A:1 A:5 A:4 |\n", "letter", "key G minor\n| g b d C# |\n"),
        ("key G minor\n| E:3 A:1 A:5 A:4 |\n", "degree", "key G minor\n| 1 b3 5 #4 |\n"),
        ("key G minor\n| g b d C# |\n", "fret", "key G minor\n| E:3 A:1 D:0 A:4 |\n"),
        ("| g:E>'v qc* d? ^c |\n", "fret", "| E:3>'v qA:3* D:0? G:5 |\n"),
        ("| gb- x:Ac e+b (ga) |\n", "fret", "| E:3A:2- x:A:3 D:2+G:4 (G:0:2) |\n"),
        ("| E:3:5:7:8 A:3:2 . :3 |\n", "letter", "| gabc cb . :3 |\n"),
        ("| Gb Cn bB Fn |\n", "degree", "| b5 1 77 4 |\n"),
        ("degrees chord\n| @Gm7 g b Bb d |\n", "degree", "degrees chord\n| @Gm7 1 3 b3 5 |\n"),
        ("| A:0 G:0 E:0 vA:0 |\n", "letter", "| A:0 G:0 E:0 vA:0 |\n"),
        ("| A:0 G:0 A:12 E:0 |\n", "letter", "| a ^g a vve |\n"),
        ("| ,cd g~a ,A:3D:0 2{g a b} |\n", "letter", None),
    ],
)
def test_ways_of_writing(text: str, form: Form, expected: str | None) -> None:
    """Letters, degrees, frets: marks stay, octave marks come where they are needed."""
    if any(d.severity == "error" for d in compile(text).piece.diagnostics):
        assert rewrite(text, form).text == text
    else:
        assert rewrite(text, form).text == (expected or text)


@pytest.mark.parametrize("form", ["letter", "degree"])
def test_a_rewritten_draft_has_the_same_pitches(form: Form) -> None:
    """Any draft, in letters or degrees: the same sounds under the same names, and doing it again changes nothing."""
    for seed in range(60):
        text = random_draft(seed)
        new = rewrite(text, form)
        assert new.faults == ()
        assert midi(new.text) == midi(text), seed
        assert names(new.text) == names(text), seed
        assert rewrite(new.text, form).text == new.text


def test_frets_and_back_keep_the_sound() -> None:
    """Any draft that lies on the strings: to frets and back to letters, the same sounds."""
    tried = 0
    for seed in range(150):
        text = random_draft(seed)
        frets = rewrite(text, "fret")
        if frets.faults:
            assert {f.code for f in frets.faults} == {"off-fretboard"}
            assert frets.text == text
            continue
        tried += 1
        assert midi(frets.text) == midi(text)
        assert midi(rewrite(frets.text, "letter").text) == midi(text)
    assert tried > 8


@settings(max_examples=80, derandomize=True, deadline=None)
@given(
    st.sampled_from(["C", "Eb", "F# minor", "D dorian"]),
    st.lists(
        st.lists(
            st.tuples(st.integers(0, 3), st.integers(0, 19), st.sampled_from(["", ">", "?", "'v"])),
            min_size=1,
            max_size=4,
        ),
        min_size=4,
        max_size=4,
    ),
)
def test_all_three_ways_lead_back(key: str, words: list[list[tuple[int, int, str]]]) -> None:
    """A bar of frets written as letters, as degrees, as letters again, as frets: always the same sounds."""
    bar = " ".join("".join(f"{'EADG'[s]}:{f}{mark}" for s, f, mark in word) for word in words)
    text = f"key {key}\n| {bar} |\n"
    sounds = midi(text)
    for form in ("letter", "degree", "letter", "fret", "degree", "fret"):
        text = rewrite(text, form).text
        assert midi(text) == sounds


def test_only_the_bars_asked_for_change() -> None:
    """`--bars 2-3`: by printed number; the others stay sign for sign."""
    text = "key F\n| f a c f | f a c f |\n| f a c f | f a c f |\n"
    assert rewrite(text, "degree", (2, 3)).text == "key F\n| f a c f | 1 3 5 1 |\n| 1 3 5 1 | f a c f |\n"


def test_a_writer_of_small_letters_gets_small_letters() -> None:
    """Where all notes outside the key are small letters with signs, so are those that were degrees."""
    assert rewrite("| f# g c d | #4 b7 n3 1 |\n", "letter").text == "| f# g c d | f# Bb e c |\n"
    assert rewrite("| F# g c d | #4 b7 n3 1 |\n", "letter").text == "| F# g c d | F# Bb e c |\n"


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [("c:Ae", "1:ab3"), ("c:Af#", "1:A=#4"), ("c:A>e", "1:A>b3"), ("c:Ad", "1:A2"), ("^c:De?", "^1:db3?")],
)
def test_a_string_is_not_read_with_the_degree_behind_it(typed: str, degrees: str) -> None:
    """`1:A` and `b3` would be A flat: a small letter names the same string; `=` parts it from a sharp."""
    text = f"key C minor\n| c {typed} c c |\n"
    new = rewrite(text, "degree").text
    assert new == f"key C minor\n| 1 {degrees} 1 1 |\n"
    assert midi(new) == midi(text)
    assert [n.string for n in compile(new).notes] == [n.string for n in compile(text).notes]
    assert rewrite(new, "letter").text == text.replace("f#", "F#")


def test_places_may_be_given() -> None:
    """A fingering tells where a note is to be played; a pin stays what it is."""
    text = "| g g:E a d |\n"
    bar = compile(text).piece.bars[0]
    first, _, third, _ = (e.heads[0].span for e in bar.events)
    where = {(bar.offset, first): (3, 10), (bar.offset, third): (4, 5)}
    assert rewrite(text, "fret", None, where).text == "| A:10 E:3 E:5 D:0 |\n"


def test_an_instrument_without_frets_has_no_frets() -> None:
    """A fault, and the text stays."""
    result = rewrite("instrument trumpet\n| c e g c |\n", "fret")
    assert [f.code for f in result.faults] == ["no-strings"]
    assert result.text == "instrument trumpet\n| c e g c |\n"


def test_broken_bars_stay_as_they_are() -> None:
    """What cannot be read cannot be rewritten; the bars around it can."""
    text = "key F\n| f a c f | f !! | f a c f |\n"
    assert rewrite(text, "degree").text == "key F\n| 1 3 5 1 | f !! | 1 3 5 1 |\n"


def test_typographic_signs_are_made_plain_in_what_changes() -> None:
    """Notes with signs from an editor are written in plain ones where they change; everything else stays."""
    assert rewrite("key F\n| f B♭ ĉ “a” f | “f♯” 1 |\n", "degree").text == (
        "key F\n| 1 4 ^5 “a” 1 | “f♯” 1 |\n"
    )


# --- names -------------------------------------------------------------------------------------------------


def test_better_names_are_put_in_and_nothing_else_changes() -> None:
    """Only the doubtful names; comments, blanks and alignment stay."""
    text = "; draft\nkey Eb   ; three flats\n|  ^e   G#  b e   | ^e a G#= b |  ; end"
    result = respell(text)
    assert result.text == "; draft\nkey Eb   ; three flats\n|  ^e   Ab  b e   | ^e a G#= b |  ; end"
    assert result.changed == 1


def test_respelling_keeps_the_sound_and_leaves_little_in_doubt() -> None:
    """Any draft: the same sounds; done again, nothing changes."""
    for seed in range(80):
        text = random_draft(seed)
        result = respell(text)
        assert midi(result.text) == midi(text), seed
        assert respell(result.text).text == result.text or result.changed > 0


def test_a_bar_is_explained_note_by_note() -> None:
    """Candidates with costs, the winner first, and how the note is typed."""
    text = "key Eb\n| ^e G# b e | % |\n"
    told = explain_bar(text, 1)
    assert told is not None
    assert [t.sound.head.pitch.name for t in told] == ["Eb", "G#", "Bb", "Eb"]
    assert [t.explanation.candidates[0].place for t in told] == [-3, -4, -2, -3]
    assert told[1].explanation.reason == "in Eb major: this is the key's own fourth degree, A flat"
    assert explain_bar(text, 2) == []
    assert explain_bar(text, 9) is None


@pytest.mark.parametrize(
    ("line", "mended"),
    [
        ("|  E#  g  | a |", "|  f   g  | a |"),  # no longer: made up
        ("|  d#   g | a |", "|  e    g | a |"),
        ("| E# g | a |", "| f g | a |"),  # nobody aligned this
        ("|  a   E#| a |", "|  a   f|  a |"),  # what is behind the barline keeps its place
    ],
)
def test_aligned_bars_stay_aligned(line: str, mended: str) -> None:
    """In lines with runs of blanks, those behind a word make up for its new length."""
    at = next(i for i, sign in enumerate(line) if sign == "#") - 1
    assert apply(line, aligned(line, [Edit(Span(at, at + 2), mended[at])])) == mended


def test_a_longer_word_takes_from_the_blanks_behind_it() -> None:
    """Down to one; two edits of a word count together; other lines have no say."""
    text = "a  b   c d\ne f"
    assert apply(text, aligned(text, [Edit(Span(0, 1), "xyz")])) == "xyz b   c d\ne f"
    assert apply(text, aligned(text, [Edit(Span(3, 4), "xyz")])) == "a  xyz c d\ne f"
    assert apply("ab   c", aligned("ab   c", [Edit(Span(0, 1), "xx"), Edit(Span(1, 2), "yy")])) == "xxyy c"
    assert apply(text, aligned(text, [Edit(Span(11, 12), "xyz")])) == "a  b   c d\nxyz f"


# --- edits -------------------------------------------------------------------------------------------------


def test_edits_count_in_the_text_as_it_was() -> None:
    """Any order, each in its place; two of one place are a mistake."""
    edits = [Edit(Span(4, 5), "X"), Edit(Span(0, 1), ""), Edit(Span(2, 2), "-")]
    assert apply("abcdef", edits) == "b-cdXf"
    assert joined("abcdef", edits[:2]) == Edit(Span(0, 5), "bcdX")
    with pytest.raises(ValueError, match="two edits"):
        apply("abc", [Edit(Span(0, 2), ""), Edit(Span(1, 2), "")])
