"""Random drafts: whatever can be typed without an error, the score says it, in music21 and in MusicXML."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from music21 import note, stream

from scribe import compile
from scribe.score import sounded
from tests.score_help import listed, through_musicxml

# Metres, and the numbers of beat words a bar of each may hold (the language's own table).
METRES = {
    "4/4": (1, 2, 4, 8),
    "3/4": (1, 3, 6),
    "2/2": (1, 2, 4),
    "6/8": (2, 6),
    "12/8": (2, 4, 12),
    "7/8 2+2+3": (3, 7),
    "5/4 3+2": (2, 5),
}
KEYS = ("C", "G minor", "Db", "F# minor", "A dorian", "Cb")
INSTRUMENTS = ("bass", "alto sax", "tenor sax", "piano")
CHORDS = ("C7", "Bbm7b5", "F#7alt", "Ab6/9", "N.C.", "Ebmaj7/G", "Cwhat")

CONNECTORS = st.sampled_from(["", "", "", "~", "h", "p", "/"])
MARKS = st.sampled_from(["", "", "", ">", "*", "'h", "'v"])


def typed(names: list[str], contours: list[str]) -> st.SearchStrategy[str]:
    """A note as typed: connector, contour, ghost, name, mark."""
    parts = (
        CONNECTORS,
        st.sampled_from(contours),
        st.sampled_from(["", "", "q"]),
        st.sampled_from(names),
        MARKS,
    )
    return st.tuples(*parts).map("".join)


pitches = typed([*"abcdefg", "F#", "Bb", "C"], ["", "", "^", "v"])
pitchless = typed(["x", "u"], [""])
slots = st.one_of(pitches, pitches, pitchless, st.just("-"), st.just("."))
beats = st.lists(slots, min_size=1, max_size=5).map("".join)
words = st.one_of(*[beats] * 6, st.just("?"), pitches.map(lambda p: f",c{p}"))


@st.composite
def bars(draw: st.DrawFn, counts: tuple[int, ...]) -> str:
    """One bar: so many beat words, some of them in a triplet group, a chord or a text before some."""
    count = draw(st.sampled_from(counts))
    row = draw(st.lists(words, min_size=count, max_size=count))
    if count >= 4 and draw(st.booleans()):
        row[:2] = ["2{" + " ".join(draw(st.lists(beats, min_size=3, max_size=3))) + "}"]
    if draw(st.booleans()):
        row.insert(0, "@" + draw(st.sampled_from(CHORDS)))
    return " ".join(row)


@st.composite
def drafts(draw: st.DrawFn) -> str:
    """A draft of a few bars, without a fault in its form."""
    metre = draw(st.sampled_from(list(METRES)))
    head = (
        f"instrument {draw(st.sampled_from(INSTRUMENTS))}\nkey {draw(st.sampled_from(KEYS))}\ntime {metre}\n"
    )
    music = bars(METRES[metre])
    following = draw(st.lists(st.one_of(music, music, st.just("%")), max_size=3))
    return head + "| " + " | ".join([draw(music), *following]) + " |"


@settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(drafts())
def test_any_draft_and_its_score_agree(text: str) -> None:
    """Bars are full, notes are those of the note list, before and after MusicXML; broken bars are empty ones."""
    compiled = compile(text)
    score = compiled.score
    assert score.isWellFormedNotation()
    for measure, bar in zip(
        score.parts[0].getElementsByClass(stream.Measure), compiled.piece.bars, strict=True
    ):
        notes = [each for each in measure.notesAndRests if "Harmony" not in each.classes]
        assert abs(sum(each.quarterLength for each in notes) - bar.music.length) < 1e-6
        for each in notes:
            start, end = each.editorial["scribeSpan"]
            assert bar.span.start <= start <= end <= bar.span.end
            assert isinstance(each, note.GeneralNote)
        if bar.music.broken:
            assert [each.isRest for each in notes] == [True]
    expected = listed(compiled)
    assert sounded(score.parts[0]) == expected
    _, again = through_musicxml(score)
    assert sounded(again.parts[0]) == expected
