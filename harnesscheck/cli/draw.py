"""``harnesscheck draw``."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import click

from harnesscheck.api.cars import studies
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import is_sheet
from harnesscheck.api.swapped import said_of, swap_at
from harnesscheck.cli.asked import reads
from harnesscheck.cli.shared import say, write_files
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.api.reading import Reading
    from harnesscheck.draw.blocks import BlockState
    from harnesscheck.network.graph.sides import Study


@click.command("draw")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.argument("targets", nargs=-1, required=True)
@click.option("--beside", metavar="SHELL", help="A second car: draw both, with only what differs inked strongly.")
@click.option("--format", "form", type=click.Choice(["svg", "png"]), default="svg", help="What to write (svg).")
@click.option("-o", "--out", default=".", metavar="DIR", help="The folder to write to (this one).")
@click.option("--mating", is_flag=True, help="Draw a connector's face from the mating side instead of the wire side.")
@click.option("--crosswalk", metavar="FILE", help="With --beside: a swap sheet's [crosswalk].")
@click.option("--state", metavar="WORDS", help='Volts and amperes in a state: "run light-switch=dipped".')
@reads
def command(
    vehicle: str,
    targets: tuple[str, ...],
    beside: str | None,
    form: str,
    out: str,
    mating: bool,
    crosswalk: str | None,
    state: str | None,
    reading: Reading,
) -> None:
    """Draw TARGETS of VEHICLE for the workbench.

    A target is a connector (its face; with --beside the two faces of the meeting
    place), a circuit or component (its circuit sheet), words of what a circuit is
    for ("left brake lamp"), or the word overview.
    With --state a circuit sheet carries volts and amperes; what is live is
    thick, what is dead thin, a sneak path dashed. Of a swap sheet, the car that it
    puts together.
    """
    from harnesscheck.align import align
    from harnesscheck.draw.png import png
    from harnesscheck.draw.svg import svg
    from harnesscheck.draw.targets import DrawingAsked, NotDrawn, draw_target, keep_apart

    paths, digests, ours, other = _cars(vehicle, beside, reading)
    pairs = None
    if other is not None:
        pairs = align(ours, other, said_of(crosswalk, ours.vehicle, other.vehicle)[0])
    solved = _solved(vehicle, ours, state, alone=other is None) if state is not None else None
    asked = DrawingAsked(digest=" + ".join(digests), mating=mating, state=solved)
    drawn = {target: draw_target(ours, target, other, pairs, asked) for target in targets}
    failed = [
        InputFault(Place(vehicle), one.target, f"a connector, circuit or component, or overview: {one}")
        for one in drawn.values()
        if isinstance(one, NotDrawn)
    ]
    if failed:
        stop(failed)
    sheets = keep_apart([sheet for one in drawn.values() if not isinstance(one, NotDrawn) for sheet in one])
    render = png if form == "png" else (lambda scene: svg(scene).encode("utf-8"))
    contents = {f"{sheet.name}.{form}": render(sheet.scene) for sheet in sheets}
    write_files(out, contents, [path for path in (*paths, crosswalk) if path is not None])
    for name in contents:
        say(f"wrote {out}/{name}")


class _Drawn(NamedTuple):
    """The files read and their digests, the car to draw, and the one to draw beside it."""

    files: tuple[str, ...]
    digests: tuple[str, ...]
    car: Study
    other: Study | None


def _cars(path: str, beside: str | None, reading: Reading) -> _Drawn:
    """The car or cars to draw, and what they were read from."""
    if is_sheet(path):
        if beside is not None:
            stop_for(path, f"{path} and --beside {beside}", "a netlist before --beside, or a swap sheet alone")
        from harnesscheck.network.graph.sides import Study

        swap = swap_at(path, reading)
        return _Drawn(swap.files, swap.digests, Study(swap.made.vehicle), None)
    paths = (path,) if beside is None else (path, beside)
    cars = studies(paths, reading)
    digests = tuple(car.vehicle.netlist.digest for car in cars)
    return _Drawn(paths, digests, cars[0], cars[1] if beside is not None else None)


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
