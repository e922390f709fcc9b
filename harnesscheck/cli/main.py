"""The group of all commands. Each is imported only when it is asked for."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Any

import click
from click.shell_completion import CompletionItem

from harnesscheck import __version__
from harnesscheck.cli.listing import COMMANDS, EXAMPLES, NEXT_STEPS, help_text

__all__ = ["COMMANDS", "NEXT_STEPS", "LazyGroup", "cli"]


class LazyGroup(click.Group):
    """A group that imports a command's module when the command is run."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All commands, in the order of a first visit."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, imported now, with its example and ``--quiet``; None for an unknown name."""
        if cmd_name not in COMMANDS:
            return None
        command = import_module(COMMANDS[cmd_name][0]).command
        assert isinstance(command, click.Command)
        if command.epilog is None:
            command.epilog = f"\b\nExample:\n  harnesscheck {cmd_name} {EXAMPLES[cmd_name]}"
            command.params.append(_quiet())
        return command

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """The names of commands that begin so, without importing them; options where a stroke is typed."""
        if incomplete.startswith("-"):
            return super().shell_complete(ctx, incomplete)
        return [CompletionItem(name, help=text) for name, (_, text) in COMMANDS.items() if name.startswith(incomplete)]

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; where its input cannot be used, say every fault and leave with status 2."""
        try:
            return super().invoke(ctx)
        except ValueError as error:
            from harnesscheck.api.faults import InputError
            from harnesscheck.cli.shared import COULD_NOT_RUN, faults_told

            if not isinstance(error, InputError):
                raise
            faults_told(error.faults)
            sys.exit(COULD_NOT_RUN)

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The listing, which needs no command imported."""
        formatter.write(help_text())


def _quiet() -> click.Option:
    """An option that every command has."""
    from harnesscheck.cli.shared import keep_quiet

    return click.Option(
        ["-q", "--quiet"],
        is_flag=True,
        expose_value=False,
        callback=keep_quiet,
        help="Print nothing but faults; the status and the files that were asked for say the rest.",
    )


@click.group(cls=LazyGroup, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="harnesscheck")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """Compare two cars' wiring harnesses: what moves, what is missing, what stays dead, what burns."""
    if ctx.invoked_subcommand is None:
        from harnesscheck.cli.shared import say

        say(NEXT_STEPS, end="")
