"""The desk: every save of every draft is taken up, whatever happens in between."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scribe.live.desk import Desk, Save
from scribe.live.drafts import Folder, Unreadable
from scribe.live.engine import Engine
from scribe.live.engraver import Engraver
from scribe.live.hub import Hub
from tests.benchmarks.core import draft
from tests.live_help import wait_for


class Table:
    """A desk over a folder, and what it has said."""

    def __init__(self, folder: Path, only: bool = True) -> None:
        self.path = folder / "a.scribe"
        self.path.write_text("| g b d g |\n", encoding="utf-8")
        self.saves: list[Save] = []
        self.faults: list[tuple[str, Unreadable]] = []
        self.engraver = Engraver()
        self.desk = Desk(
            Folder.of(self.path if only else folder),
            self.engraver,
            Hub(),
            self.saves.append,
            lambda name, fault: self.faults.append((name, fault)),
        )

    def save(self, text: str) -> None:
        self.path.write_text(text, encoding="utf-8")
        self.desk.touched(self.path)

    def close(self) -> None:
        self.desk.stop()
        self.engraver.close()


@pytest.fixture
def table(tmp_path: Path) -> Iterator[Table]:
    found = Table(tmp_path)
    yield found
    found.close()


def test_a_save_beside_a_look_at_the_folder(table: Table) -> None:
    """A save that a look at the folder happens to see first still reaches the page."""
    table.desk.touched(table.path)
    table.desk._take_up("a.scribe")
    table.path.write_text("| c |\n", encoding="utf-8")
    table.desk._read_for_list("a.scribe", saved=False)
    table.desk._take_up("a.scribe")
    assert [save.text for save in table.saves] == ["| g b d g |\n", "| c |\n"]


def test_an_interrupted_save_is_finished(table: Table) -> None:
    """Being told twice of one save while it is drawn does not leave the page half drawn."""
    table.path.write_text(draft(200), encoding="utf-8")
    table.desk._now["a.scribe"] = None
    table.desk._take_up("a.scribe")
    assert not table.saves
    table.desk._now.clear()
    table.desk._take_up("a.scribe")
    assert [save.systems for save in table.saves] == [50]


def test_many_saves_each_with_its_line(table: Table) -> None:
    """Saves that follow each other as soon as the one before is done: each is taken up."""
    table.desk.start()
    for number in range(60):
        table.save(draft(16, edited=number % 16).replace("g g g g", f"g {'abcdefg'[number % 7]} g d"))
        table.desk.scan()
        wait_for(lambda number=number: len(table.saves) > number)


def test_a_fault_of_our_own_ends_nothing(table: Table, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the engine itself fails over a draft it is said so, and the next save is taken up as ever."""
    table.desk.start()
    table.save("| g |\n")
    wait_for(lambda: table.saves)
    real = Engine.update

    def failing(self: Engine, text: str, *rest: object) -> object:
        if "boom" in text:
            raise RuntimeError("boom")
        return real(self, text, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(Engine, "update", failing)
    table.save("; boom\n| g |\n")
    wait_for(lambda: table.faults)
    assert "RuntimeError" in table.faults[0][1].message
    table.save("| g b |\n")
    wait_for(lambda: len(table.saves) == 2)


def test_a_save_that_a_look_at_the_folder_reads_first_is_told(tmp_path: Path) -> None:
    """The list may have the new text before the save is noticed: it is told all the same, and only once."""
    table = Table(tmp_path, only=False)
    try:
        table.path.write_text("| c |\n", encoding="utf-8")
        for saved in (False, False, True, True):
            table.desk._read_for_list("a.scribe", saved=saved)
        assert [save.text for save in table.saves] == ["| c |\n"]
    finally:
        table.close()


def test_drafts_that_no_page_shows_are_read_only(tmp_path: Path) -> None:
    """A save of a draft that nobody looks at leads to a line and an entry in the list, not to a drawing."""
    table = Table(tmp_path, only=False)
    try:
        table.desk.start()
        table.desk.scan()
        table.save("| g b d g |\n| c |\n")
        wait_for(lambda: table.saves)
        assert (table.saves[0].systems, table.saves[0].changed) == (0, ())
        assert table.engraver.pid is None
    finally:
        table.close()
