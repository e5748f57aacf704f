"""`scribe rewrite`: notes by letter, degree or fret."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import click

from scribe.commands.files import STDIN, has_errors, read_draft, report, shown_name, stop, write_whole
from scribe.diagnostics import Span
from scribe.music.piece import Piece
from scribe.music.rewrite.bar import Form
from scribe.music.rewrite.ways import rewrite
from scribe.pipeline import compile

FORMS: dict[str, Form] = {"letters": "letter", "degrees": "degree", "frets": "fret"}


@click.command()
@click.argument("file")
@click.option("--as", "form", type=click.Choice(list(FORMS)), required=True, help="The way to write.")
@click.option("--bars", metavar="5-8", help="Only these bars, by their printed numbers.")
@click.option("-o", "--output", type=click.Path(dir_okay=False), help="Write here instead of over FILE.")
def command(file: str, form: str, bars: str | None, output: str | None) -> None:
    """Write a draft's notes as letters, degrees or frets; what sounds stays the same.

    Frets are those of `scribe fingering` where the draft names no place. Pins and `=` mean nothing behind a fret and
    go. With - for FILE the draft comes from standard input and goes to standard output; `-o -` writes there too.

    The exit status is 0 if the draft was rewritten, 1 if a note cannot be written so (then nothing is), 2 if a file
    cannot be read or written.
    """
    only = _bars(bars)
    text = read_draft(file)
    compiled = compile(text)
    errors = [d for d in compiled.diagnostics if d.severity == "error"]
    if errors:
        report(errors, text, file)
        click.echo(f"{shown_name(file)}: not rewritten: mend the errors first", err=True)
        sys.exit(1)
    where = places_of(compiled.piece) if form == "frets" else None
    result = rewrite(text, FORMS[form], only, where)
    if has_errors(result.faults):
        report(result.faults, text, file)
        click.echo(f"{shown_name(file)}: not rewritten: nothing was written", err=True)
        sys.exit(1)
    to = output or file
    if to == STDIN:
        click.echo(result.text, nl=False)
    else:
        write_whole(Path(to), result.text.encode("utf-8"))
        count = result.changed
        click.echo(f"{to}: {count} bar{'s' if count != 1 else ''} rewritten as {form}", err=True)


def places_of(piece: Piece) -> dict[tuple[int, Span], tuple[int, int]]:
    """The places of all notes when the piece is fingered."""
    from scribe.bass.fingered import fingered

    found: dict[tuple[int, Span], tuple[int, int]] = {}
    for bar in fingered(piece).bars:
        for event in bar.events:
            for head in (*event.heads, *(g.head for g in event.graces)):
                if head.kind == "note" and head.string is not None and head.fret is not None:
                    found.setdefault((bar.offset, head.span), (head.string, head.fret))
    return found


def _bars(typed: str | None) -> tuple[int, int] | None:
    if typed is None:
        return None
    found = re.fullmatch(r"\s*(\d+)\s*(?:-\s*(\d+)\s*)?", typed)
    if not found or int(found[2] or found[1]) < int(found[1]):
        stop(f"`{typed}` names no bars, expected `5` or `5-8`")
    return int(found[1]), int(found[2] or found[1])
