"""`scribe new`: a starter draft."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click

from scribe.commands.files import SUFFIX, stop

STARTER = """\
; a draft: one line of music is one system on the page
title   {title}
key     G minor
time    4/4
feel    swing
tempo   112

[A]
| @Gm7 g b d f | @C7 ^E c b g | @Fmaj7 a c f a | @D7 ^F# d a ? |
| |
"""


@click.command()
@click.argument("name")
def command(name: str) -> None:
    """Start a draft called NAME, with a few bars to write over. A file that is there is never overwritten."""
    bare = name.removesuffix(SUFFIX)
    if not re.split(r"[/\\]", bare)[-1].strip(" ."):
        stop(f"`{name}` names no draft; give it a name, as in `scribe new night-bus`")
    path = Path(bare + SUFFIX)
    title = path.stem.replace("-", " ").replace("_", " ").strip().title() or "Untitled"
    try:
        with path.open("x", encoding="utf-8") as out:
            out.write(STARTER.format(title=title))
    except FileExistsError:
        stop(f"{path}: is there already; choose another name")
    except OSError as fault:
        stop(f"{path}: cannot be written: {(fault.strerror or str(fault)).lower()}")
    typed = shlex.join(("scribe", "engrave", str(path), "-o", f"{path.stem}.pdf"))
    click.echo(f"{path}: a draft of five bars; `{typed}` engraves it")
