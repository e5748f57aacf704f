"""`scribe transpose`: a draft in another key."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from scribe.commands.files import STDIN, has_errors, read_draft, report, shown_name, stop, write_whole
from scribe.music.rewrite.lines import ADDED, first_key
from scribe.music.rewrite.target import interval_to, parse_target, signs_of, suggest_target
from scribe.music.rewrite.transpose import transpose
from scribe.pipeline import compile


@click.command()
@click.argument("file")
@click.argument("where", nargs=-1, required=True, metavar="INTERVAL|KEY")
@click.option("-o", "--output", type=click.Path(dir_okay=False), help="Write here instead of over FILE.")
def command(file: str, where: tuple[str, ...], output: str | None) -> None:
    """Move a draft by an interval (`up P4`, `down m3`) or to a key (`to Ab minor`, `to F`).

    Intervals are P M m A d (perfect, major, minor, augmented, diminished) and a number up to 15; to a key the shorter
    way is taken. `key`, `home`, `position` and chord symbols move along, names are those of the new key. Letters stay
    letters, degrees stay degrees, frets move along their strings; what would leave the fretboard is an error and
    nothing is written.

    Octave marks, comments and blanks stay as they are. A draft without a `key` or `home` line gets one where the move
    needs it, marked as added; moved back, the draft is what it was. With - for FILE it comes from standard input and
    goes to standard output; `-o -` writes to standard output too.

    The exit status is 0 if the draft was moved, 1 if it could not be, 2 if a file cannot be read or written.
    """
    target = parse_target(" ".join(where))
    if target is None:
        typed = " ".join(where)
        meant = suggest_target(typed)
        stop(
            f"`{typed}` is no way to move a draft, expected "
            + (f"`{meant}`" if meant else "`up P4`, `down m3` or `to Ab minor`")
        )
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
        added = result.text.count(f"; {ADDED}") - text.count(f"; {ADDED}")
        lines = f", {added} line{'s' if added != 1 else ''} added" if added > 0 else ""
        click.echo(f"{to}: {interval}, now in {first_key(compile(result.text).draft)}{lines}", err=True)
