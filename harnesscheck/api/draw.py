"""Drawings for the workbench: plugs, meeting places, circuits, the whole car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from os import fspath
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, overload

from harnesscheck.api.cars import READING, AnyCar, FilePath, file_of, sheet_of, studies
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import Reading
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.draw.blocks import BlockState
    from harnesscheck.draw.scene import Scene
    from harnesscheck.network.graph.sides import Study


@dataclass(frozen=True)
class Drawing:
    """One sheet. ``name`` is its file's name without an ending."""

    name: str
    scene: Scene

    @property
    def svg(self) -> str:
        """The drawing as SVG."""
        from harnesscheck.draw.svg import svg

        return svg(self.scene)

    @property
    def png(self) -> bytes:
        """The drawing as PNG."""
        from harnesscheck.draw.png import png

        return png(self.scene)

    @property
    def pdf(self) -> bytes:
        """The drawing as a PDF of one page."""
        from harnesscheck.draw.typeset import pdf

        return pdf([self.scene])

    def __repr__(self) -> str:
        return f"<Drawing: {self.name}>"

    def _repr_svg_(self) -> str:
        return self.svg


@dataclass(frozen=True)
class Drawings(Sequence[Drawing]):
    """All sheets that were asked for, in their order. ``files`` are those read for them."""

    sheets: tuple[Drawing, ...]
    files: tuple[str, ...]

    @overload
    def __getitem__(self, at: int) -> Drawing: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Drawing, ...]: ...
    def __getitem__(self, at: int | slice) -> Drawing | tuple[Drawing, ...]:
        return self.sheets[at]

    def __len__(self) -> int:
        return len(self.sheets)

    def __iter__(self) -> Iterator[Drawing]:
        return iter(self.sheets)

    def __repr__(self) -> str:
        return f"<Drawings: {', '.join(sheet.name for sheet in self.sheets)}>"

    def contents(self, form: str = "svg") -> dict[str, bytes]:
        """By file name what is to be written, as svg, png or pdf."""
        return {f"{sheet.name}.{form}": _as(sheet, form) for sheet in self.sheets}

    def save(self, folder: FilePath, form: str = "svg") -> tuple[Path, ...]:
        """Write the sheets into a folder as svg, png or pdf; the paths.

        Raises InputError where one would be an input.
        """
        from harnesscheck.api.writing import write_files

        contents = self.contents(form)
        write_files(fspath(folder), contents, self.files)
        return tuple(Path(folder) / name for name in contents)

    def _repr_html_(self) -> str:
        """The sheets one below the other, each as an image of its own so that their names do not meet."""
        from base64 import b64encode
        from html import escape

        shown = ((escape(one.name), b64encode(one.svg.encode("utf-8")).decode()) for one in self.sheets)
        images = (
            f'<img alt="{name}" style="max-width:100%" src="data:image/svg+xml;base64,{data}">' for name, data in shown
        )
        return "".join(f"<p>{image}</p>" for image in images)


def _as(sheet: Drawing, form: str) -> bytes:
    if form == "pdf":
        return sheet.pdf
    return sheet.png if form == "png" else sheet.svg.encode("utf-8")


def draw(
    car: AnyCar,
    *targets: str,
    beside: AnyCar | None = None,
    crosswalk: FilePath | None = None,
    mating: bool = False,
    state: str | None = None,
    reading: Reading = READING,
) -> Drawings:
    """Draw targets of a car: a connector's face, a circuit or part, words of what a circuit is for, or ``overview``.

    ``car`` is a file, a car, or a swap sheet, whose car is then put together. With ``beside``, a second car, both are
    drawn and what differs is inked strongly; ``crosswalk`` says which plug is which. ``mating`` draws a face from the
    mating side. ``state`` is key and controls: volts (V) and amperes (A) stand on a circuit. Raises InputError
    with every fault, also for a target that the car does not have.

    >>> draw("harness_demo/donor.xml", "C15", beside="harness_demo/shell.xml")
    <Drawings: meeting-C15>
    """
    from harnesscheck.align import align
    from harnesscheck.api.swapped import said_of
    from harnesscheck.draw.targets import DrawingAsked, NotDrawn, draw_target, keep_apart

    path = file_of(car)
    paths, digests, ours, other = _cars(car, beside, reading)
    pairs = None
    if other is not None:
        pairs = align(ours, other, said_of(crosswalk, ours.vehicle, other.vehicle)[0])
    solved = _solved(path, ours, state, alone=other is None) if state is not None else None
    asked = DrawingAsked(digest=" + ".join(digests), mating=mating, state=solved)
    drawn = {target: draw_target(ours, target, other, pairs, asked) for target in targets}
    failed = [
        InputFault(Place(path), one.target, f"a connector, circuit or component, or overview: {one}")
        for one in drawn.values()
        if isinstance(one, NotDrawn)
    ]
    if failed:
        stop(failed)
    sheets = keep_apart([sheet for one in drawn.values() if not isinstance(one, NotDrawn) for sheet in one])
    files = (*paths, *([fspath(crosswalk)] if crosswalk is not None else []))
    return Drawings(tuple(Drawing(sheet.name, sheet.scene) for sheet in sheets), files)


class _Drawn(NamedTuple):
    """The files read and their digests, the car to draw, and the one to draw beside it."""

    files: tuple[str, ...]
    digests: tuple[str, ...]
    car: Study
    other: Study | None


def _cars(car: AnyCar, beside: AnyCar | None, reading: Reading) -> _Drawn:
    """The car or cars to draw, and what they were read from."""
    if (path := sheet_of(car)) is not None:
        if beside is not None:
            expected = "a netlist before --beside, or a swap sheet alone"
            stop_for(path, f"{path} and --beside {file_of(beside)}", expected)
        from harnesscheck.api.swapped import swap_at
        from harnesscheck.network.graph.sides import Study

        swap = swap_at(path, reading)
        return _Drawn(swap.files, swap.digests, Study(swap.made.vehicle), None)
    given = (car,) if beside is None else (car, beside)
    cars = studies(given, reading)
    digests = tuple(one.vehicle.netlist.digest for one in cars)
    return _Drawn(tuple(map(file_of, given)), digests, cars[0], cars[1] if beside is not None else None)


def _solved(path: str, study: Study, text: str, *, alone: bool) -> BlockState:
    """The state that was asked for; a message for words that the car does not have."""
    from harnesscheck.bench.trace.conditions import WrongState, read_condition
    from harnesscheck.draw.current import state_of
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.volts.solve import TooLargeError

    if not alone:
        stop_for("--state", text, "no --beside with it: a state is drawn of one car")
    try:
        behaviour = Behaviour(study)
        condition = read_condition(behaviour.circuit, text)
        if isinstance(condition, WrongState):
            stop_for("--state", condition.read, condition.expected)
        return state_of(behaviour, condition)
    except TooLargeError as error:
        stop_for(path, f"a car of {error}", "one that can be solved in memory")
