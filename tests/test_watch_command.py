"""`scribe watch` as it is used at the prompt."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from lxml import etree

from scribe import compile
from scribe.commands.check import command as check
from scribe.live.sketch import sketch
from scribe.live.walk import Walker
from scribe.music.progress import progress
from tests.live_help import LIMIT, ROOT, get, wait_for, watching

GOOD = "title One\n| g b d g | c e g c |\n"
BAD = "| g b d g | g h |\n"


def scribe(*arguments: str, cache: Path) -> subprocess.CompletedProcess[str]:
    """Run the command to its end."""
    return subprocess.run(
        [sys.executable, "-m", "scribe", "watch", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=3 * LIMIT,
        env=dict(os.environ, XDG_CACHE_HOME=str(cache)),
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one good draft."""
    found = tmp_path / "drafts"
    found.mkdir()
    (found / "one.scribe").write_text(GOOD, encoding="utf-8")
    return found


def test_once_takes_every_draft_up_and_ends(folder: Path, tmp_path: Path) -> None:
    """`--once`: one line a draft; status 0 if all is well, 1 with errors, 2 with a file that is no text."""
    found = scribe(str(folder), "--once", cache=tmp_path)
    assert found.returncode == 0, found.stderr
    assert re.search(r"one\.scribe: 2 bars on 1 system in \d+ ms", found.stdout)
    (folder / "two.scribe").write_text(BAD, encoding="utf-8")
    found = scribe(str(folder), "--once", cache=tmp_path)
    assert (found.returncode, found.stdout.count("\n")) == (1, 2)
    assert "1 error" in found.stdout
    (folder / "three.scribe").write_bytes(b"\xff\xfe\x00")
    found = scribe(str(folder), "--once", cache=tmp_path)
    assert found.returncode == 2
    assert "not UTF-8" in found.stdout


COUNTED = """time 4/4
pickup 1
| g |
[A]
| g b d g | % |
ending 1
| g+^^g b d F :|
rest 8
use A
| A:3 . ? . | ? |
"""


def test_bars_and_remarks_are_counted_as_check_counts_them(folder: Path, tmp_path: Path) -> None:
    """One count of bars: as they are numbered, long rests as many as they last. One count of remarks."""
    draft = folder / "one.scribe"
    draft.write_text(COUNTED, encoding="utf-8")
    watched = scribe(str(folder), "--once", cache=tmp_path).stdout
    checked = CliRunner().invoke(check, [str(draft)]).stdout.splitlines()[-1]
    bars, remarks = re.match(r".*: (\d+ bars); ([^;]*)", checked).groups()  # type: ignore[union-attr]
    assert bars == "24 bars"
    assert re.search(rf": {bars} on \d+ systems in \d+ ms; {remarks}$", watched, re.MULTILINE)
    found = sketch(Walker().walk(COUNTED))
    assert found.progress == progress(compile(COUNTED).piece)
    assert found.progress.bars == 24
    assert found.number(len(found.bars) - 1) == 24


def test_once_writes_pages(folder: Path, tmp_path: Path) -> None:
    """`--once --out DIR --pdf`: whole SVG and PDF files, in the folders of their drafts, nothing beside them."""
    (folder / "below").mkdir()
    (folder / "below" / "two.scribe").write_text("title Two\n" + "| g b d g |\n" * 40, encoding="utf-8")
    out = tmp_path / "out"
    found = scribe(str(folder), "--once", "--out", str(out), "--pdf", cache=tmp_path)
    assert found.returncode == 0, found.stdout + found.stderr
    names = sorted(str(path.relative_to(out)) for path in out.rglob("*") if path.is_file())
    assert names[0] == "below/two-1.svg"
    assert names[-2:] == ["one.pdf", "one.svg"]
    assert "below/two.pdf" in names
    assert all(re.fullmatch(r"(below/two(-\d)?|one)\.(svg|pdf)", name) for name in names)
    for name in names:
        data = (out / name).read_bytes()
        assert (
            data.startswith(b"%PDF") if name.endswith("pdf") else etree.fromstring(data).tag.endswith("svg")
        )


def test_each_save_writes_and_says_one_line(folder: Path, tmp_path: Path) -> None:
    """A watched draft: one line a save with what changed and how long it took; pages follow; Ctrl-C ends cleanly."""
    draft, out = folder / "one.scribe", tmp_path / "out"
    with watching(draft, "--port", "4500", "--out", str(out), cache=tmp_path / "cache") as watch:
        assert watch.url
        wait_for((out / "one.svg").exists, "the first page")
        before = (out / "one.svg").read_bytes()
        draft.write_text(GOOD.replace("c e g c", "c e g a"), encoding="utf-8")
        wait_for(lambda: "bars 1-2 in" in watch.said(), "the line of the save")
        wait_for(lambda: (out / "one.svg").read_bytes() != before, "the new page")
        assert not [
            path for path in out.iterdir() if path.name != "one.svg" and not path.name.startswith(".")
        ]
        draft.write_text(GOOD.replace("c e g c", "c e h"), encoding="utf-8")
        wait_for(lambda: "1 error" in watch.said(), "the error")
        lines = watch.said().splitlines()
        assert len(lines) == 4, lines
        assert all(
            re.match(r"\d\d:\d\d:\d\d one\.scribe: .*\d ms", line)
            for line in lines
            if "watched at" not in line
        )
        assert watch.end(signal.SIGINT) == 0
    assert "Traceback" not in watch.said()


def test_its_own_output_is_no_change(folder: Path, tmp_path: Path) -> None:
    """Pages written into the watched folder itself do not set it going again."""
    import time

    with watching(
        folder / "one.scribe", "--port", "4510", "--out", str(folder), cache=tmp_path / "cache"
    ) as watch:
        assert watch.url
        wait_for((folder / "one.svg").exists)
        lines = watch.said().count("\n")
        time.sleep(0.7)
        assert watch.said().count("\n") == lines


def test_a_taken_port_gives_the_next(folder: Path, tmp_path: Path) -> None:
    """Two watches with the same wanted port: the second one takes the next that is free."""
    other = tmp_path / "other"
    other.mkdir()
    with watching(folder, "--port", "4520", cache=tmp_path / "cache") as first:
        assert first.base.endswith(":4520")
        with watching(other, "--port", "4520", cache=tmp_path / "cache") as second:
            assert second.base.endswith(":4521")
            assert get(second.base + "/")[0] == 200


def test_at_moves_the_page_that_is_open(folder: Path, tmp_path: Path) -> None:
    """`scribe watch FILE --at LINE` beside a running watch of its folder moves that page and ends."""
    cache = tmp_path / "cache"
    with watching(folder, "--port", "4530", cache=cache) as watch:
        assert watch.url
        found = scribe(str(folder / "one.scribe"), "--at", "2", cache=cache)
        assert found.returncode == 0, found.stderr
        assert "4530" in found.stdout
        assert "line 2" in found.stdout
    assert not list(cache.rglob("*.json"))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nowhere"], "no such file"),
        (["DRAFT", "--pdf"], "--out"),
        (["DRAFT", "--editor", "javascript:alert('{path}')"], "--editor"),
        (["DRAFT", "--editor", "code"], "--editor"),
        (["DRAFT", "--at", "0"], "--at"),
    ],
)
def test_misuse_is_told_in_one_line(folder: Path, tmp_path: Path, arguments: list[str], words: str) -> None:
    """Wrong options end with status 2, say which, and start nothing."""
    found = scribe(*(str(folder / "one.scribe") if a == "DRAFT" else a for a in arguments), cache=tmp_path)
    assert found.returncode == 2
    assert words in found.stderr
    assert "Traceback" not in found.stderr
