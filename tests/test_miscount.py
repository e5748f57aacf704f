"""A bar with a wrong number of beat words: the hint fits the case."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.diagnostics import Diagnostic
from scribe.music.miscount import split_chord
from tests.drafts import codes
from tests.read_help import mended


def fault(text: str) -> Diagnostic:
    """The only thing that is wrong with a draft."""
    (found,) = (d for d in compile(text).diagnostics if d.severity != "hint")
    return found


def said(text: str) -> list[str]:
    """The hints of a draft with one fault."""
    return [hint.text for hint in fault(text).hints]


@pytest.mark.parametrize(
    ("typed", "hints"),
    [
        ("| g b d |", ["add 1 beat word: a note, `-` to hold on or `.` for silence"]),
        (
            "| gb d b |",
            [
                "add 1 beat word: a note, `-` to hold on or `.` for silence",
                "or, if each slot is a beat, type blanks between: `g b d b`",
            ],
        ),
        (
            "| g b d b a |",
            ["take `a` out, put a barline before it, or join slots of one beat without blanks, as in `ba`"],
        ),
        (
            "| g b a b d gb |",
            [
                "add 2 beat words: a note, `-` to hold on or `.` for silence",
                "or, for 4 words, join slots of one beat without blanks, as in `bd`",
            ],
        ),
        ("time 6/8\n| g b d |", [
            "take `d` out, put a barline before it, or join slots of one beat without blanks, as in `gbd`"
        ]),
        ("| 3{g b d} 2{a b c} |", ["take 1 beat word out, or join slots of one beat without blanks"]),
        ("time 7/8\n| g b d |", ["for one word a group say the groups: `time 7/8 2+2+3`"]),
        ("pickup 2\n| g |", ["add 1 beat word: a note, `-` to hold on or `.` for silence"]),
    ],
)  # fmt: skip
def test_the_hint_fits_the_case(typed: str, hints: list[str]) -> None:
    """Too few words: what to add; too many: which, and how words of one beat are joined."""
    assert fault(typed).code == "word-count"
    assert said(typed) == hints


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("| g a b c d e f g g a b c d e f g |", "| gabc defg gabc defg |"),
        ("time 3/4\n| g b d e f g a b c |", "time 3/4\n| gbd efg abc |"),
        ("pickup 1\n| g b |\n| g |", "pickup 1\n| gb |\n| g |"),
        ("| @Cm7g b d b |", "| @Cm7 g b d b |"),
        ("| g b @Am7b5a. b |", "| g b @Am7b5 a. b |"),
        ("| @2:Fmaj7ga? b d b |", "| @2:Fmaj7 ga? b d b |"),
    ],
)
def test_the_mend_mends(typed: str, after: str) -> None:
    """Equal parts of beats are joined, a blank behind a chord symbol is put in; then nothing is wrong."""
    assert mended(typed, fault(typed)) == after
    assert [d for d in compile(after).diagnostics if d.severity != "hint"] == []


@pytest.mark.parametrize(
    "typed",
    [
        "| g b d b a |",  # nobody knows which one is too many
        "| A b A b A b A b A b A b A b A b |",  # joined, `Ab` would be one note
        "| g a b c d e f g @C g a b c d e f g |",  # the chord stands between slots that would be joined
    ],
)
def test_nothing_is_offered_for_pasting_where_it_is_not_sure(typed: str) -> None:
    """Then the hint has words only."""
    assert not any(hint.replacement for hint in fault(typed).hints)


def test_a_forgotten_blank_behind_a_chord_is_one_fault() -> None:
    """`@Cm7g` is told as a missing blank where a word is missing, else as a chord that is not understood."""
    assert fault("| @Cm7g b d b |").code == "missing-blank"
    other = fault("| @Cm7g b d b g |")
    assert other.code == "chord-unknown"
    assert other.hints[0].text == "if a blank is missing, write `@Cm7 g`"


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("Cm7g", ("Cm7", "g")),
        ("Cm7bb", ("Cm7", "bb")),
        ("Am7b5g-a", ("Am7b5", "g-a")),
        ("Cwide", None),
        ("Cm7z", None),
        ("C" + "g" * 9000, None),
    ],
)
def test_split_chord(name: str, parts: tuple[str, str] | None) -> None:
    """The longest chord symbol with a beat word behind it."""
    assert split_chord(name) == parts


@pytest.mark.parametrize("bar", ["b - 2{d f a}", "b / d /", "b ? d ?", "bd fa", "b-- a"])
def test_a_hint_at_forgotten_beats_counts_all_beat_words(bar: str) -> None:
    """Groups stand for the words whose time they share, `/` and `?` are words: only half the words earn the hint."""
    found = codes(f"| g b d b | {bar} | g b d b |")
    assert "forgotten-beats" not in found


def test_half_the_words_with_as_many_slots_earn_a_hint() -> None:
    """Two quarters between bars of four read as halves."""
    assert codes("| g b d b | g b | g b d b |").count("forgotten-beats") == 1
    assert codes("| gb db gb db | gb db | gb db gb db |").count("forgotten-beats") == 1
