"""What every command may be asked besides its own options (limits, JSON, a page, a status), and how it answers."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any

import click

from harnesscheck.api.reading import Reading
from harnesscheck.cli.shared import (
    BUILT,
    CONFIGURATION,
    FOUND,
    MODULES,
    OPTION,
    OVERLAYS,
    WITHOUT,
    colour_code,
    given_for,
    keep_colour_code,
    keeper,
    noted,
    say,
    write_files,
    write_out,
)
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.fields import COLOUR_CODES
from harnesscheck.read.limits import Limits

if TYPE_CHECKING:
    from harnesscheck.api.result import Result
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.report.blocks.vocabulary import Report

Command = Callable[..., None]
STDOUT = "-"


@dataclass(frozen=True, slots=True)
class Asked:
    """How to read, where JSON and page go, and how bad a finding must be for status 1; None is not asked for."""

    reading: Reading
    json_file: str | None = None
    out: str | None = None
    fail_on: str | None = None

    def hand_out(
        self,
        report: Report,
        document: Callable[[], Mapping[str, Any]],
        files: Mapping[str, bytes],
        inputs: Sequence[str],
        *,
        warnings: Sequence[str] = (),
        page_only: bool = False,
        also: Mapping[str, bytes] | None = None,
    ) -> None:
        """Write JSON and folder where they are asked for, and print the text where standard output is not the JSON's.

        ``files`` stand beside the page, ``also`` files elsewhere: all are written or none, none over an input. With
        ``page_only`` the page alone is told of.
        """
        from harnesscheck.report.blocks.terminal import terminal_text
        from harnesscheck.report.document import json_text

        text = json_text(document()) if self.json_file is not None else ""
        tell = self.json_file != STDOUT
        contents = _with_page(report, files) if self.out is not None else {}
        elsewhere = dict(also or {})
        if self.json_file is not None and tell:
            elsewhere[self.json_file] = text.encode("utf-8", "backslashreplace")  # a file's name may be no text
        if elsewhere or self.out is not None:
            write_files(self.out, contents, inputs, run=_command(), also=elsewhere)
        if not tell:
            write_out(STDOUT, text, inputs)
        for warning in warnings:
            noted(warning)
        if tell and self.out is not None:
            for name in ("report.html",) if page_only else contents:
                say(f"wrote {self.out}/{name}")
            if page_only:
                say("")
        if tell:
            say(terminal_text(report), end="")

    def show(self, result: Result, *, page_only: bool = False, also: Mapping[str, bytes] | None = None) -> None:
        """Hand out what there is to say of a question; ``also`` files are written with it, all or none."""
        if self.out is not None:
            report, files, warnings = result.folder()  # draws: not done for a text
        else:
            report, files, warnings = result.report, {}, ()
        self.hand_out(report, result.to_dict, files, result.files, warnings=warnings, page_only=page_only, also=also)

    def answer(self, result: Result, *, page_only: bool = False) -> None:
        """The same, then leave with the status that was asked for."""
        self.show(result, page_only=page_only)
        self.leave(result.findings)

    def leave(self, findings: Sequence[Finding]) -> None:
        """Leave with status 1 where --fail-on is given and something that bad is not accepted."""
        if self.fail_on is None:
            return
        bar = next(severity for severity in Severity if severity.word == self.fail_on)
        if any(finding.severity <= bar and not finding.accepted for finding in findings):
            sys.exit(FOUND)


def _with_page(report: Report, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """A report's page and the files beside it."""
    from harnesscheck.report.blocks.page import page_text

    return {"report.html": page_text(report).encode("utf-8"), **files}


def _command() -> str:
    """What is run, as a person types it."""
    return click.get_current_context().info_name or ""


def reads(function: Command) -> Command:
    """The options for how files are read; the command is handed ``reading``."""

    @wraps(function)
    def _handed(max_mb: int | None, max_depth: int | None, max_rows: int | None, **rest: Any) -> None:
        limits = _limits(max_mb, max_depth, max_rows)
        overlays, *variant = map(given_for, (OVERLAYS, MODULES, CONFIGURATION, OPTION, WITHOUT, BUILT))
        function(reading=Reading(limits, colour_code(), overlays, noted, *variant), **rest)

    return _limit_options(_handed)


def reports(out: str, what: str = "report", *, fails: bool = False) -> Callable[[Command], Command]:
    """``--json``, ``-o``, ``--fail-on`` where it ``fails``, and how files are read; the command is handed ``asked``.

    ``out`` is the help of -o, ``what`` names what is written as JSON.
    """

    def decorate(function: Command) -> Command:
        """The command with the options of a report."""

        @wraps(function)
        def _handed(reading: Reading, json_file: str | None, out: str | None, **rest: Any) -> None:
            function(asked=Asked(reading, json_file, out, rest.pop("fail_on", None)), **rest)

        asked = _fail_on(reads(_handed)) if fails else reads(_handed)
        page = click.option("-o", "--out", metavar="DIR", help=out)
        json = click.option(
            "--json", "json_file", metavar="FILE", help=f"Write the {what} as JSON; - is standard output."
        )
        return json(page(asked))

    return decorate


def _fail_on(function: Command) -> Command:
    return click.option(
        "--fail-on",
        type=click.Choice([severity.word for severity in Severity]),
        help="Exit with status 1 when something this bad or worse was found.",
    )(function)


def _limit_options(function: Command) -> Command:
    """Limits against hostile files, which a big car may need raised, the style of colours, files that fill a car's."""
    size = click.option("--max-mb", type=click.IntRange(1), help="Largest input file in MiB (512).")
    depth = click.option("--max-depth", type=click.IntRange(1, 1000), help="Deepest nesting of an XML file (16).")
    rows = click.option("--max-rows", type=click.IntRange(1), help="Most rows of one netlist (5,000,000).")
    style = click.option(
        "--colour-code",
        type=click.Choice(COLOUR_CODES),
        expose_value=False,
        callback=keep_colour_code,
        help="The style of the colours, where a file does not say its own.",
    )
    more = _of_each_car(
        "--with",
        "FILE",
        OVERLAYS,
        "A netlist that fills what the car's does not give; of two cars both, or donor=FILE, shell=FILE.",
    )
    modules = _of_each_car(
        "--modules",
        "NAMES",
        MODULES,
        "Of a KBL file: the modules that the car has, commas between; of two cars donor=NAMES, shell=NAMES.",
    )
    configuration = _of_each_car(
        "--configuration",
        "NAME",
        CONFIGURATION,
        "Of a KBL file: the configuration that the car is; of two cars donor=NAME, shell=NAME.",
    )
    option = _of_each_car(
        "--option",
        "NAMES",
        OPTION,
        "Options the car has besides those of its file, commas between; of two cars both, or donor=NAMES, shell=NAMES.",
    )
    without = _of_each_car("--without", "NAMES", WITHOUT, "Options of its file that the car has not.")
    built = _of_each_car(
        "--built", "MONTH", BUILT, "When the car was built: 2013-10, or 2013-08..2013-12; rows of other months go."
    )
    last = style(size(depth(rows(function))))
    return more(option(without(built(modules(configuration(last))))))


def _of_each_car(name: str, metavar: str, key: str, help: str) -> Callable[[Command], Command]:
    """An option that may be given for each car; what it says is kept under a key."""
    return click.option(
        name,
        key.rpartition(".")[2],
        metavar=metavar,
        multiple=True,
        expose_value=False,
        callback=keeper(key),
        help=help,
    )


def _limits(max_mb: int | None, max_depth: int | None, max_rows: int | None) -> Limits:
    """The limits with what the command line raises."""
    default = Limits()
    return Limits(
        max_bytes=max_mb * 1024 * 1024 if max_mb else default.max_bytes,
        max_depth=max_depth or default.max_depth,
        max_rows=max_rows or default.max_rows,
    )
