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

# What the speller weighs, in words.
RULES = {
    "fifth": "outside the key",
    "double": "double accidental",
    "unison": "semitone step on one letter",
    "rising": "does not lead up from the letter below",
    "falling": "does not lead down from the letter above",
    "run": "a sharp in a falling run",
    "around": "semitone on one letter over a note between",
    "skip": "far from the next note but one",
    "twin": "the same sound under two names",
    "turn": "one name where a run turns",
    "near_flat": "flat beside its natural",
    "far_flat": "flat among sharper notes",
    "near_sharp": "sharp beside its natural",
    "far_sharp": "sharp among flatter notes",
    "chord_tone": "not the chord's name",
    "simplified": "a plain name for a rare one of the chord",
    "root": "far from the chord's root",
    "white": "a rare name for a white key",
    "preference": "against `enharmonic`",
}


@click.command()
@click.argument("file")
@click.option("--write", is_flag=True, help="Put the better names into the draft.")
@click.option(
    "--explain", "bar", type=int, metavar="BAR", help="Show what was weighed for each note of a bar."
)
def command(file: str, write: bool, bar: int | None) -> None:
    """List every doubtful name of a draft with the reason and the mend.

    With --write the better names are put into the draft: only those notes change, and octave marks that they bring
    about; what sounds stays the same. Blanks that align bars make room, so that columns stay where they are. With - for
    FILE the draft comes from standard input and goes to standard output.

    --explain shows for each note of a bar the names it could have: how much dearer each is than the best, and what it
    costs in words.

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
    everything = compile(text).diagnostics
    found = [d for d in everything if d.code in SPELLING]
    report(found, text, file, to_stderr=write)
    if not write:
        click.echo(f"{shown_name(file)}: {tally(found) or 'every name is the one expected'}")
    errors = sum(d.severity == "error" for d in everything)
    if errors:
        told = f"{errors} error{'s' if errors != 1 else ''}"
        click.echo(
            f"{shown_name(file)}: {told} besides, bars with errors were left out: `scribe check` shows them",
            err=True,
        )
    sys.exit(1 if any(d.code == "spelling" for d in found) else 0)


def _explain(text: str, number: int) -> None:
    rows = explain_bar(text, number)
    if rows is None:
        numbers = [bar.number for bar in compile(text).piece.bars]
        there = f", expected one of {numbers[0]}-{numbers[-1]}" if numbers else ""
        stop(f"there is no bar {number} in this draft{there}")
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
        parts = ", ".join(f"{RULES.get(rule, rule)} {cost:.1f}" for rule, cost in candidate.terms.items())
        lines.append(f"    {_name(candidate.place):4} +{candidate.margin:<5.1f} {parts or 'costs nothing'}")
    return lines


def _name(place: int) -> str:
    letter, alter = name_at(place)
    return Pitch(letter, alter, 0).name
