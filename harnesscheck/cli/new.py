"""``harnesscheck new``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from harnesscheck.cli.shared import say, stop_for
from harnesscheck.write.templates import LEVELS, template_tables


@click.command("new")
@click.argument("folder", required=False, type=click.Path())
@click.option(
    "--level", type=click.Choice(LEVELS), help="How much to ask for; each level adds to the one before (mates)."
)
@click.option("--example", metavar="DIR", help="Write the two example cars and the one-plug example.")
def command(folder: str | None, level: str | None, example: str | None) -> None:
    """Write something to start from: empty tables into FOLDER, or an example.

    \b
    harnesscheck new my-van                   a folder of tables to fill in
    harnesscheck new my-van --level hours     with all columns there are uses for
    harnesscheck new --example demo           two cars and one plug, filled in

    Levels: pins says what differs, mates what fits and which circuits are
    missing, components what works, loads what a wire carries, hours what to do.
    Files that are already there are never overwritten.
    """
    if (folder is None) == (example is None) or (example is not None and level is not None):
        raise click.UsageError("either FOLDER (and --level), or --example DIR")
    if example is not None:
        target = Path(example)
        _write(target, example_files())
        say(f"  harnesscheck compare {_shown(target / 'donor.xml')} {_shown(target / 'shell.xml')}")
        return
    target = Path(str(folder))
    _write(target, template_tables(level or "mates"))
    say("  fill in pins.csv, a row for each cavity (a spreadsheet will do), then")
    say(f"  harnesscheck validate {_shown(target)}")


def _write(target: Path, texts: Mapping[str, str]) -> None:
    """Write the files, none of them over one that is there."""
    from harnesscheck.write.atomic import write_text

    taken = [name for name in texts if (target / name).exists() or (target / name).is_symlink()]
    if taken:
        stop_for(str(target / taken[0]), "a file that is already there", "a folder without it")
    try:
        for name, text in texts.items():
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            write_text(target / name, text)
    except OSError as error:
        stop_for(str(target), error.strerror or str(error), "a folder that can be written")
    say(f"wrote {len(texts)} file{'s' if len(texts) > 1 else ''} to {target}; next:")


def _shown(path: Path) -> str:
    """A path as it is typed on a command line."""
    return f'"{path}"' if " " in str(path) else str(path)


def example_files() -> dict[str, str]:
    """The example's files by name. They are package data of the wheel, and beside the package in a checkout."""
    root = files("harnesscheck") / "example"
    folder = root if root.is_dir() else files("harnesscheck").joinpath("..", "harness_demo")
    return {name: file.read_text(encoding="utf-8") for name, file in sorted(_texts_in(folder))}


def _texts_in(folder: Traversable, before: str = "") -> Iterator[tuple[str, Traversable]]:
    """The texts in a folder and in the folders in it, by their path from there."""
    for item in folder.iterdir():
        if item.is_dir():
            yield from _texts_in(item, f"{before}{item.name}/")
        elif item.name.endswith((".xml", ".csv", ".toml")):
            yield f"{before}{item.name}", item
