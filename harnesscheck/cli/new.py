"""``harnesscheck new``."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import click

from harnesscheck.cli.shared import say, stop_for


@click.command("new")
@click.option(
    "--example", "folder", required=True, metavar="DIR", help="Write the two example cars and the one-plug example."
)
def command(folder: str) -> None:
    """Write an example to start from: two cars, one plug, and what a compare of them finds.

    Files that are already there are never overwritten.
    """
    from harnesscheck.write.atomic import write_text

    target = Path(folder)
    shipped = example_files()
    taken = [name for name in shipped if (target / name).exists()]
    if taken:
        stop_for(str(target / taken[0]), "a file that is already there", "a folder without it")
    try:
        target.mkdir(parents=True, exist_ok=True)
        for name, text in shipped.items():
            write_text(target / name, text)
    except OSError as error:
        stop_for(folder, error.strerror or str(error), "a folder that can be written")
    say(f"wrote {len(shipped)} files to {folder}; next:")
    say(f"  harnesscheck compare {target / 'donor.xml'} {target / 'shell.xml'}")


def example_files() -> dict[str, str]:
    """The example's files by name. They are package data of the wheel, and beside the package in a checkout."""
    root = files("harnesscheck") / "example"
    folder = root if root.is_dir() else files("harnesscheck").joinpath("..", "harness_demo")
    names = sorted(item.name for item in folder.iterdir() if item.name.endswith((".xml", ".csv", ".toml")))
    return {name: folder.joinpath(name).read_text(encoding="utf-8") for name in names}
