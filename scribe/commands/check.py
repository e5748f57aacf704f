"""`scribe check`: what is wrong in drafts. Imports neither music21 nor Verovio."""

from __future__ import annotations

import sys

import click

from scribe.commands.files import Unreadable, drafts, has_errors, read_draft, report, shown_name, tally
from scribe.diagnostics.show import Lines, record
from scribe.music.progress import bars_words, open_words, progress
from scribe.pipeline import compile


@click.command()
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@click.option("--json", "as_json", is_flag=True, help="Print one list of records for programs.")
def command(paths: tuple[str, ...], as_json: bool) -> None:
    """Say what is wrong in drafts, and where.

    PATH is a draft, a folder of drafts, or - for standard input. The exit status is 0 if there is no error, 1 if
    there is one, 2 if a file cannot be read.
    """
    failed = unreadable = False
    records = []
    for path in drafts(paths):
        try:
            text = read_draft(path)
        except Unreadable as fault:  # the other drafts are checked all the same
            fault.show()
            unreadable = True
            continue
        compiled = compile(text)
        found = compiled.diagnostics
        failed = failed or has_errors(found)
        if as_json:
            lines = Lines(text)
            records += [record(d, lines, shown_name(path)) for d in found]
            continue
        report(found, text, path, to_stderr=False)
        done = progress(compiled.piece)
        said = [bars_words(done), tally(found) or "nothing to mend"]
        said += [f"still open: {open_words(done)}"] if open_words(done) else []
        click.echo(f"{shown_name(path)}: {'; '.join(said)}")
    if as_json:
        import json

        click.echo(json.dumps(records, ensure_ascii=False, indent=1))
    sys.exit(2 if unreadable else 1 if failed else 0)
