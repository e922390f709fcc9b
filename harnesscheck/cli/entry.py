"""What the name ``harnesscheck`` runs: the listing at once, anything else once the library of commands is imported."""

from __future__ import annotations

import gc
import sys

from harnesscheck.cli.streams import guarded


def main() -> None:
    """Run the command line.

    A car is a great many small objects that live to the end: the collector of cycles looks at them less often
    than it would, which takes seven parts in a hundred off a compare.
    """
    gc.set_threshold(50_000, 20, 100)
    sys.exit(guarded(_listing if sys.argv[1:] in (["--help"], ["-h"]) else _command))


def _listing() -> None:
    from harnesscheck.cli.listing import help_text

    sys.stdout.write(help_text())


def _command() -> None:
    from harnesscheck.cli.main import cli

    cli(prog_name="harnesscheck")
