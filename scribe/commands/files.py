"""Drafts from disk and results to disk."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NoReturn

import click

from scribe.diagnostics import Diagnostic, Hint, Span
from scribe.diagnostics.show import Lines, show, tally

if TYPE_CHECKING:  # as long to import as a fifth of everything that `check` needs of ours
    from pathlib import Path

STDIN = "-"
SCORES = (b"<?xm", b"<sco", b"<mei", b"MThd", b"PK\x03\x04")  # how MusicXML, MEI, MIDI and archives begin
SUFFIX = ".scribe"


class Unreadable(click.ClickException):
    """A file that cannot be read or written: exit status 2."""

    exit_code = 2


def stop(message: str) -> NoReturn:
    """End with exit status 2 and one line on standard error."""
    raise Unreadable(message)


def decode(data: bytes) -> str | Diagnostic:
    """Return the text of a draft, or the diagnostic that says where it is not UTF-8 (its span counts characters)."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        at = len(data[: fault.start].decode("utf-8", "ignore"))
        return Diagnostic(
            "not-utf8",
            "error",
            Span(at, at + 1),
            f"byte {data[fault.start]:#04x} is not UTF-8 text",
            (Hint("save the file again as UTF-8; nothing in it was changed"),),
        )


def read_draft(path: str) -> str:
    """Read a draft, `-` from standard input. Raises Unreadable (status 2) with a clear word if that cannot be done."""
    try:
        if path == STDIN:
            data = sys.stdin.buffer.read()
        else:
            with open(path, "rb") as file:
                data = file.read()
    except OSError as fault:
        raise Unreadable(f"{path}: cannot be read: {(fault.strerror or str(fault)).lower()}") from fault
    if data.lstrip(b"\xef\xbb\xbf \r\n")[:4] in SCORES:
        stem = os.path.splitext(os.path.basename(path))[0]
        made = f"{stem}{SUFFIX}" if path != STDIN else f"tune{SUFFIX}"
        name = shown_name(path)
        import shlex

        typed = shlex.join(("scribe", "import", name, "-o", made))
        raise Unreadable(f"{name} is a score, not a draft; `{typed}` makes a draft of it")
    text = decode(data)
    if isinstance(text, Diagnostic):
        lines = Lines(data.decode("utf-8", "replace"))
        raise Unreadable(show(text, lines, shown_name(path)))
    return text


def shown_name(path: str) -> str:
    """The name of a draft in messages."""
    return "standard input" if path == STDIN else path


def drafts(paths: Sequence[str]) -> Iterator[str]:
    """Yield the drafts that the paths name; a folder stands for every draft below it, sorted."""
    for path in paths:
        if path != STDIN and os.path.isdir(path):
            from pathlib import Path

            found = sorted(str(p) for p in Path(path).rglob(f"*{SUFFIX}") if p.is_file())
            if not found:
                stop(f"{path}: no draft (name{SUFFIX}) in this folder")
            yield from found
        else:
            yield path


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that nobody ever sees half of it; ends with status 2 if that cannot be done.

    A file that may not be written stays as it is, though its folder would let it be replaced; where the path is a
    link, the file behind it is written.
    """
    import tempfile  # `check` writes none, and starts faster without

    shown = path
    try:
        path = path.resolve()
        if path.exists() and not os.access(path, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(data)
            os.chmod(name, _mode(path))
            os.replace(name, path)
        except BaseException:
            os.unlink(name)
            raise
    except OSError as fault:
        stop(f"{shown}: cannot be written: {(fault.strerror or str(fault)).lower()}")


def _mode(path: Path) -> int:
    """The permissions of the file that is there, else those of any new file."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def report(found: Sequence[Diagnostic], text: str, path: str, to_stderr: bool = True) -> None:
    """Print diagnostics as text, in colour on a terminal unless NO_COLOR is set."""
    stream = sys.stderr if to_stderr else sys.stdout
    colour = stream.isatty() and not os.environ.get("NO_COLOR")
    lines = Lines(text)
    for one in found:
        click.echo(show(one, lines, shown_name(path), colour), file=stream, color=True)


def has_errors(found: Sequence[Diagnostic]) -> bool:
    """Tell whether the draft is at fault: exit status 1."""
    return any(d.severity == "error" for d in found)


__all__ = [
    "SUFFIX",
    "decode",
    "drafts",
    "has_errors",
    "read_draft",
    "report",
    "shown_name",
    "stop",
    "tally",
    "write_whole",
]
