"""Diagnostics as text for a terminal and as records for a program. Line and column are made here, nowhere else."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from typing import TypedDict

from scribe.diagnostics.diagnostic import Diagnostic
from scribe.diagnostics.span import Span

WIDTH = 96  # of the source line that is shown
COLOURS = {"error": "31", "warning": "33", "hint": "36"}


class Lines:
    """The lines of one text, for turning offsets into places."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.starts = [0]
        at = text.find("\n")
        while at >= 0:
            self.starts.append(at + 1)
            at = text.find("\n", at + 1)

    def place(self, offset: int) -> tuple[int, int]:
        """Return line and column, both from 1; columns count characters."""
        line = bisect_right(self.starts, min(offset, len(self.text))) - 1
        return line + 1, offset - self.starts[line] + 1

    def line(self, number: int) -> str:
        """Return a line (from 1) without its end."""
        start = self.starts[number - 1]
        end = self.starts[number] - 1 if number < len(self.starts) else len(self.text)
        return self.text[start:end].rstrip("\r")


class Record(TypedDict):
    """One diagnostic as `--json` prints it. Columns count characters from 1; `end_column` lies behind the place."""

    code: str
    severity: str
    file: str
    line: int
    column: int
    end_column: int
    message: str
    hint: str


def record(found: Diagnostic, lines: Lines, file: str) -> Record:
    """Return a diagnostic with its place in lines and columns."""
    line, column, end = _place(found.span, lines)
    return {
        "code": found.code,
        "severity": found.severity,
        "file": file,
        "line": line,
        "column": column,
        "end_column": end,
        "message": found.message,
        "hint": "; ".join(h.text for h in found.hints),
    }


def show(found: Diagnostic, lines: Lines, file: str, colour: bool = False) -> str:
    """Return `file:line:column: code: message`, then the source line with the place underlined, then the hints."""
    line, column, end = _place(found.span, lines)
    paint = COLOURS[found.severity] if colour else ""
    rows = [f"{file}:{line}:{column}: {_paint(found.code, paint)}: {_visible(found.message)}"]
    source = lines.line(line)
    if source.strip():
        cut = max(0, min(column - 1 - WIDTH // 3, len(source) - WIDTH))
        piece = source[cut : cut + WIDTH]
        before, after = "…" if cut else "", "…" if cut + WIDTH < len(source) else ""
        width = max(1, min(end - column, WIDTH - (column - 1 - cut)))
        rows.append(f"    {before}{_visible(piece)}{after}")
        mark = "^" * width
        rows.append(" " * (4 + len(before) + column - 1 - cut) + _paint(mark, paint))
    rows += [f"    {_paint('hint', '36' if colour else '')}: {_visible(h.text)}" for h in found.hints]
    return "\n".join(rows)


def tally(found: Iterable[Diagnostic]) -> str:
    """Return `2 errors, 1 warning`, empty when there is nothing."""
    severities = [d.severity for d in found]
    counts = [(severities.count(s), s) for s in ("error", "warning", "hint")]
    return ", ".join(f"{n} {s}{'s' if n != 1 else ''}" for n, s in counts if n)


def _place(span: Span, lines: Lines) -> tuple[int, int, int]:
    line, column = lines.place(span.start)
    last, end = lines.place(max(span.end, span.start))
    if last != line:
        end = len(lines.line(line)) + 1
    return line, column, max(end, column + 1)


def _paint(text: str, colour: str) -> str:
    return f"\x1b[{colour}m{text}\x1b[0m" if colour else text


def _visible(text: str) -> str:
    """Every character in one cell: control characters of a draft must not reach the terminal."""
    return "".join(c if c.isprintable() else " " if c == "\t" else "·" for c in text)
