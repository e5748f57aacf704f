"""`scribe engrave`: a draft as a page."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

import click

from scribe.commands.files import has_errors, read_draft, report, stop, write_whole
from scribe.pipeline import compile, engrave

KINDS = (".svg", ".pdf", ".png", ".mei")


@click.command()
@click.argument("file")
@click.option(
    "-o",
    "--output",
    required=True,
    metavar="OUT",
    help="Where to write: a name ending in .svg, .pdf, .png or .mei.",
)
@click.option("--pages", metavar="1-2", help="Only these pages.")
@click.option("--bars", metavar="5-8", help="Only these bars, by their printed numbers.")
@click.option(
    "--system", type=click.IntRange(min=1), metavar="N", help="Only the Nth system, cropped, as a picture."
)
@click.option(
    "--dpi", type=click.IntRange(20, 1200), default=200, show_default=True, help="Resolution of a PNG."
)
@click.option("--transparent", is_flag=True, help="No white paper behind a PNG or SVG.")
@click.option("--open", "opened", is_flag=True, help="Show what was written with the system's own viewer.")
def command(
    file: str,
    output: str,
    pages: str | None,
    bars: str | None,
    system: int | None,
    dpi: int,
    transparent: bool,
    opened: bool,
) -> None:
    """Engrave a draft: SVG or PNG (one file a page: OUT-1, OUT-2 … when there are several), PDF, or MEI.

    FILE is a draft, or - for standard input. A bar with an error is drawn as an empty, marked bar and everything
    else as it should be; the exit status is then 1.
    """
    out = Path(output)
    if out.suffix.lower() not in KINDS:
        stop(f"{output}: expected a name that ends in {', '.join(KINDS)}")
    wanted = _range(pages, "--pages")
    only = _range(bars, "--bars")
    text = read_draft(file)
    compiled = compile(text)
    if not compiled.piece.bars:
        report(compiled.diagnostics, text, file)
        stop(f"{file}: no bar to engrave")
    try:
        result = engrave(compiled, bars=only, system=system, transparent=transparent)
    except ValueError as fault:
        stop(str(fault))
    sheets = list(enumerate(result.svgs, 1))
    if wanted:
        sheets = [s for s in sheets if wanted[0] <= s[0] <= wanted[1]]
        if not sheets:
            count = len(result.svgs)
            stop(f"--pages {pages}: there {'is 1 page' if count == 1 else f'are {count} pages'}")
    written: list[Path] = []
    kind = out.suffix.lower()
    if kind == ".mei":
        write_whole(out, result.mei.encode())
        written.append(out)
    elif kind == ".pdf":
        from scribe.engrave.output.pdf import pdf

        size = (result.width_mm, result.height_mm)
        write_whole(out, pdf([svg for _, svg in sheets], result.title, result.composer, size))
        written.append(out)
    else:
        for number, svg in sheets:
            path = out if len(sheets) == 1 else out.with_name(f"{out.stem}-{number}{out.suffix}")
            write_whole(path, _picture(svg, kind, dpi, transparent))
            written.append(path)
    report(compiled.diagnostics, text, file)
    named = ", ".join(map(str, written))
    click.echo(f"{named}: {len(sheets)} page{'s' if len(sheets) != 1 else ''}" if kind != ".mei" else named)
    if opened:
        _show(written[0].resolve())
    sys.exit(1 if has_errors(compiled.diagnostics) else 0)


def _show(path: Path) -> None:
    """Open the system's viewer, or say where the page is on a machine without a screen."""
    screen = not sys.platform.startswith("linux") or any(
        os.environ.get(n) for n in ("DISPLAY", "WAYLAND_DISPLAY")
    )
    if not screen or click.launch(str(path)) != 0:
        click.echo(f"no screen here to show it on: the page is {path}")


def _picture(svg: str, kind: str, dpi: int, transparent: bool) -> bytes:
    if kind == ".svg":
        return svg.encode()
    from scribe.engrave.output.png import png

    return png(svg, dpi=dpi, transparent=transparent)


def _range(text: str | None, option: str) -> tuple[int, int] | None:
    """Read `3` or `1-2`; ends with status 2 if it is neither."""
    if text is None:
        return None
    found = re.fullmatch(r"(\d+)(?:-(\d+))?", text.strip())
    if not found or (found[2] and int(found[2]) < int(found[1])):
        stop(f"{option} {text}: expected a number or a range such as 1-2")
    return int(found[1]), int(found[2] or found[1])
