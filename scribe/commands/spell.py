"""`scribe spell`: the names of a draft's notes, looked through and put right."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from scribe.commands.files import STDIN, read_draft, report, shown_name, stop, tally, write_whole
from scribe.diagnostics.spelling import SPELLING
from scribe.music.name import with_name
from scribe.music.pitch import Pitch, name_at
from scribe.music.rewrite.respell import Explained, explain_bar, respell
from scribe.pipeline import compile


@click.command()
@click.argument("file")
@click.option("--write", is_flag=True, help="Put the better names into the draft.")
@click.option(
    "--explain", "bar", type=int, metavar="BAR", help="Show what was weighed for each note of a bar."
)
def command(file: str, write: bool, bar: int | None) -> None:
    """List every doubtful name of a draft with the reason and the mend.

    With --write the better names are put into the draft: only those notes change, and octave marks that they bring
    about; what sounds stays the same. With - for FILE the draft comes from standard input and goes to standard output.

    The exit status is 0 if no name is in doubt (any more), 1 if one is, 2 if a file cannot be read or written.
    """
    text = read_draft(file)
    if bar is not None:
        _explain(text, bar)
        return
    if write:
        result = respell(text)
        count = f"{result.changed} name{'s' if result.changed != 1 else ''} changed"
        if file == STDIN:
            click.echo(result.text, nl=False)
        elif result.text != text:
            write_whole(Path(file), result.text.encode("utf-8"))
        click.echo(f"{shown_name(file)}: {count}", err=True)
        text = result.text
    found = [d for d in compile(text).diagnostics if d.code in SPELLING]
    report(found, text, file, to_stderr=write)
    if not write:
        click.echo(f"{shown_name(file)}: {tally(found) or 'every name is the one expected'}")
    sys.exit(1 if any(d.code == "spelling" for d in found) else 0)


def _explain(text: str, number: int) -> None:
    rows = explain_bar(text, number)
    if rows is None:
        stop(f"there is no bar {number} in this draft")
    if not rows:
        click.echo(f"bar {number} holds no notes of its own")
    for row in rows:
        for line in explained(row):
            click.echo(line)


def explained(row: Explained) -> list[str]:
    """One note: the name it has, the candidates with their costs by rule, why the first one won."""
    head, told = row.sound.head, row.explanation
    best = with_name(head.pitch.midi, *name_at(told.candidates[0].place))
    typed = "" if head.way == "fret" or best == head.pitch else f" (typed {head.pitch.name})"
    lines = [f"{best}{typed}: {told.reason or 'no other name comes near'}"]
    for candidate in told.candidates:
        parts = ", ".join(f"{rule.replace('_', ' ')} {cost:.1f}" for rule, cost in candidate.terms.items())
        lines.append(f"    {_name(candidate.place):4} +{candidate.margin:<5.1f} {parts or 'costs nothing'}")
    return lines


def _name(place: int) -> str:
    letter, alter = name_at(place)
    return Pitch(letter, alter, 0).name
