"""Written values, tuplets and beams in music21's terms, against music21's own reading of them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from music21 import beam, meter, note, stream
from music21.stream.makeNotation import makeTupletBrackets

from scribe.music.metre import Metre, parse_metre
from scribe.music.written import VALUES, Tuplet, Written, WrittenBar
from scribe.score.beams import beams
from scribe.score.form import time_signature
from scribe.score.values import durations, whole_bar


def written(codes: str, tuplets: Sequence[Tuplet] = (), inside: dict[int, int] | None = None) -> WrittenBar:
    """A bar by hand, `[S S] Q rE`: brackets are beam groups, `r` a rest; `inside`: note → its tuplet."""
    notes: list[Written] = []
    at, group, groups = Fraction(0), None, 0
    for index, word in enumerate(codes.split()):
        if word.startswith("["):
            group, groups = groups, groups + 1
        code = word.strip("[]r")
        made = Written(
            index,
            at,
            Fraction(0),
            code[0],
            code.count("."),
            (inside or {}).get(index),
            group,
            False,
            rest="r" in word,
        )
        notes.append(made._replace(length=printed_length(made, tuplets)))
        at = notes[-1].onset + notes[-1].length
        if word.endswith("]"):
            group = None
    return WrittenBar(tuple(notes), tuple(tuplets))


def printed_length(note: Written, tuplets: Sequence[Tuplet]) -> Fraction:
    """What value, dots and tuplets come to, in quarters (common practice: a dot adds half)."""
    length = VALUES[note.value][2] * (2 - Fraction(1, 2**note.dots))
    at = note.tuplet
    while at is not None:
        length = length * tuplets[at].normal / tuplets[at].actual
        at = tuplets[at].parent
    return length


def shape(lines: Sequence[beam.Beams | None], level: int | None = None) -> list[list[tuple[str, str | None]]]:
    """Beams as plain values, of one level or of all."""
    return [
        [(b.type, b.direction) for b in (each.beamsList if each else []) if level in (None, b.number)]
        for each in lines
    ]


def as_measure(bar: WrittenBar, metre: Metre) -> stream.Measure:
    """The same values as a music21 measure, no beams given."""
    measure = stream.Measure(number=1)
    measure.insert(0, time_signature(metre))
    for length, each in zip(durations(bar), bar.notes, strict=True):
        made = note.Rest() if each.rest else note.Note("C3")
        made.duration = length
        measure.append(made)
    return measure


TRIPLET = Tuplet(Fraction(0), Fraction(1), 3, 2, "E", None, False)

# Cases of references 3b and 3c where music21 10.5.1 is said to group as common practice does.
SAME_AS_MUSIC21 = [
    (
        "4/4",
        "[S S S S] [S S S S] [S S S S] [S S S S]",
        1,
    ),  # grouping only: music21 breaks the second level 2+2
    ("6/8", "[E E E] [E E E]", None),
    ("9/8", "[E E E] [E E E] [E E E]", None),
    ("12/8", "[E E E] [E E E] [E E E] [E E E]", None),
    ("7/8", "[E E] [E E] [E E E]", None),
    ("2/2", "[E E E E] [E E E E]", None),
    ("4/4", "[E. S] [S E.] [S E S] [E S S]", None),
    ("4/4", "[E S S] [S S E] Q rE E", None),
    ("2/4", "[E. S] rE [S S]", None),
]


@pytest.mark.parametrize(("metre", "codes", "level"), SAME_AS_MUSIC21)
def test_beams_agree_with_music21(metre: str, codes: str, level: int | None) -> None:
    """Where the two are meant to agree, the beams are those that music21's makeBeams gives the same notes."""
    parsed = parse_metre(metre)
    assert parsed is not None
    bar = written(codes)
    theirs = as_measure(bar, parsed).makeBeams(inPlace=False)
    expected = [n.beams if isinstance(n, note.NotRest) and n.beams else None for n in theirs.notesAndRests]
    assert shape(beams(bar, parsed), level) == shape(expected, level)


def test_finer_beams_break_at_each_beat() -> None:
    """Under one beam over two beats, the second level stops at the beat (common practice)."""
    got = shape(beams(written("[E S S S S E] H"), Metre(4, 4)))
    assert got == [
        [("start", None)],
        [("continue", None), ("start", None)],
        [("continue", None), ("stop", None)],
        [("continue", None), ("start", None)],
        [("continue", None), ("stop", None)],
        [("stop", None)],
        [],
    ]


def test_a_lone_fine_beam_points_to_its_partner() -> None:
    """A sixteenth among eighths points to the note it makes a longer value with (common practice)."""
    off = shape(beams(written("[E. S E E] H"), Metre(4, 4)), 2)
    assert off[1] == [("partial", "left")]
    on = shape(beams(written("[E S E. E] H"), Metre(4, 4)), 2)
    assert on[1] == [("partial", "right")]


def test_a_single_note_has_no_beam() -> None:
    """A group of one, and rests inside a group, carry no beams."""
    got = beams(written("[E] rE [E rE E] Q"), Metre(4, 4))
    assert [each is not None for each in got] == [False, False, True, False, True, False]


@pytest.mark.parametrize(
    ("tuplet", "codes", "count"),
    [
        (TRIPLET, "E E E", 3),
        (TRIPLET._replace(actual=5, normal=4, unit="S"), "S S S S S", 5),
        (TRIPLET._replace(actual=7, normal=4, unit="S"), "S S S S S S S", 7),
        (TRIPLET._replace(length=Fraction(2), unit="Q", bracket=True), "Q Q Q", 3),
        (TRIPLET._replace(length=Fraction(3, 2), actual=2, normal=3), "E E", 2),
        (TRIPLET, "Q E", 2),
    ],
)
def test_tuplets_last_what_their_notes_last(tuplet: Tuplet, codes: str, count: int) -> None:
    """music21 reckons the same length from values and ratio, and draws the group over the same notes."""
    bar = written(codes, [tuplet], dict.fromkeys(range(count), 0))
    lengths = durations(bar)
    assert sum(Fraction(each.quarterLength) for each in lengths).limit_denominator(1000) == tuplet.length
    mine = [each.tuplets[0].type for each in lengths]
    part = stream.Measure()
    for each in lengths:
        each.tuplets[0].type = None
        made = note.Note()
        made.duration = each
        part.append(made)
    theirs = makeTupletBrackets(part, inPlace=False)
    assert mine == [n.duration.tuplets[0].type for n in theirs.notes]


def test_nested_tuplets() -> None:
    """A triplet in the first third of a quarter triplet: nine in the time of four, both groups marked."""
    outer = Tuplet(Fraction(0), Fraction(2), 3, 2, "Q", None, True)
    inner = Tuplet(Fraction(0), Fraction(2, 3), 3, 2, "E", 0, False)
    bar = written("E E E Q Q", [outer, inner], {0: 1, 1: 1, 2: 1, 3: 0, 4: 0})
    lengths = durations(bar)
    assert [each.quarterLength for each in lengths] == [Fraction(2, 9)] * 3 + [Fraction(2, 3)] * 2
    assert lengths[0].aggregateTupletMultiplier() == Fraction(4, 9)
    assert [[t.type for t in each.tuplets] for each in lengths] == [
        ["start", "start"],
        [None, None],
        [None, "stop"],
        [None],
        ["stop"],
    ]


@pytest.mark.parametrize("length", [Fraction(4), Fraction(7, 2), Fraction(5), Fraction(1, 2)])
def test_a_rest_fills_any_bar(length: Fraction) -> None:
    """A whole-bar rest is a whole rest in every metre, as long as the bar (references 3b, case 11)."""
    made = whole_bar(length)
    assert (made.type, made.quarterLength) == ("whole", length)


@pytest.mark.parametrize(
    ("text", "beats"),
    [
        ("7/8 2+2+3", [1, 1, 1.5]),
        ("7/8 3+2+2", [1.5, 1, 1]),
        ("8/8 3+3+2", [1.5, 1.5, 1]),
        ("5/4 3+2", [3, 2]),
    ],
)
def test_typed_groups_are_the_beats(text: str, beats: list[float]) -> None:
    """The groups of an asymmetric metre become beats and beams in music21; the fraction stays as typed."""
    metre = parse_metre(text)
    assert metre is not None
    made = time_signature(metre)
    assert made.ratioString == text.split()[0]
    assert [each.duration.quarterLength for each in made.beatSequence] == beats
    assert [each.duration.quarterLength for each in made.beamSequence] == beats
    assert isinstance(made, meter.TimeSignature)
