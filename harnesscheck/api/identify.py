"""A loose plug named by its cavities and the colours of its wires."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, AnyCar, file_of, listed, vehicles
from harnesscheck.api.faults import stop
from harnesscheck.api.reading import Reading
from harnesscheck.api.result import Folder, Result
from harnesscheck.api.seenwires import seen_wires
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.align.identify import PlugAnswer, PlugQuestion
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.identify import BestPlug

MOST_IN_CONTACT = 2  # wires, a double crimp; common practice, no source


@dataclass(frozen=True, repr=False)
class Identification(Result):
    """Which plugs it may be, by falling probability (0 to 1). ``to_frame`` gives a row a candidate."""

    ROWS: ClassVar[tuple[str, ...]] = ("candidates",)
    cars: tuple[Vehicle, ...]
    question: PlugQuestion
    answer: PlugAnswer
    files: tuple[str, ...]

    @cached_property
    def best(self) -> BestPlug | None:
        """The likeliest plug; None where the files hold no plug with wires."""
        from harnesscheck.network.graph.sides import Study
        from harnesscheck.report.identify import BestPlug

        first = next(iter(self.answer.candidates), None)
        return BestPlug(first, Study(self.cars[first.number])) if first is not None else None

    @cached_property
    def report(self) -> Report:
        """The answer as blocks, without drawings."""
        return self._report(self.best)

    def folder(self) -> Folder:
        """The page with the face of the likeliest plug, and that drawing."""
        best = self.best
        if best is not None:
            best = best.drawn(best.study.vehicle.netlist.digest)
        return Folder(self._report(best), best.files if best is not None else {})

    def _report(self, best: BestPlug | None) -> Report:
        from harnesscheck.report.identify import identify_report

        return identify_report(self.cars, self.question, self.answer, best, self._inputs)

    @cached_property
    def _inputs(self) -> Mapping[str, Any]:
        from harnesscheck.report.document import input_document

        return {"vehicles": [input_document(car) for car in self.cars]}

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.identify import identify_document

        return identify_document(self.cars, self.answer, self.best, self._inputs)


def identify(
    cars: AnyCar | Sequence[AnyCar],
    *,
    cavities: int | None = None,
    wires: str = "",
    in_order: bool = False,
    housing_colour: str | None = None,
    half: str | None = None,
    at: str | None = None,
    reading: Reading = READING,
) -> Identification:
    """Name a loose plug: which plug of these cars has these cavities and wires?

    ``wires`` are colours with commas between, ``?`` for one that cannot be read, ``-`` for an empty cavity; with
    ``in_order`` those of cavity 1, 2, 3 and so on. ``half`` is pins or sockets, ``at`` where it lies. Raises
    InputError with every fault, also where nothing is seen.

    >>> found = identify("harness_demo/donor.xml", cavities=6, wires="RD/WH,GY,WH,GY/OG,BN")
    >>> found.best.plug, found.answer.candidates[0].probability > 0.5
    ('LS-AH', True)
    """
    from harnesscheck.align.identify import PlugQuestion
    from harnesscheck.align.identify import identify as identify_plug

    given = listed(cars)
    held = vehicles(given, reading)
    seen = seen_wires(wires, reading.colour_code, held, "--wires")
    question = PlugQuestion(
        seen if in_order else tuple(names for names in seen if names != ()),
        cavities,
        _housing(housing_colour, held),
        at,
        in_order,
        half,
    )
    _count(question)
    return Identification(tuple(held), question, identify_plug(held, question), tuple(map(file_of, given)))


def _housing(text: str | None, cars: Sequence[Vehicle]) -> str | None:
    """The colour as the files write it, else as an English word; what is no colour at all is a fault."""
    from harnesscheck.trade.colours import Colour, read_colour

    if not text:
        return None
    known = {
        row.housing_colour.casefold(): row.housing_colour
        for car in cars
        for row in car.netlist.connectors
        if row.housing_colour
    }
    colour = read_colour(text, None)
    english = colour.names[0] if isinstance(colour, Colour) and colour.names else None
    for word in (text, english):
        if word is not None and word.casefold() in known:
            return known[word.casefold()]
    if english is None:
        stop(
            [
                InputFault(
                    Place("--housing-colour"), text, f"a colour; the files have {', '.join(sorted(known)) or 'none'}"
                )
            ]
        )
    return english


def _count(question: PlugQuestion) -> None:
    """Something must be seen. Wires in order cannot be more than cavities; without order two may share each contact."""
    count = len(question.wires)
    if not (count or question.cavities or question.housing_colour or question.at):
        seen = 'what you see of the plug, such as --cavities 6 --wires "BK/WH,RD"'
        stop([InputFault(Place("identify"), "nothing", seen)])
    if question.in_order and not count:
        stop([InputFault(Place("--in-order"), "no wires", "--wires as well, from cavity 1 on")])
    if question.cavities is None:
        return
    if question.in_order and count > question.cavities:
        stop(
            [InputFault(Place("--wires"), f"{count} wires", f"at most {question.cavities}, as many as --cavities says")]
        )
    if count > MOST_IN_CONTACT * question.cavities:
        cavities = "1 cavity" if question.cavities == 1 else f"{question.cavities} cavities"
        most = f"at most {MOST_IN_CONTACT} in a contact: count the cavities again (--cavities), or the wires"
        stop([InputFault(Place("--wires"), f"{count} wires in {cavities}", most)])
