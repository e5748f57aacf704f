"""The `scribe` command. Each sub-command lives in a module of its own and is imported only when it is called."""

from __future__ import annotations

import gc
import sys
from importlib import import_module

import click

# Name, module and the line that `scribe --help` shows: kept here so that help needs no imports either.
COMMANDS = {
    "new": ("new", "Start a draft."),
    "check": ("check", "Say what is wrong in drafts, and where."),
    "watch": ("watch", "Keep an engraved page open that follows every save."),
    "engrave": ("engrave", "Engrave a draft as SVG, PDF, PNG or MEI."),
    "notes": ("notes", "List every note of a draft: place, length, pitch, degree."),
    "fingering": ("fingering", "Find ways to finger a line: string, fret, finger, position."),
    "arrange": ("arrange", "Make a bass line of another instrument's line."),
    "spell": ("spell", "Look through the names of notes, and put them right."),
    "transpose": ("transpose", "Move a draft into another key."),
    "rewrite": ("rewrite", "Write notes by letter, degree or fret."),
    "import": ("import_", "Make drafts of scores: MusicXML, MEI, MIDI."),
    "export": ("export", "Give drafts to other programs: MusicXML, MEI, MIDI."),
    "explain": ("explain", "Explain the code of a diagnostic."),
}


class _Lazy(click.Group):
    """A group that imports a command when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"scribe.commands.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from scribe.source.suggest import nearest

            near = nearest(args[0], tuple(COMMANDS))
            ctx.fail(f"no command `{args[0]}`" + (f", did you mean `{near}`?" if near else ""))
        return super().resolve_command(ctx, args)


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="scribe-bass", message="scribe %(version)s")
def scribe() -> None:
    """Write down what the bass played: a terse shorthand in, a clean page out."""


def calm_collector() -> None:
    """Look for garbage seldom.

    Nearly everything that a command makes stays to its end: looking through it again and again costs a tenth of the
    start, and more the longer the draft is.
    """
    gc.set_threshold(50_000, 50, 1000)


def main() -> None:
    """Run the command line; exit status 0 clean, 1 errors in a draft, 2 misuse or unreadable file."""
    calm_collector()
    # A pipe that closes early (`scribe notes … | head`) is no fault of the draft.
    try:
        scribe(prog_name="scribe")
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
