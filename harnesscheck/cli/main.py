"""The entry point. Commands are imported only when they are asked for, so that ``--help`` is quick."""

from __future__ import annotations

import gc
import sys
from importlib import import_module
from typing import Any

import click

from harnesscheck import __version__

COMMANDS = {
    "compare": ("harnesscheck.cli.compare", "Hold two cars, or two plugs, against each other."),
    "decide": ("harnesscheck.cli.decide", "Say which harnesses to swap: work, hours, lists, proof."),
    "draw": ("harnesscheck.cli.draw", "Draw a plug, a circuit, a part or the whole car."),
    "trace": ("harnesscheck.cli.trace", "Follow a circuit with a meter, and say what to measure next."),
    "ringout": ("harnesscheck.cli.ringout", "Prove the wiring with a meter; read the filled-in sheet back."),
    "loads": ("harnesscheck.cli.loads", "Say what wires and fuses carry; try a bigger pump on paper."),
    "states": ("harnesscheck.cli.states", "Say which load is on in which key position; take out a ground on paper."),
    "validate": ("harnesscheck.cli.validate", "Check one netlist: broken rules, doubtful wiring."),
    "convert": ("harnesscheck.cli.convert", "Write a netlist in another form: XML or tables."),
    "read-table": ("harnesscheck.cli.read_table", "Read a manual's pin table: text, PDF, web page, workbook, picture."),
    "crosswalk": ("harnesscheck.cli.crosswalk", "Propose which plug of one car is which of the other."),
    "identify": ("harnesscheck.cli.identify", "Name a loose plug by its cavities and wire colours."),
    "find": ("harnesscheck.cli.find", "Find a wire by colour, size, place, part, circuit or words."),
    "rank": ("harnesscheck.cli.rank", "Say which of a folder of donors fit a shell best."),
    "open": ("harnesscheck.cli.open", "Open a page in the browser: type two plugs, drop two cars."),
    "explain": ("harnesscheck.cli.explain", "Say what a kind of finding means, what to do, how to check."),
    "columns": ("harnesscheck.cli.columns", "Say what the columns of the tables ask for, with examples."),
    "new": ("harnesscheck.cli.new", "Write a form to fill in, or an example, to start from."),
}
NEXT_STEPS = """\
Three ways to start:

  harnesscheck new --example demo
      writes two example cars and a one-plug example into the folder demo
  harnesscheck compare demo/donor.xml demo/shell.xml
      says what happens where the two cars' wiring meets, worst first
  harnesscheck compare demo/plug-donor.csv demo/plug-shell.csv
      the same for one plug you typed into a spreadsheet

harnesscheck --help lists all commands.
"""


class LazyGroup(click.Group):
    """A group that imports a command's module when the command is run."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All commands, in the order of a first visit."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, imported now; None for an unknown name."""
        if cmd_name not in COMMANDS:
            return None
        command = import_module(COMMANDS[cmd_name][0]).command
        assert isinstance(command, click.Command)
        return command

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

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


@click.group(cls=LazyGroup, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="harnesscheck")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """Compare two cars' wiring harnesses: what moves, what is missing, what stays dead, what burns.

    Exit status: 0 done, whatever was found; 1 only with --fail-on; 2 could not run.
    """
    if ctx.invoked_subcommand is None:
        from harnesscheck.cli.shared import say

        say(NEXT_STEPS, end="")


def main() -> None:
    """Run the command line.

    A car is a great many small objects that live to the end: the collector of cycles looks at them less often
    than it would, which takes seven parts in a hundred off a compare.
    """
    from harnesscheck.cli.streams import guarded

    gc.set_threshold(50_000, 20, 100)
    sys.exit(guarded(lambda: cli(prog_name="harnesscheck")))
