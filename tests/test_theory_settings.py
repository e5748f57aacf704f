"""Directives: what each value of the language means, and what is no value."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from scribe.music import settings
from scribe.music.inforce import Feel, Tempo
from scribe.music.interval import Interval
from scribe.music.key import parse_key
from scribe.music.metre import parse_metre
from scribe.music.pitch import Pitch
from scribe.music.settings import Position, Use
from scribe.music.tuning import STANDARD, parse_tuning

F = Fraction


@pytest.mark.parametrize(("text", "expected"), [
    ("126", Tempo("", "Q", F(126))),
    ("92.5", Tempo("", "Q", F(185, 2))),
    ("half 60", Tempo("", "H", F(60))),
    ("dotted-quarter 92", Tempo("", "Q.", F(92))),
    ("dotted quarter = 92", Tempo("", "Q.", F(92))),
    ("eighth 180", Tempo("", "E", F(180))),
    ("Medium swing 152", Tempo("Medium swing", "Q", F(152))),
    ("Medium swing dotted-quarter 92", Tempo("Medium swing", "Q.", F(92))),
    ("Half time 80", Tempo("Half time", "Q", F(80))),
    ("Rubato", Tempo("Rubato", "Q", None)),
    ("Slow half 50", Tempo("Slow", "H", F(50))),
    ("half", None), ("dotted-quarter", None), ("", None), ("0", None), ("1000", None),
])  # fmt: skip
def test_tempo(text: str, expected: Tempo | None) -> None:
    """The number counts the beat named before it, else quarters; words may stand before or alone."""
    assert settings.parse_tempo(text) == expected


@pytest.mark.parametrize(("text", "expected"), [
    ("straight", Feel("straight", "", None)),
    ("swing", Feel("swing", "8", None)),
    ("swing 16ths", Feel("swing", "16", None)),
    ("swing 3:2", Feel("swing", "8", (3, 2))),
    ("swing 16ths 3:2", Feel("swing", "16", (3, 2))),
    ("shuffle", Feel("shuffle", "8", None)),
    ("triplet", Feel("triplet", "8", None)),
    ("Swing 2:1", Feel("swing", "8", (2, 1))),
    ("swing 1:2", None), ("swing 3:0", None), ("straight 2:1", None), ("bouncy", None), ("swing 32nds", None),
])  # fmt: skip
def test_feel(text: str, expected: Feel | None) -> None:
    """The value that is swung, and long to short where it was said."""
    assert settings.parse_feel(text) == expected


@pytest.mark.parametrize(("text", "strings", "key", "expected"), [
    ("A:0", "E A D G", "C", "A1"), ("A1", "E A D G", "C", "A1"), ("Bb2", "E A D G", "C", "Bb2"),
    ("G:12", "E A D G", "C", "G3"), ("E:3", "B E A D G", "C", "G1"), ("d:2", "D A D G", "C", "E1"),
    ("D:2", "D A D G", "C", "E2"), ("A:1", "E A D G", "F", "Bb1"), ("A:1", "E A D G", "B", "A#1"),
    ("Eb:0", "Eb Ab Db Gb", "C", "Eb1"), ("G:24", "E A D G", "C", "G4"), ("A:3", "E A D G", "C#", "B#1"),
    ("E:5", "E A D G", "Cb", "A1"),
    ("G:25", "E A D G", "C", None), ("B:0", "E A D G", "C", None), ("A", "E A D G", "C", None),
    ("", "E A D G", "C", None),
])  # fmt: skip
def test_home(text: str, strings: str, key: str, expected: str | None) -> None:
    """A sounding pitch, or a place on the strings that are in force, named by the key."""
    tuning, tonic = parse_tuning(strings), parse_key(key)
    assert tuning is not None
    assert tonic is not None
    home = settings.parse_home(text, tuning, tonic)
    assert (str(home) if home else None) == expected


@hypothesis_settings(derandomize=True, max_examples=60)
@given(
    st.sampled_from("EADG"),
    st.integers(0, 24),
    st.sampled_from(["C", "Cb", "C#", "F# minor", "Eb", "G dorian"]),
)
def test_home_by_string_sounds_where_it_is_fretted(string: str, fret: int, key: str) -> None:
    """Whatever the key calls it."""
    tonic = parse_key(key)
    assert tonic is not None
    home = settings.parse_home(f"{string}:{fret}", STANDARD, tonic)
    assert home is not None
    assert home.midi == STANDARD["EADG".index(string)].midi + fret
    assert abs(home.alter) <= 1


@pytest.mark.parametrize(("text", "beats"), [
    ("1", F(1)), ("1/2", F(1, 2)), ("1 1/2", F(3, 2)), ("2 2/3", F(8, 3)), ("0", None), ("0/2", None), ("1/0", None),
    ("1/5", None), ("-1", None), ("", None), ("1.5", None),
])  # fmt: skip
def test_pickup_and_short_count_beats(text: str, beats: Fraction | None) -> None:
    """Whole beats and common parts of one, more than none."""
    assert settings.parse_beats(text) == beats


@pytest.mark.parametrize(("metre", "beats", "at_end", "quarters"), [
    ("4/4", F(1), True, F(1)), ("4/4", F(3, 2), True, F(3, 2)), ("12/8", F(1), True, F(3, 2)),
    ("6/8", F(1, 3), True, F(1, 2)), ("2/2", F(1), False, F(2)), ("7/8 2+2+3", F(1), True, F(3, 2)),
    ("7/8 2+2+3", F(1), False, F(1)), ("7/8 2+2+3", F(2), True, F(5, 2)), ("5/4 3+2", F(3, 2), False, F(4)),
    ("4/4", F(5), True, None), ("4/4", F(4), False, F(4)),
])  # fmt: skip
def test_beats_have_the_length_that_the_metre_gives_them(
    metre: str, beats: Fraction, at_end: bool, quarters: Fraction | None
) -> None:
    """In asymmetric metre a pickup takes the last groups, a short bar the first."""
    found = parse_metre(metre)
    assert found is not None
    assert settings.beats_length(beats, found, at_end=at_end) == quarters


@pytest.mark.parametrize(("text", "expected"), [
    ("1", (1,)), ("2", (2,)), ("1,2", (1, 2)), ("1, 2,3", (1, 2, 3)), ("2,1", None), ("1,1", None), ("0", None),
    ("", None), ("1.", None),
])  # fmt: skip
def test_ending(text: str, expected: tuple[int, ...] | None) -> None:
    """The passes an ending is for, rising."""
    assert settings.parse_ending(text) == expected


@pytest.mark.parametrize(("text", "expected"), [
    ("lines", {"per_system": None, "fit": False}), ("4", {"per_system": 4, "fit": False}),
    ("fit", {"per_system": None, "fit": True}), ("page A4", {"page": "A4"}), ("page letter", {"page": "letter"}),
    ("fit page letter", {"per_system": None, "fit": True, "page": "letter"}),
    ("0", None), ("17", None), ("page", None), ("page A3", None), ("", None), ("fitpage A4", None),
])  # fmt: skip
def test_layout_says_only_what_it_changes(text: str, expected: dict[str, object] | None) -> None:
    """`page A4` leaves the systems alone, `4` leaves the page alone."""
    assert settings.parse_layout(text) == expected


@pytest.mark.parametrize(("text", "expected"), [
    ("tab", {"tab"}), ("tab fingers", {"tab", "fingers"}), ("names, tones", {"names", "tones"}), ("none", set()),
    ("tab none", None), ("", None), ("notes", None),
])  # fmt: skip
def test_show(text: str, expected: set[str] | None) -> None:
    """A set of things to print; `none` is the empty one."""
    assert settings.parse_show(text) == expected


@pytest.mark.parametrize(("text", "expected"), [
    ("5", Position(5)), ("free", Position(None)), ("0", None), ("25", None), ("V", None), ("", None),
])  # fmt: skip
def test_position(text: str, expected: Position | None) -> None:
    """A fret, or the free hand."""
    assert settings.parse_position(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"), [("8", 8), ("1", 1), ("999", 999), ("0", None), ("x", None), ("1000", None)]
)
def test_rest(text: str, expected: int | None) -> None:
    """Bars of rest."""
    assert settings.parse_rest(text) == expected


@pytest.mark.parametrize(("text", "expected"), [
    ("A", Use("A", None, None)),
    ("[A]", Use("A", None, None)),
    ("A up P4", Use("A", Interval(3, 5), None)),
    ("A bars 3-4", Use("A", None, (3, 4))),
    ("A bar 3", Use("A", None, (3, 3))),
    ("Last Chorus down m3 bars 1-2", Use("Last Chorus", Interval(-2, -3), (1, 2))),
    ("Last Chorus bars 1-2 down m3", Use("Last Chorus", Interval(-2, -3), (1, 2))),
    ("Build up", Use("Build up", None, None)),
    ("A up P3", None), ("A bars 4-3", None), ("A bars 0", None), ("bars 3-4", None), ("up P4", None), ("", None),
])  # fmt: skip
def test_use(text: str, expected: Use | None) -> None:
    """A section, perhaps some bars of it, perhaps moved; in either order."""
    assert settings.parse_use(text) == expected


def test_words_that_choose() -> None:
    """`enharmonic` and `degrees` take one of a few words."""
    for word in ("check", "fix", "sharps", "flats", "free"):
        assert settings.parse_enharmonic(word) == word
    assert settings.parse_enharmonic("maybe") is None
    assert [settings.parse_degrees(word) for word in ("key", "chord", "scale")] == ["key", "chord", None]


PARSERS: list[Callable[[str], object]] = [
    settings.parse_tempo, settings.parse_feel, settings.parse_beats, settings.parse_ending, settings.parse_layout,
    settings.parse_show, settings.parse_position, settings.parse_rest, settings.parse_use, settings.parse_enharmonic,
    settings.parse_degrees, settings.parse_key, settings.parse_metre, settings.parse_tuning, settings.find_instrument,
    lambda text: settings.parse_home(text, STANDARD),
]  # fmt: skip


@hypothesis_settings(derandomize=True, max_examples=150)
@given(st.text(max_size=12) | st.text(alphabet="0123456789/ :.,-+ABdb#ufp²٣", max_size=12))
def test_no_text_makes_a_value_raise(text: str) -> None:
    """Any text at all is a value or none."""
    for parse in PARSERS:
        value = parse(text)
        assert value is None or isinstance(value, (str, int, Fraction, tuple, dict, frozenset, Pitch))
