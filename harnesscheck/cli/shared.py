"""What the commands share: reading inputs, printing on any console, writing files, exit statuses."""

from __future__ import annotations

import sys
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from harnesscheck.model.escapes import escaped
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.records import Netlist
from harnesscheck.read.faults import MOST_FAULTS
from harnesscheck.read.limits import Limits
from harnesscheck.read.remarks import HowRead

if TYPE_CHECKING:
    from harnesscheck.report.blocks.vocabulary import Report

SHOWN_FAULTS = 100
COULD_NOT_RUN = 2
_COLOUR_CODE = "harnesscheck.colour-code"
_OVERLAYS = "harnesscheck.overlays"
CARS = DONOR, SHELL = "donor", "shell"
FOUND = 1
_PLAIN = str.maketrans(
    {"Ω": "ohm", "→": "->", "–": "-", "—": "-", "²": "2", "µ": "u", "°": " deg ", "✓": "x", "…": "..."}
)


def say(text: str, end: str = "\n", *, err: bool = False) -> None:
    """Print on whatever the console can show; letters it has not become plain ones, never a traceback.

    What a terminal would obey (escape sequences, direction marks) it shows as escapes: here, and nowhere else.
    """
    stream = sys.stderr if err else sys.stdout
    text = escaped(text)
    encoding = stream.encoding or "utf-8"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        text = text.translate(_PLAIN).encode(encoding, "replace").decode(encoding)
    stream.write(text + end)
    stream.flush()


def stop(faults: Sequence[InputFault]) -> NoReturn:
    """Print every fault (100 at most, then a count) and leave with status 2."""
    for fault in faults[:SHOWN_FAULTS]:
        say(str(fault), err=True)
    if len(faults) > SHOWN_FAULTS:
        more = "more than " if len(faults) > MOST_FAULTS else ""  # reading stopped there
        say(f"and {more}{len(faults) - SHOWN_FAULTS} more faults", err=True)
    sys.exit(COULD_NOT_RUN)


def stop_for(path: str, read: str, expected: str) -> NoReturn:
    """One fault of a whole file."""
    stop([InputFault(Place(path), read, expected)])


def stop_for_unknown(command: str, read: str, what: str, names: Collection[str]) -> NoReturn:
    """A name that a command does not know: the one that may be meant, else all there are."""
    from harnesscheck.read.names import close_to

    stop_for(command, read, what + (close_to(read, names) or ": " + ", ".join(names)))


def is_sheet(path: str) -> bool:
    """Whether a file that a person names is a swap sheet."""
    return Path(path).suffix.lower() == ".toml"


def netlists(paths: Sequence[str], limits: Limits, *, overlaid: bool = True) -> list[Netlist]:
    """Read several netlists; the faults of all of them come at once. Questions to their writers are only counted.

    What ``--with`` names fills them, unless they are not ``overlaid``.
    """
    read = netlists_and_remarks(paths, limits, overlaid=overlaid)
    for path, how in dict(zip(paths, (how for _, how in read), strict=True)).items():
        if asked := sum(remark.count for remark in how.remarks):
            cells = "1 text" if asked == 1 else f"{asked} texts"
            say(f"{path}: {cells} not read for certain; listed by: harnesscheck validate {path}", err=True)
    return [netlist for netlist, _ in read]


def netlists_and_remarks(
    paths: Sequence[str], limits: Limits, *, overlaid: bool = True
) -> list[tuple[Netlist, HowRead]]:
    """The same, with what the reader has to say about each."""
    from harnesscheck.read import read_with_remarks

    sheets = [path for path in (*paths, *(file for _, file in _given_overlays())) if is_sheet(path)]
    if sheets:
        expected = "a netlist: an XML file, a folder of tables, a workbook or one CSV file"
        stop([InputFault(Place(path), "a swap sheet", expected) for path in dict.fromkeys(sheets)])
    filling = overlays(len(paths)) if overlaid else [()] * len(paths)
    read = [read_with_remarks(path, limits, colour_code(), more) for path, more in zip(paths, filling, strict=True)]
    faults = [fault for result, _ in read if isinstance(result, list) for fault in result]
    if faults:
        stop(list(dict.fromkeys(faults)))  # one file may be given as both cars
    return [(result, how) for result, how in read if isinstance(result, Netlist)]


def write_out(target: str, text: str, inputs: Sequence[str]) -> None:
    """Write a text to a file (whole or not at all), or to standard output for ``-``. Inputs are never overwritten."""
    if target == "-":
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode("utf-8"))
        sys.stdout.buffer.flush()
        return
    from harnesscheck.write.atomic import write_text

    refuse_input(target, inputs)
    try:
        write_text(Path(target), text)
    except OSError as error:
        stop_for(target, error.strerror or str(error), "a file that can be written")


def write_files(folder: str, contents: Mapping[str, bytes], inputs: Sequence[str]) -> None:
    """Write files into a folder, made where it is missing; each whole or not at all, none over an input."""
    from harnesscheck.write.atomic import write_bytes

    for name in contents:
        refuse_input(str(Path(folder) / name), inputs)
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
        for name, data in contents.items():
            write_bytes(Path(folder) / name, data)
    except OSError as error:
        stop_for(folder, error.strerror or str(error), "a folder that can be written")


def write_report(
    folder: str, report: Report, others: Mapping[str, bytes], inputs: Sequence[str], *, tell: bool
) -> None:
    """Write a report's page and the files beside it into a folder, and say so."""
    from harnesscheck.report.blocks.page import page_text

    contents = {"report.html": page_text(report).encode("utf-8"), **others}
    write_files(folder, contents, inputs)
    for name in contents if tell else ():
        say(f"wrote {folder}/{name}")


def refuse_input(target: str, inputs: Sequence[str]) -> None:
    """Stop when a target is one of the inputs, lies inside an input folder, or is a folder that an input lies in."""
    where = Path(target).resolve()
    for name in (*inputs, *(file for _, file in _given_overlays())):
        source = Path(name).resolve()
        if where == source or source in where.parents or where in source.parents:
            stop_for(target, "an input of this command", "another file to write to")


def colour_code() -> str | None:
    """The style that ``--colour-code`` says the colours are in, where a file does not say its own."""
    context = click.get_current_context(silent=True)
    found: str | None = context.meta.get(_COLOUR_CODE) if context is not None else None
    return found


def keep_colour_code(context: click.Context, _: click.Parameter, value: str | None) -> None:
    """Keep what ``--colour-code`` says, for ``colour_code``."""
    context.meta[_COLOUR_CODE] = value


def keep_overlays(context: click.Context, _: click.Parameter, values: tuple[str, ...]) -> None:
    """Keep what ``--with`` names, for ``overlays``: for donor or shell, where it says so, else for every car."""
    context.meta[_OVERLAYS] = tuple(_overlay(value) for value in values)


def overlays(cars: int) -> list[tuple[str, ...]]:
    """The files that fill each of some cars, the donor first."""
    given = _given_overlays()
    if cars < len(CARS) and (named := [f"{car}={file}" for car, file in given if car]):
        stop_for("--with", named[0], "a file; donor= and shell= where there are two cars")
    words = [*CARS, *[""] * cars][:cars]
    return [tuple(file for car, file in given if car in ("", word)) for word in words]


def _given_overlays() -> tuple[tuple[str, str], ...]:
    context = click.get_current_context(silent=True)
    found: tuple[tuple[str, str], ...] = context.meta.get(_OVERLAYS, ()) if context is not None else ()
    return found


def _overlay(value: str) -> tuple[str, str]:
    """Which car a file is for, and the file."""
    car, equals, file = value.partition("=")
    return (car, file) if equals and car in CARS and not Path(value).exists() else ("", value)
