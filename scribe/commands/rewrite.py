"""`scribe rewrite`: notes by letter, degree or fret."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import click

from scribe.commands.files import STDIN, has_errors, read_draft, report, shown_name, stop, write_whole
from scribe.music.piece import Piece
from scribe.music.rewrite.bar import Form
from scribe.music.rewrite.draft import Rewritten
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

    Frets are those of `scribe fingering` where the draft names no place; a pin goes into the fret, `=` goes. Frets that
    become names are pinned to their string only where the hand would take another one, so the way back leads to the
    same frets. Bars in columns may get out of line: blanks stay as they are. With - for FILE the draft comes from
    standard input and goes to standard output; `-o -` writes there too.

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
    if only is not None:
        check_bars(bars or "", only, compiled.piece)
    result = _rewritten(text, FORMS[form], only, compiled.piece)
    if has_errors(result.faults):
        report(result.faults, text, file)
        click.echo(f"{shown_name(file)}: not rewritten: nothing was written", err=True)
        sys.exit(1)
    to = output or file
    count = result.changed
    said = f"{count} bar{'s' if count != 1 else ''} rewritten as {form}"
    lost = text.count("=") - result.text.count("=") if form == "frets" else 0
    if lost:
        said += f"; {lost} `=` left out, a fret has no spelling"
    if to == STDIN:
        click.echo(result.text, nl=False)
    else:
        write_whole(Path(to), result.text.encode("utf-8"))
    click.echo(f"{shown_name(file if to == STDIN else to)}: {said}", err=True)


def _rewritten(text: str, form: Form, bars: tuple[int, int] | None, piece: Piece) -> Rewritten:
    from scribe.bass.kept_places import as_names, places_of

    if form == "fret":
        return rewrite(text, form, bars, places_of(piece))
    return as_names(text, form, bars)


def check_bars(typed: str, bars: tuple[int, int], piece: Piece) -> None:
    """End with status 2 if there are no bars of these printed numbers."""
    numbers = [number for bar in piece.bars for number in range(bar.number, bar.number + (bar.rests or 1))]
    first, last = (numbers[0], numbers[-1]) if numbers else (0, 0)
    if not numbers:
        stop("there are no bars in this draft")
    if not first <= bars[0] <= bars[1] <= last:
        stop(f"there are no bars `{typed.strip()}` in this draft, expected some of {first}-{last}")


def _bars(typed: str | None) -> tuple[int, int] | None:
    if typed is None:
        return None
    found = re.fullmatch(r"\s*(\d+)\s*(?:-\s*(\d+)\s*)?", typed)
    if not found or int(found[2] or found[1]) < int(found[1]):
        stop(f"`{typed}` names no bars, expected `5` or `5-8`")
    return int(found[1]), int(found[2] or found[1])
