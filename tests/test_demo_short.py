"""The example's shell typed the short way: over the donor, as what differs, with new plugs in few rows."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from builders.demo import DEMO, ROOT
from builders.files import bare, good
from builders.shortway import in_line_plugs, needed_rows

from harnesscheck.align.byname import pairs_by_name
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.model.records import TABLE_OF
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist
from harnesscheck.read.tables import table_files

SHORT = DEMO / "shell-short"
IMPLIED = ("CRS-A", "CTR-A", "IM-A", "RV-A", "RVM-A")  # the parts' own halves, told by the plug that goes on them


@pytest.fixture(scope="module")
def vans() -> tuple[Vehicle, Vehicle]:
    """The shell in full and the short way."""
    return configure(good(read_netlist(DEMO / "shell.xml"))), configure(good(read_netlist(SHORT)))


def as_typed(vehicle: Vehicle) -> dict[str, Any]:
    """All that is written of a van, but for what the short way cannot know of the implied halves.

    Nobody looks at the colour of the housing behind a plug, and the full file names the circuits at the plugs only.
    """
    netlist = vehicle.netlist
    connectors = [replace(row, housing_colour=None) if row.id in IMPLIED else row for row in netlist.connectors]
    pins = [replace(pin, circuit=None) if pin.connector in IMPLIED else pin for pin in netlist.pins]
    return bare(replace(netlist, connectors=tuple(connectors), pins=tuple(pins)))


def test_the_short_way_is_the_same_van(vans: tuple[Vehicle, Vehicle]) -> None:
    """Every row of every table, names and all."""
    full, short = map(as_typed, vans)

    assert {name: short[name] for name in short if short[name] != full[name]} == {}


def test_nothing_is_found_between_the_two(vans: tuple[Vehicle, Vehicle]) -> None:
    """Nothing above a note: whatever is held against one of them is found of the other."""
    found = compare(*map(Study, vans), pairs_by_name(*vans)).findings

    assert [one for one in found if one.severity < Severity.NOTE] == []


def test_it_is_a_tenth_of_the_rows(vans: tuple[Vehicle, Vehicle], capsys: pytest.CaptureFixture[str]) -> None:
    """At most 15 %, every row of every file counted, rows that drop something as well."""
    typed = sum(len(file.read_text(encoding="utf-8").splitlines()) - 1 for file in table_files(SHORT))
    full = 1 + sum(len(getattr(good(read_netlist(DEMO / "shell.xml")), slot)) for slot in TABLE_OF.values())
    with capsys.disabled():
        print(f"\nthe shell over the donor: {typed} rows for {full}, {typed / full:.1%}")

    assert typed <= 0.15 * full


def test_the_readme_counts_the_rows(vans: tuple[Vehicle, Vehicle]) -> None:
    """What the ladder says of rows is what the example takes, to a twentieth."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    said = [int(number) for number in re.findall(r"^\| .* \| (\d+) \| [^|]* \| [^|]* \|$", readme, re.MULTILINE)]
    netlist = vans[0].netlist
    typed = sum(len(file.read_text(encoding="utf-8").splitlines()) - 1 for file in table_files(SHORT))
    plug = len((DEMO / "plug-shell.csv").read_text(encoding="utf-8").splitlines()) - 1

    assert said == [
        pytest.approx(count, rel=0.05)
        for count in (plug, len(in_line_plugs(netlist)), sum(map(len, needed_rows(netlist).values())), typed)
    ]
