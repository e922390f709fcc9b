"""The command line, run in the process of the tests."""

from __future__ import annotations

from collections.abc import Callable

from click.testing import CliRunner, Result

from harnesscheck.cli.main import cli

Say = Callable[..., tuple[int, str, str]]


def run(*words: str, status: int = 0) -> Result:
    """One command, which must end with this status and without a traceback."""
    done = CliRunner().invoke(cli, words)
    assert done.exit_code == status, done.output
    return done
