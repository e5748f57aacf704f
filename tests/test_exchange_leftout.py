"""What a file does not hold of its draft is told: all of that, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from scribe import compile
from scribe.exchange.facts import KINDS
from scribe.exchange.leftout import left_out, told, unheard_of
from scribe.exchange.out.mei import mei
from scribe.exchange.out.midi import midi
from scribe.exchange.out.musicxml import musicxml
from scribe.exchange.worker import draft_of
from scribe.music.piece import Piece
from tests.exchange_help import piece_of, said
from tests.test_commands import scribe
from tests.whole_drafts import whole_draft

Writer = Callable[[Piece, str], bytes]
both = pytest.mark.parametrize("write", [musicxml, mei], ids=lambda w: w.__name__)
OF_NOTES = ("note", "dead", "unheard", "ghost", "doubt", "place", "grace", "connector", "mark", "to do")
OF_BARS = ("bar", "key", "time", "feel", "rest")
OF_FORM = ("section", "ending", "barline", "tempo", "bar", "rest")
OF_THE_PAGE = (
    "show",
    "position",
    "recorded",
    "home",
    "enharmonic",
    "degrees",
    "system",
    "layout",
    "strings",
    "repeat",
)
OF_THE_HEAD = ("title", "composer", "player", "recording")


def by_kinds(text: str) -> dict[tuple[str, ...], object]:
    """What a draft says, by the kinds of facts that a part of it is told as: looked up here without them."""
    piece = piece_of(text)
    every = said(piece)
    dead = [(h.kind, h.pitch) for bar in piece.bars for e in bar.events for h in e.heads if h.kind != "note"]
    page: list[object] = [piece.layout]
    at = Fraction(0)
    lines = {start for start, _ in piece.systems}
    for index, bar in enumerate(piece.bars):
        now = bar.in_force
        tuning = now.tuning if now.instrument.fretted else ()
        row = (bar.shown, bar.position, bar.time, now.home, now.enharmonic, now.degrees, tuning)
        page += [(at + bar.music.length * rest, *row, bar.repeat) for rest in range(bar.rests or 1)]
        page += [("line", at)] if index in lines else []
        at += bar.music.length * (bar.rests or 1)
    typed = [(h.way, h.meant) for bar in piece.bars for e in bar.events for h in e.heads]
    typed += [(g.head.way, g.head.meant) for bar in piece.bars for e in bar.events for g in e.graces]
    return {
        OF_NOTES: (every.notes, dead, [g.head.ghost for b in piece.bars for e in b.events for g in e.graces]),
        ("chord", "doubtful chord"): every.chords,
        ("text", "dynamic", "direction"): every.words,
        OF_BARS: every.bars,
        OF_FORM: every.marks,
        OF_THE_PAGE: page,
        OF_THE_HEAD: piece.heading,
        ("way", "meant"): typed,
        ("comment",): sum(";" in line for line in text.splitlines()),
        ("use",): sum(line.startswith("use ") for line in text.splitlines()),
    }


@both
@settings(max_examples=6, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 10_000))
def test_what_is_told_differs_and_the_rest_comes_back(write: Writer, seed: int) -> None:
    """Drafts with all that the language can say: each part of them is told as left out, or it is whole."""
    text = f"; study {seed}\n{whole_draft(seed)}"
    compiled = compile(text)
    assume(not any(d.severity == "error" for d in compiled.diagnostics))
    data = write(compiled.piece, "")
    left = {each.kind for each in left_out(compiled.piece, text, data)}
    mine, theirs = by_kinds(text), by_kinds(draft_of(data).text)
    for kinds, value in mine.items():
        assert (value != theirs[kinds]) == bool(left & set(kinds)), (kinds, left)
    assert left <= {kind for kinds in mine for kind in kinds}


@both
@settings(max_examples=6, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(20_000, 30_000))
def test_notes_names_marks_and_chords_come_back(write: Writer, seed: int) -> None:
    """Without the text of the draft, whatever it says: not one note, name, length or chord symbol is another one."""
    compiled = compile(whole_draft(seed))
    assume(not any(d.severity == "error" for d in compiled.diagnostics))
    mine, theirs = said(compiled.piece), said(piece_of(draft_of(write(compiled.piece, "")).text))
    assert theirs.notes == mine.notes
    assert theirs.chords == mine.chords
    assert theirs.bars == mine.bars
    assert theirs.marks == mine.marks


COMMENTED = """; for Tuesday
key G minor
[A]
| 1 b3 5 1 |   ; softer
| A:3 c e=g - |
use A
"""


@both
def test_the_account_of_a_draft(write: Writer) -> None:
    """What only the text says: comments by their lines, `use`, degrees and frets, names that are meant."""
    piece = piece_of(COMMENTED)
    left = left_out(piece, COMMENTED, write(piece, ""))
    assert {each.kind: (each.count, each.bar, each.line) for each in left} == {
        "way": (10, 1, None),
        "meant": (2, 2, None),
        "use": (1, None, 6),
        "comment": (2, None, 1),
    }
    assert told(left[2:]) == "1 `use` (line 6), 2 comments (from line 1)"


def test_another_file_is_found_out() -> None:
    """The account is of the file: whatever is missing in it is told, by kind, with the first bar."""
    text = "title One\n[A]\n0:01 | @C7 g b d> b |\n| 'mf g - a? b |"
    other = "title Two\n| g b d b |\n| g - a c |"
    left = left_out(piece_of(text), text, musicxml(piece_of(other), ""))
    assert told(left) == (
        "1 title (bar 1), 1 time in the recording (bar 1), 1 section (bar 1), 1 chord symbol (bar 1), "
        "1 dynamic (bar 2), 1 note (bar 2), 1 doubtful note (bar 2), 1 mark of a note (bar 1)"
    )


def test_every_kind_has_words_of_its_own() -> None:
    """No two kinds are told alike."""
    assert len(set(KINDS.values())) == len(KINDS)


def test_bars_with_an_error_are_told_elsewhere() -> None:
    """A faulty bar is an empty one in the file; the error says so."""
    text = "| g b d b |\n| g zz |\n| g b d b |"
    piece = compile(text).piece
    assert left_out(piece, text, musicxml(piece, "")) == ()


def test_what_midi_has_no_place_for() -> None:
    """What is played or stands there as text is not told; the rest is counted."""
    piece = piece_of(
        "title T\ncomposer N.\n[A]\n| @C7? 'laidback g>:E ,ab d? x |\n| \"now\" 'mf g_~a (b'v) c* 'segno ? |"
    )
    assert told(unheard_of(piece)) == (
        "2 directions, 1 string and fret, 1 grace note, 1 slur or slide, 2 marks of notes, 3 things still open"
    )


def test_midi_has_sections_chords_and_words_as_text() -> None:
    """Standard MIDI Files 1.0: FF 06 is a marker, FF 01 any text; a section comes again with its repeat."""
    data = midi(piece_of('composer N. N.\n|: g b d b |\n[Bridge]\n| @Bbmaj7 g b "now" d b :|'))
    assert data.count(b"\xff\x06\x06Bridge") == 2
    assert data.count(b"\xff\x01\x06Bbmaj7") == 2
    assert data.count(b"\xff\x01\x03now") == 2
    assert b"\xff\x01\x05N. N." in data


def test_the_command_says_it(tmp_path: Path) -> None:
    """One line a file with `--plain`, one line for MIDI; nothing where the text goes with the file."""
    (tmp_path / "a.scribe").write_text("; mine\n| g~a b d g |\n", encoding="utf-8")
    (tmp_path / "b.scribe").write_text("| g b d g |\n", encoding="utf-8")
    for kind in ("musicxml", "mxl", "mei"):
        plain = scribe("export", "a.scribe", "-o", f"a.{kind}", "--plain", cwd=tmp_path)
        assert plain.stdout == f"a.{kind}: left out: 1 comment (line 1)\n"
        assert (
            scribe("export", "b.scribe", "-o", f"b.{kind}", "--plain", cwd=tmp_path).stdout == f"b.{kind}\n"
        )
        assert scribe("export", "a.scribe", "-o", f"a.{kind}", cwd=tmp_path).stdout == f"a.{kind}\n"
    played = scribe("export", "a.scribe", "-o", "a.mid", cwd=tmp_path)
    assert played.stdout == "a.mid: MIDI has no names of notes, and no place for 1 slur or slide\n"
    folder = scribe("export", "--all", ".", "-o", "out", "--to", "mid", cwd=tmp_path).stdout.splitlines()
    assert folder[2:] == ["2 given out", "MIDI has no names of notes, and no place for 1 slur or slide"]


@both
@pytest.mark.parametrize("words", ["Faster", "Slower", "a tempo", "Double time"])
def test_a_tempo_named_like_a_change_comes_back_as_one(write: Writer, words: str) -> None:
    """With its number it sets the speed; alone it would be words above the staff."""
    piece = compile(f"tempo 100\n| g b d g |\nfeel shuffle\ntempo {words} 130\n| g b d g |\n").piece
    assert left_out(piece, "", write(piece, "")) == ()
    assert f"tempo {words} 130\n" in draft_of(write(piece, "")).text
