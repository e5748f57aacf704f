"""Where the grammar is found, and that a place for its built tables is a help, never a need."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import platformdirs
import pytest

from scribe.source import grammar


def test_grammars_lie_where_they_are_looked_for() -> None:
    """Both grammars are found, in the package or beside it."""
    assert {p.name for p in Path(grammar.folder()).glob("*.lark")} == {"bar.lark", "directive.lark"}


@pytest.mark.parametrize("kind", ["missing", "file in the way", "rubbish", "read-only"])
def test_parser_is_built_whatever_the_cache_is(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A cache that is missing, unreadable or cannot be written to changes nothing."""
    place = tmp_path / "cache"
    if kind == "file in the way":
        place.write_text("not a folder")
    elif kind == "rubbish":
        (place / grammar.APP).mkdir(parents=True)
        (place / grammar.APP / "bar.tables").write_bytes(b"rubbish\n")
    elif kind == "read-only":
        (place / grammar.APP / "bar.tables").mkdir(parents=True)
    monkeypatch.setenv("XDG_CACHE_HOME", str(place))
    tree = grammar._build("bar", ["bar"], "basic").parse("g b d")
    assert [str(word.data) for word in tree.children] == ["beat", "beat", "beat"]  # type: ignore[union-attr]


@pytest.mark.parametrize("base", ["", "/var/cache/me"])
def test_cache_folder_is_the_users(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder is the one that platformdirs names (XDG Base Directory Specification on Linux)."""
    monkeypatch.setenv("XDG_CACHE_HOME", base)
    assert grammar._cache_folder() == platformdirs.user_cache_dir(grammar.APP, appauthor=False)


def test_reading_starts_fast() -> None:
    """Importing the read stage loads neither the score, the page nor what only faults need."""
    code = (
        "import sys; from scribe.source.read import read; "
        "print([m for m in ('music21', 'verovio', 'difflib', 'platformdirs', 'reportlab', 'scribe.source.slips') "
        "if m in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
