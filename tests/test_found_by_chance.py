"""What made-up and damaged drafts brought to light, each with the cause that it had."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.bass.fingered import fingering
from scribe.bass.kept_places import places_of
from scribe.bass.rewrite import pinned
from scribe.diagnostics import Diagnostic
from scribe.music.interval import parse_interval
from scribe.music.rewrite.transpose import transpose
from scribe.music.rewrite.ways import rewrite


def lengths(text: str) -> list[tuple[int, object, object]]:
    """Bars, onsets and lengths of all notes of a draft."""
    return [(n.bar, n.onset, n.length) for n in compile(text).notes]


def remarks(text: str, code: str) -> list[Diagnostic]:
    """What is said of a draft under one code."""
    return [d for d in compile(text).diagnostics if d.code == code]


def test_a_repeat_sign_holds_on_what_sounds_alone() -> None:
    """An unheard note has a place on the staff; the same place as the note held on, here, until the line is moved."""
    text = "| a- | - c ,c,/ua u- | % |\n"
    by = parse_interval("down m3")
    assert by is not None
    there = transpose(text, by).text
    assert lengths(there) == lengths(text)


def test_a_harmonic_is_not_pinned_to_a_string_that_has_no_such_fret() -> None:
    """B above the frets of the G string, touched at its fourth: the pin would be an error."""
    text = "| . D x\\G##C. D g\\^G## b'o/c G##'p - |\n"
    compiled = compile(text)
    found = fingering(compiled.piece)
    again = pinned(text, compiled.piece, found.line, found.grips)
    assert lengths(again) == lengths(text)
    assert not [d for d in compile(again).diagnostics if d.severity == "error"]


@pytest.mark.parametrize("text", ["enharmonic fix\n| Cb |\n", "enharmonic fix\n| @Ebm7 |\n| . A c# . |\n"])
def test_degrees_have_the_names_that_are_put_right(text: str) -> None:
    """`enharmonic fix` shows B for a C flat in C major: the degree is the seventh, not the flat first."""
    degrees = rewrite(text, "degree").text
    assert [n.pitch for n in compile(degrees).notes] == [n.pitch for n in compile(text).notes]


def test_a_place_is_that_of_the_note_as_it_is_written() -> None:
    """A above the last fret has none; the G that `use` makes of it has, and is not written in its stead."""
    text = "strings B A G\n[A]\n| d ^c a+^a,c#e d# |\nuse A down M2\n"
    frets = rewrite(text, "fret", None, places_of(compile(text).piece))
    assert [fault.code for fault in frets.faults] == ["off-fretboard"]
    assert frets.text == text


def test_a_harmonic_is_written_at_the_fret_of_its_sound() -> None:
    """Touched at its fifth fret the E string sounds E two octaves up; `E:5` would be an A."""
    text = "| f A:7 ^e'o- . |\n"
    frets = rewrite(text, "fret", None, places_of(compile(text).piece))
    assert [n.midi for n in compile(frets.text).notes] == [n.midi for n in compile(text).notes]


def test_a_slide_that_is_repeated_the_wrong_way() -> None:
    """`/` says the word before it once more: there is no sign to turn round."""
    _, second = remarks("| c . gG\\B / |", "slide-direction")
    assert second.message == "`/` repeats a slide down, but the note lies above the one before"
    assert [hint.replacement for hint in second.hints] == [None]


@pytest.mark.parametrize("sign", ["\r", "\x0b", "\u2028"])
def test_a_sign_that_cannot_be_seen_before_a_directive(sign: str) -> None:
    """Leaving it out mends the line; the name is not cut short for it."""
    text = f"{sign}degrees chord\n| g |"
    (found,) = compile(text).diagnostics
    (hint,) = found.hints
    assert hint.span is not None
    assert hint.replacement is not None
    assert compile(text[: hint.span.start] + hint.replacement + text[hint.span.end :]).diagnostics == ()


def test_a_section_mark_with_nothing_in_it_is_not_to_be_closed() -> None:
    """`[]` would be the next mistake."""
    (found,) = remarks("[\n| g |", "section-mark")
    assert found.hints == ()
    assert remarks("[A\n| g |", "section-mark")[0].hints[0].replacement == "]"
