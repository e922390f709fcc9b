"""A wire found by what somebody sees or knows of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, AnyCar, file_of, listed, studies
from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import Reading
from harnesscheck.api.result import Folder, Result

if TYPE_CHECKING:
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.wiresearch import WiresAsked


@dataclass(frozen=True, repr=False)
class FoundWires(Result):
    """The wires that answer to some words, the likeliest first. ``to_frame`` gives a row a wire, sizes in mm2."""

    ROWS: ClassVar[tuple[str, ...]] = ("found",)
    asked: WiresAsked
    files: tuple[str, ...]

    @cached_property
    def report(self) -> Report:
        """The answer as blocks."""
        from harnesscheck.report.wiresearch import wires_report

        return wires_report(self.asked, self._inputs)

    def folder(self) -> Folder:
        """The page alone."""
        return Folder(self.report, {})

    @cached_property
    def _inputs(self) -> Mapping[str, Any]:
        from harnesscheck.report.document import input_document

        return {"vehicles": [input_document(car.vehicle) for car in self.asked.cars]}

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.wiresearch import wires_document

        return wires_document(self.asked, self._inputs)


def find(cars: AnyCar | Sequence[AnyCar], words: str, *, reading: Reading = READING) -> FoundWires:
    """Find a wire of one car, or of two, by colour, size, place, plug, part, circuit or what it is for.

    With two cars it is said what the other one has in the same place. Raises InputError with every fault.

    >>> found = find("harness_demo/donor.xml", "violet/red behind the dash")
    >>> found.to_dict()["found"][0]["colour"]
    'VT/RD'
    """
    from harnesscheck.lists.wiresearch import read_question, search
    from harnesscheck.report.wiresearch import WiresAsked

    given = listed(cars)
    if len(given) > 2:
        stop_for("find", f"{len(given)} cars", "one car or two, then the words in quotation marks")
    held = studies(given, reading)
    own = {car.vehicle.netlist.header.colour_code for car in held}
    code = reading.colour_code
    styles = [code] if code is not None else [*sorted(own - {None}, key=str), None]
    terms = read_question(words, styles)
    if not terms:
        stop_for("find", words, 'something to look for, such as "violet/red behind the dash"')
    pairs = None
    if len(held) == 2:
        from harnesscheck.align import align

        pairs = align(held[0], held[1])
    return FoundWires(WiresAsked(held, words, search(held, terms), pairs), tuple(map(file_of, given)))
