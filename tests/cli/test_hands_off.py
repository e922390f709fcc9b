"""No command tells anybody to work on restraint or high-voltage wiring, however and wherever a file says what it is.

The cars are small ones of lamps; one lamp is made a part of no kind, and marked in one way at one place. Common
practice, no source, for the words and colours; the words of other languages are from memory.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest
from builders.lampcars import pair
from click.testing import CliRunner
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st

from harnesscheck.cli.main import cli
from harnesscheck.model.records import Circuit, Netlist
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.report.blocks import terminal
from harnesscheck.report.schema import report_schema
from harnesscheck.write.xml import write_xml

SEEDS = (5, 11)

Mark = Callable[[Netlist, str], tuple[Netlist, set[str]]]  # the part's id; the car and the contacts that are meant


# -- ways to mark one part of a car


def _plug(part: str) -> str:
    return f"L-{part}"


def _of_part(part: str) -> set[str]:
    return {f"{plug}:{cavity}" for plug in (_plug(part), f"{_plug(part)}-S") for cavity in "12"}


def _changed(netlist: Netlist, slot: str, id_: str, **values: object) -> Netlist:
    rows = (replace(row, **values) if row.id == id_ else row for row in getattr(netlist, slot))
    return replace(netlist, **{slot: tuple(rows)})


def system(word: str) -> Mark:
    """The part's system, as the reader gives it."""
    return lambda car, part: (_changed(car, "components", part, system=word), _of_part(part))


def called(name: str) -> Mark:
    """The part's name."""
    return lambda car, part: (_changed(car, "components", part, name=name), _of_part(part))


def circuit(**values: str) -> Mark:
    """Class, system or function of the circuit that feeds the part, all its rows with it."""

    def mark(car: Netlist, part: str) -> tuple[Netlist, set[str]]:
        rows = [row for row in car.circuits if row.id != part]
        meant = {f"{pin.connector}:{pin.cavity}" for pin in car.pins if pin.circuit == part and pin.connector}
        meant |= {f"{_plug(part)}:1", f"{_plug(part)}-S:1"}
        return replace(car, circuits=(*rows, Circuit(id=part, **values))), meant  # type: ignore[arg-type]  # one dict

    return mark


def wire(text: str) -> Mark:
    """The function of the wire at the part's own plug: written at the in-line plug, at its other end."""

    def mark(car: Netlist, part: str) -> tuple[Netlist, set[str]]:
        end = f"{_plug(part)}:1"
        pins = [replace(pin, function=text) if pin.to == end else pin for pin in car.pins]
        meant = {f"{pin.connector}:{pin.cavity}" for pin in car.pins if pin.to == end} | {end, f"{_plug(part)}-S:1"}
        return replace(car, pins=tuple(pins)), meant if pins != list(car.pins) else set()

    return mark


def yellow(place: str, colour: str) -> Mark:
    """A yellow housing at a usual place."""
    return lambda car, part: (
        _changed(car, "connectors", _plug(part), housing_colour=colour, at=place),
        _of_part(part),
    )


RESTRAINT: dict[str, Mark] = {
    "system": system("restraint"),
    "class": circuit(class_="restraint"),
    "circuit's system": circuit(system="restraint"),
    "circuit's function": circuit(function="pretensioner passenger (right)"),
    "name": called("Driver squib"),
    "German name": called("Gurtstraffer links"),
    "French name": called("prétensionneur gauche"),
    "Spanish name": called("pretensor cinturón"),
    "name in doubt": called("Inflator? (see photo)"),
    "wire": wire("GN wire to side curtain inflator [checked on the car]"),
    "Italian wire": wire("modulo airbag passeggero"),
    "yellow": yellow("under right seat", "yellow"),
    "yellow, in German": yellow("B-Säule links", "gelb"),
}
HIGH_VOLTAGE: dict[str, Mark] = {
    "system": system("high-voltage"),
    "class": circuit(class_="high-voltage"),
    "name": called("Inverter HV+"),
    "German name": called("Hochvolt Heizer"),
    "wire": wire("traction battery +"),
}


# -- what is written


@dataclass(frozen=True)
class Written:
    """All that the commands said and wrote about a car: lines of text by where they stand, and the JSON reports."""

    lines: tuple[tuple[str, str], ...]
    reports: tuple[tuple[str, dict[str, object]], ...]


def written(folder: Path, part: str) -> Written:
    """Every command on the two cars in a folder."""
    plug = _plug(part)
    asked = {
        "compare": ["compare", "donor.xml", "shell.xml"],
        "validate": ["validate", "donor.xml"],
        "ringout": ["ringout", "donor.xml"],
        "trace other contact": ["trace", "donor.xml", f"{plug}-S:2"],
        "trace contact": ["trace", "donor.xml", f"{plug}:1"],
        "trace dead": ["trace", "donor.xml", f"{plug}:1", "--symptom", "dead"],
        "trace fuse": ["trace", "donor.xml", "F1", "--symptom", "blows-fuse"],
        "loads": ["loads", "donor.xml"],
        "states": ["states", "donor.xml"],
        "identify": ["identify", "donor.xml", "--cavities", "2"],
        "decide": ["decide", "swap.toml"],
        "draw": ["draw", "donor.xml", plug, f"{plug}-S"],
    }
    lines: list[tuple[str, str]] = []
    reports = []
    for label, words in asked.items():
        out = folder / f"out-{label.replace(' ', '-')}"
        more = ["-o", str(out)] + (["--json", str(folder / "report.json")] if label != "draw" else [])
        done = CliRunner().invoke(cli, [*words, *more])
        assert done.exit_code == 0, (label, done.output)
        lines += [(label, line) for line in done.output.splitlines()]
        if label != "draw":
            reports.append((label, json.loads((folder / "report.json").read_text(encoding="utf-8"))))
        for path in sorted(out.rglob("*")):
            if path.suffix in (".csv", ".txt", ".svg"):
                lines += [(f"{label}: {path.name}", line) for line in path.read_text(encoding="utf-8").splitlines()]
    return Written(tuple(lines), tuple(reports))


def cars(folder: Path, seed: int, at: int, mark: Mark | None) -> tuple[str, set[str]]:
    """Write a donor and a shell, both marked in one way at one part; the part and the contacts that are meant."""
    meant: set[str] = set()
    donor, shell, _ = pair(seed)
    lamps = [row.id for row in donor.vehicle.netlist.components if row.kind == "lamp"]
    part = lamps[at % len(lamps)]
    for name, car in (("donor", donor), ("shell", shell)):
        netlist = _changed(car.vehicle.netlist, "components", part, kind="other")
        if mark is not None:
            netlist, found = mark(netlist, part)
            meant |= found if name == "donor" else set()
        write_xml(Vehicle(netlist).netlist, folder / f"{name}.xml")
    (folder / "swap.toml").write_text('donor = "donor.xml"\nshell = "shell.xml"\n', encoding="utf-8")
    return part, meant


@cache
def everything(seed: int, at: int, way: str, high: bool) -> tuple[Written, frozenset[str]]:
    """What is written about a car marked in a way; an empty way is the car without a mark."""
    mark = (HIGH_VOLTAGE if high else RESTRAINT)[way] if way else None
    before, width = Path.cwd(), terminal.WIDTH
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        part, meant = cars(folder, seed, at, mark)
        os.chdir(folder)
        terminal.WIDTH = 100_000  # one line for every paragraph and every row of a table
        try:
            return written(folder, part), frozenset(meant)
        finally:
            os.chdir(before)
            terminal.WIDTH = width


# -- what nobody may be told

ACTS = re.compile(
    r"\b(prob(e|ing)|measure|ohms?|volts?|meter|test lamp|re-?pin|move the|cap it|insulate|tied? back)\b|Ω"
    r"|\b(splice|unplug|cut (it|the|off|out)|open (it|this|the)|take (it )?off|disconnect|pull (it|the))\b",
    re.IGNORECASE,
)
GUARDS = re.compile(
    r"licensed|trained and authorised|maker's (own )?procedure|\bdo not\b|\bnever\b|leave alone|out of bounds"
    r"|stays plugged in|\bkeep off\b|left out|\bSTOP\b",
    re.IGNORECASE,
)


def named(line: str, contacts: frozenset[str]) -> set[str]:
    """The meant contacts that a line names."""
    found = {
        f"{plug}:{cavity}" for plug, cavity in re.findall(r"(?<![\w-])([A-Za-z][\w.-]*)(?::| cavity |,)(\d+)\b", line)
    }
    return found & contacts


def instructions(said: Written, contacts: frozenset[str]) -> Iterator[str]:
    """The lines that ask for work at a contact, and the fields of reports that do."""
    for where, line in said.lines:
        if named(line, contacts) and ACTS.search(line) and not GUARDS.search(line):
            yield f"{where}: {line.strip()[:200]}"
    for label, report in said.reports:
        for row in report.get("measurements", ()):  # type: ignore[attr-defined]  # checked against the schema
            if {row["from"], row["to"]} & contacts:
                yield f"{label}: {row}"
        for row in report.get("points", ()):  # type: ignore[attr-defined]
            if f"{row['connector']}:{row['cavity']}" in contacts and row["volts"] is not None:
                yield f"{label}: {row}"
        for row in report.get("findings", ()):  # type: ignore[attr-defined]
            spots = {f"{row[car]['connector']}:{row[car]['cavity']}" for car in ("donor", "shell")}
            if spots & contacts and not GUARDS.search(row["do"]):
                yield f"{label}: {row['kind']} {row['do']}"
        plan = report["plan"] if label == "decide" else {}
        for row in plan.get("steps", ()):  # type: ignore[attr-defined]
            if f"{row['connector']}:{row['cavity']}" in contacts and not GUARDS.search(row["do"]):
                yield f"{label}: {row['do']}"


WAYS = [*((way, False) for way in RESTRAINT), *((way, True) for way in HIGH_VOLTAGE)]


@settings(max_examples=4, deadline=None, phases=(Phase.explicit, Phase.generate))  # shrinking takes minutes
@example(("class", False), 5, 0)  # the far end of a reading that is taken before the work
@given(st.sampled_from(WAYS), st.sampled_from(SEEDS), st.integers(0, 3))
def test_nobody_is_told_to_touch_what_is_marked_in_any_way_at_any_place(
    way: tuple[str, bool], seed: int, at: int
) -> None:
    """No line, list, drawing or JSON field; every report says first that it is out of bounds, in the hazard's words."""
    said, contacts = everything(seed, at, *way)
    hazard = "high-voltage" if way[1] else "restraint"

    assert contacts
    assert list(instructions(said, contacts)) == []
    for label, report in said.reports:
        marks = {one["hazard"] for one in _marks(report)}
        assert marks == {hazard}, label
    assert any("STOP" in line for where, line in said.lines if where == "compare")


def _marks(report: dict[str, object]) -> Iterator[dict[str, str]]:
    for car in report["hands_off"].values():  # type: ignore[attr-defined]
        for row in (*car["plugs"], *car["parts"]):
            yield from row["marks"]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_same_car_without_a_mark_is_left_in_peace(seed: int) -> None:
    """No stop, no list of what is out of bounds; a heading and one line at most in anything that is written."""
    said, _ = everything(seed, 0, "", False)
    spoken: dict[str, list[str]] = {}
    for where, line in said.lines:
        if re.search(r"air ?bag|restraint|belt tensioner|high.voltage", line, re.IGNORECASE):
            spoken.setdefault(where, []).append(line)

    assert not [line for _, line in said.lines if "STOP" in line]
    assert all(len(lines) <= 2 for lines in spoken.values()), spoken
    assert all(report["hands_off"] == {} for _, report in said.reports)


def test_what_is_out_of_bounds_stands_in_the_json_with_its_reason() -> None:
    """Parts, plugs and looms, each with hazard, level and reason; it holds to the schema."""
    from jsonschema import Draft202012Validator

    said, _ = everything(5, 0, "yellow", False)
    for _, report in said.reports:
        Draft202012Validator(report_schema()).validate(report)
    (report,) = [one for label, one in said.reports if label == "validate"]
    found = report["hands_off"]["donor"]  # type: ignore[index]
    assert {row["component"] for row in found["parts"]}
    assert all(
        mark["level"] == "suspected" and "yellow plug" in mark["reason"]
        for row in found["plugs"][:1]
        for mark in row["marks"]
    )
