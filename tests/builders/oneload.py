"""Little cars for the tests of loads: one circuit from the battery through a fuse to a load and back."""

from __future__ import annotations

from builders.rows import bare, study
from harnesscheck.compare.carries.loads import Loads, loads_of
from harnesscheck.network.behaviour.drops import Drop
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study


def circuit(feed: str, load: str, *, ground: str = "", fuse: str = 'rating="10" type="C"', volts: str = "12") -> Study:
    """Battery, fuse, a feed wire of some attributes, a load, a ground wire where one is given. No plugs."""
    minus = "SG" if ground else "G1"
    back = f'<splice id="SG"/><wire from="SG" to="G1" circuit="g" {ground}/>' if ground else ""
    return bare(
        f'<ground id="G1"/><splice id="B"/><splice id="P"/><splice id="S"/>{back}'
        f'<component id="battery" kind="battery" volts="{volts}" ohms="0.000001"><pin terminal="+" to="B"/>'
        '<pin terminal="-" to="G1"/></component>'
        f'<component id="F1" kind="fuse" {fuse}><pin terminal="1" to="B"/><pin terminal="2" to="P"/></component>'
        f'<wire from="P" to="S" circuit="a" {feed}/>'
        f'<component id="load" volts="{volts}" {load}><pin terminal="+" role="supply" to="S"/>'
        f'<pin terminal="-" role="ground" to="{minus}"/></component>'
    )


def judged(car: Study) -> Loads:
    """A car's loads, all states tried."""
    return loads_of(Behaviour(car))


def wire(loads: Loads, name: str):
    """The wire of a name, ``P - S``."""
    return next(one for one in loads.wires if loads.branch(one.wire).name == name)


def drop(loads: Loads, side: str, label: str = "load") -> Drop:
    """One side's drop of a load."""
    return next(
        one
        for one in loads.drops
        if one.side == side and one.load >= 0 and loads.behaviour.circuit.loads[one.load].label == label
    )


def hop_v(one: Drop, name: str) -> float:
    """What one element of a way loses."""
    return next(hop.drop_v for hop in one.hops if hop.element.name == name)


__all__ = ["Study", "circuit", "drop", "hop_v", "judged", "study", "wire"]
