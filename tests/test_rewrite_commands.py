"""`scribe spell`, `scribe transpose`, `scribe rewrite` from end to end, as a user calls them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from scribe.commands.files import Unreadable, write_whole
from scribe.commands.spell import RULES
from scribe.music.spelling.costs import Costs
from tests.test_commands import scribe

DRAFT = "; sketch\nkey Eb   ; three flats\n|  ^e   G#  b e   |  ; end\n"
MENDED = "; sketch\nkey Eb   ; three flats\n|  ^e   Ab  b e   |  ; end\n"


@pytest.fixture
def draft(tmp_path: Path) -> Path:
    path = tmp_path / "a.scribe"
    path.write_text(DRAFT, encoding="utf-8")
    return path


def test_spell_lists_doubtful_names(draft: Path) -> None:
    """Every doubtful name with place, reason and mend; exit 1 while there is one, nothing is written."""
    done = scribe("spell", "a.scribe", cwd=draft.parent)
    assert done.returncode == 1
    assert done.stdout.splitlines() == [
        "a.scribe:3:9: spelling: `G#` in Eb major: this is the key's own fourth degree, A flat",
        "    |  ^e   G#  b e   |  ; end",
        "            ^^",
        "    hint: write `Ab`, or `G#=` if this name is meant",
        "a.scribe: 1 warning",
    ]
    assert draft.read_text(encoding="utf-8") == DRAFT


def test_spell_writes_the_better_names(draft: Path) -> None:
    """--write changes the one note and nothing else; afterwards all is well."""
    done = scribe("spell", "a.scribe", "--write", cwd=draft.parent)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "a.scribe: 1 name changed\n")
    assert draft.read_text(encoding="utf-8") == MENDED
    again = scribe("spell", "a.scribe", cwd=draft.parent)
    assert (again.returncode, again.stdout) == (0, "a.scribe: every name is the one expected\n")
    assert [p.name for p in draft.parent.iterdir()] == ["a.scribe"]


def test_spell_passes_a_draft_through(tmp_path: Path) -> None:
    """From standard input to standard output; line ends stay what they are."""
    done = scribe("spell", "--write", "-", cwd=tmp_path, text=DRAFT.replace("\n", "\r\n"))
    assert (done.returncode, done.stdout) == (0, MENDED.replace("\n", "\r\n"))


def test_spell_explains_a_bar(draft: Path) -> None:
    """Candidates with costs by rule, best first, and the reason in words."""
    done = scribe("spell", "a.scribe", "--explain", "1", cwd=draft.parent)
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert "Ab2 (typed G#): in Eb major: this is the key's own fourth degree, A flat" in lines
    at = lines.index("Ab2 (typed G#): in Eb major: this is the key's own fourth degree, A flat")
    assert lines[at + 1].split()[:2] == ["Ab", "+0.0"]
    assert lines[at + 2].split()[0] == "G#"
    assert "outside the key 6.0" in lines[at + 2]
    missing = scribe("spell", "a.scribe", "--explain", "7", cwd=draft.parent)
    assert (missing.returncode, missing.stderr) == (
        2,
        "Error: there is no bar 7 in this draft, expected one of 1-1\n",
    )


def test_transpose_moves_the_draft(tmp_path: Path) -> None:
    """In place, or to another file; by interval or to a key; it says where it went."""
    path = tmp_path / "b.scribe"
    path.write_text("key G minor\n| @Gm7 g b d f |\n", encoding="utf-8")
    done = scribe("transpose", "b.scribe", "to", "Ab", "minor", "-o", "c.scribe", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "c.scribe: up m2, now in Ab minor\n")
    assert (tmp_path / "c.scribe").read_text(encoding="utf-8") == "key Ab minor\n| @Abm7 a c e g |\n"
    done = scribe("transpose", "b.scribe", "down", "P4", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "b.scribe: down P4, now in D minor, 1 line added\n")
    assert path.read_text(encoding="utf-8") == (
        "key D minor\nhome E1 ; added by transpose\n| @Dm7 d f a c |\n"
    )


@pytest.mark.parametrize("where", ["sideways", "up", "to H", "to", "P99"])
def test_transpose_wants_an_interval_or_a_key(where: str, draft: Path) -> None:
    """Anything else is misuse: exit 2, one line, the draft untouched."""
    done = scribe("transpose", "a.scribe", where, cwd=draft.parent)
    assert done.returncode == 2
    assert done.stderr == (
        f"Error: `{where}` is no way to move a draft, expected `up P4`, `down m3` or `to Ab minor`\n"
    )
    assert draft.read_text(encoding="utf-8") == DRAFT


def test_transpose_writes_nothing_when_a_note_cannot_follow(tmp_path: Path) -> None:
    """A fret that would leave its string is an error with its place; so is a draft with errors of its own."""
    path = tmp_path / "d.scribe"
    path.write_text("key C\n| A:0 A:3 A:5 A:7 |\n", encoding="utf-8")
    done = scribe("transpose", "d.scribe", "down", "m2", cwd=tmp_path)
    assert done.returncode == 1
    assert "d.scribe:2:3: off-fretboard: bar 1: G#1 would lie 1 semitone below its open string" in done.stderr
    assert path.read_text(encoding="utf-8") == "key C\n| A:0 A:3 A:5 A:7 |\n"
    path.write_text("key C\n| c e g |\n", encoding="utf-8")
    done = scribe("transpose", "d.scribe", "up", "P4", cwd=tmp_path)
    assert done.returncode == 1
    assert done.stderr.endswith("d.scribe: not moved: mend the errors first\n")


def test_rewrite_changes_the_way_of_writing(tmp_path: Path) -> None:
    """Letters to degrees to frets; only the bars asked for; frets as the hand would take them."""
    path = tmp_path / "e.scribe"
    path.write_text("key G minor\n| g b d f | g b d C# |\n", encoding="utf-8")
    done = scribe("rewrite", "e.scribe", "--as", "degrees", "--bars", "2", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "e.scribe: 1 bar rewritten as degrees\n")
    assert path.read_text(encoding="utf-8") == "key G minor\n| g b d f | 1 b3 5 #4 |\n"
    done = scribe("rewrite", "e.scribe", "--as", "frets", "-o", "-", cwd=tmp_path)
    assert done.returncode == 0
    assert done.stdout.startswith("key G minor\n| E:3 ")
    done = scribe("rewrite", "-", "--as", "letters", cwd=tmp_path, text=done.stdout)
    assert done.stdout == "key G minor\n| g b d f | g b d C# |\n"


@pytest.mark.parametrize("bars", ["x", "5-", "8-5", "-3"])
def test_rewrite_wants_bars_by_number(bars: str, draft: Path) -> None:
    """`5` or `5-8`, else misuse."""
    done = scribe("rewrite", "a.scribe", "--as", "letters", f"--bars={bars}", cwd=draft.parent)
    assert done.returncode == 2
    assert done.stderr == f"Error: `{bars}` names no bars, expected `5` or `5-8`\n"


@pytest.mark.parametrize("bars", ["9", "1-9", "0"])
def test_rewrite_says_which_bars_there_are(bars: str, draft: Path) -> None:
    """A bar that is not there is misuse, not a draft without changes."""
    done = scribe("rewrite", "a.scribe", "--as", "degrees", "--bars", bars, cwd=draft.parent)
    assert done.returncode == 2
    assert done.stderr == f"Error: there are no bars `{bars}` in this draft, expected some of 1-1\n"


def test_frets_to_names_and_back_are_the_same_frets(tmp_path: Path) -> None:
    """Strings are kept as pins only where the hand would take another; `=` has no place behind a fret, and is told."""
    text = "key G minor\n| E:3 A:1 D:0 E:10 | D:5 A:3:5 x:A D:5> | A:5 G:7:9 ,E:7A:8 E:3 |\n"
    (tmp_path / "f.scribe").write_text(text, encoding="utf-8")
    done = scribe("rewrite", "f.scribe", "--as", "letters", "-o", "l.scribe", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "l.scribe: 3 bars rewritten as letters\n")
    letters = (tmp_path / "l.scribe").read_text(encoding="utf-8")
    assert 3 < letters.count(":") < 10
    done = scribe("rewrite", "l.scribe", "--as", "frets", "-o", "-", cwd=tmp_path)
    assert done.stdout == text
    (tmp_path / "g.scribe").write_text("| g= c:E e g |\n", encoding="utf-8")
    done = scribe("rewrite", "g.scribe", "--as", "frets", cwd=tmp_path)
    assert done.stderr == "g.scribe: 1 bar rewritten as frets; 1 `=` left out, a fret has no spelling\n"
    assert "E:8" in (tmp_path / "g.scribe").read_text(encoding="utf-8")


def test_transpose_tells_what_was_meant_and_what_was_added(tmp_path: Path) -> None:
    """The expected words are ready to type; lines that are put in are counted."""
    path = tmp_path / "t.scribe"
    path.write_text("| c e g c |\n", encoding="utf-8")
    done = scribe("transpose", "t.scribe", "up", "4", cwd=tmp_path)
    assert done.stderr == "Error: `up 4` is no way to move a draft, expected `up P4`\n"
    done = scribe("transpose", "t.scribe", "up", "P4", cwd=tmp_path)
    assert done.stderr == "t.scribe: up P4, now in F major, 2 lines added\n"
    done = scribe("transpose", "t.scribe", "down", "P4", cwd=tmp_path)
    assert done.stderr == "t.scribe: down P4, now in C major\n"
    assert path.read_text(encoding="utf-8") == "| c e g c |\n"


def test_spell_looks_past_broken_bars_and_says_so(tmp_path: Path) -> None:
    """The names of the other bars are looked at; the errors are counted."""
    (tmp_path / "b.scribe").write_text("key Eb\n| e !! |  ^e  G#  b  e |\n", encoding="utf-8")
    done = scribe("spell", "b.scribe", "--write", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (0, "")
    assert done.stderr.splitlines() == [
        "b.scribe: 1 name changed",
        "b.scribe: 1 error besides, bars with errors were left out: `scribe check` shows them",
    ]
    assert (tmp_path / "b.scribe").read_text(encoding="utf-8") == "key Eb\n| e !! |  ^e  Ab  b  e |\n"


def test_a_link_stays_a_link(draft: Path) -> None:
    """The draft behind it is written."""
    link = draft.parent / "link.scribe"
    link.symlink_to(draft)
    assert scribe("spell", "link.scribe", "--write", cwd=draft.parent).returncode == 0
    assert link.is_symlink()
    assert draft.read_text(encoding="utf-8") == MENDED


def test_a_file_that_may_not_be_written_stays(draft: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Though its folder would let it be replaced: one line, exit status 2."""
    monkeypatch.setattr(os, "access", lambda *_: False)  # root may write everything
    with pytest.raises(Unreadable, match="cannot be written: permission denied"):
        write_whole(draft, b"")
    assert draft.read_text(encoding="utf-8") == DRAFT


def test_every_rule_of_the_speller_has_words() -> None:
    """What `--explain` shows is in the trade's words."""
    assert set(RULES) == set(Costs._fields)
