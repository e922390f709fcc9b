"""What a car's wires and fuses carry against what they may, as it is or with something else in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, AnyCar
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.given import given_car
from harnesscheck.api.reading import Reading, netlists
from harnesscheck.api.result import Folder, Result

if TYPE_CHECKING:
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.loads import ToldLoads


@dataclass(frozen=True, repr=False)
class Loads(Result):
    """Wires, fuses and lost volts of one car. ``to_frame`` gives its wires: amperes in A, sizes in mm2."""

    ROWS: ClassVar[tuple[str, ...]] = ("wires",)
    told: ToldLoads
    files: tuple[str, ...]
    inputs: Mapping[str, Any]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is overloaded or not protected, worst first."""
        return tuple(self.told.findings)

    @cached_property
    def report(self) -> Report:
        """The answer as blocks."""
        from harnesscheck.report.loads import loads_report

        return loads_report(self.told, self.inputs)

    def folder(self) -> Folder:
        """The page, and all rows as CSV."""
        from harnesscheck.report.loads_data import loads_files

        return Folder(self.report, loads_files(self.told))

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.loads_data import loads_document

        return loads_document(self.told, self.inputs)


def loads(
    car: AnyCar, *, what_if: Sequence[str] = (), replace: Sequence[str] = (), reading: Reading = READING
) -> Loads:
    """Hold what a car's wires and fuses carry against what they may; of a swap sheet the car that it puts together.

    ``what_if`` holds changes to try, as ``fuel-pump.amps=16`` (A); ``replace`` parts out of other files, as
    ``fuel-pump=bigger-pump.xml``. Raises InputError with every fault, also for a car too large to be solved.

    >>> found = loads("harness_demo/donor.xml", what_if=["fuel-pump.amps=15"])
    >>> [one.kind for one in found.findings if one.severity.word == "damage"]
    ['wire-overloaded', 'wire-overloaded']
    """
    from harnesscheck.compare.carries.loadfindings import load_findings
    from harnesscheck.compare.carries.loads import loads_of
    from harnesscheck.compare.carries.upgrade import upgrade
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.network.volts.solve import TooLargeError
    from harnesscheck.report.loads import LoadsAsked, told

    given = given_car(car, reading)
    now = _changed(given.vehicle, what_if, replace, reading)
    try:
        carried, tried = loads_of(Behaviour(Study(now))), LoadsAsked()
        if what_if or replace:
            before = loads_of(Behaviour(Study(given.vehicle)))
            tried = LoadsAsked((*replace, *what_if), upgrade(before, carried), _targets(what_if, replace))
    except TooLargeError as error:
        stop_for(given.path, f"a car of {error}", "one that can be solved in memory")
    files = (*given.files, *(part.partition("=")[2] for part in replace))
    return Loads(told(carried, load_findings(carried), tried), files, given.inputs)


def _changed(car: Vehicle, changes: Sequence[str], parts: Sequence[str], reading: Reading) -> Vehicle:
    """The car with other parts in it, then with other values; every fault is said at once."""
    from harnesscheck.compare.carries.whatif import changed, read_change, replaced
    from harnesscheck.model.places import InputFault, Place

    faults: list[InputFault] = []
    for text in parts:
        part, equals, path = text.partition("=")
        if not (equals and path):
            faults.append(InputFault(Place("--replace"), text, "a part and a file, as fuel-pump=bigger-pump.xml"))
            continue
        result = replaced(car, part, path, netlists([path], reading, overlaid=False)[0])
        if isinstance(result, InputFault):
            faults.append(result)
        else:
            car = result
    for text in changes:
        change = read_change(text)
        result = change if isinstance(change, InputFault) else changed(car, change)
        if isinstance(result, InputFault):
            faults.append(result)
        else:
            car = result
    if faults:
        stop(faults)
    return car


def _targets(changes: Sequence[str], parts: Sequence[str]) -> tuple[str, ...]:
    """The components that were changed, as far as they are components."""
    named = [text.partition("=")[0].rpartition(".")[0].partition("/")[0] for text in changes]
    return tuple(dict.fromkeys([*named, *(text.partition("=")[0] for text in parts)]))
