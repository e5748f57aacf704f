"""What cannot be played is named, each with the nearest thing that can."""

from __future__ import annotations

import pytest

from scribe import compile
from scribe.bass.fingered import fingering
from scribe.bass.warnings import problems, strained


def said(text: str) -> list[tuple[str, str, str, str]]:
    """Kind, place in the text, message and way out of every problem of a draft without errors."""
    compiled = compile(text)
    assert not [d.message for d in compiled.diagnostics if d.severity == "error"]
    return [
        (p.kind, text[p.span.start : p.span.end], p.message, p.instead)
        for p in problems(fingering(compiled.piece))
    ]


CASES = [
    ("| ve vd g c |", "off the fretboard", "vd", "`D1` lies below the lowest string", "an octave higher it lies at"),
    ("| g c d ^^^^^g |", "off the fretboard", "^^^^^g", "lies above fret 24", "two octaves lower it lies at `G:24`"),
    ("| c:A+e:A . . . |", "one string", "c:A+e:A", "two notes on the `A` string at once", "it lies at `A:3+D:2`"),
    ("| E:1+G:9 . . . |", "too wide", "E:1+G:9", "cannot be held down by one hand", "without `E3` it lies at `E:1`"),
    ("| E:1+A:5 . . . |", "too wide", "E:1+A:5", "cannot be held down by one hand", "it lies at `E:1+D:0`"),
    ("tempo 200\n| E:1E:15 . . . |", "too fast", "E:15", "the hand has 0.06 s for", "playable up to"),
    ("tempo 200\n| E:1E:15 . . . |", "too fast", "E:15", "position I to", "or take it at `G:0`"),
    ("| g:Eh^d:D . . . |", "connector", "h^d:D", "a hammer-on from `E:3` to `D:0` cannot", "put both on one string"),
    ("| A:2hA:1 . . . |", "connector", "hA:1", "a hammer-on from `A:2` to `A:1`", "take the other sign"),
    ("| E:1hE:9 . . . |", "connector", "hE:9", "a hammer-on from `E:1` to `E:9`", "slide, or pluck"),
    ("| E:0/E:9 . . . |", "connector", "/E:9", "a slide from `E:0` to `E:9`", "begin and end the slide on a fret"),
    ("position 5\n| a vf a c |", "position", "vf", "`F1` cannot be reached from position 5", "played at `E:1`"),
    ("| g ve'v g c |", "finger", "ve'v", "an open string takes no vibrato", "an octave higher"),
    ("tempo 60\n| E:5 E:1 E:5+A:1 . |", "too wide", "E:5+A:1", "cannot be held", "it lies at `A:0+E:6`"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "place", "message", "instead"), CASES)
def test_what_cannot_be_played_is_named_with_a_way_out(
    text: str, kind: str, place: str, message: str, instead: str
) -> None:
    """Its kind, its place in the draft, what is wrong, what can be played."""
    found = [row for row in said(text) if row[0] == kind]
    assert len(found) == 1
    assert found[0][1] == place
    assert message in found[0][2]
    assert instead in found[0][3]


def test_the_way_out_of_a_shift_is_true() -> None:
    """At the tempo named the same line is playable, a little faster it is not."""
    text = "tempo {}\n| E:1E:15 E:1E:15 E:1 . |"
    (first, *_) = said(text.format(200))
    slower = int(first[3].split("up to ")[1].split()[0])
    assert said(text.format(slower)) == []
    assert said(text.format(slower + 1))[0][0] == "too fast"


def test_a_wide_stretch_is_named_and_calls_for_caution() -> None:
    """Frets 1 and 4 at position 1, 13.0 cm on 34 inches: within; five frets there: beyond comfort and reach."""
    text = "tempo 60\nposition 3\n| E:3 E:7 A:3 A:7 |"
    found = problems(fingering(compile(text).piece))
    assert {p.kind for p in found} == {"wide stretch"}
    assert "a stretch of 15 cm from fret 3 to finger 4 at fret 7" in found[0].message
    assert strained(found)
    assert not strained(problems(fingering(compile("tempo 60\n| E:3 E:5 A:3 A:5 |").piece)))


@pytest.mark.parametrize(
    "text",
    [
        "key G minor\ntempo 138\n| g b d f | ^e c b g |",
        "tempo 92\n| ehg a/b bpa x:A |",
        "instrument trumpet\n| g b d g |",
        "| u ? . x |",
        "",
    ],
)
def test_what_lies_well_gets_no_word(text: str) -> None:
    """Ordinary lines, other instruments and empty drafts have no problem."""
    assert problems(fingering(compile(text).piece)) == []
