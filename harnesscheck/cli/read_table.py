"""``harnesscheck read-table``."""

from __future__ import annotations

import re
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import Reading
from harnesscheck.cli.asked import reads
from harnesscheck.cli.shared import COULD_NOT_RUN, say
from harnesscheck.read.limits import Limits

if TYPE_CHECKING:
    from harnesscheck.model.records import Netlist
    from harnesscheck.read.pages import Given

_STDIN = "-"
_MOST_PAGES = 10_000


@click.command("read-table")
@click.argument("sources", nargs=-1, required=True, metavar="SOURCE...")
@click.option("--page", metavar="PAGES", help="Which pages of a PDF: 71, 71-73 or 71,80.")
@click.option("--connector", metavar="NAMES", help="What the plug is called; of two that mate both: C15,C15L.")
@click.option("--columns", metavar="FIELDS", help="Which column is what: pin=1 colour=3 function=4.")
@click.option("--check", metavar="HTML", help="Write a page with the picture beside the rows, to accept or retype.")
@click.option("-o", "--out", metavar="FILE", help="Write the rows: a .csv of pins, an .xlsx, an .xml or a folder.")
@reads
def command(
    sources: Sequence[str],
    page: str | None,
    connector: str | None,
    columns: str | None,
    check: str | None,
    out: str | None,
    reading: Reading,
) -> None:
    """Read a manual's pin tables: text, CSV, a workbook, a web page, a PDF, a picture; - is standard input.

    It says how each table was understood, then its rows. What cannot be told for
    certain is not known, with what was read. Several files and pages are one car.
    It writes only with -o or --check, and never over a file that exists. Wires of
    wiring diagrams are not read. Pictures need the extra [scan].
    """
    from harnesscheck.cli.progress import progress
    from harnesscheck.read.pages import read_pages
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.readtable import pages_report
    from harnesscheck.write.pagerows import rows_csv

    for target in filter(None, (out, check)):
        if Path(target).exists() or Path(target).is_symlink():
            stop_for(target, "a file that is already there", "a name that is not taken")
    given = [_given(source, page, reading.limits) for source in sources]
    by_hand = _columns(columns)
    with progress("read-table") as told:
        read = read_pages(given, _names(connector), by_hand, reading.colour_code, reading.limits, told)
    if read.faults:
        stop(read.faults)
    text = rows_csv(read)
    netlist = _netlist(text, reading)
    say(terminal_text(pages_report(read, _hazards(netlist))), end="")
    if check is not None:
        from harnesscheck.report.checkpage import check_page

        _write_text(check, check_page(read, {one.name: one.data for one in given}))
        say(f"wrote {check}")
    if out is not None:
        _write_rows(out, text, netlist)
        say(f"wrote {out}")


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


def _netlist(text: str, reading: Reading) -> Netlist | None:
    """The rows as a netlist, read as any typed table is; None, with its faults told, where they are none yet."""
    from harnesscheck.model.records import Netlist
    from harnesscheck.read import read_netlist

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "pins.csv"
        path.write_text(text, encoding="utf-8")
        read = read_netlist(path, reading.limits, reading.colour_code)
    if isinstance(read, Netlist):
        return read
    for fault in read:
        say(f"the rows as a netlist: line {fault.place.line}: {fault.read}; expected {fault.expected}", err=True)
    return None


def _hazards(netlist: Netlist | None) -> dict[tuple[str, str], str]:
    """Which contacts are restraint or high voltage, known or suspected, as the one judge says."""
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure

    if netlist is None:
        return {}
    judge = Study(configure(netlist)).hands_off
    if not judge.any:
        return {}
    found = {}
    for pin in netlist.pins:
        marks = judge.contact(pin.connector, pin.cavity)
        if marks:
            found[pin.connector or "", pin.cavity or ""] = ", ".join(dict.fromkeys(one.hazard for one in marks))
    return found


def _write_rows(target: str, text: str, netlist: Netlist | None) -> None:
    from harnesscheck.cli.convert import write_netlist

    ending = Path(target).suffix.lower()
    if ending == ".csv":
        _write_text(target, text)
        return
    if netlist is None:
        say("what was read is no netlist yet; -o rows.csv writes it as it is", err=True)
        sys.exit(COULD_NOT_RUN)
    try:
        write_netlist(netlist, target, ending)
    except OSError as error:
        stop_for(target, error.strerror or str(error), "a place that can be written")


def _write_text(target: str, text: str) -> None:
    from harnesscheck.write.atomic import write_text

    try:
        write_text(Path(target), text)
    except OSError as error:
        stop_for(target, error.strerror or str(error), "a file that can be written")
