"""Written values against published cases.

The tags are those of the collection the table comes from: L looked up in the source named, R computed with music21
10.5.1, M from memory, C common practice, no source. The sources:

S17 Berklee Music Theory Book 1, lesson 7, pp. 16-17. S18 Berklee Online, Take Note, "Imaginary barlines". S19
S. McCormick, "Beyond the Imaginary Bar Line", Berklee Today, summer 2008. S20 C. A. Harris, How to Write Music,
H. W. Gray 1917, sections 12 and 13, figures 7 and 8. S22 musictheory.pugetsound.edu section 4.6. S23 musicnotes.com,
note beaming. S24 neilhawes.com, theory 36. S25 LearnMusicTheory.net 1.7. S26 opentextbooks.org.hk 2220.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

import pytest

from scribe.music.inforce import Feel
from scribe.music.notate import DEFAULT, Style, codes, notate_spans, straighten
from tests.notate_help import bar, metre, stretches, tight


class Case(NamedTuple):
    number: str
    metre: str
    events: str
    expected: str
    tag: str
    cells: str = ""
    note: str = ""  # where sources disagree or leave something open: what was chosen


CASES = [
    Case("1", "4/4", "0:4", "W", "L:S17,S18"),
    Case("2", "4/4", "0:3 3:1", "H. Q", "L:S17"),
    Case("3", "4/4", "0:1 1:3", "Q H.", "L:S17"),
    Case("4", "4/4", "0:1 1:2 3:1", "Q H Q", "L:S17,S18"),
    Case("5", "4/4", "r0:.5 .5:3 r3.5:.5", "rE Q.~Q. rE", "L:S17 (last symbol unclear in the text layer)"),
    Case("6", "4/4", "r0:1.5 1.5:2 r3.5:.5", "rQ rE E~Q. rE", "L:S17"),
    Case("7", "4/4", "0:1.5 1.5:1.5 3:1", "Q. E~Q Q", "L:S17", "", "the Latin reading Q. Q. Q is a style"),
    Case("8", "4/4", "0:1.5 r1.5:1 2.5:1.5", "Q. rE rE Q.", "L:S17"),
    Case("9", "4/4", "0:1 r1:3", "Q rQ rH", "L:S17"),
    Case("10", "4/4", "0:1 r1:2 3:1", "Q rQ rQ Q", "L:S17,S20"),
    Case("11", "4/4", "r0:4", "rW", "L:S20"),
    Case(
        "12", "4/4", "8*.5", "[EEEE][EEEE]", "L:S23,S24", "", "four and four; music21 has 2+2+2+2, also legal"
    ),
    Case("13", "4/4", "16*.25", "[SSSS][SSSS][SSSS][SSSS]", "L:S23,S24"),
    Case("14", "4/4", "0:.5 .5:1 1.5:.5 2:2", "E Q E H", "L:S22 + M"),
    Case("15", "4/4", "0:.5 .5:1 1.5:1 2.5:1 3.5:.5", "E Q E~E Q E", "L:S17 (text layer: flag count fits)"),
    Case("16", "4/4", "0:2.5 2.5:1.5", "H~E Q.", "C, follows rules 2 and 3"),
    Case("17a", "4/4", "r0:3.5 3.5:.5", "rH rQ rE E", "C", "", "the tie over the barline is the piece's"),
    Case("17b", "4/4", "0:1 r1:3", "Q rQ rH", "C"),
    Case(
        "18", "4/4", "r0:.5 .5:.5 r1:.5 1.5:.5 r2:.5 2.5:.5 r3:.5 3.5:.5", "rE E rE E rE E rE E", "C, rule 7"
    ),
    Case("19", "4/4", "0:.75 .75:.75 1.5:.5 2:2", "[E. S~][E E] H", "L:S19 rule 5"),
    Case("20", "4/4", "0:1.25 1.25:.75 2:2", "Q~[S E.] H", "L:S19 rule 5"),
    Case("21", "4/4", "0:.25 .25:.5 .75:.25 1:3", "[S E S] H.", "L:S22 + M"),
    Case("22", "3/4", "0:1 r1:2", "Q rQ rQ", "L:S20 fig. 7d"),
    Case("23", "3/4", "6*.5", "[EEEEEE]", "L:S24", "", "one beam; by beat is a style"),
    Case("24", "3/4", "0:1.5 1.5:1.5", "Q. Q.", "M", "", "accepted today; strict Q. E~Q is a style"),
    Case("25", "2/4", "0:1 r1:1", "Q rQ", "L:S20 fig. 7a"),
    Case("26", "2/4", "0:.5 r.5:1 1.5:.5", "E rE rE E", "L:S20 fig. 7b"),
    Case("27", "2/2", "8*.5", "[EEEE][EEEE]", "C, R music21 same"),
    Case("28", "6/8", "6*.5", "[EEE][EEE]", "C, R music21 same"),
    Case("29", "6/8", "0:1 1:.5 1.5:1 2.5:.5", "Q E Q E", "C"),
    Case("30", "6/8", "0:3", "H.", "M", "", "modern; Harris 1917 fig. 8a Q.~Q. is a style"),
    Case("31", "6/8", "0:2 r2:1", "Q.~E rE rE", "L:S20 fig. 8b"),
    Case("32", "6/8", "r0:3", "rW", "L:S20 fig. 8c, p. 18"),
    Case("33", "6/8", "0:1 1:1 2:1", "Q E~E Q", "M, rule 9"),
    Case(
        "34", "6/8", "0:.75 .75:.75 1.5:1.5", "{2:3 [EE]} Q.", "L:S25 / M", "3/2:2 3/2:1", "two E. is a style"
    ),
    Case("35", "9/8", "0:2 r2:.5 2.5:2", "Q.~E rE E~Q.", "L:S20 fig. 8"),
    Case("36", "12/8", "0:1 1:.5 1.5:1 2.5:.5 3:1 4:.5 4.5:1 5.5:.5", "Q E Q E Q E Q E", "C"),
    Case("37a", "5/8", "5*.5", "[EE][EEE]", "C"),
    Case("37b", "5/8 3+2", "5*.5", "[EEE][EE]", "C"),
    Case("38a", "7/8", "7*.5", "[EE][EE][EEE]", "C, R music21 same default"),
    Case("38b", "7/8 3+2+2", "7*.5", "[EEE][EE][EE]", "C"),
    Case("39", "8/8 3+3+2", "8*.5", "[EEE][EEE][EE]", "C"),
    Case("40", "5/4 3+2", "10*.5", "[EEEEEE][EEEE]", "C", "", "6+4 shows the grouping; by beat is as legal"),
    Case("41", "4/4", "3*1/3 1:3", "{3:2 [EEE]} H.", "L:S25", "1:3 1:1 1:1 1:1"),
    Case("42", "4/4", "3*2/3 2:2", "{3:2 Q Q Q} H", "L:S25", "2:3 2:1"),
    Case("43a", "4/4", "5*1/5 1:3", "{5:4 [SSSSS]} H.", "L:S25", "1:5 1:1 1:1 1:1"),
    Case("43b", "4/4", "6*1/6 1:3", "{6:4 [SSSSSS]} H.", "L:S25", "1:6 1:1 1:1 1:1"),
    Case("43c", "4/4", "7*1/7 1:3", "{7:4 [SSSSSSS]} H.", "L:S25", "1:7 1:1 1:1 1:1"),
    Case("46a", "4/4", "0:1 3*2/3 3:1", "Q {3:2 Q E~}{3:2 E Q} Q", "M", "1:1 2:3 1:1", "over beats 2 and 3"),
    Case(
        "46b",
        "4/4",
        "0:1.5 3*1/3 2.5:1.5",
        "Q. {3:2 [E S~]}[{3:2 S E} E~] Q",
        "M",
        "3/2:1 1:3 3/2:1",
        "off the beat over the middle; beat 4 is shown because of the 16ths (rule 5)",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.number)
def test_published_case(case: Case) -> None:
    """A bar is written as the source has it: values, ties, rests, tuplets and beams."""
    assert tight(codes(bar(case.metre, case.events, case.cells))) == tight(case.expected)


@pytest.mark.parametrize(
    ("number", "events", "feel", "expected", "tag"),
    [
        ("44a", "0:2/3 2/3:1/3 1:3", Feel("swing", "8"), "[EE] H.", "L:S26"),
        ("44b", "0:2/3 2/3:1/3 1:3", Feel(), "{3:2 Q E} H.", "L:S26"),
        ("45", "0:2/3 2/3:1 5/3:1/3 2:2", Feel("swing", "8"), "E Q E H", "C"),
    ],
)
def test_published_case_of_performed_time(
    number: str, events: str, feel: Feel, expected: str, tag: str
) -> None:
    """Times that were played with a swing feel are written as straight eighths, without it as triplets."""
    m = metre("4/4")
    written = notate_spans(m, m.length, straighten(stretches(events), m, feel))
    assert tight(codes(written)) == tight(expected), (number, tag)


@pytest.mark.parametrize(
    ("field", "metre_text", "events", "divided", "expected", "source"),
    [
        ("latin", "4/4", "0:1.5 1.5:1.5 3:1", "", "Q. Q. Q", "case 7, L:S18, figure not seen"),
        ("whole_beats", "6/8", "0:3", "", "Q.~Q.", "case 30, L:S20 fig. 8a"),
        ("triple_dots", "3/4", "0:1.5 1.5:1.5", "", "Q. E~Q", "case 24, M"),
        ("duplets", "6/8", "0:.75 .75:.75 1.5:1.5", "3/2:2 3/2:1", "[E. E.] Q.", "case 34, M"),
        ("halves", "4/4", "8*.5", "", "[EE][EE][EE][EE]", "case 12, R: what music21 does"),
        ("triple_beam", "3/4", "6*.5", "", "[EE][EE][EE]", "case 23, L:S24"),
        ("double_dots", "4/4", "0:1.75 1.75:.25 2:2", "", "Q.. S H", "C"),
    ],
)
def test_other_reading_is_a_style(
    field: str, metre_text: str, events: str, divided: str, expected: str, source: str
) -> None:
    """Where sources disagree, one field of the style gives the other reading."""
    style = DEFAULT._replace(**{field: not getattr(DEFAULT, field)})
    assert tight(codes(bar(metre_text, events, divided, style))) == tight(expected), source
    assert tight(codes(bar(metre_text, events, divided))) != tight(expected)


def test_every_style_field_has_its_row() -> None:
    """The style table names each field once, and says for each choice where it comes from."""
    from scribe.music.notate import CHOICES

    assert sorted(c.field for c in CHOICES if c.field) == sorted(Style._fields)
    assert all(c.choice and c.source for c in CHOICES)


@pytest.mark.parametrize("text", ["2/2", "6/8", "9/8", "12/8", "7/8", "5/8"])
def test_beams_of_eighths_agree_with_music21(text: str) -> None:
    """Plain eighths are beamed as music21 beams them where the collection found both the same (section 3c)."""
    from music21 import meter, note

    m = metre(text)
    number = int(m.length / Fraction(1, 2))
    eighths = [note.Note(quarterLength=0.5) for _ in range(number)]
    groups: list[int] = []
    for beams in meter.TimeSignature(text).getBeams(eighths):
        if beams.getByNumber(1).type == "start":
            groups.append(0)
        groups[-1] += 1
    written = bar(text, f"{number}*1/2")
    ours = [
        sum(n.beam == beam for n in written.notes) for beam in dict.fromkeys(n.beam for n in written.notes)
    ]
    assert ours == groups


def test_cells_and_times_agree_on_the_triplets_of_a_beat() -> None:
    """Triplets typed as such and triplets found in bare times are written alike."""
    divided = codes(bar("4/4", "12*1/3", "4:12"))
    assert divided == codes(bar("4/4", "12*1/3"))
