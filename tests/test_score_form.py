"""The form of a piece in the score: barlines, sections, endings, signs, rests, repeat signs, pickups."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from music21 import bar as barlines
from music21 import note, repeat, spanner, stream

from scribe.score.label import DOUBT
from tests.score_help import clean, through_musicxml, xml_of


def test_barlines_and_sections() -> None:
    """Repeats, double bar before a section, boxed rehearsal mark, final barline."""
    measures = list(
        clean("|: g | a :|\n[B]\n| b |\n[C] | c |").score.parts[0].getElementsByClass(stream.Measure)
    )
    left, right = [m.leftBarline for m in measures], [m.rightBarline for m in measures]
    assert isinstance(left[0], barlines.Repeat)
    assert left[0].direction == "start"
    assert isinstance(right[1], barlines.Repeat)
    assert [line.type if line else None for line in right[2:]] == ["double", "final"]
    marks = [
        (m.measureNumber, m.content)
        for m in measures[0].activeSite.recurse().getElementsByClass("RehearsalMark")
    ]
    assert marks == [(3, "B"), (4, "C")]


ENDINGS = "|: g | a |\nending 1\n| b :|\nending 2\n| c |\n| d |"


def test_endings() -> None:
    """First and second endings are brackets over their bars, in MusicXML too."""
    score = clean(ENDINGS).score
    brackets = score.recurse().getElementsByClass(spanner.RepeatBracket)
    assert [(b.number, [m.number for m in b.getSpannedElements()]) for b in brackets] == [
        ("1", [3]),
        ("2", [4]),
    ]
    ends = [
        (e.get("number"), e.get("type"))
        for e in ElementTree.fromstring(through_musicxml(score)[0]).iter("ending")
    ]
    assert ends == [("1", "start"), ("1", "stop"), ("2", "start"), ("2", "stop")]


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("|: g | a :|: b | c :| d |", "gagabcbcd"),
        (ENDINGS, "gabgacd"),
        ("|: g |\nending 1,2\n| a :|\nending 3\n| b |", "gagagb"),
        ("| g | 'segno a | 'fine b | 'ds c |", "gabcab"),
        ("| g | a 'fine | b | 'dc c |", "gabcga"),
    ],
)
def test_repeats_unfold(text: str, order: str) -> None:
    """music21 plays repeats, endings, D.S. and D.C. al Fine in the order that the signs mean."""
    part = clean(text).score.parts[0].expandRepeats()
    assert "".join(n.pitch.name.lower() for n in part.recurse().notes) == order


def test_signs_of_the_form() -> None:
    """Segno, coda, Fine and the jumps are music21's own repeat expressions; D.S. says al Coda if there is one."""
    score = clean("| 'segno g | 'tocoda a | 'ds b | 'coda c |").score
    kinds = [type(each) for each in score.recurse().getElementsByClass(repeat.RepeatExpression)]
    assert kinds == [repeat.Segno, repeat.Coda, repeat.DalSegnoAlCoda, repeat.Coda]


def test_bars_of_rest() -> None:
    """`rest 4` is four measures of rest under one sign, numbered on."""
    score = clean("| g |\nrest 4\n| a |").score
    measures = list(score.parts[0].getElementsByClass(stream.Measure))
    assert [m.number for m in measures] == [1, 2, 3, 4, 5, 6]
    assert [e.text for e in ElementTree.fromstring(through_musicxml(score)[0]).iter("multiple-rest")] == ["4"]


def test_repeated_bars_are_written_out() -> None:
    """`%` and `%%` hold the notes of the bars they repeat, and say that the page shows a sign."""
    measures = list(clean("| g ab | % | c d | %% |").score.parts[0].getElementsByClass(stream.Measure))
    names = ["".join(n.name.lower() for n in m.notes) for m in measures]
    assert names == ["gab", "gab", "cd", "gab", "cd"]
    assert [m.editorial.get("scribeRepeat") for m in measures] == [None, 1, None, 2, 2]


def test_what_is_to_do_stays_visible() -> None:
    """A beat or bar to do is a coloured rest with a question mark; a broken bar an empty one that says so."""
    from scribe import compile

    score = compile("| g ? b c | ? | g a b | |").score
    measures = list(score.parts[0].getElementsByClass(stream.Measure))
    rests = [r for m in measures for r in m.getElementsByClass(note.Rest)]
    assert {r.style.color for r in rests} == {DOUBT}
    assert [r.editorial.get("scribeTodo") for r in rests] == [True, True, None, True]
    assert measures[2].editorial.get("scribeBroken") is True
    assert [t.content for m in measures for t in m.getElementsByClass("TextExpression")] == ["?"] * 3


def test_pickups_are_bar_zero() -> None:
    """A pickup is bar 0, not counted on the page, and music21 knows how much of it is missing."""
    xml = xml_of("pickup 1\n| g | a b c d |")
    bars = [(m.get("number"), m.get("implicit")) for m in xml.iter("measure")]
    assert bars == [("0", "yes"), ("1", "no")]
    first = clean("pickup 1\n| g | a b c d |").score.parts[0].measure(0)
    assert first is not None
    assert first.paddingLeft == 3


def test_times_in_the_recording() -> None:
    """A line's time stays with its first measure, exactly."""
    measures = clean("0:12.4 | g | a |").score.parts[0].getElementsByClass(stream.Measure)
    assert [m.editorial.get("scribeTime") for m in measures] == ["62/5", None]
