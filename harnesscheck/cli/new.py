"""``harnesscheck new``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from harnesscheck.api.faults import stop_for
from harnesscheck.cli.shared import say
from harnesscheck.write.filenames import safe_file_name
from harnesscheck.write.forms import Form, form_workbook, fuse_forms, plug_forms
from harnesscheck.write.templates import LEVELS, level_forms


@click.command("new")
@click.argument("folder", required=False, type=click.Path())
@click.option(
    "--level", type=click.Choice(LEVELS), help="How much to ask for; each level adds to the one before (mates)."
)
@click.option("--plug", metavar="NAME", help="A form for one plug, a row for each cavity.")
@click.option("--cavities", metavar="CAVITIES", help="Of that plug: how many, or their names (A1-A8 B1-B8).")
@click.option("--fuses", is_flag=True, help="A form for the lid of the fuse box.")
@click.option("--example", metavar="DIR", help="Write the two example cars and the one-plug example.")
@click.option("-o", "--out", metavar="PATH", help="Where to: a workbook (.xlsx), a folder of CSV, or one .csv.")
def command(
    folder: str | None,
    level: str | None,
    plug: str | None,
    cavities: str | None,
    fuses: bool,
    example: str | None,
    out: str | None,
) -> None:
    """Write something to start from: a form to fill in, or an example.

    \b
    harnesscheck new --plug C12 --cavities 16  one plug: C12.xlsx
    harnesscheck new --fuses                   the lid of the fuse box: fuses.xlsx
    harnesscheck new --level components        a whole car: car.xlsx
    harnesscheck new my-van --level hours      the same as a folder of CSV tables
    harnesscheck new --example demo            two cars and one plug, filled in

    A workbook has a column for each question, lists to choose from, and a sheet
    that says what each column asks, with an example. Levels: pins says what
    differs, mates what fits and which circuits are missing, components what
    works, loads what a wire carries, hours what to do. No file that is there
    already is overwritten.
    """
    asked = [plug is not None, fuses, example is not None, level is not None]
    if sum(asked) > 1 or (folder is not None and (out is not None or example is not None)):
        raise click.UsageError("one of FOLDER or -o PATH, with --level; --plug NAME; --fuses; or --example DIR")
    if (folder, out, level, plug, example) == (None,) * 5 and not fuses:
        raise click.UsageError("what to write: FOLDER, --level, --plug NAME, --fuses or --example DIR")
    if (plug is None) != (cavities is None):
        raise click.UsageError("--plug NAME and --cavities belong together")
    if example is not None:
        target = Path(out or example)
        _write(target, example_files())
        say(f"  harnesscheck compare {_shown(target / 'donor.xml')} {_shown(target / 'shell.xml')}")
    elif plug is not None:
        name, cells = _plug(plug, str(cavities))
        _hand_out(
            folder or out or f"{safe_file_name(name)}.xlsx", plug_forms(name, cells), "a row for each cavity", lone=True
        )
    elif fuses:
        _hand_out(folder or out or "fuses.xlsx", fuse_forms(), "a row for each fuse")
    else:
        forms = level_forms(level or "mates")
        _hand_out(
            folder or out or "car.xlsx", forms, "in connectors a row for each plug, or in pins one for each cavity"
        )


def _plug(name: str, cavities: str) -> tuple[str, tuple[str, ...]]:
    """The plug's name and its cavities; what neither can be ends the command."""
    from harnesscheck.read.limits import DEFAULT_LIMITS
    from harnesscheck.read.values import Wrong, read_cavities, read_name

    read, cells = read_name(name), read_cavities(cavities, DEFAULT_LIMITS.max_cavities)
    if not name or isinstance(read, Wrong):
        stop_for("new", name, f"--plug: {read.expected if isinstance(read, Wrong) else 'a name'}")
    if isinstance(cells, Wrong):
        stop_for("new", cavities, f"--cavities: {cells.expected}")
    return read, cells


def _hand_out(path: str, forms: Sequence[Form], what: str, *, lone: bool = False) -> None:
    """Write forms as the path's ending says: a workbook, one CSV, or a folder of CSV; nothing over what is there.

    One CSV holds the first form; with ``lone`` it may stand for them all.
    """
    from harnesscheck.report.manual import explained

    target, ending = Path(path), Path(path).suffix.lower()
    contents: dict[str, bytes] = {}
    if ending == ".xlsx":
        said = explained({form.sort: form.columns for form in forms})
        contents = {target.name: form_workbook(forms, said)}
    elif ending == ".csv":
        if len(forms) > 1 and not lone:
            stop_for(path, "several tables", "a name that ends in .xlsx, or that of a folder")
        contents = {target.name: _alone(forms[0], target).encode("utf-8")}
    elif ending in (".xls", ".ods", ".xlsm", ".xml"):
        stop_for(path, f"a name that ends in {ending}", "a name that ends in .xlsx or .csv, or that of a folder")
    else:
        contents = {f"{form.table}.csv": form.csv.encode("utf-8") for form in forms}
    _write_bytes(target.parent if ending in (".xlsx", ".csv") else target, contents)
    say(f"  fill it in, {what}, then")
    say(f"  harnesscheck validate {_shown(target)}")


def _alone(form: Form, target: Path) -> str:
    """One table as a file of its own, which must read as that table."""
    from harnesscheck.read.headers import table_sort

    if form.sort == "pin" and table_sort(target.stem) in (None, "pin"):
        return form.csv
    if table_sort(target.stem) != form.sort:
        stop_for(str(target), target.name, f"a name that says what it holds, such as {form.table}.csv")
    return form.csv


def _write(target: Path, texts: Mapping[str, str]) -> None:
    """Write texts as files, none of them over one that is there."""
    _write_bytes(target, {name: text.encode("utf-8") for name, text in texts.items()})


def _write_bytes(target: Path, contents: Mapping[str, bytes]) -> None:
    from harnesscheck.write.atomic import write_all

    taken = [name for name in contents if (target / name).exists() or (target / name).is_symlink()]
    if taken:
        stop_for(str(target / taken[0]), "a file that is already there", "a folder without it")
    try:
        for name in contents:
            (target / name).parent.mkdir(parents=True, exist_ok=True)
        write_all({target / name: data for name, data in contents.items()})
    except OSError as error:
        stop_for(str(target), error.strerror or str(error), "a folder that can be written")
    if str(target) == ".":
        say(f"wrote {', '.join(contents)}; next:")
    else:
        say(f"wrote {len(contents)} file{'s' if len(contents) > 1 else ''} to {target}; next:")


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
