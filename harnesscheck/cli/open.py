"""``harnesscheck open``."""

from __future__ import annotations

from pathlib import Path

import click

from harnesscheck.api.faults import stop_for
from harnesscheck.cli.shared import say


@click.command("open")
@click.argument("cars", nargs=-1, type=click.Path(), metavar="[DONOR SHELL]")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="The port to listen on; else any that is free.")
@click.option("--no-browser", "silent", is_flag=True, help="Print the address only; open it yourself.")
def command(cars: tuple[str, ...], port: int, silent: bool) -> None:
    """Open a page in the browser: type two plugs, drop two cars, see what happens.

    The page is this machine's alone: it listens on 127.0.0.1, and only who has
    the address that is printed can ask. Two tables of one plug each are there to
    be typed on, and Save writes them back; two cars are there to be compared and
    decided. Files outside the folder it is started in are never read or written.
    Stop on the page, the last tab closed, or Ctrl-C ends it.
    """
    from harnesscheck.serve.run import serve

    folder = _folder()
    if len(cars) not in (0, 2):
        raise click.UsageError("DONOR SHELL, or nothing: the page asks for the rest")
    paths = [_inside(folder, name) for name in cars]

    def tell(address: str) -> None:
        """Print the address, and open it."""
        say(f"{address}\nStop on the page, or Ctrl-C here, ends it.")
        if not silent:
            import webbrowser

            webbrowser.open(address)

    try:
        serve(folder, paths, port, tell)
    except OSError as error:
        stop_for(f"--port {port}", error.strerror or str(error), "a port of this machine that is free")
    say("ended")


def _folder() -> Path:
    try:
        return Path.cwd().resolve()
    except OSError as error:
        stop_for(".", error.strerror or str(error), "a folder that is there")


def _inside(folder: Path, name: str) -> Path:
    """A file or folder of the folder the page is opened in."""
    try:
        path = Path(name).resolve()
        path.stat()
    except (OSError, ValueError, RuntimeError) as error:
        stop_for(name, getattr(error, "strerror", None) or str(error), "a netlist: a file or a folder")
    if not path.is_relative_to(folder) or path == folder:
        stop_for(name, "a file outside the folder this was started in", "a file in that folder, or one below it")
    return path
