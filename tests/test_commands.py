"""The commands from end to end, as a user calls them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parent.parent / "demo"
GOOD = "key G minor\n| g b d g |\n"
BAD = "| g b d |\n"


def scribe(*arguments: str, cwd: Path, text: str | bytes = "") -> subprocess.CompletedProcess[str]:
    """Run the command in a folder; `text` goes to standard input."""
    data = text.encode() if isinstance(text, str) else text
    done = subprocess.run(
        [sys.executable, "-m", "scribe", *arguments],
        cwd=cwd,
        input=data,
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(DEMO.parent)},
    )
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


def test_new_makes_a_draft_that_checks_clean_and_is_never_overwritten(tmp_path: Path) -> None:
    """`scribe new` writes a starter; a second call leaves it alone and says so."""
    first = scribe("new", "late-set", cwd=tmp_path)
    assert first.returncode == 0
    before = (tmp_path / "late-set.scribe").read_bytes()
    assert b"title   Late Set" in before
    again = scribe("new", "late-set.scribe", cwd=tmp_path)
    assert again.returncode == 2
    assert "is there already" in again.stderr
    assert (tmp_path / "late-set.scribe").read_bytes() == before
    checked = scribe("check", "late-set.scribe", cwd=tmp_path)
    assert (checked.returncode, checked.stdout) == (
        0,
        "late-set.scribe: 5 bars; nothing to mend; still open: 1 bar to do, 1 place to do\n",
    )


@pytest.mark.parametrize("name", ["", " ", ".scribe", ".", "..", "set/", "set/.scribe"])
def test_new_wants_a_name(name: str, tmp_path: Path) -> None:
    """Without a name nothing is written, and a clear word says what to type."""
    done = scribe("new", name, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr == f"Error: `{name}` names no draft; give it a name, as in `scribe new night-bus`\n"
    assert list(tmp_path.iterdir()) == []


def test_check_speaks_to_people_and_to_programs(tmp_path: Path) -> None:
    """Exit 0 when clean, 1 with an error; text for people, records for programs."""
    (tmp_path / "good.scribe").write_text(GOOD, encoding="utf-8")
    (tmp_path / "bad.scribe").write_text(BAD, encoding="utf-8")
    assert scribe("check", "good.scribe", cwd=tmp_path).returncode == 0
    bad = scribe("check", "bad.scribe", cwd=tmp_path)
    assert bad.returncode == 1
    assert bad.stdout.startswith("bad.scribe:1:3: word-count: bar 1 holds 3 beat words")
    assert "\x1b" not in bad.stdout
    folder = scribe("check", ".", "--json", cwd=tmp_path)
    assert folder.returncode == 1
    (record,) = json.loads(folder.stdout)
    assert (record["code"], record["file"], record["line"], record["column"], record["end_column"]) == (
        "word-count", "bad.scribe", 1, 3, 8,
    )  # fmt: skip


def test_check_reads_standard_input(tmp_path: Path) -> None:
    """`-` is standard input."""
    done = scribe("check", "-", cwd=tmp_path, text=BAD)
    assert done.returncode == 1
    assert done.stdout.startswith("standard input:1:3: word-count:")


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (("check",), "PATH"),
        (("check", "nowhere.scribe"), "cannot be read"),
        (("check", "."), "no draft"),
        (("chekc", "a"), "did you mean `check`"),
        (("engrave", "nowhere.scribe", "-o", "a.pdf"), "cannot be read"),
        (("engrave", "-", "-o", "a.doc"), "expected a name that ends in"),
        (("explain", "word-cuont"), "did you mean `word-count`"),
        (("notes",), "FILE"),
    ],
)
def test_misuse_ends_with_status_two_and_a_clear_word(
    arguments: tuple[str, ...], word: str, tmp_path: Path
) -> None:
    """Wrong commands and unreadable files: status 2, one line, no traceback."""
    done = scribe(*arguments, cwd=tmp_path)
    assert done.returncode == 2
    assert word in done.stderr
    assert "Traceback" not in done.stderr


def test_a_file_that_is_not_utf8_is_named_with_its_place(tmp_path: Path) -> None:
    """The place of the first byte that is no UTF-8; status 2."""
    (tmp_path / "old.scribe").write_bytes(b"title Caf\xe9\n| g |\n")
    done = scribe("check", "old.scribe", cwd=tmp_path)
    assert done.returncode == 2
    assert "old.scribe:1:10: not-utf8: byte 0xe9 is not UTF-8 text" in done.stderr


def test_one_unreadable_draft_does_not_hide_the_others(tmp_path: Path) -> None:
    """The rest of a folder is checked; the status is still 2."""
    (tmp_path / "a.scribe").write_bytes(b"\xff\xfe")
    (tmp_path / "b.scribe").write_text(BAD, encoding="utf-8")
    done = scribe("check", ".", cwd=tmp_path)
    assert done.returncode == 2
    assert "a.scribe:1:1: not-utf8" in done.stderr
    assert "b.scribe:1:3: word-count" in done.stdout


def test_explain_shows_example_and_mend(tmp_path: Path) -> None:
    """`scribe explain CODE` prints the table's entry, without CODE the list."""
    one = scribe("explain", "word-count", cwd=tmp_path)
    assert one.returncode == 0
    assert "for example:\n    time 4/4\n    | g b d |\n" in one.stdout
    assert "mended:\n    time 4/4\n    | g b d g |\n" in one.stdout
    everything = scribe("explain", cwd=tmp_path)
    assert "word-count" in everything.stdout


def test_notes_lists_every_note(tmp_path: Path) -> None:
    """The records say bar, onset, length, pitch, values, chord, degree, place and marks."""
    draft = "key G minor\n| @Gm7 g> -(b) ,ab? . |\n| . . . b | - . . . |"
    done = scribe("notes", "-", "--json", cwd=tmp_path, text=draft)
    assert done.returncode == 0
    notes = json.loads(done.stdout)["notes"]
    assert notes[0] == {
        "bar": 1, "onset": "0", "length": "3/2", "midi": 31, "pitch": "G1", "values": ["Q."], "chord": "Gm7",
        "degree": "1", "string": None, "fret": None, "grace": False, "line": 2, "column": 8, "marks": ["accent"],
    }  # fmt: skip
    assert [n["marks"] for n in notes] == [["accent"], ["ghost"], [], ["doubtful"], []]
    assert [n["grace"] for n in notes] == [False, False, True, False, False]
    assert (notes[4]["length"], notes[4]["values"]) == ("2", ["Q", "Q"])
    table = scribe("notes", "-", cwd=tmp_path, text=draft)
    assert table.stdout.splitlines()[0].split() == [
        "bar", "onset", "length", "values", "pitch", "degree", "chord", "string", "marks", "line", "column",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "start"), [("svg", b"<"), ("pdf", b"%PDF-"), ("png", b"\x89PNG\r\n"), ("mei", b"<?xml")]
)
def test_engrave_writes_every_kind(kind: str, start: bytes, tmp_path: Path) -> None:
    """SVG, PDF, PNG and MEI from one demo."""
    out = tmp_path / "deep" / f"page.{kind}"
    done = scribe("engrave", str(DEMO / "night-bus-home.scribe"), "-o", str(out), cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert out.read_bytes().startswith(start)
    assert os.listdir(out.parent) == [out.name]


def test_engrave_draws_the_rest_of_a_faulty_draft_and_says_so(tmp_path: Path) -> None:
    """A broken bar costs status 1 and that bar; the page is written."""
    done = scribe("engrave", "-", "-o", "page.svg", cwd=tmp_path, text="| g b d | g b d g |")
    assert done.returncode == 1
    assert "word-count" in done.stderr
    assert (tmp_path / "page.svg").stat().st_size > 1000


def test_engrave_writes_one_file_a_page_and_only_the_pages_asked_for(tmp_path: Path) -> None:
    """Long drafts: OUT-1, OUT-2 …; `--pages 2` writes one of them."""
    (tmp_path / "long.scribe").write_text(
        "| g b d g | a ^c e a | b d f b | ^c e g ^c |\n" * 24, encoding="utf-8"
    )
    done = scribe("engrave", "long.scribe", "-o", "out/page.svg", cwd=tmp_path)
    assert done.returncode == 0
    assert sorted(os.listdir(tmp_path / "out"))[:2] == ["page-1.svg", "page-2.svg"]
    one = scribe("engrave", "long.scribe", "-o", "two.svg", "--pages", "2", cwd=tmp_path)
    assert one.returncode == 0
    assert (tmp_path / "two.svg").read_bytes() == (tmp_path / "out" / "page-2.svg").read_bytes()
    none = scribe("engrave", "long.scribe", "-o", "x.svg", "--pages", "40", cwd=tmp_path)
    assert none.returncode == 2
    assert "pages" in none.stderr


@pytest.mark.parametrize("demo", sorted(DEMO.glob("*.scribe")), ids=lambda p: p.stem)
def test_every_demo_checks_clean(demo: Path, tmp_path: Path) -> None:
    """The demos show what they are meant to show and nothing else."""
    done = scribe("check", str(demo), cwd=tmp_path)
    assert done.returncode == 0
    assert "nothing to mend" in done.stdout
    assert ("still open" in done.stdout) == (demo.stem == "lost-property")
