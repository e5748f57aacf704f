"""`scribe export`: drafts for other programs."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import click

from scribe.commands.files import (
    SUFFIX,
    Unreadable,
    drafts,
    has_errors,
    read_draft,
    report,
    stop,
    write_whole,
)
from scribe.music.piece import Piece
from scribe.pipeline import compile

KINDS = (".musicxml", ".mxl", ".mei", ".mid")


@click.command()
@click.argument("path", metavar="FILE")
@click.option(
    "-o",
    "--output",
    required=True,
    metavar="OUT",
    help="A name ending in .musicxml, .mxl, .mei or .mid; with --all a folder.",
)
@click.option("--all", "whole", is_flag=True, help="FILE is a folder: give out every draft in it.")
@click.option(
    "--to", "kind", type=click.Choice([k[1:] for k in KINDS]), default="musicxml", show_default=True,
    help="The format, with --all.",
)  # fmt: skip
@click.option(
    "--plain", is_flag=True, help="Leave the draft's own text, comments too, out of MusicXML and MEI."
)
def command(path: str, output: str, whole: bool, kind: str, plain: bool) -> None:
    """Give a draft to other programs: MusicXML 4.0, plain or compressed, MEI or MIDI.

    FILE is a draft, or - for standard input. A bar with an error is an empty bar there and the exit status is 1. MIDI
    is played: repeats unfolded, swing swung. MusicXML and MEI carry the text of the draft where other programs do not
    show it; `scribe import` takes it back from there, bars that were changed elsewhere with their changes.
    """
    out = Path(output)
    if not whole:
        if os.path.isdir(path):
            stop(f"{path} is a folder; --all gives out every draft in it")
        if out.suffix.lower() not in KINDS:
            stop(f"{output}: expected a name that ends in {', '.join(KINDS)}")
        sys.exit(1 if _one(path, out, plain=plain) else 0)
    if not os.path.isdir(path):
        stop(f"{path} is no folder; leave --all out for one draft")
    if out.exists() and not out.is_dir():
        stop(f"{output} is a file; --all wants a folder to write into")
    sys.exit(1 if _all(path, out, kind, plain=plain) else 0)


def _all(folder: str, out: Path, kind: str, *, plain: bool) -> bool:
    """Give out every draft of a folder; one that cannot be given out is said, and the rest goes on."""
    given = wrong = failed = 0
    for draft in drafts([folder]):
        target = out / Path(draft).relative_to(folder)
        target = target.with_name(f"{target.name.removesuffix(SUFFIX)}.{kind}")
        try:
            wrong += _one(draft, target, plain=plain)
            given += 1
        except Unreadable as fault:
            click.echo(fault.message, err=True)
            failed += 1
    said = [f"{given} given out"]
    said += [f"{wrong} with errors"] if wrong else []
    said += [f"{failed} failed"] if failed else []
    click.echo(", ".join(said))
    return bool(wrong or failed)


def _one(path: str, out: Path, *, plain: bool) -> bool:
    """Give out one draft; tells whether it has errors."""
    text = read_draft(path)
    compiled = compile(text)
    report([d for d in compiled.diagnostics if d.severity != "hint"], text, path)  # `check` has the hints
    if not compiled.piece.bars:
        stop(f"{path}: no bar to give out")
    write_whole(out, _writers()[out.suffix.lower()](compiled.piece, "" if plain else text))
    click.echo(str(out))
    return has_errors(compiled.diagnostics)


def _writers() -> dict[str, Callable[[Piece, str], bytes]]:
    from scribe.exchange.out.mei import mei
    from scribe.exchange.out.midi import midi
    from scribe.exchange.out.musicxml import musicxml, mxl

    return {".musicxml": musicxml, ".mxl": mxl, ".mei": mei, ".mid": lambda piece, _: midi(piece)}
