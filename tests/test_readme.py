"""What the README and the reference say is true: their examples run."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from scribe import compile

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(text: str, kind: str) -> list[str]:
    """The fenced blocks of one kind."""
    return re.findall(rf"^```{kind}\n(.*?)^```$", text, re.M | re.S)


@pytest.mark.parametrize("page", ["README.md", "grammar/LANGUAGE.md", "DEVELOPERS.md"])
def test_every_example_in_the_shorthand_compiles_without_a_fault(page: str) -> None:
    """Each fenced example is a draft without errors or warnings."""
    examples = blocks((ROOT / page).read_text(encoding="utf-8"), "scribe")
    assert examples
    for example in examples:
        compiled = compile(example)
        assert [d.message for d in compiled.diagnostics if d.severity != "hint"] == [], example
        assert compiled.piece.bars


def test_the_ten_lines_are_the_demo_beside_whose_page_they_stand() -> None:
    """The picture in the README is the page of those lines."""
    demo = (ROOT / "demo" / "night-bus-home.scribe").read_text(encoding="utf-8")
    assert blocks(README, "scribe")[0] == demo
    assert len(demo.splitlines()) == 10
    assert (ROOT / "demo" / "night-bus-home.svg").exists()


def test_the_python_example_runs() -> None:
    """The few lines of Python print the pitches that they should."""
    (program,) = blocks(README, "python")
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[0] == "['G1', 'Bb1', 'D2', 'F2']"


def test_the_fault_shown_is_the_one_that_scribe_tells() -> None:
    """The message in the README is the real one."""
    (shown,) = blocks(README, "text")
    done = subprocess.run(
        [sys.executable, "-m", "scribe", "check", "-"],
        cwd=ROOT,
        input="\n| g b d g | g b d |",
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.replace("standard input", "line.scribe").startswith(shown)


def test_the_readme_lists_every_command() -> None:
    """No command is missing, none is made up."""
    from scribe.commands.main import COMMANDS

    assert set(re.findall(r"^\| `scribe (\w+)", README, re.M)) == set(COMMANDS)


def test_the_list_of_modules_is_fresh() -> None:
    """DEVELOPERS.md lists every module; `python -m tests.generated` renews it."""
    from tests.generated import DEVELOPERS, renewed

    text = DEVELOPERS.read_text(encoding="utf-8")
    assert text == renewed(text), "DEVELOPERS.md is stale: run `python -m tests.generated`"
