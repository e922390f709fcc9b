"""Which load of a car is on in which key position, and what goes odd with something taken out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, AnyCar, FilePath
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.given import ASSEMBLED, GivenCar, given_car
from harnesscheck.api.reading import Reading
from harnesscheck.api.result import Folder, Result
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.states import Opened, TickSheet

BEFORE = {"donor": "donor-before", "shell": "shell-before", "assembled": "finished"}


@dataclass(frozen=True, repr=False)
class States(Result):
    """The tick sheet of a car, and of a swap those of the others beside it. ``to_frame`` gives a row a state."""

    ROWS: ClassVar[tuple[str, ...]] = ("states",)
    sheet: TickSheet
    sheets: Mapping[str, TickSheet]  # by vehicle, donor, shell, assembled
    files: tuple[str, ...]
    inputs: Mapping[str, Any]

    @cached_property
    def report(self) -> Report:
        """The answer as blocks."""
        from harnesscheck.report.states import states_report

        return states_report(self.sheet, self.inputs)

    def folder(self) -> Folder:
        """The page, and the tick sheets as CSV."""
        from harnesscheck.report.blocks.sheets import table_csv
        from harnesscheck.report.states import odd_table, ticks_table

        files = {f"{BEFORE.get(word, 'states')}.csv": table_csv(ticks_table(one)) for word, one in self.sheets.items()}
        if self.sheet.opened is not None:
            files["odd.csv"] = table_csv(odd_table(self.sheet.opened))
        return Folder(self.report, files)

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.states import states_document

        return states_document(self.sheet, self.inputs)


def states(
    car: AnyCar, *, opened: Sequence[str] = (), swap: FilePath | None = None, reading: Reading = READING
) -> States:
    """Say which load of a car is on in which key position, with which control; of a swap sheet the car it makes.

    ``opened`` names fuses, parts, ground points, plugs (C12) or contacts (C12:4) to take out on paper; ``swap`` is a
    swap sheet that says how the car was found. Raises InputError with every fault, also for a car with too many states.

    >>> found = states("harness_demo/donor.xml", opened=["G8"])
    >>> found.sheet.opened.names
    ('G8',)
    """
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.network.volts.solve import TooLargeError
    from harnesscheck.report.states import TickSheet

    given = given_car(car, reading, swap)
    sheets = {word: TickSheet(Behaviour(Study(one)), word) for word, one in _cars(given).items()}
    sheet = sheets[given.word]
    try:
        for each in sheets.values():
            each.behaviour.conditions  # noqa: B018  worked out here, so that a car too large is one message
    except TooLargeError as why:
        stop_for(given.path, str(why), "a car small enough to try every state")
    if opened:
        sheet = _with_open(given.path, sheet, tuple(dict.fromkeys(opened)))
    return States(sheet, sheets, given.files, given.inputs)


def _cars(given: GivenCar) -> Mapping[str, Vehicle]:
    """By word the car to tell of, and the others of a swap beside it."""
    if given.swap is None:
        return {given.word: given.vehicle}
    return {**given.swap.found, ASSEMBLED: given.swap.made.vehicle}


def _with_open(path: str, sheet: TickSheet, names: tuple[str, ...]) -> TickSheet:
    """The sheet with what goes odd when something is taken out; a name of nothing is a fault."""
    from harnesscheck.network.behaviour.odd import openable
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.report.states import TickSheet

    known = openable(sheet.behaviour)
    wrong = [name for name in names if name not in known]
    if wrong:
        expected = "--open with a fuse, a part, a ground point, a plug (C12) or a contact (C12:4) of this car"
        stop([InputFault(Place(path), name, expected) for name in wrong])
    taken = Behaviour(sheet.behaviour.study, names)
    return TickSheet(sheet.behaviour, sheet.word, _opened(names, sheet.behaviour, taken))


def _opened(names: tuple[str, ...], sound: Behaviour, taken: Behaviour) -> Opened:
    from harnesscheck.network.behaviour.odd import odd, shaken
    from harnesscheck.report.states import Opened

    return Opened(names, odd(sound, taken), shaken(sound, taken))
