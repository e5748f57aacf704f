"""Single statements of the reference that no example shows: they are what scribe does."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from scribe import compile
from scribe.engrave.above import form_words
from scribe.music.instrument import find_instrument
from scribe.source.grammar import folder

TEXT = " ".join((Path(folder()) / "LANGUAGE.md").read_text("utf-8").split())


def test_homes_of_other_instruments() -> None:
    """The homes that the reference names are those of the instruments."""
    listed = re.search(r"as it sounds \((.*?)\)", TEXT)
    assert listed
    pairs = [entry.rsplit(" ", 1) for entry in listed[1].split(", ")]
    assert len(pairs) == 3
    for name, home in pairs:
        instrument = find_instrument(name)
        assert instrument is not None
        assert str(instrument.home) == home


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("| " + "g" * 24 + " |", []),
        ("time 7/8\n| " + "g" * 14 + " |", []),
        ("| " + "g" * 25 + " |", ["slot-count"]),
        ("| 2{g b d} / |", ["slash-first"]),
        ("tempo quarter = 120\n| g |", []),
        ("| g b d g | ^^g |", []),  # two octaves above the bar's first note, one above the last: no hint
    ],
)
def test_what_is_taken(text: str, codes: list[str]) -> None:
    """Whole multiples in a bar's only word, no `/` behind a group, `quarter = 120`, octaves without a hint."""
    assert [found.code for found in compile(text).diagnostics] == codes


def test_a_leap_of_an_octave_gets_no_hint_but_a_seventh_does() -> None:
    """Line `g ^g | g` falls an exact octave; `g ^f | g` falls a seventh, whose twin is a second away."""
    assert compile("| g b d ^g | g |").diagnostics == ()
    assert [d.code for d in compile("| g b d ^f | g |").diagnostics] == ["far-leap"]


def test_chords_of_a_bar_without_words_share_it() -> None:
    """Two chords in 4/4 stand two beats apart."""
    (bar,) = compile("| @Gm7 @C7 |").piece.bars
    assert [chord.onset for chord in bar.music.chords] == [Fraction(0), Fraction(2)]


@pytest.mark.parametrize("end", ["open", "fingers", "pick", "thumb", "tap", "arco", "pizz"])
def test_what_ends_slapping(end: str) -> None:
    """Under `'slap` notes, dead and ghost notes are thumbed, popped ones are not, until one of these words."""
    (bar,) = compile(f"| 'slap g g'p x (g) '{end} g g g g |").piece.bars
    assert [event.marks for event in bar.events] == [
        ("thumb",), ("popped",), ("thumb",), ("thumb",), (), (), (), (),
    ]  # fmt: skip


@pytest.mark.parametrize("other", ["palm", "ring"])
def test_palm_and_ring_do_not_end_slapping(other: str) -> None:
    """Muting and ringing leave the way of touching the string alone."""
    (bar,) = compile(f"| 'slap g '{other} g g g |").piece.bars
    assert [event.marks for event in bar.events] == [("thumb",)] * 4


@pytest.mark.parametrize(
    ("signs", "printed"),
    [
        ("| g 'ds |", "D.S."),
        ("| 'coda g | g 'ds |", "D.S. al Coda"),
        ("| g 'tocoda | g 'ds |", "D.S. al Coda"),
        ("| g 'fine | g 'ds |", "D.S. al Fine"),
    ],
)
def test_ds_names_its_aim(signs: str, printed: str) -> None:
    """`'ds` prints "al Coda" or "al Fine" by itself where such a sign stands in the piece."""
    assert form_words(compile(signs).piece.bars)["ds"] == printed


def test_a_time_is_kept_before_or_behind_the_section() -> None:
    """`0:12 [A]` and `[A] 0:12` are the same."""
    for text in ("0:12 [A] | g |", "[A] 0:12 | g |"):
        (bar,) = compile(text).piece.bars
        assert (bar.section, bar.time) == ("A", 12)
