"""``harnesscheck read-table``."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import Reading
from harnesscheck.cli.asked import reads
from harnesscheck.cli.shared import say, write_files, write_out
from harnesscheck.read.limits import Limits

if TYPE_CHECKING:
    from harnesscheck.read.pages import Given

_STDIN = _STDOUT = "-"
_MOST_PAGES = 10_000


@click.command("read-table")
@click.argument("sources", nargs=-1, required=True, metavar="SOURCE...")
@click.option("--page", metavar="PAGES", help="Which pages of a PDF: 71, 71-73 or 71,80.")
@click.option("--connector", metavar="NAMES", help="What the plug is called; of two that mate both: C15,C15L.")
@click.option("--columns", metavar="FIELDS", help="Which column is what: pin=1 colour=3 function=4.")
@click.option("--check", metavar="HTML", help="Write a page with the picture beside the rows, to accept or retype.")
@click.option("-o", "--out", metavar="FILE", help="Write the rows: a .csv of pins, an .xlsx, an .xml or a folder.")
@click.option("--json", "json_file", metavar="FILE", help="Write what was read as JSON; - is standard output.")
@click.option("--max-seconds", type=click.IntRange(1), help="The longest that one page is read (60).")
@reads
def command(
    sources: Sequence[str],
    page: str | None,
    connector: str | None,
    columns: str | None,
    check: str | None,
    out: str | None,
    json_file: str | None,
    max_seconds: int | None,
    reading: Reading,
) -> None:
    """Read a manual's pin tables: text, CSV, a workbook, a web page, a PDF, a picture; - is standard input.

    It says how each table was understood, then its rows. What cannot be told for
    certain is not known, with what was read. Several files and pages are one car.
    What differs from the car that --with names is listed with both places, and
    nothing is taken over it. It writes only with -o, --check or --json, and never
    over a file that exists. Wires of wiring diagrams are not read. Pictures need
    the extra [scan].
    """
    from harnesscheck.api.read_table import read_table, rows_contents
    from harnesscheck.cli.progress import progress
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.document import json_text
    from harnesscheck.report.readtable import pages_document, pages_report

    for target in filter(None, (out, check, json_file if json_file != _STDOUT else None)):
        if Path(target).exists() or Path(target).is_symlink():
            stop_for(target, "a file that is already there", "a name that is not taken")
    given = [_given(source, page, reading.limits) for source in sources]
    by_hand = _columns(columns)
    with progress("read-table") as told:
        answer = read_table(given, reading, _names(connector), by_hand, check is not None, max_seconds, told)
    for fault in answer.no_netlist:
        say(str(fault), err=True)
    document = pages_document(answer.read, answer.hazards, answer.against, answer.inputs) if json_file else {}
    tell = json_file != _STDOUT
    also: dict[str, bytes] = {}
    if json_file is not None and tell:
        also[json_file] = json_text(document).encode("utf-8")
    if check is not None:
        from harnesscheck.report.checkpage import check_page

        also[check] = check_page(answer.read, answer.pictures).encode("utf-8")
    rows = rows_contents(answer, out) if out is not None else {}
    if out is not None and isinstance(rows, bytes):
        also[out] = rows
    tables = rows if not isinstance(rows, bytes) else {}
    if also or tables:
        write_files(out if tables else None, tables, sources, also=also)
    if json_file is not None and not tell:
        write_out(json_file, json_text(document), sources)
    if tell:
        say(terminal_text(pages_report(answer.read, answer.hazards, answer.against)), end="")
    for target in filter(None, (check, out) if tell else ()):
        say(f"wrote {target}")


def _given(source: str, pages: str | None, limits: Limits) -> Given:
    from harnesscheck.read.faults import Faults, StopReading
    from harnesscheck.read.files import open_regular
    from harnesscheck.read.pages import Given

    if source == _STDIN:
        data = sys.stdin.buffer.read(limits.max_bytes + 1)
        if len(data) > limits.max_bytes:
            stop_for(_STDIN, "more bytes", f"at most {limits.max_bytes} bytes (a limit, can be raised)")
        return Given(data, "pasted", _pages(pages))
    faults = Faults()
    try:
        with open_regular(Path(source), faults, limits) as file:
            return Given(file.read(), source, _pages(pages))
    except StopReading:
        stop(faults.in_order())


def _pages(text: str | None) -> tuple[int, ...]:
    """The numbers of pages that ``71-73,80`` stands for."""
    found: list[int] = []
    for part in re.split(r"[,\s]+", text.strip()) if text else ():
        match = re.fullmatch(r"([0-9]{1,5})(?:-([0-9]{1,5}))?", part)
        low, high = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
        if not match or not 1 <= low <= high <= _MOST_PAGES:
            stop_for("--page", part, "numbers of pages from 1: 71, 71-73 or 71,80")
        found += range(low, high + 1)
    return tuple(dict.fromkeys(found))


def _names(text: str | None) -> tuple[str, ...]:
    from harnesscheck.read.values import Wrong, read_name

    names = tuple(filter(None, (one.strip() for one in (text or "").split(","))))
    for name in names or ([""] if text is not None else []):
        read = read_name(name)
        if not name or isinstance(read, Wrong):
            stop_for("--connector", name, read.expected if isinstance(read, Wrong) else "a name")
    return names


def _columns(text: str | None) -> dict[int, str] | None:
    from harnesscheck.read.pages.layout import NotAColumn, columns_by_hand

    if text is None:
        return None
    try:
        return columns_by_hand(text)
    except NotAColumn as error:
        stop_for("--columns", error.read, error.expected)
