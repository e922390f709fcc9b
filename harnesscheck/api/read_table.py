"""The pages of a manual as rows of pins, held against what a person typed of the same plugs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from harnesscheck.api.faults import stop
from harnesscheck.api.reading import Reading
from harnesscheck.model.places import InputFault
from harnesscheck.model.progress import Told, silent
from harnesscheck.read.pages.apart import Reader, Task
from harnesscheck.read.pages.pagelimits import PAGE_LIMITS
from harnesscheck.read.pages.read import Given, PagesRead
from harnesscheck.read.pages.typed import Against, held_against

if TYPE_CHECKING:
    from harnesscheck.model.records import Netlist
    from harnesscheck.read.pages.pictures import Picture

ROWS = "rows.csv"  # what the rows are called in messages about them


@dataclass(frozen=True, slots=True)
class PagesAnswer:
    """What was read: the rows, as CSV too and as a netlist (None, with ``no_netlist``, where they are none yet).

    ``inputs`` are the cars and the pages, each with its digest;
    ``hazards`` says of a contact whether it is restraint or high voltage, ``against`` how each typed car differs.
    """

    read: PagesRead
    text: str
    netlist: Netlist | None
    no_netlist: tuple[InputFault, ...] = ()
    hazards: Mapping[tuple[str, str], str] = field(default_factory=dict)
    against: tuple[tuple[str, Against], ...] = ()
    pictures: Mapping[tuple[str, int], Picture] = field(default_factory=dict)
    inputs: Mapping[str, Sequence[Mapping[str, str | int | None]]] = field(default_factory=dict)


def read_table(
    given: Sequence[Given],
    reading: Reading,
    names: Sequence[str] = (),
    columns: Mapping[int, str] | None = None,
    pictures: bool = False,
    step_s: float | None = None,
    told: Told = silent,
) -> PagesAnswer:
    """Read pages in a process of their own, and hold them against the cars that ``--with`` names.

    Raises InputError for what cannot be read. ``step_s`` is the longest that one page may take, ``pictures`` asks
    for each page as it looks.
    """
    limits = PAGE_LIMITS if step_s is None else replace(PAGE_LIMITS, step_s=step_s, all_s=15 * step_s)
    typed = _typed(reading)
    code = reading.colour_code or next((car.header.colour_code for _, car in typed if car.header.colour_code), None)
    task = Task(tuple(given), tuple(names), columns, code, reading.limits, pictures, limits)
    with Reader(task) as reader:
        hazards = _hazards([car for _, car in typed])  # meanwhile
        found = reader.wait(told)
    read = found.read
    if read.faults:
        stop(read.faults)
    text, netlist, faults = _as_netlist(read, reading, code)
    against = []
    for path, car in typed:
        if netlist is None:
            stop([*faults, InputFault(faults[0].place, "rows that are no netlist yet", f"rows to hold against {path}")])
        read, differs = held_against(read, netlist, car)
        against.append((path, differs))
        text, netlist, faults = _as_netlist(read, reading, code)
    hazards |= _hazards([netlist]) if netlist is not None else {}
    plugs = {row.connector for row in read.rows}
    hazards = {contact: said for contact, said in hazards.items() if contact[0] in plugs}
    return PagesAnswer(
        read, text, netlist, faults, hazards, tuple(against), found.pictures, _inputs(given, [car for _, car in typed])
    )


def _inputs(given: Sequence[Given], typed: Sequence[Netlist]) -> dict[str, list[dict[str, str | int | None]]]:
    cars = [(one.header, one.digest) for one in typed]
    return {
        "vehicles": [
            {"vehicle": head.vehicle, "model-year": head.model_year, "file": head.file.path, "digest": digest}
            for head, digest in cars
        ],
        "pages": [{"file": one.name, "digest": sha256(one.data).hexdigest()[:12]} for one in given],
    }


def _typed(reading: Reading) -> list[tuple[str, Netlist]]:
    """The cars that ``--with`` names, each as it was typed."""
    from harnesscheck.api.reading import netlists

    paths = reading.filling(1)[0]
    alone = replace(reading, overlays=())
    return list(zip(paths, netlists(paths, alone), strict=True)) if paths else []


def _as_netlist(
    read: PagesRead, reading: Reading, code: str | None
) -> tuple[str, Netlist | None, tuple[InputFault, ...]]:
    """The rows as CSV, and that read as any typed table is."""
    from harnesscheck.model.records import Netlist
    from harnesscheck.read.any import read_pins_text
    from harnesscheck.write.pagerows import rows_csv

    text = rows_csv(read)
    found = read_pins_text(text, ROWS, reading.limits, code)
    return (text, found, ()) if isinstance(found, Netlist) else (text, None, tuple(found))


def _hazards(cars: Sequence[Netlist]) -> dict[tuple[str, str], str]:
    """Which contacts are restraint or high voltage, known or suspected, as the one judge says of any of the cars."""
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure

    found: dict[tuple[str, str], str] = {}
    for car in cars:
        judge = Study(configure(car)).hands_off
        for pin in car.pins if judge.any else ():
            if marks := judge.contact(pin.connector, pin.cavity):
                said = ", ".join(dict.fromkeys(one.hazard for one in marks))
                found.setdefault((pin.connector or "", pin.cavity or ""), said)
    return found


def rows_contents(answer: PagesAnswer, target: str) -> bytes | Mapping[str, bytes]:
    """The rows as the ending of a name says: a file's bytes, or those of a folder's files. Raises InputError."""
    from harnesscheck.report.manual import explained
    from harnesscheck.write.netlist import netlist_contents

    path = Path(target)
    if path.suffix.lower() == ".csv":
        return answer.text.encode("utf-8")
    if answer.netlist is None:
        stop([*answer.no_netlist, *_not_yet(target)])
    return netlist_contents(answer.netlist, path, explained)


def _not_yet(target: str) -> list[InputFault]:
    from harnesscheck.model.places import Place

    return [InputFault(Place(target), "rows that are no netlist yet", "-o rows.csv, which writes them as they are")]
