"""`scribe notes`: the note list of a draft."""

from __future__ import annotations

import sys
from fractions import Fraction

import click

from scribe.commands.files import has_errors, read_draft, report
from scribe.diagnostics.show import Lines
from scribe.music.sounding import Sounding
from scribe.pipeline import compile

COLUMNS = (
    "bar",
    "onset",
    "length",
    "values",
    "pitch",
    "degree",
    "chord",
    "string",
    "marks",
    "line",
    "column",
)


@click.command()
@click.argument("file")
@click.option("--json", "as_json", is_flag=True, help="Print an object with the list `notes`, for programs.")
def command(file: str, as_json: bool) -> None:
    """List every note of a draft: bar, onset and length in quarters, written values, sounding pitch, degree, chord.

    FILE is a draft, or - for standard input. The notes of a stack come one by one, lowest first; notes tied over a
    barline come once. Values: W whole, H half, Q quarter, E eighth, S 16th, T 32nd, X 64th, `.` dotted.
    """
    text = read_draft(file)
    compiled = compile(text)
    lines = Lines(text)
    rows = [_record(note, lines) for note in compiled.notes]
    if as_json:
        import json

        click.echo(json.dumps({"notes": rows}, ensure_ascii=False, indent=1))
    else:
        _table([[_cell(row[name]) for name in COLUMNS] for row in rows])
    report(compiled.diagnostics, text, file)
    sys.exit(1 if has_errors(compiled.diagnostics) else 0)


def _record(note: Sounding, lines: Lines) -> dict[str, object]:
    line, column = lines.place(note.span.start)
    return {
        "bar": note.bar,
        "onset": _fraction(note.onset),
        "length": _fraction(note.length),
        "midi": note.midi,
        "pitch": str(note.pitch) if note.pitch else None,
        "values": list(note.values),
        "chord": note.chord or None,
        "degree": note.degree or None,
        "string": note.string,
        "fret": note.fret,
        "grace": note.grace,
        "line": line,
        "column": column,
        "marks": list(note.marks),
    }


def _fraction(value: Fraction) -> str:
    return str(value)


def _cell(value: object) -> str:
    if isinstance(value, list):
        return " ".join(map(str, value))
    return "" if value is None else str(value)


def _table(rows: list[list[str]]) -> None:
    if not rows:
        click.echo("no notes yet")
        return
    table = [list(COLUMNS), *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(COLUMNS))]
    for row in table:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
