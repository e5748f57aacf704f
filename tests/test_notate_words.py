"""Beat words of the shorthand to tuplets and plain time: the choices of the style table, shown.

Counts of tuplets after LearnMusicTheory.net 1.7 where it has them (3:2, 5:4, 6:4, 7:4; 2:3, 4:6 in compound time); the
rest is common practice, no source, as the style table says row by row.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from scribe.music.events import Cell
from scribe.music.inforce import Feel
from scribe.music.notate import (
    NotWritable,
    Stretch,
    codes,
    notate_spans,
    straighten,
    values,
    written_time,
)
from tests.notate_help import bar, metre, stretches, typed, words

F = Fraction


@pytest.mark.parametrize(
    ("text", "line", "expected"),
    [
        # one beat
        ("2/4", "g--b g--b", "[E. S] [E. S]"),
        ("2/4", "g-b-d- gbd", "{3:2 [EEE]} {3:2 [EEE]}"),
        ("2/4", "g-b g-b-d-", "{3:2 Q E} {3:2 [EEE]}"),
        ("2/4", "g--bcd abcdef", "[E {3:2 SSS}] {6:4 [SSSSSS]}"),
        ("2/4", "gbdc-- g", "[{3:2 SSS} E] Q"),
        ("2/4", "g-b-cd g", "{3:2 [EESS]} Q"),
        ("2/4", "gb-cde g", "{6:4 [SESSS]} Q"),
        ("2/4", "abcdefgab g", "{9:8 [TTTTTTTTT]} Q"),
        ("2/4", "abcdefgabcde g", "[{6:4 TTTTTT} {6:4 TTTTTT}] Q"),
        ("2/4", "abcdef-bcdef g", "{12:8 [TTTTTSTTTTT]} Q"),
        ("2/4", "g.b .b.", "{3:2 E rE E} {3:2 rE E rE}"),
        ("2/4", "..b b..", "{3:2 rQ E} {3:2 E rE rE}"),
        # values run over words
        ("4/4", "g - b -", "H H"),
        ("4/4", "gb -b -b -b", "E Q E~E Q E"),
        ("4/4", "gb -bcd e f", "[E E~] [SSSS] Q Q"),
        ("4/4", ". . g .", "rH Q rQ"),
        ("4/4", "g-b --b -b- .", "{3:2 Q E~} {3:2 Q E~} {3:2 E Q} rQ"),
        ("4/4", "g--b ---b g -", "[E. S~] [E. S] H"),
        ("4/4", "gbde --fg g .", "[S S S S~] [ESS] Q rQ"),
        ("3/4", "gb - -d", "[E E~] Q. E"),
        # words over several beats
        ("4/4", "gbd efgab", "{3:2 Q Q Q} {5:4 [EEEEE]}"),
        ("4/4", "gbdefg g-b-d-", "{3:2 [EEE]} {3:2 [EEE]} {3:2 Q Q Q}"),
        ("4/4", "gbd--f gb-d--", "{3:2 [E E E~]} {3:2 Q E} {3:2 E Q} Q"),
        ("4/4", "gbd-f- .", "{3:2 [EE] Q Q} rH"),
        ("4/4", "gbdefgabcdef", "{3:2 [EEE]} {3:2 [EEE]} {3:2 [EEE]} {3:2 [EEE]}"),
        ("4/4", "g---b---d---", "{3:2 H H H}"),
        ("2/4", "g-bd-e g", "[{3:2 ES} {3:2 ES}] Q"),
        ("2/4", "gb-d-e g", "[{3:2 SE} {3:2 ES}] Q"),
        ("2/4", "g--------bde g", "[E. {3:2 TTT}] Q"),
        ("4/4", "g-bd-efg----", "{3:2 Q E} {3:2 Q E} {3:2 E Q~} Q"),
        ("3/4", "gbdefgabc", "{3:2 [EEE]} {3:2 [EEE]} {3:2 [EEE]}"),
        ("3/4", "g--b--", "Q. Q."),
        # compound
        ("6/8", "gb gbde", "{2:3 [EE]} {4:6 [SSSS]}"),
        ("6/8", "gbdef gbdefga", "{5:6 [SSSSS]} {7:6 [SSSSSSS]}"),
        ("6/8", "g--b-- g-bd-e", "{2:3 [EE]} [ESES]"),
        ("6/8", "g--bd- g--bde", "[E. S E] [E. S S S]"),
        ("6/8", "gbd", "Q E~E Q"),
        ("6/8", "gb-d gbdefgabc", "{4:6 [SES]} [{3:2 SSS} {3:2 SSS} {3:2 SSS}]"),
        ("12/8", "gbde gbd", "{2:3 [EE]} {2:3 [EE]} Q E~E Q"),
        ("12/8", "g--b--c-----d-----e-f-g-", "{2:3 [EE]} Q. Q. [EEE]"),
        ("12/8", "g - . d", "H. rQ. Q."),
        ("12/8", "g . . d", "Q. rQ. rQ. Q."),
        ("12/8", "g - . .", "H. rH."),
        ("12/8", "g.. ..d .b. .-d", "E rE rE rQ E rE E rE rQ E"),
        ("9/8", "g - -", "H.~Q."),
        ("3/8", "gb-", "E Q"),
        ("6/8", "g-----bde d--", "Q {3:2 [SSS]} Q."),
        # halves as beats: a dotted half that begins on a beat (1,350 of 1,350 bars of 4/2 in music21's corpus)
        ("4/2", "g - b - - d e -", "H H. Q H"),
        ("4/2", "g b c - - d e -", "Q Q H. Q H"),
        ("4/2", "g b - - - d e -", "Q H.~Q Q H"),
        # asymmetric
        ("8/4", "g - b d e - - g", "H Q Q H. Q"),
        ("8/4", "g b c d - e f g", "Q Q Q Q~Q Q Q Q"),
        ("7/8", "g - b - d - -", "Q Q Q."),
        ("7/8", "gbdefgabcdefga", "[SSSS] [SSSS] [SSSSSS]"),
        ("5/4", "g - - - -", "H~H."),
        ("5/4", "g - . . .", "H rQ rQ rQ"),
        ("5/4", "g . - - d", "Q rQ rQ rQ Q"),
    ],
)
def test_words(text: str, line: str, expected: str) -> None:
    """What the writer types is written as the style table says."""
    assert codes(typed(text, line)) == expected


@pytest.mark.parametrize(
    ("text", "offset", "events", "expected"),
    [
        ("4/4", "3", "0:1", "Q"),
        ("4/4", "7/2", "2*1/4", "[SS]"),
        ("4/4", "5/2", "0:3/2", "Q."),
        ("4/4", "3/2", "0:1 1:1 2:.5", "E~E Q E"),
        ("4/4", "1/2", "0:1 1:2.5", "Q E~H"),
        ("12/8", "9/2", "0:1 1:.5", "Q E"),
        ("4/4", "0", "0:1.5 1.5:1 2.5:.5", "Q. E~[EE]"),  # a short bar keeps the places of the full one
        ("4/4", "2", "r0:2", "rW"),
    ],
)
def test_pickup_and_short_bars_keep_their_metric_place(
    text: str, offset: str, events: str, expected: str
) -> None:
    """A pickup is read as the end of a full bar: halves and beats show where they are (common practice)."""
    given = stretches(events)
    length = given[-1].onset + given[-1].length
    assert codes(notate_spans(metre(text), length, given, offset=F(offset))) == expected


def _group(m: str, cell: Cell, *events: tuple[str, str]) -> str:
    given = [Stretch(F(onset), F(length), False) for onset, length in events]
    return codes(notate_spans(metre(m), metre(m).length, given, [cell]))


def test_groups_nest() -> None:
    """`2{g bde f}`: a triplet inside a triplet keeps both numbers."""
    cell = Cell(F(0), F(2), 3, (Cell(F(0), F(2, 3), 1), Cell(F(2, 3), F(2, 3), 3), Cell(F(4, 3), F(2, 3), 1)))
    events = [("0", "2/3"), ("2/3", "2/9"), ("8/9", "2/9"), ("10/9", "2/9"), ("4/3", "2/3")]
    assert _group("2/4", cell, *events) == "{3:2 Q {3:2 [EEE]} Q}"


def test_a_binary_word_inside_a_group_needs_no_number_of_its_own() -> None:
    """`2{g be f}` divides a member in two."""
    cell = Cell(F(0), F(2), 3, (Cell(F(0), F(2, 3), 1), Cell(F(2, 3), F(2, 3), 2), Cell(F(4, 3), F(2, 3), 1)))
    events = [("0", "2/3"), ("2/3", "1/3"), ("1", "1/3"), ("4/3", "2/3")]
    assert _group("2/4", cell, *events) == "{3:2 Q [EE] Q}"


def test_a_group_that_fits_plain_time_leaves_its_words_alone() -> None:
    """`2{gbd ef}` is two words: a triplet and two eighths."""
    cell = Cell(F(0), F(2), 2, (Cell(F(0), F(1), 3), Cell(F(1), F(1), 2)))
    events = [("0", "1/3"), ("1/3", "1/3"), ("2/3", "1/3"), ("1", "1/2"), ("3/2", "1/2")]
    assert _group("2/4", cell, *events) == "{3:2 [EEE]} [EE]"


def test_a_note_of_several_members_inside_a_group_may_be_divided() -> None:
    """Five in two beats, two of them divided in three: a nested tuplet over two members."""
    cell = Cell(F(0), F(2), 5, (Cell(F(2, 5), F(4, 5), 3),))
    events = [
        ("0", "2/5"),
        ("2/5", "4/15"),
        ("2/3", "4/15"),
        ("14/15", "4/15"),
        ("6/5", "2/5"),
        ("8/5", "2/5"),
    ]
    assert _group("2/4", cell, *events) == "{5:4 [E {3:2 EEE} EE]}"


def test_the_number_of_a_group_is_the_writers() -> None:
    """`2{gbde f g a b}` is a quintuplet, though one of its members is divided in four and the last is tied over."""
    cell = Cell(F(0), F(2), 5, (Cell(F(0), F(2, 5), 4),))
    events = [("0", "1/10"), ("1/10", "1/10"), ("1/5", "1/10"), ("3/10", "1/2"), ("4/5", "6/5")]
    assert _group("2/4", cell, *events) == "{5:4 [T T T T~E] Q.}"


def test_four_in_the_time_of_five_is_a_tuplet() -> None:
    """A member of five 16ths has no value of its own; in 5/4, `5{g b d e}` gets a number."""
    events = [(str(F(5, 4) * i), "5/4") for i in range(4)]
    assert _group("5/4", Cell(F(0), F(5), 4), *events) == "{4:5 Q Q Q Q}"


def test_brackets_only_where_no_beam_shows_the_tuplet() -> None:
    """Rule 16 (LearnMusicTheory.net 1.7): a beam over exactly the tuplet makes the bracket needless."""
    written = typed("4/4", "gbd g-b g--bcd .bd")
    assert codes(written) == "{3:2 [EEE]} {3:2 Q E} [E {3:2 SSS}] {3:2 rE [EE]}"
    assert [t.bracket for t in written.tuplets] == [False, True, True, True]


def test_silences_that_touch_are_one_silence() -> None:
    """Three silent words are written as if they were one; it belongs to the first of them."""
    written = typed("4/4", "g . . .")
    assert codes(written) == "Q rQ rH"
    assert [note.event for note in written.notes] == [0, 1, 1]


def test_a_stretch_to_do_is_not_mixed_with_silence() -> None:
    """What is still to do is written like a rest of its own."""
    given = [
        Stretch(F(0), F(1), False),
        Stretch(F(1), F(1), True),
        Stretch(F(2), F(1), True, kind=1),
        Stretch(F(3), F(1), True),
    ]
    written = notate_spans(metre("4/4"), F(4), given)
    assert codes(written) == "Q rQ rQ rQ"
    assert [note.event for note in written.notes] == [0, 1, 2, 3]


def test_values_of_one_event() -> None:
    """Tied values come in order."""
    assert values(bar("4/4", "r0:.5 .5:3.5"), 1) == ("Q.", "H")


def test_half_of_a_compound_beat_in_a_group_is_a_duplet() -> None:
    """A beat of two halves beside six plain eighths, one half in five: the eighths stay out of the tuplet."""
    halves = (Cell(F(3), F(3, 4), 2), Cell(F(15, 4), F(3, 4), 5))
    divided = [Cell(F(0), F(9, 2), 3, (Cell(F(0), F(3), 6), Cell(F(3), F(3, 2), 2, halves)))]
    made = notate_spans(metre("9/8"), F(9, 2), stretches("6*1/2 2*3/8 5*3/20"), divided)
    assert codes(made) == "[EEE] [EEE] {4:6 [SS {5:4 TTTTT}]}"


@pytest.mark.parametrize(
    "text", ["4/4", "3/4", "2/2", "4/2", "8/4", "6/8", "9/8", "12/8", "6/4", "5/4", "7/8", "3/8"]
)
def test_words_of_any_slots_can_be_written(text: str) -> None:
    """Every number of words that a bar may hold with every number of slots, down to 128ths, is writable."""
    m = metre(text)
    for count, shares in m.word_counts().items():
        for slots in (1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 16):
            if min(share.length for share in shares) / slots >= F(1, 32):
                made = typed(text, " ".join(["g" * slots] * count))
                assert len({note.event for note in made.notes}) == slots * count


def test_too_fine_is_told() -> None:
    """Sixteen slots in a quarter of a beat would need 256ths."""
    with pytest.raises(NotWritable):
        typed("1/16", "abcdefgabcdefgab")


@pytest.mark.parametrize("length", ["5", "3"])
def test_events_must_fill_the_bar(length: str) -> None:
    """A gap or an overhang is a fault of the caller."""
    with pytest.raises(ValueError, match="bar"):
        notate_spans(metre("4/4"), F(length), stretches("4*1"))


@pytest.mark.parametrize(
    ("onset", "feel", "written"),
    [
        ("2/3", Feel("swing", "8"), "1/2"),
        ("11/3", Feel("swing", "8"), "7/2"),
        ("1/3", Feel("swing", "8"), "1/3"),
        ("3/5", Feel("swing", "8", (3, 2)), "1/2"),
        ("2/3", Feel("swing", "8", (3, 2)), "2/3"),
        ("1/3", Feel("swing", "16"), "1/4"),
        ("5/6", Feel("swing", "16"), "3/4"),
        ("2/3", Feel(), "2/3"),
    ],
)
def test_written_place_of_a_played_time(onset: str, feel: Feel, written: str) -> None:
    """The off-beat lies at r/(r+1) of the pair; swung 16ths at 2:1 lie at 1/3 and 5/6 of the beat (computed)."""
    assert written_time(F(onset), feel) == F(written)


def test_real_triplets_stay_under_swing() -> None:
    """Only a pair that holds nothing but its off-beat is straightened."""
    given, _ = words("gbd g-b gb g", [F(1)] * 4)
    m = metre("4/4")
    swung = straighten(given, m, Feel("swing", "8"))
    assert codes(notate_spans(m, F(4), swung)) == "{3:2 [EEE]} [EE] [EE] Q"
