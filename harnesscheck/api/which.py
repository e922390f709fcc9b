"""Which netlist of a family a car is of."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from os import fspath
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, FilePath
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import Reading
from harnesscheck.api.result import Folder, Result
from harnesscheck.api.seenwires import seen_wires
from harnesscheck.api.version import read_months
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.which import WhichAnswer

_SEEN = re.compile(r"\s*([^\s:]+)\s*:\s*(.+)", re.DOTALL)


@dataclass(frozen=True, repr=False)
class WhichNetlist(Result):
    """The netlists of a folder, those that apply first. ``to_frame`` gives a row a file."""

    ROWS: ClassVar[tuple[str, ...]] = ("candidates",)
    answer: WhichAnswer
    files: tuple[str, ...]

    @cached_property
    def report(self) -> Report:
        """The answer as blocks."""
        from harnesscheck.report.which import which_report

        return which_report(self.answer)

    def folder(self) -> Folder:
        """The page alone."""
        return Folder(self.report, {})

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.which import which_document

        return which_document(self.answer)


def which(
    folder: FilePath,
    *,
    model_year: int | None = None,
    built: str | None = None,
    options: Sequence[str] = (),
    without: Sequence[str] = (),
    seen: Sequence[str] = (),
    reading: Reading = READING,
) -> WhichNetlist:
    """Say which netlist of a folder is of a car, and what on the car would tell the rest apart.

    ``built`` is a month (2013-10) or two (2013-08..2013-12), ``options`` and ``without`` name what the car has and has
    not, ``seen`` are colours in plugs, cavity by cavity: "C12: BK/WH,RD,-,GN". Files that cannot be read are listed.
    Raises InputError with every fault, also where the folder holds no netlist.

    >>> found = which("harness_demo/yard", model_year=2014, seen=["C15: BN"])
    >>> [one["file"] for one in found.to_dict()["candidates"] if one["answer"] == "applies"]
    ['van-03.xml']
    """
    from harnesscheck.read import configure, read_with_remarks
    from harnesscheck.report.which import WhichAnswer
    from harnesscheck.yard.family import CarAsked, SeenPlug, candidate, disagreement, telling_places

    months = read_months(built) if built is not None else None
    if isinstance(months, InputFault):
        stop([months])
    read, unread, faults = {}, {}, []
    for path in _netlists(folder):
        found, _ = read_with_remarks(path, reading.limits, reading.colour_code, ())
        if isinstance(found, list):
            unread[Path(path).name] = tuple(map(str, found))
            faults += found
        else:
            read[path] = found
    if faults and not read:
        stop(faults)
    if not read:
        stop_for(fspath(folder), "no netlist that can be read", "XML files, workbooks, KBL files, folders of tables")
    cars = [configure(one) for one in read.values()]
    plugs = [
        SeenPlug(plug, seen_wires(wires, reading.colour_code, cars, f"--seen {plug}"))
        for plug, wires in map(_seen, seen)
    ]
    asked = CarAsked(model_year, months, tuple(options), tuple(without), tuple(plugs))
    _nobody_speaks_of(asked.options + asked.without, read.values())
    order = ("applies", "may apply", "does not apply")
    candidates = sorted(
        (candidate(Path(path).name, one, asked) for path, one in read.items()),
        key=lambda one: order.index(one.fits.value),
    )
    rest = [one for one in candidates if not one.against]
    answer = WhichAnswer(tuple(candidates), tuple(telling_places(rest)), disagreement(model_year, months), unread)
    return WhichNetlist(answer, tuple(read))


def _netlists(folder: FilePath) -> list[str]:
    from harnesscheck.yard.folder import netlists_in

    try:
        return [str(path) for path in netlists_in(Path(folder))]
    except OSError as error:
        stop_for(fspath(folder), error.strerror or str(error), "a folder of netlists")


def _seen(text: str) -> tuple[str, str]:
    match = _SEEN.fullmatch(text)
    if match is None:
        stop([InputFault(Place("--seen"), text, 'a plug, a colon, its colours cavity by cavity: "C12: BK/WH,RD,-,GN"')])
    return match[1], match[2]


def _nobody_speaks_of(names: Sequence[str], read: Any) -> None:
    """A name that no file knows is a misprint."""
    from harnesscheck.api.version import options_known
    from harnesscheck.read.names import close_to

    known = {name for netlist in read for name in options_known(netlist)}
    listed = f": {', '.join(sorted(known))}" if known else ", which have none"
    faults = [
        InputFault(Place("--option"), name, f"an option of these files{close_to(name, known) or listed}")
        for name in names
        if name not in known
    ]
    if faults:
        stop(faults)
