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


@pytest.mark.parametrize("write", [musicxml, mei], ids=lambda w: w.__name__)
def test_changed_music_is_read_anew(write: Writer) -> None:
    """Another program changed a note: the file counts, not the text that it carries."""
    text = "; mine\n| g b d b |\n"
    data = write(piece_of(text), text)
    changed = data.replace(b"<step>D</step>", b"<step>E</step>", 1).replace(b'pname="d"', b'pname="e"', 1)
    assert changed != data
    back = draft_of(changed)
    assert "; mine" not in back.text
    assert "|g b e b|" in back.text


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
