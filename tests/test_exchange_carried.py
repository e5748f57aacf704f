"""Files that we gave out carry their draft: it comes back letter for letter, unless somebody changed the music."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import verovio

from scribe.exchange.out.mei import mei
from scribe.exchange.out.musicxml import musicxml, mxl
from scribe.exchange.reading import take
from scribe.exchange.worker import draft_of
from scribe.music.piece import Piece
from scribe.pipeline import compile
from tests.exchange_help import piece_of
from tests.musicxml_schema import faults
from tests.test_commands import scribe
from tests.whole_drafts import whole_draft

DEMOS = sorted((Path(__file__).parent.parent / "demo").glob("*.scribe"))
Writer = Callable[[Piece, str], bytes]
OURS = """; for Tuesday < & >
title  Lamp Post   ; not final
home   E:0
[A]
0:08.2 | @Cm7 e g b d | % |   ; louder
use A up P4
"""


@pytest.mark.parametrize("write", [musicxml, mxl, mei], ids=lambda w: w.__name__)
@pytest.mark.parametrize(
    "text", [*[p.read_text(encoding="utf-8") for p in DEMOS], OURS], ids=[*[p.stem for p in DEMOS], "ours"]
)
def test_a_draft_comes_back_letter_for_letter(text: str, write: Writer) -> None:
    """Comments, `use`, `home`, times in the recording, the way of writing, blanks: all of it."""
    back = draft_of(write(compile(text).piece, text))
    assert back.text == text
    assert back.remarks == ("the draft that it was made from",)
    assert back.wrong == 0


def swapped(data: bytes) -> bytes:
    """Another program made the first D an E."""
    made = data.replace(b"<step>D</step>", b"<step>E</step>", 1).replace(b'pname="d"', b'pname="e"', 1)
    assert made != data
    return made


@pytest.mark.parametrize("write", [musicxml, mei], ids=lambda w: w.__name__)
def test_what_was_changed_elsewhere_is_changed_in_the_draft(write: Writer) -> None:
    """A note is another one by now: that bar is written anew, everything else stays as it was typed."""
    text = (
        "; mine\nhome E:0\n0:04.5 | 1 3 - 5 | @C7 g b d> g |  ; slower\n| a b hc /e | d c b a |\nlayout fit\n"
    )
    back = draft_of(swapped(write(piece_of(text), text)))
    assert back.text == text.replace("@C7 g b d> g", "@C7 g b e> g")
    assert back.remarks == ("the draft that it was made from, with 1 bar changed since",)
    assert back.wrong == 0


def test_a_changed_bar_that_is_repeated() -> None:
    """In MEI the sign goes on to repeat it; in MusicXML, where the copy has kept its notes, they are written out."""
    text = "| g b d b |\n| % |\n| c e g e | c |\n"
    assert draft_of(swapped(mei(piece_of(text), text))).text == text.replace("d", "e", 1)
    assert draft_of(swapped(musicxml(piece_of(text), text))).text == text.replace("d", "e", 1).replace(
        "%", "g b d b"
    )


@pytest.mark.parametrize("write", [musicxml, mei], ids=lambda w: w.__name__)
def test_a_form_that_was_changed_is_read_anew(write: Writer) -> None:
    """Another metre, bars gone: the file counts, not the text that it carries."""
    text = "; mine\ntime 3/4\n| g b d | g b a |\n"
    data = (
        swapped(write(piece_of(text), text))
        .replace(b"<beats>3<", b"<beats>6<")
        .replace(b"<beat-type>4<", b"<beat-type>8<")
    )
    data = data.replace(b'meter.count="3"', b'meter.count="6"').replace(b'meter.unit="4"', b'meter.unit="8"')
    back = draft_of(data)
    assert "; mine" not in back.text
    assert back.wrong == 0


@pytest.mark.parametrize("text", ["| g b d |", "? nonsense", "| a |\n" * 3000, "| x | y |"])
def test_a_text_that_says_something_else_is_not_believed(text: str) -> None:
    """Whatever a file carries: only what gives the same music is taken."""
    taken = take(musicxml(piece_of("| g b d b | g |"), text))
    assert taken.draft == ""
    assert len(taken.line.bars) == 2


def test_signs_that_xml_cannot_hold() -> None:
    """A draft with a control character goes out without its text."""
    text = "title a\x01b\n| g b d b |\n"
    piece = piece_of("| g b d b |")
    assert musicxml(piece, text) == musicxml(piece)
    assert take(musicxml(piece, text)).draft == ""


def test_valid_with_the_text_inside() -> None:
    """The schema of MusicXML and Verovio have nothing against it."""
    piece = piece_of(OURS)
    assert faults(musicxml(piece, OURS)) == []
    toolkit = verovio.toolkit()
    assert toolkit.loadData(mei(piece, OURS).decode())
    assert toolkit.getLog() == ""


def test_the_text_can_be_left_out(tmp_path: Path) -> None:
    """`--plain` keeps comments at home."""
    (tmp_path / "a.scribe").write_text(OURS, encoding="utf-8")
    for kind in ("musicxml", "mei"):
        assert scribe("export", "a.scribe", "-o", f"b.{kind}", cwd=tmp_path).returncode == 0
        assert "for Tuesday" in (tmp_path / f"b.{kind}").read_text(encoding="utf-8")
        assert scribe("export", "a.scribe", "-o", f"b.{kind}", "--plain", cwd=tmp_path).returncode == 0
        assert "for Tuesday" not in (tmp_path / f"b.{kind}").read_text(encoding="utf-8")


@pytest.mark.parametrize("seed", range(4))
def test_whole_drafts(seed: int) -> None:
    """Drafts with everything in them, also with errors: the same text again."""
    text = whole_draft(seed)
    assert draft_of(musicxml(compile(text).piece, text)).text == text
