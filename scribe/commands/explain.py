"""`scribe explain`: the table of codes, for a person."""

from __future__ import annotations

import textwrap

import click

from scribe.commands.files import stop
from scribe.diagnostics.codes import CODES
from scribe.source.suggest import nearest


@click.command()
@click.argument("code", required=False)
def command(code: str | None) -> None:
    """Explain the code of a diagnostic, with an example and its mend.

    Without CODE, list all codes.
    """
    if code is None:
        width = max(map(len, CODES))
        for name, entry in sorted(CODES.items()):
            click.echo(f"{name:<{width}}  {entry.severity:<7}  {entry.title}")
        return
    if code not in CODES:
        near = nearest(code, tuple(CODES))
        stop(f"no code `{code}`" + (f", did you mean `{near}`?" if near else "; `scribe explain` lists them"))
    entry = CODES[code]
    click.echo(f"{code} ({entry.severity}): {entry.title}\n")
    click.echo(textwrap.fill(entry.explanation, 88) + "\n")
    for name, text in (("for example", entry.example), ("mended", entry.mend)):
        shown = text.encode("utf-8", "replace").decode() if text.isprintable() else text
        click.echo(f"{name}:\n{textwrap.indent(_printable(shown), '    ')}")


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() or c == "\n" else "·" for c in text)
