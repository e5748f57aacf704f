"""`scribe arrange`: another instrument's line as a bass line."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import cast

import click

from scribe.bass.arrange import Arrangement, arrange, interval_to
from scribe.bass.arrange_report import as_fingered, path
from scribe.bass.arrange_report import report as changes
from scribe.bass.arranged_text import arranged_text, differences
from scribe.bass.fretboard import FEWEST_FRETS, MOST_FRETS, Fretboard, fretboard
from scribe.bass.hand import System
from scribe.bass.warnings import CAUTION, wide_stretches
from scribe.commands.files import STDIN, SUFFIX, has_errors, read_draft, report, stop, write_whole
from scribe.commands.fingering import SYSTEMS
from scribe.music.interval import UNISON, Interval
from scribe.music.key import parse_key
from scribe.music.piece import Piece
from scribe.pipeline import compile


@click.command()
@click.argument("file")
@click.option(
    "--for",
    "target",
    type=click.Choice(["bass", "double bass"]),
    default="bass",
    show_default=True,
    help="The instrument to arrange for.",
)
@click.option(
    "--ways", "count", type=click.IntRange(1, 5), default=1, show_default=True, help="Ways to show."
)
@click.option("--way", "chosen", type=click.IntRange(1, 5), default=1, help="The way that is written.")
@click.option("-o", "--output", metavar="OUT.scribe", help="Where to write the draft; - is standard output.")
@click.option("--key", metavar="G", help="Move to this tonic; without it the key is kept.")
@click.option("--strings", default="E A D G", show_default=True, help="The open strings, low to high.")
@click.option("--frets", type=click.IntRange(FEWEST_FRETS, MOST_FRETS), default=MOST_FRETS, show_default=True)
@click.option(
    "--system", type=click.Choice(sorted(SYSTEMS)), default="mixed", show_default=True, help="Left hand."
)
@click.option("--pins", is_flag=True, help="Type the string behind every note.")
def command(
    file: str,
    target: str,
    count: int,
    chosen: int,
    output: str | None,
    key: str | None,
    strings: str,
    frets: int,
    system: str,
    pins: bool,
) -> None:
    """Make a bass line of a draft for another instrument, and say bar by bar what was changed.

    FILE is a draft, or - for standard input. Octaves are chosen together with the fingering, so that the line breaks
    as seldom as possible and lies well; of stacks the bass note, the guide tones and the top note are kept, in this
    order, as far as one hand reaches.
    """
    if output is not None and output != STDIN and not output.endswith(SUFFIX):
        stop(f"{output}: expected a name that ends in {SUFFIX}")
    text = read_draft(file)
    compiled = compile(text)
    neck = _neck(strings, frets, target)
    found = arrange(
        compiled.piece,
        neck,
        interval=_interval(key, compiled.piece),
        count=max(count, chosen),
        system=cast(System, SYSTEMS[system]),
    )
    if not found[0].notes:
        report(compiled.diagnostics, text, file)
        stop(f"{file}: no note to arrange")
    if chosen > len(found):
        stop(f"{file}: there are only {len(found)} different ways here")
    quiet = output == STDIN
    for number, made in enumerate(found[: max(count, chosen)], 1):
        _show(number, made, quiet)
    if len(found) < count:
        click.echo("no other way is different", err=quiet)
    if output is not None:
        new = arranged_text(text, compiled.draft, compiled.piece, found[chosen - 1], pins)
        _write(output, new, found[chosen - 1], chosen)
    report(compiled.diagnostics, text, file)
    sys.exit(1 if has_errors(compiled.diagnostics) else 0)


def _neck(strings: str, frets: int, target: str) -> Fretboard:
    try:
        return fretboard(strings, frets, kind="double" if target == "double bass" else "electric")
    except ValueError as fault:
        stop(str(fault))


def _interval(text: str | None, piece: Piece) -> Interval:
    """The way from the key at the start to the tonic asked for; the mode stays."""
    if text is None or not piece.bars:
        return UNISON
    here = piece.bars[0].in_force.key
    there = parse_key(text)
    if there is None:
        stop(f"--key {text}: expected a tonic such as G or Bb")
    if len(text.split()) > 1 and there.mode != here.mode:
        stop(f"--key {text}: the draft is in {here}, and an arrangement keeps the mode; name the tonic alone")
    return interval_to(here, there)


def _show(number: int, made: Arrangement, quiet: bool) -> None:
    rows = [f"way {number}: {made.name}", *(f"  {row}" for row in [*changes(made), *path(made)])]
    if wide_stretches(as_fingered(made)):
        rows.append(CAUTION)
    click.echo("\n".join(rows), err=quiet)


def _write(output: str, new: str, made: Arrangement, way: int) -> None:
    wrong = differences(compile(new).piece, made)
    if output == STDIN:
        click.echo(new, nl=False)
    else:
        write_whole(Path(output), new.encode("utf-8"))
        click.echo(f"{output}: way {way} written")
    for row in wrong:
        click.echo(f"not as arranged: {row}", err=True)
