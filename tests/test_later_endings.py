"""A note held into a second or third ending comes from the bar before the first one, in every form of the music."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from lxml import etree
from music21 import stream

from scribe import compile, engrave
from scribe.exchange.out.mei import mei
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.worker import draft_of
from scribe.music.piece import Piece
from scribe.score import sounded
from tests.exchange_help import piece_of, said

HELD = "key Db\n|: d e f g |\nending 1\n| - - a b :|\nending 2\n| - - a ^g :|\nending 3\n| - a d - |\n"
# The first ending has the same sound under another name, or is still to do.
OTHERS = [
    "|: g - d B |\nending 1\n| - Cb - A# :|\nending 2\n| - - - . |\n",
    "|: f# |\nending 1\n| :|\nending 2\n| - d - d |\n",
    "key E\n|: A:4 f |\nending 2\n| ^g G Gb a :|\nending 3\n| - - . . |\n",
    "|: x d - x |\nending 1\n| . :|\nending 2\n| - - . a |\n",
    "|: c e+c |\nending 1\n| - c :|\nending 2\n| - e |\n",
]


def test_the_note_list_has_it_again() -> None:
    """Where its sound goes on, as tied; it does not make the note longer that ends the ending before."""
    rows = [(n.bar, str(n.pitch), n.length) for n in compile(HELD).notes if "tied" in n.marks]
    assert rows == [(3, "Gb2", 2), (4, "Gb2", 1)]
    assert [(n.bar, n.length) for n in compile(HELD).notes if str(n.pitch) == "Gb2"] == [
        (1, 3),  # and the first ending's two beats
        (3, 2),
        (3, 1),
        (4, 1),
    ]


def test_its_name_is_that_of_the_note_it_goes_on_from() -> None:
    """B, though the bar before on the page has a C flat."""
    last = compile(OTHERS[0]).piece.bars[-1].events[0]
    assert last.heads[0].pitch.name == "B"


def test_the_page_ties_it_from_the_left() -> None:
    """A half tie at the note, none from the end of the ending before, though that has the same pitch."""
    page = engrave(compile(HELD))
    ties = re.findall(r'<tie startid="#([^"]+)"', page.mei)
    assert len(ties) == 1  # into the first ending
    assert len(re.findall(r'tie="t"', page.mei)) == 2
    assert page.svgs[0].count('class="tie"') == 2 + 2  # the first tie crosses systems in two halves


def test_musicxml_attaches_it_to_its_one_note() -> None:
    """MusicXML 4.0, `tied`: "ties that are visually attached to only one note" have a start and a stop there."""
    root = etree.fromstring(musicxml(piece_of(HELD)))
    kinds = [
        next(
            (note.findtext("pitch/step"), [t.get("type") for t in note.iter("tied")])
            for note in m.iter("note")
        )
        for m in root.iter("measure")
    ]
    assert kinds == [("D", []), ("G", ["stop"]), ("G", ["start", "stop"]), ("G", ["start", "stop"])]


@pytest.mark.parametrize("text", [HELD, *OTHERS])
def test_the_score_has_the_notes_of_the_list(text: str) -> None:
    """Lengths too: no tie of the score joins two endings."""
    part = compile(text).score.parts[0]
    assert isinstance(part, stream.Part)
    listed = compile(text).notes
    assert [s.length for s in sounded(part) for _ in s.names] == [n.length for n in listed]


@pytest.mark.parametrize("write", [musicxml, mei], ids=lambda w: w.__name__)
@pytest.mark.parametrize("text", [HELD, *OTHERS])
def test_it_comes_back_as_a_hold(text: str, write: Callable[[Piece, str], bytes]) -> None:
    """Out of files without the draft's text, with the same names."""
    piece = piece_of(text)
    assert said(piece_of(draft_of(write(piece, "")).text)) == said(piece)
