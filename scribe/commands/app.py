"""The group of all commands: each is imported only when it is called."""

from __future__ import annotations

from importlib import import_module

import click

from scribe.commands.main import COMMANDS


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
