"""The sheet to fill in: one line a reading, as CSV and as a workbook, with the digest of its inputs in it.

Three lines stand before the header: what car it is, the digest of the files it
was made from, and the plan. The reader (``bench.readings.filled``) looks for them. Cells that a
spreadsheet would take for a formula have an apostrophe before them.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Mapping, Sequence

from harnesscheck.bench.powerup import Check
from harnesscheck.bench.ringout.measurements import GROUPS, REST, Measurement, Ringout
from harnesscheck.bench.ringout.underload import BusCheck, FeedCheck
from harnesscheck.bench.ringout.unplugging import Unplugging, Unproven
from harnesscheck.write.tables import guarded

TITLE, INPUTS, PLAN = "ring-out sheet", "inputs", "plan"
COLUMNS = ("number", "place", "from", "to", "expect", "read", "note")
_FIXED_TIME = (1980, 1, 1, 0, 0, 0)  # the first that a zip can hold: no clock in what we write
_CORE = "docProps/core.xml"

Table = list[list[str]]


def reading_table(ringout: Ringout, digest: str) -> Table:
    """The sheet itself: three lines of what it belongs to, the header, a line a reading."""
    name = ringout.looms.study.vehicle.name
    head = [[TITLE, name], [INPUTS, digest], [PLAN, ringout.plan], list(COLUMNS)]
    return head + [reading_row(one) for one in ringout.measurements]


def reading_row(one: Measurement, read: str = "") -> list[str]:
    """One line of the sheet."""
    note = "; ".join(filter(None, (one.note, "likely" if one.likely else "", one.why)))
    return [str(one.number), one.place, one.from_, one.to, one.expect, read, note]


def tie_table(ringout: Ringout) -> Table:
    """Where the tie leads go, their group in every test, what beside them is never touched; empty without a kit."""
    if ringout.plan not in (GROUPS, REST):
        return []
    looms = ringout.looms
    tests = ringout.isolation if ringout.plan == GROUPS else ()
    rows = [["net", "tie lead", "place", *(f"test {number}" for number in range(1, len(tests) + 1)), "keep off"]]
    for number, ties in enumerate(ringout.ties):
        bits = [str(number >> bit & 1) for bit in range(len(tests))]
        for tie in ties:
            kept_off = ", ".join(looms.never_probed(looms.connector_of[tie]))
            rows.append([str(number), looms.names[tie], looms.places[tie], *bits, kept_off])
    return rows


def unplug_table(parts: Sequence[Unplugging]) -> Table:
    """What to unplug, in order."""
    rows = [["number", "sort", "component", "name", "place", "plugs", "do", "reads if left in", "done"]]
    for number, one in enumerate(parts, start=1):
        reads = "" if one.reads_ohm is None else ohms_words(one.reads_ohm)
        do = "; ".join(filter(None, (one.do, one.caution)))
        rows.append([str(number), one.sort, one.component, one.name, one.place, " ".join(one.plugs), do, reads, ""])
    return rows


def ohms_words(ohm: float) -> str:
    """A resistance as a meter would show it, no finer than it is known."""
    return "under 0.1 ohm" if ohm < 0.1 else f"about {float(f'{ohm:.2g}'):g} ohm"


def not_proven_table(left: Sequence[Unproven]) -> Table:
    """What stays open."""
    return [["sort", "what", "why"], *([one.sort, one.what, one.why] for one in left)]


def load_table(feeds: Sequence[FeedCheck], buses: Sequence[BusCheck]) -> Table:
    """Feeds to be loaded with a lamp, then the data buses."""
    rows = [["number", "place", "from", "to", "key", "expect", "read", "note"]]
    for one in feeds:
        expect = f"drop {one.limit_v:g} V or less (about {one.drop_v:.2f} V)"
        note = f"{one.part}, from {', '.join(one.fuses[:1]) or 'no fuse'}; 21 W lamp from here to body"
        rows.append([str(len(rows)), one.place, "battery +", one.at, one.key, expect, "", note])
    for bus in buses:
        expect, note = bus_words(bus)
        rows.append([str(len(rows)), bus.place, bus.at, "", "battery off", expect, "", note])
    return rows


def bus_words(bus: BusCheck) -> tuple[str, str]:
    """What a data bus should read across its pair, and on what that rests."""
    if bus.stop:
        return "not measured", f"bus {bus.bus}: {bus.stop}"
    if bus.ohm is None:
        return "not known", f"bus {bus.bus}: the file writes no terminator; 60 ohm with two (ISO 11898-2)"
    doubt = "" if len(bus.terminators) == 2 else "; a bus has two ends, 60 ohm"
    note = f"bus {bus.bus}, modules plugged in: terminators in {', '.join(bus.terminators)}{doubt}"
    return f"{bus.ohm:.0f} ohm", note


def power_up_table(checks: Sequence[Check]) -> Table:
    """The first power-up."""
    rows = [["number", "step", "do", "place", "at", "key", "expect", "read", "note"]]
    rows += [
        [str(one.number), one.step, one.do, one.place, one.at, one.key, one.expect, "", one.note] for one in checks
    ]
    return rows


def table_csv(table: Table) -> str:
    """A table as CSV with line feeds only."""
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([guarded("", cell) for cell in row] for row in table)
    return text.getvalue()


def workbook(tables: Mapping[str, Table]) -> bytes:
    """Tables as the sheets of one workbook, every cell text: the same bytes whenever it is made."""
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    for name in book.sheetnames:
        del book[name]
    for title, table in tables.items():
        sheet = book.create_sheet(title)
        header = next((n for n, row in enumerate(table, start=1) if row[0] in ("number", "net", "sort")), 1)
        for row in table:
            sheet.append([guarded("", _printable(cell)) for cell in row])
        for cell in sheet[header]:
            cell.font = Font(bold=True)
        if "read" in table[header - 1]:
            column = table[header - 1].index("read") + 1
            for number in range(header + 1, len(table) + 1):
                sheet.cell(number, column).number_format = "@"  # text: what is typed stays what it was
        sheet.freeze_panes = sheet.cell(row=header + 1, column=1)
        for column, width in enumerate(_widths(table), start=1):
            sheet.column_dimensions[get_column_letter(column)].width = width
    raw = io.BytesIO()
    book.save(raw)
    return _timeless(raw.getvalue())


def _printable(text: str) -> str:
    """The text without what a workbook cannot hold."""
    return re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", " ", text)


def _widths(table: Table) -> list[float]:
    columns = max(map(len, table), default=0)
    longest = [max((len(row[n]) for row in table[3:] if n < len(row)), default=8) for n in range(columns)]
    return [min(max(8.0, width + 2.0), 48.0) for width in longest]


def _timeless(package: bytes) -> bytes:
    """The package with every clock in it set to one time."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(package)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in sorted(old.namelist(), key=lambda one: (one != "[Content_Types].xml", one)):
            data = old.read(name)
            if name == _CORE:
                data = re.sub(rb"(<dcterms:\w+[^>]*>)[^<]*", rb"\g<1>1980-01-01T00:00:00Z", data)
            entry = zipfile.ZipInfo(name, _FIXED_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, data)
    return out.getvalue()
