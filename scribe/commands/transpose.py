"""`scribe transpose`: a draft in another key."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from scribe.commands.files import STDIN, has_errors, read_draft, report, shown_name, stop, write_whole
from scribe.music.rewrite.transpose import first_key, interval_to, parse_target, signs_of, transpose
from scribe.pipeline import compile


@click.command()
@click.argument("file")
@click.argument("where", nargs=-1, required=True, metavar="INTERVAL|KEY")
@click.option("-o", "--output", type=click.Path(dir_okay=False), help="Write here instead of over FILE.")
def command(file: str, where: tuple[str, ...], output: str | None) -> None:
    """Move a draft by an interval (`up P4`, `down m3`) or to a key (`to Ab minor`, `to F`).

    Key lines and chord symbols move along, names are those of the new key. Letters stay letters, degrees stay
    degrees, frets move along their strings; what would leave the fretboard is an error and nothing is written. With -
    for FILE the draft comes from standard input and goes to standard output; `-o -` writes to standard output too.

    The exit status is 0 if the draft was moved, 1 if it could not be, 2 if a file cannot be read or written.
    """
    target = parse_target(" ".join(where))
    if target is None:
        stop(f"`{' '.join(where)}` is no way to move a draft, expected `up P4`, `down m3` or `to Ab minor`")
    text = read_draft(file)
    compiled = compile(text)
    errors = [d for d in compiled.diagnostics if d.severity == "error"]
    if errors:
        report(errors, text, file)
        click.echo(f"{shown_name(file)}: not moved: mend the errors first", err=True)
        sys.exit(1)
    key = first_key(compiled.draft)
    interval = interval_to(key, target)
    if isinstance(interval, str):
        stop(interval)
    result = transpose(text, interval, signs_of(key, target))
    if has_errors(result.faults):
        report(result.faults, text, file)
        click.echo(f"{shown_name(file)}: not moved {interval}: nothing was written", err=True)
        sys.exit(1)
    to = output or file
    if to == STDIN:
        click.echo(result.text, nl=False)
    else:
        write_whole(Path(to), result.text.encode("utf-8"))
        click.echo(f"{to}: {interval}, now in {first_key(compile(result.text).draft)}", err=True)
