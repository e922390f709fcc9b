"""Plain words for wires, fuses, ways and states where loads are judged."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from harnesscheck.compare.carries.loads import Loads
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import NO_SPOT, Spot
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.behaviour.drops import Drop
from harnesscheck.network.behaviour.states import Condition
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.network.volts.paths import Hop
from harnesscheck.trade.sizes import with_unit

SHOWN_V = 0.001  # contacts that take less are left out of a way


def condition_words(loads: Loads, condition: Condition) -> str:
    """``key run, light-switch=dipped``; ``everything on, engine running``."""
    settings = loads.behaviour.everything_on
    if settings and condition.settings == settings and len(settings) > 2:
        return f"everything on, {Condition(condition.stage)}"
    return str(condition)


def wire_words(branch: Branch) -> str:
    """``C12:4 to S3 (FP, 1.25)``."""
    row = branch.row
    said = []
    if isinstance(row, Pin | Wire):
        said = [text for text in (row.circuit, size_words(row)) if text]
    name = " to ".join(branch.ends) if branch.sort == "wire" else branch.name
    return f"{name} ({', '.join(said)})" if said else name


def size_words(row: Pin | Wire) -> str:
    """``1.25 mm²``, ``AWG 16``; nothing where it is not written."""
    return with_unit(row.size.text) if row.size is not None else ""


def wire_spot(branch: Branch) -> Spot:
    """Where a wire begins, as the file writes it."""
    row = branch.row
    if isinstance(row, Pin):
        return Spot(row.connector or "", row.cavity or "" if row.connector else "", row.circuit or "")
    return Spot(row.from_, "", row.circuit or "") if isinstance(row, Wire) else NO_SPOT


def terminal_spot(loads: Loads, component: str, node: int) -> Spot:
    """The harness contact on a component's terminal at a node; the component's own where no plug is on it."""
    study, circuit = loads.behaviour.study, loads.behaviour.circuit
    for row in study.vehicle.connectors_of.get(component, ()):
        for pin in study.vehicle.pins_of.get(row.id, ()):
            cavity = study.index.cavity.get((row.id, pin.cavity or ""))
            if cavity is None or circuit.node_of[cavity] != node:
                continue
            mate = study.vehicle.mate_of.get(row.id)
            half = mate if mate is not None and (mate, pin.cavity or "") in study.index.cavity else row.id
            return Spot(half, pin.cavity or "", circuit_at(study, half, pin.cavity or ""))
    return NO_SPOT


def circuit_at(study: Study, connector: str, cavity: str) -> str:
    """The circuit of a cavity by the wires that end there."""
    node = study.index.cavity.get((connector, cavity))
    rows = () if node is None else study.index.wires_at.get(node, ())
    return next((row.circuit for row in rows if row.circuit), "")


def load_words(loads: Loads, number: int) -> str:
    """A load by its component's name, id and its own name."""
    load = loads.behaviour.circuit.loads[number]
    name = named(loads.behaviour.study, load.component)
    return f"{name}, {load.name}" if load.name else name


def fuse_text(name: str, rating_a: float | None) -> str:
    """``F7 15 A``."""
    return f"{name} {rating_a:g} A" if rating_a else f"{name} (rating not written)"


def way_rows(hops: Iterable[Hop]) -> list[dict[str, Any]]:
    """A way as data: every wire, fuse, switch and what takes volts, with its volts and amperes."""
    return [
        {
            "sort": hop.element.sort,
            "at": " ".join(filter(None, (hop.element.component, hop.element.name)))
            if hop.element.name != hop.element.component
            else hop.element.name,
            "amps": round(hop.amps, 3),
            "volts": round(hop.drop_v, 4),
        }
        for hop in hops
        if hop.element.sort not in ("contact", "joint") or hop.drop_v >= SHOWN_V
    ]


def assumptions(parts: Sequence[Branch], more: Iterable[str] = ()) -> list[str]:
    """What was assumed of some elements, each once."""
    found = [why for part in parts for why in part.why.split("; ") if why]
    return list(dict.fromkeys([*found, *more]))


def drop_words(drop: Drop) -> str:
    """``feed side``, ``ground side``, ``charging lead``."""
    return drop.function if drop.load < 0 else f"{drop.side} side"
