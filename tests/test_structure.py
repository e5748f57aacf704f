"""Stages do not reach back, and heavy libraries stay where they belong."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "scribe"

# What each package may import of its sisters; `commands` may import everything.
MAY_IMPORT = {
    "diagnostics": set(),
    "source": {"diagnostics"},
    "music": {"diagnostics", "source"},
    "bass": {"diagnostics", "source", "music"},
    "score": {"diagnostics", "source", "music"},
    "engrave": {"diagnostics", "source", "music", "score", "bass"},
    "sound": {"diagnostics", "source", "music"},
    "exchange": {"diagnostics", "source", "music", "score", "bass", "engrave"},
    "live": {"diagnostics", "source", "music", "bass", "engrave", "sound", "shelf", "pipeline"},
    "shelf": {"diagnostics", "source", "music", "pipeline"},
}
HEAVY = {
    "lark": {"source"},
    "music21": {"score", "exchange", "sound"},
    "verovio": {"engrave"},
    "reportlab": {"engrave"},
    "resvg_py": {"engrave"},
    "starlette": {"live"},
    "uvicorn": {"live"},
    "watchdog": {"live"},
    "click": {"commands"},
}


def imports(file: Path) -> set[str]:
    """Every module that a file imports at run time, anywhere in it."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    guarded = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        for inner in ast.walk(node)
    }
    found = set()
    for node in ast.walk(tree):
        if id(node) in guarded:
            continue
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


FILES = sorted(p for p in PACKAGE.rglob("*.py") if p.parent != PACKAGE)


@pytest.mark.parametrize("file", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_a_stage_imports_only_what_lies_before_it(file: Path) -> None:
    """Data flows one way; one package knows music21, one Verovio, one the web."""
    stage = file.relative_to(PACKAGE).parts[0]
    for module in imports(file):
        parts = module.split(".")
        if parts[0] == "scribe" and len(parts) > 1 and stage != "commands":
            assert parts[1] == stage or parts[1] in MAY_IMPORT[stage], f"{file.name} imports {module}"
        if parts[0] in HEAVY:
            assert stage in HEAVY[parts[0]], f"{file.name} imports {module}"


def test_check_imports_neither_music21_nor_verovio(tmp_path: Path) -> None:
    """`scribe check` starts fast: nothing heavy comes with it."""
    draft = tmp_path / "a.scribe"
    draft.write_text("| g b d g |", encoding="utf-8")
    program = (
        "import sys; from scribe.commands.main import main\n"
        f"sys.argv = ['scribe', 'check', {str(draft)!r}]\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "heavy = {'music21', 'verovio', 'reportlab', 'fontTools', 'starlette', 'numpy'} & set(sys.modules)\n"
        "print('heavy:', sorted(heavy))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "heavy: []"


def test_only_the_agreed_names_stand_at_the_top_level() -> None:
    """README, DEVELOPERS, pyproject, and four folders; nothing else but dotfiles."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "grammar", "scribe", "tests", "demo"}
    assert {name for name in top if not name.startswith(".")} <= agreed
