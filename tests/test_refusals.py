"""Values of directives that stand for nothing: what is said, and the value that was meant."""

from __future__ import annotations

import pytest
from music21 import key as m21_key
from music21 import pitch as m21_pitch

from scribe import compile
from scribe.diagnostics import Diagnostic
from scribe.music.bar import compile_bar
from scribe.music.inforce import InForce
from scribe.music.key import parse_key
from scribe.music.metre import parse_metre, writable
from scribe.music.settings import beats_length, parse_beats
from tests.read_help import mended


def refused(text: str) -> Diagnostic:
    """The only error of a draft, whose code is `bad-value`."""
    (found,) = (d for d in compile(text).diagnostics if d.severity == "error")
    assert found.code == "bad-value"
    return found


@pytest.mark.parametrize(
    ("typed", "after"),
    [
        ("key A#\n| g |", "key Bb\n| g |"),
        ("key A# major\n| g |", "key Bb major\n| g |"),
        ("key Fb\n| g |", "key E\n| g |"),
        ("key E# minor\n| g |", "key F minor\n| g |"),
        ("key Fb mixolydian\n| g |", "key E mixolydian\n| g |"),
        ("instrument trumpt\n| g |", "instrument trumpet\n| g |"),
        ("feel swing 2:3\n| g |", "feel swing 3:2\n| g |"),
        ("ending 2,1\n| g |", "ending 1,2\n| g |"),
        ("strings G2 D2 A1 E1\n| g |", "strings E1 A1 D2 G2\n| g |"),
    ],
)
def test_the_value_that_was_meant_is_offered(typed: str, after: str) -> None:
    """The hint shows it and holds it for pasting; pasted it is taken."""
    found = refused(typed)
    assert mended(typed, found) == after
    assert [d for d in compile(after).diagnostics if d.severity == "error"] == []
    (hint,) = found.hints
    assert f"`{hint.replacement}`" in hint.text


@pytest.mark.parametrize("tonic", [letter + sign for letter in "ABCDEFG" for sign in ("", "#", "b")])
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_the_key_that_is_offered_has_the_same_notes(tonic: str, mode: str) -> None:
    """Its tonic is music21's enharmonic one, and its signature has at most seven signs."""
    if parse_key(f"{tonic} {mode}") is not None:
        return
    asked = m21_key.Key(tonic.replace("b", "-"), mode)
    assert abs(asked.sharps) > 7
    value = refused(f"key {tonic} {mode}\n| g |").hints[0].replacement
    assert value is not None
    offered = value.split()
    assert m21_pitch.Pitch(offered[0].replace("b", "-")).pitchClass == asked.tonic.pitchClass
    assert offered[1] == mode
    assert abs(m21_key.Key(offered[0].replace("b", "-"), mode).sharps) <= 7


@pytest.mark.parametrize(
    ("typed", "hint"),
    [
        ("pickup 4\n| g |", "leave this line out: the bar is as long as others"),
        ("home B:0\n| g |", "the strings are E A D G; another tuning stands above, after `strings`"),
        ("home A:30\n| g |", "the last fret is 24"),
        ("strings E A\n| g |", "a tuning has three to seven strings, each higher than the one before"),
        ("instrument sackbut\n| g |", "for example `instrument alto sax`"),
    ],
)
def test_where_nothing_is_sure_the_hint_has_words_only(typed: str, hint: str) -> None:
    """An example is no mend: it is not held for pasting."""
    found = refused(typed)
    assert [(h.text, h.replacement) for h in found.hints] == [(hint, None)]


@pytest.mark.parametrize(
    ("typed", "bar"),
    [
        ("pickup 1/3", "pickup 1\n| ..g |"),
        ("pickup 1 2/3", "pickup 2\n| .gg g |"),
        ("short 2/3", "short 1\n| gg. |"),
        ("time 3/4\nshort 1 1/6", "time 3/4\nshort 2\n| g g..... |"),
    ],
)
def test_a_part_of_a_triplet_is_told_where_it_is_typed(typed: str, bar: str) -> None:
    """The line itself is at fault, not the bar; the bar that the hint shows says the same and can be written."""
    text = f"{typed}\n| g |\n| g |"
    found = refused(text)
    assert text[found.span.start : found.span.end] == typed.rpartition("\n")[2].partition(" ")[2]
    assert "written as a whole" in found.message
    said = found.hints[0].text
    line, shown = bar.splitlines()[-2:]
    assert f"`{line}`" in said
    assert f"`{shown}`" in said
    compiled = compile(f"{bar}\n| g |")
    assert compiled.diagnostics == ()
    length = parse_beats(typed.rpartition("\n")[2].partition(" ")[2])
    events = compiled.piece.bars[0].events
    assert sum(event.length for event in events if event.heads) == length


@pytest.mark.parametrize("metre", ["4/4", "3/4", "12/8", "6/8", "2/2", "7/8 2+2+3", "4/32"])
def test_what_can_be_written_is_taken(metre: str) -> None:
    """A length is refused if and only if a pickup of one note a beat, so long, cannot be notated."""
    found = parse_metre(metre)
    assert found is not None
    for value in ("1", "1/2", "1/3", "2/3", "3/4", "1/6", "5/8", "1/12", "1/16", "1 1/3", "1 1/2"):
        beats = parse_beats(value)
        assert beats is not None
        length = beats_length(beats, found, at_end=True)
        if length is None or length >= found.length:
            continue
        words = " ".join("g" for _ in range(-(-beats.numerator // beats.denominator)))
        bar, _, _ = compile_bar(words, InForce(metre=found, length=length, pickup=True), None)
        written = [d.code for d in bar.diagnostics] != ["too-fine"]
        assert writable(length) == written, (metre, value)


def test_too_fine_speaks_of_notes() -> None:
    """The message names the shortest note value, and nothing of how lengths are counted inside."""
    (found,) = compile("| 1{1{gggggggggggggggg ggg} g} b d g |").diagnostics
    assert found.code == "too-fine"
    assert found.message == "bar 1 cannot be written: it needs values shorter than a 128th note"


def test_what_was_in_force_stays() -> None:
    """A refused value changes nothing."""
    bars = compile("key G minor\nkey A#\n| g |").piece.bars
    assert bars[0].in_force == InForce()._replace(key=parse_key("G minor"))


@pytest.mark.parametrize(
    ("typed", "strings"), [("5-string bass", "B E A D G"), ("six string", "B E A D G C"), ("4str", "E A D G")]
)
def test_a_bass_named_by_its_strings(typed: str, strings: str) -> None:
    """The tuning is a line of its own; the mend writes it."""
    text = f"instrument {typed}\n| g |"
    after = mended(text, refused(text))
    assert after == f"instrument bass\nstrings {strings}\n| g |"
    assert [d for d in compile(after).diagnostics if d.severity == "error"] == []
