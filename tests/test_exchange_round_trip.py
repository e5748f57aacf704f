"""A draft given out as MusicXML and taken in again says the same: notes, names, marks, chords, words, form."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings

from scribe import compile
from scribe.exchange.draft import write_draft
from scribe.exchange.out.musicxml import musicxml, mxl
from scribe.exchange.reading import take
from scribe.music.piece import Piece
from tests.exchange_help import comparable, piece_of
from tests.pieces import random_draft
from tests.test_score_property import drafts

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))


def back(piece: Piece) -> str:
    """The draft that comes back out of a piece's MusicXML; nothing may be left unsaid."""
    made = write_draft(take(musicxml(piece)).line)
    assert made.unsaid == ()
    return made.text


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_the_demos_come_back_whole(demo: Path) -> None:
    """Everything but the layout of the text and the times in a recording survives."""
    piece = piece_of(demo.read_text(encoding="utf-8"))
    assert comparable(piece_of(back(piece))) == comparable(piece)


def test_a_second_trip_changes_nothing_more() -> None:
    """What has been through MusicXML once comes back letter for letter."""
    for demo in DEMOS:
        once = back(piece_of(demo.read_text(encoding="utf-8")))
        assert back(piece_of(once)) == once


@settings(max_examples=25, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(drafts())
def test_any_draft_comes_back(text: str) -> None:
    """Whatever can be typed without an error: the same notes, names, marks and chords."""
    assume(not any(d.severity == "error" for d in compile(text).piece.diagnostics))
    piece = piece_of(text)
    made = write_draft(take(musicxml(piece)).line)
    mine, theirs = comparable(piece), comparable(piece_of(made.text))
    assert theirs.notes == mine.notes
    assert theirs.chords == mine.chords


@pytest.mark.parametrize("seed", range(4))
def test_full_pages_come_back(seed: int) -> None:
    """Drafts full of chords, words, strings and frets, repeats and sections."""
    piece = piece_of(random_draft(seed))
    made = write_draft(take(musicxml(piece)).line)
    assert comparable(piece_of(made.text)) == comparable(piece)


def test_compressed_is_the_same_score_and_the_same_bytes_each_time() -> None:
    """An .mxl holds the same music; two runs give equal files."""
    piece = piece_of("key Eb\n[A] | @Ebmaj7 e g b d | e - - . |")
    assert take(mxl(piece)) == take(musicxml(piece))
    assert mxl(piece) == mxl(piece)


@pytest.mark.parametrize(
    ("draft", "lines"),
    [
        ("time 7/8 3+2+2\n| g-a bd c- |", "|g-a bd c"),
        ("feel swing 3:2\ntempo Easy dotted-half 50\n| g b d g |", "feel     swing 3:2"),
        ("strings B E A D G\n| b:B e:E |", "strings  B E A D G"),
        ("key G\npickup 1\n| d | g a b c |\nshort 2\n| d c :|", "pickup   1"),
        ("instrument alto sax\nkey Eb\n| e g b ^e |", "instrument alto sax"),
        ("| g b d g |\nrest 5\n| g a b c |", "rest 5"),
        ("player A. Player\n| @C7alt? g b @G13sus4/D d g |", "@C7alt? g b @G13sus4/D"),
        ("|: g b d g |\nending 1,2\n  | a a b b :|\nending 3\n  | g - - . |", "ending 1,2"),
        ("| 'slap g b'p d x |", "|'slap g b'p d x"),
        ("tempo Rubato\n| g b d b |", "tempo    Rubato"),
        ("| g ? b? u |", "|g ? b? u"),
        ("| g b d b | % | @C7 % | a b c d | %% |", "|g b d b|%|@C7 %|a b c d|%%"),
    ],
)
def test_what_must_survive(draft: str, lines: str) -> None:
    """Groups, feels, tunings, pickups, instruments, rests, chords with their spelling, endings, slap, open places,
    repeat signs."""
    assert lines in back(piece_of(draft))


@pytest.mark.parametrize(
    "draft",
    [
        "| D:6 - x x |\n| - Db e Bb |",  # the place on the staff of a dead note goes with the spelling before it
        "enharmonic fix\n|: Cb |\nending 1\n| c+g :|\nending 2\n| @C7 a D:4 a D |",
        "enharmonic fix\n|: @F#7 | Bb u |\n| - G - C |",
        "enharmonic fix\n|: D:1 |\nkey B\n|: c Bb c g | . a Cb G |",
    ],
)
def test_what_made_up_drafts_lost(draft: str) -> None:
    """Dead notes held over a barline; names under `enharmonic fix`, which puts them right once more."""
    piece = piece_of(draft)
    assert comparable(piece_of(back(piece))) == comparable(piece)
