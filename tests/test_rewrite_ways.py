"""Letters, degrees and frets into each other: what sounds is what sounded."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribe import compile
from scribe.music.rewrite.bar import Form
from scribe.music.rewrite.ways import rewrite
from tests.pieces import random_draft
from tests.rewrite_help import midi, names


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
