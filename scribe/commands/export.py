"""`scribe export`: drafts for other programs."""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

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

if TYPE_CHECKING:
    from scribe.exchange.leftout import LeftOut

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
    "--plain",
    is_flag=True,
    help="Leave the draft's own text, comments too, out of MusicXML and MEI, and say what is not in them.",
)
def command(path: str, output: str, whole: bool, kind: str, plain: bool) -> None:
    """Give a draft to other programs: MusicXML 4.0, plain or compressed, MEI or MIDI.

    FILE is a draft, or - for standard input. A bar with an error is an empty bar there and the exit status is 1. MIDI
    is played: repeats unfolded, swing swung; what it has no place for is said. MusicXML and MEI carry the text of the
    draft where other programs do not show it; `scribe import` takes it back from there, bars that were changed
    elsewhere with their changes. So `show`, `position` or a comment is in the file for scribe, not for others. With
    --plain the file is read back, and what does not come back is said: comments, most of all.
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
    left: Counter[str] = Counter()
    for draft in drafts([folder]):
        target = out / Path(draft).relative_to(folder)
        target = target.with_name(f"{target.name.removesuffix(SUFFIX)}.{kind}")
        try:
            made = _give(draft, target, plain=plain)
        except Unreadable as fault:
            click.echo(fault.message, err=True)
            failed += 1
            continue
        click.echo(target if kind == "mid" else _line(target, made))
        left.update({each.kind: each.count for each in made.left})
        wrong += made.wrong
        given += 1
    said = [f"{given} given out"]
    said += [f"{wrong} with errors"] if wrong else []
    said += [f"{failed} failed"] if failed else []
    click.echo(", ".join(said))
    if given and kind == "mid":
        from scribe.exchange.leftout import summed

        click.echo(_midi(summed(left)))
    return bool(wrong or failed)


def _one(path: str, out: Path, *, plain: bool) -> bool:
    """Give out one draft; tells whether it has errors."""
    made = _give(path, out, plain=plain)
    click.echo(_line(out, made))
    return made.wrong


class Given(NamedTuple):
    """A draft that was given out. `left`: what the file does not hold; `unread`: why nobody knows, else empty."""

    wrong: bool
    left: tuple[LeftOut, ...] = ()
    unread: str = ""


def _give(path: str, out: Path, *, plain: bool) -> Given:
    """Write one draft and find out what its file leaves out."""
    text = read_draft(path)
    compiled = compile(text)
    report([d for d in compiled.diagnostics if d.severity != "hint"], text, path)  # `check` has the hints
    if not compiled.piece.bars:
        stop(f"{path}: no bar to give out")
    kind = out.suffix.lower()
    data = _writers()[kind](compiled.piece, "" if plain else text)
    write_whole(out, data)
    wrong = has_errors(compiled.diagnostics)
    if not plain and kind != ".mid":
        return Given(wrong)
    from scribe.exchange.leftout import left_out, unheard_of
    from scribe.exchange.model import Cannot

    if kind == ".mid":
        return Given(wrong, unheard_of(compiled.piece))
    try:
        return Given(wrong, left_out(compiled.piece, text, data))
    except Cannot as fault:
        return Given(wrong, unread=str(fault))


def _line(out: Path, made: Given) -> str:
    """One line for one file: its name, and what it leaves out."""
    from scribe.exchange.leftout import told

    if out.suffix.lower() == ".mid":
        return f"{out}: {_midi(made.left)}"
    if made.unread:
        return f"{out}: scribe cannot read it back: {made.unread}"
    return f"{out}: left out: {told(made.left)}" if made.left else str(out)


def _midi(left: tuple[LeftOut, ...]) -> str:
    from scribe.exchange.leftout import told

    more = f", and no place for {told(left)}" if left else ""
    return f"MIDI has no names of notes{more}"


def _writers() -> dict[str, Callable[[Piece, str], bytes]]:
    from scribe.exchange.out.mei import mei
    from scribe.exchange.out.midi import midi
    from scribe.exchange.out.musicxml import musicxml, mxl

    return {".musicxml": musicxml, ".mxl": mxl, ".mei": mei, ".mid": lambda piece, _: midi(piece)}
