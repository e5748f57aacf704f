"""The drafts of a folder: their names, and their texts as they are on the disk."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from scribe.diagnostics import Diagnostic, Hint, Span

SUFFIX = ".scribe"
LARGEST = 16_000_000  # bytes: more is no draft


class Unreadable(NamedTuple):
    """Why a file cannot be read as a draft, in the words of a user."""

    message: str
    mend: str


class Folder:
    """What is watched: all drafts below a folder, or one of them."""

    def __init__(self, root: Path, only: Path | None = None) -> None:
        self.root = root
        self.only = only

    @classmethod
    def of(cls, path: Path) -> Folder:
        """The folder itself, or the folder of one draft."""
        path = path.absolute()
        return cls(path) if path.is_dir() else cls(path.parent, path)

    def has(self, path: Path) -> bool:
        """Tell whether a path is, or would be, one of the drafts."""
        if self.only is not None:
            return path == self.only
        return path.suffix == SUFFIX and not _hidden(self.name(path))

    def name(self, path: Path) -> str:
        """A draft's name: its path below the folder, with slashes."""
        try:
            return path.relative_to(self.root).as_posix()
        except ValueError:
            return "/.outside"

    def path(self, name: str) -> Path:
        """The path of a draft that `name` gave."""
        return self.root / name

    def drafts(self) -> list[str]:
        """The names of all drafts that are there, sorted."""
        if self.only is not None:
            return [self.name(self.only)] if self.only.is_file() else []
        try:
            return sorted(self.name(path) for path in self._walk() if path.is_file())
        except OSError:  # the folder went while it was being looked through
            return []

    def _walk(self) -> Iterator[Path]:
        for path in self.root.rglob(f"*{SUFFIX}"):
            if not _hidden(self.name(path)) and self.inside(path):
                yield path

    def inside(self, path: Path) -> bool:
        """Tell whether a path still lies in the folder when all links are followed."""
        try:
            return path.resolve().is_relative_to(self.root.resolve())
        except (OSError, RuntimeError):
            return False


def _hidden(name: str) -> bool:
    return any(part.startswith(".") for part in name.split("/"))


def text_of(data: bytes) -> str | Unreadable:
    """Return the text of a draft, or why it has none."""
    if len(data) > LARGEST:
        return Unreadable(f"{len(data):,} bytes are too many for a draft", "is this really a draft?")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        return Unreadable(
            f"byte {data[fault.start]:#04x} in line {line:,} is not UTF-8 text",
            "save the file again as UTF-8",
        )


def as_diagnostic(fault: Unreadable) -> Diagnostic:
    """The fault as a remark about the start of the draft."""
    return Diagnostic("not-utf8", "error", Span(0, 1), fault.message, (Hint(fault.mend),))
