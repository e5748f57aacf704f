"""However an editor saves, the watcher tells of it, and of nothing else."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from scribe.live.watcher import Watcher
from tests.live_help import wait_for


class Reader:
    """Reads a file whenever it is told to, as the desk does, and remembers what it read."""

    def __init__(self, folder: Path, *, poll: bool = False) -> None:
        self.folder = folder
        self.read: list[tuple[str, bytes | None]] = []
        self._lock = threading.Lock()
        self.watcher = Watcher(folder, self.wanted, self.changed, self.known, poll=poll)

    def wanted(self, path: Path) -> bool:
        return path.suffix == ".scribe"

    def known(self) -> list[Path]:
        return sorted(self.folder.glob("*.scribe"))

    def changed(self, path: Path) -> None:
        try:
            data = path.read_bytes()
        except OSError:
            data = None
        with self._lock:
            self.read.append((path.name, data))

    def last(self, name: str) -> bytes | None:
        with self._lock:
            found = [data for each, data in self.read if each == name]
        return found[-1] if found else b"never read"


@pytest.fixture
def reader(tmp_path: Path) -> Iterator[Reader]:
    """A reader that watches a folder with one draft."""
    (tmp_path / "song.scribe").write_bytes(b"old")
    found = Reader(tmp_path)
    found.watcher.start()
    yield found
    found.watcher.stop()


def in_place(path: Path, data: bytes) -> None:
    path.write_bytes(data)


def in_two_writes(path: Path, data: bytes) -> None:
    with path.open("wb") as out:
        out.write(data[:2])
        out.flush()
        time.sleep(0.03)
        out.write(data[2:])


def beside_and_renamed(path: Path, data: bytes) -> None:
    other = path.with_name(f"{path.name}.tmp")
    other.write_bytes(data)
    os.replace(other, path)


def with_a_backup(path: Path, data: bytes) -> None:
    path.rename(path.with_name(f"{path.name}~"))
    path.write_bytes(data)
    path.with_name(f"{path.name}~").unlink()


def deleted_and_written(path: Path, data: bytes) -> None:
    path.unlink()
    time.sleep(0.02)
    path.write_bytes(data)


def through_a_link(path: Path, data: bytes) -> None:
    other = path.with_name("new")
    other.write_bytes(data)
    path.unlink()
    os.link(other, path)
    other.unlink()


SAVES = [in_place, in_two_writes, beside_and_renamed, with_a_backup, deleted_and_written, through_a_link]


@pytest.mark.parametrize("save", SAVES, ids=lambda save: save.__name__)
def test_every_way_to_save_is_noticed(reader: Reader, save: Callable[[Path, bytes], None]) -> None:
    """In place, in two writes, beside and renamed, with a backup, deleted and written anew: always the new text."""
    path = reader.folder / "song.scribe"
    for number in range(3):
        data = f"text {number}".encode()
        save(path, data)
        wait_for(lambda data=data: reader.last("song.scribe") == data, "the new text")


def test_a_hundred_saves_end_on_the_last(reader: Reader) -> None:
    """A hundred saves in a row, in all ways: the last one is the one that is read last."""
    path = reader.folder / "song.scribe"
    for number in range(100):
        SAVES[number % 3](path, f"text {number}".encode())
    wait_for(lambda: reader.last("song.scribe") == b"text 99", "the last save")


def test_drafts_come_move_and_go(reader: Reader) -> None:
    """A new draft, one that is renamed, one that is deleted: each is told under its name."""
    folder = reader.folder
    (folder / "new.scribe").write_bytes(b"new")
    wait_for(lambda: reader.last("new.scribe") == b"new", "the new draft")
    (folder / "new.scribe").rename(folder / "moved.scribe")
    wait_for(lambda: reader.last("moved.scribe") == b"new", "the new name")
    wait_for(lambda: reader.last("new.scribe") is None, "the old name gone")
    (folder / "song.scribe").unlink()
    wait_for(lambda: reader.last("song.scribe") is None, "the deleted draft gone")


def test_drafts_in_folders_below(reader: Reader) -> None:
    """A folder that is made later is watched too, with the draft that was put into it at once."""
    below = reader.folder / "below"
    below.mkdir()
    time.sleep(0.1)
    (below / "deep.scribe").write_bytes(b"deep")
    wait_for(lambda: reader.last("deep.scribe") == b"deep", "the draft in the new folder")


def test_reading_and_other_files_are_no_changes(reader: Reader) -> None:
    """Its own reading, and files that are no drafts, lead to no call."""
    path = reader.folder / "song.scribe"
    path.write_bytes(b"new")
    wait_for(lambda: reader.last("song.scribe") == b"new", "the save")
    time.sleep(0.1)
    calls = len(reader.read)
    for _ in range(5):
        path.read_bytes()
    (reader.folder / "song.svg").write_bytes(b"<svg/>")
    time.sleep(0.3)
    assert len(reader.read) == calls


def test_what_the_system_did_not_report_is_found(reader: Reader) -> None:
    """The slow look finds a change that came without any event."""
    path = reader.folder / "song.scribe"
    path.write_bytes(b"one")
    wait_for(lambda: reader.last("song.scribe") == b"one", "the save")
    reader.watcher._observer.unschedule_all()
    path.write_bytes(b"unseen")
    wait_for(lambda: reader.last("song.scribe") == b"unseen", "the unreported save")


def test_polling_finds_the_same(tmp_path: Path) -> None:
    """For disks that report nothing: polling tells of saves, new drafts and deleted ones."""
    (tmp_path / "song.scribe").write_bytes(b"old")
    reader = Reader(tmp_path, poll=True)
    reader.watcher.start()
    try:
        beside_and_renamed(tmp_path / "song.scribe", b"new text")
        wait_for(lambda: reader.last("song.scribe") == b"new text", "the save")
        (tmp_path / "other.scribe").write_bytes(b"o")
        wait_for(lambda: reader.last("other.scribe") == b"o", "the new draft")
    finally:
        reader.watcher.stop()
