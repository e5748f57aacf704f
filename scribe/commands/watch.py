"""`scribe watch`: a page in the browser that follows every save."""

from __future__ import annotations

import re
import sys
import time
from pathlib import Path

import click

from scribe.commands.files import SUFFIX, stop

PORT = 4141
LINK = re.compile(r"(?!(?:javascript|data|vbscript|blob|https?|about):)[a-z][a-z0-9+.-]*:.*\{path\}", re.I)


@click.command()
@click.argument("path", metavar="FILE|FOLDER")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True, help="Wanted port.")
@click.option("--open/--no-open", "opened", default=True, help="Open the page in the browser (usual).")
@click.option(
    "--at", "at", type=click.IntRange(min=1), metavar="LINE", help="Scroll the page to this line's bar."
)
@click.option(
    "--editor",
    metavar="TEMPLATE",
    default="",
    help="Link that a click on a note follows, such as `editor://open?file={path}&line={line}`.",
)
@click.option("--once", is_flag=True, help="Take each draft up once, write what --out wants, and end.")
@click.option(
    "--out", type=click.Path(file_okay=False), metavar="DIR", help="Also write SVG pages on each save."
)
@click.option("--pdf", is_flag=True, help="With --out: write a PDF too.")
@click.option("--poll", is_flag=True, help="Look for changes instead of being told: for network disks.")
def command(
    path: str,
    port: int,
    opened: bool,
    at: int | None,
    editor: str,
    once: bool,
    out: str | None,
    pdf: bool,
    poll: bool,
) -> None:
    """Keep an engraved page open in the browser that follows every save of a draft, or of any draft of a folder.

    The page is served on this machine only. When FILE or its folder is watched already, --at moves the page that is
    open there and ends. Ctrl-C ends the watching.
    """
    target = Path(path)
    if not target.exists():
        stop(f"{path}: there is no such file or folder")
    if target.is_file() and target.suffix != SUFFIX and not once:
        click.echo(f"{path}: the name of a draft usually ends in {SUFFIX}", err=True)
    if pdf and not out:
        stop("--pdf: say where with --out DIR")
    if editor and not LINK.match(editor):
        stop(
            f"--editor {editor}: expected a link with {{path}}, {{line}} and {{column}} such as "
            "`editor://open?file={path}&line={line}`"
        )
    # The engraver's process starts while everything else is imported.
    from scribe.live.engraver import Engraver

    engraver = Engraver()
    if at is None:
        engraver.start()
    from scribe.live.session import Options, Session, running

    if at is not None and (page := running(target, at)):
        click.echo(f"{page}: moved to line {at}")
        return
    options = Options(target, port, at or 0, editor, Path(out) if out else None, pdf, poll)
    session = Session(options, engraver, _say)
    if once:
        sys.exit(session.once())

    def ready(url: str) -> None:
        click.echo(f"{path}: watched at {url} (Ctrl-C ends)")
        if opened:
            import webbrowser

            webbrowser.open(url)

    session.run(ready)


def _say(line: str) -> None:
    click.echo(f"{time.strftime('%H:%M:%S')} {line}")
