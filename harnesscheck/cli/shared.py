"""What the commands share: reading inputs, printing on any console, writing files, exit statuses."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import click

from harnesscheck.api import writing
from harnesscheck.api.reading import CARS, is_sheet
from harnesscheck.model.escapes import escaped
from harnesscheck.model.places import InputFault
from harnesscheck.read.faults import MOST_FAULTS

SHOWN_FAULTS = 100
COULD_NOT_RUN = 2
_QUIET = "harnesscheck.quiet"
_COLOUR_CODE = "harnesscheck.colour-code"
_FOR_CARS = ("overlays", "modules", "configuration", "option", "without", "built")
OVERLAYS, MODULES, CONFIGURATION, OPTION, WITHOUT, BUILT = (f"harnesscheck.{name}" for name in _FOR_CARS)
FOUND = 1
_PLAIN = str.maketrans(
    {"Ω": "ohm", "→": "->", "–": "-", "—": "-", "²": "2", "µ": "u", "°": " deg ", "✓": "x", "…": "..."}
)


def say(text: str, end: str = "\n", *, err: bool = False) -> None:
    """Print on whatever the console can show; letters it has not become plain ones, never a traceback.

    What a terminal would obey (escape sequences, direction marks) it shows as escapes: here, and nowhere else.
    """
    if not err and is_quiet():
        return
    stream = sys.stderr if err else sys.stdout
    text = escaped(text)
    encoding = stream.encoding or "utf-8"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        text = text.translate(_PLAIN).encode(encoding, "replace").decode(encoding)
    stream.write(text + end)
    stream.flush()


def keep_quiet(context: click.Context, _: click.Parameter, value: bool) -> None:
    """Keep what ``--quiet`` says: nothing is printed but faults, and JSON that was asked for."""
    context.meta[_QUIET] = value


def is_quiet() -> bool:
    """Whether ``--quiet`` is asked for."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.meta.get(_QUIET))


def faults_told(faults: Sequence[InputFault]) -> None:
    """Print every fault (100 at most, then a count)."""
    for fault in faults[:SHOWN_FAULTS]:
        say(str(fault), err=True)
    if len(faults) > SHOWN_FAULTS:
        more = "more than " if len(faults) > MOST_FAULTS else ""  # reading stopped there
        say(f"and {more}{len(faults) - SHOWN_FAULTS} more faults", err=True)


def noted(text: str) -> None:
    """Tell of something beside the answer, on standard error; not where ``--quiet`` is asked for."""
    if not is_quiet():
        say(text, err=True)


def refuse_input(target: str, inputs: Sequence[str]) -> None:
    """Stop when a target is one of the inputs or of the files that fill them, or would hold or lie in one."""
    writing.refuse_input(target, _with_overlays(inputs))


def write_files(
    folder: str | None,
    contents: Mapping[str, bytes],
    inputs: Sequence[str],
    *,
    run: str = "",
    also: Mapping[str, bytes] | None = None,
) -> None:
    """Write files into a folder, and ``also`` files elsewhere: all or none, none over an input."""
    writing.write_files(folder, contents, _with_overlays(inputs), run=run, also=also)


def _with_overlays(inputs: Sequence[str]) -> tuple[str, ...]:
    """The files read, those that ``--with`` names as well."""
    return (*inputs, *(file for _, file in given_for(OVERLAYS)))


def cars_and_sheet(cars: tuple[str, ...], swap: str | None) -> tuple[tuple[str, ...], str | None]:
    """One swap sheet, or two cars and a sheet or none. Raises UsageError for anything else."""
    if len(cars) == 1 and is_sheet(cars[0]) and swap is None:
        return cars, None
    if not cars and swap is not None:
        return (swap,), None
    if len(cars) != 2:
        raise click.UsageError("give the two cars, DONOR SHELL, or a swap sheet that names them: --swap SWAP.toml")
    return cars, swap


def write_out(target: str, text: str, inputs: Sequence[str]) -> None:
    """Write a text to a file (whole or not at all), or to standard output for ``-``. Inputs are never overwritten."""
    data = text.encode("utf-8", "backslashreplace")  # a file's name may hold what is no text
    if target == "-":
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    else:
        write_files(None, {}, inputs, also={target: data})


def colour_code() -> str | None:
    """The style that ``--colour-code`` says the colours are in, where a file does not say its own."""
    context = click.get_current_context(silent=True)
    found: str | None = context.meta.get(_COLOUR_CODE) if context is not None else None
    return found


def keep_colour_code(context: click.Context, _: click.Parameter, value: str | None) -> None:
    """Keep what ``--colour-code`` says, for ``colour_code``."""
    context.meta[_COLOUR_CODE] = value


def keeper(key: str) -> Callable[[click.Context, click.Parameter, tuple[str, ...]], None]:
    """Keeps what an option says of each car, for ``given_for``."""

    def keep(context: click.Context, _: click.Parameter, values: tuple[str, ...]) -> None:
        """Keep the values, each with the car it is for; nothing where it is for every car."""
        context.meta[key] = tuple(_for_car(value, may_be_file=key == OVERLAYS) for value in values)

    return keep


def _for_car(value: str, *, may_be_file: bool) -> tuple[str, str]:
    """Which car a value is for, and the value; a file may itself be called ``donor=...``."""
    car, equals, rest = value.partition("=")
    named = equals and car in CARS and not (may_be_file and Path(value).exists())
    return (car, rest) if named else ("", value)


def given_for(key: str) -> tuple[tuple[str, str], ...]:
    """What an option says, each value with the car it is for, or nothing."""
    context = click.get_current_context(silent=True)
    found: tuple[tuple[str, str], ...] = context.meta.get(key, ()) if context is not None else ()
    return found
