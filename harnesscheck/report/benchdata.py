"""What the bench page works with, as plain data: plugs with their contacts and nets, work, readings, checks.

Everything that is judged on the page is worked out here: limits in ohms, who may touch a plug, what must be done
before a step. Every line to tick has an id that outlives a changed plan, and words that tell whether it is the same.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from harnesscheck.bench.readings.filled import limits_of, reading_grammar
from harnesscheck.bench.ringout.looms import NO_PLACE
from harnesscheck.bench.ringout.measurements import Measurement
from harnesscheck.bench.ringout.ringsheet import load_table, reading_row
from harnesscheck.bench.ringout.unplugging import Unplugging
from harnesscheck.compare.finding.cautions import leave
from harnesscheck.draw.face import WIRE_SIDE, Content, about, contents
from harnesscheck.draw.ink import colour_words
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Connector, Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.read.benchfile import FORMAT
from harnesscheck.report.ringout import RingoutReport
from harnesscheck.trade.colours import srgb

UNPLUG, FEEDS, POWER_UP = "unplug first", "feeds under load", "first power-up"


@dataclass(frozen=True)
class BenchStep:
    """A piece of work as the page shows it; ``hours_h`` is its mean, ``done_h`` what it took, where it is done."""

    id: str
    do: str
    place: str
    hours_h: float
    after: tuple[str, ...] = ()
    needs: str = ""
    done_h: float | None = None


def bench_data(report: RingoutReport, digest: str, work: Sequence[BenchStep] = ()) -> dict[str, Any]:
    """Everything for one car; ``digest`` is that of the files that the page was made from."""
    study = report.ringout.looms.study
    nets: dict[int, int] = {}
    plugs = [_plug(study, row, nets) for row in _in_order(study)]
    measured = [_measurement(one) for one in report.ringout.measurements]
    checks = [*_unplugging(report.unplug), *_feeds(report), *_power_up(report)]
    return {
        "format": FORMAT,
        "vehicle": study.vehicle.name,
        "digest": digest,
        "inputs": report.digest,
        "plan": report.ringout.plan,
        "side": WIRE_SIDE,
        "grammar": reading_grammar(),
        "places": _places([one.place for one in work], plugs, measured, checks),
        "nets": _net_names(study, nets),
        "plugs": plugs,
        "work": [_step(one) for one in work],
        "readings": measured,
        "checks": checks,
    }


def _places(first: Sequence[str], *tables: Sequence[dict[str, Any]]) -> list[str]:
    """Every place once: those of the work in its order, then the others in natural order."""
    more = {str(row["place"]) for table in tables for row in table} - {"", NO_PLACE}
    last = [NO_PLACE] if any(row["place"] == NO_PLACE for table in tables for row in table) else []
    return [*dict.fromkeys([*first, *sorted(more, key=natural_key), *last])]


# -- plugs


def _in_order(study: Study) -> list[Connector]:
    return sorted(study.vehicle.netlist.connectors, key=lambda row: natural_key(row.id))


def _plug(study: Study, row: Connector, nets: dict[int, int]) -> dict[str, Any]:
    marks = study.hands_off.plug(row.id)
    listed = contents(study, row.id)
    part = study.vehicle.components.get(row.component or "")
    photos = [one.common.photo for one in (row, part) if one is not None and one.common.photo]
    pins = study.vehicle.pins_of.get(row.id, ())
    photos += [pin.common.photo for pin in pins if pin.common.photo]
    return {
        "id": row.id,
        "name": row.name or (part.name if part is not None else "") or "",
        "about": about(study.vehicle, row, len(listed)),
        "place": study.vehicle.place_of(row.id, loom=True) or NO_PLACE,
        "mate": study.vehicle.mate_of.get(row.id, ""),
        "stop": leave(marks) if marks else "",
        "photos": list(dict.fromkeys(photos)),
        "cells": [_cell(study, row.id, one, nets) for one in listed],
    }


def _cell(study: Study, connector: str, content: Content, nets: dict[int, int]) -> list[Any]:
    """Cavity, state, colours in words, paint, circuit, function, net, whether nobody but the licensed person."""
    found = study.index.net(connector, content.cavity)
    net = nets.setdefault(found, len(nets)) if found is not None else None
    known = [wire.colour.names for wire in content.wires[:1] if wire.colour is not None and wire.colour.names]
    names = " ".join(" ".join(colour.names or ()) for wire in content.wires if (colour := wire.colour) is not None)
    paint = [srgb(name) for name in known[0]] if known else []
    words = "; ".join(colour_words(wire.colour) for wire in content.wires)
    function = next((wire.function for wire in content.wires if wire.function), "") or next(
        (pin.function or f"terminal {pin.terminal}" for pin in content.terminals), ""
    )
    marked = int(bool(study.hands_off.contact(connector, content.cavity)))
    return [content.cavity, content.state, words, paint, content.circuit, function, net, marked, names]


def _net_names(study: Study, nets: dict[int, int]) -> list[str]:
    """What each net is called, by its number on the page: circuits, and what they are for."""
    found = []
    for net in nets:
        circuits = dict.fromkeys(
            row.circuit
            for piece in study.index.pieces_of[net]
            for row in study.index.wires_of[piece]
            if isinstance(row, Pin | Wire) and row.circuit
        )
        names = [_circuit_words(study, name) for name in circuits]
        found.append(", ".join(names))
    return found


def _circuit_words(study: Study, name: str) -> str:
    row = study.vehicle.circuits.get(name)
    return f"{name} ({row.function})" if row is not None and row.function else name


# -- lines to tick


def _step(one: BenchStep) -> dict[str, Any]:
    return {
        "id": f"work:{one.id}",
        "place": one.place,
        "do": one.do,
        "hours": round(one.hours_h, 2),
        "after": list(one.after),
        "needs": one.needs,
        "done": one.done_h,
    }


def _measurement(one: Measurement) -> dict[str, Any]:
    limits = limits_of(one)
    ends = sorted(" ".join(end.split()) for end in (one.from_, one.to))
    return {
        "id": f"read:{'|'.join(ends)}",
        "place": one.place,
        "from": one.from_,
        "to": one.to,
        "expect": one.expect,
        "note": reading_row(one)[-1],
        "joined": one.joined,
        "limits": [limits.joined_ohm, limits.part_ohm],
    }


def _check(group: str, place: str, do: str, expect: str = "", note: str = "", reads: bool = False) -> dict[str, Any]:
    """A line to tick; its id hangs on what is done and where, not on its number."""
    short = hashlib.sha256("\n".join((group, place, do)).encode()).hexdigest()[:10]
    return {
        "id": f"check:{short}",
        "group": group,
        "place": place,
        "do": do,
        "expect": expect,
        "note": note,
        "reads": reads,
    }


def _unplugging(parts: Sequence[Unplugging]) -> Iterator[dict[str, Any]]:
    for one in parts:
        name = one.name or one.component
        do = f"{name}: {'; '.join(filter(None, (one.do, one.caution)))}"
        yield _check(UNPLUG, one.place, do, note=f"plugs {' '.join(one.plugs)}" if one.plugs else "")


def _feeds(report: RingoutReport) -> Iterator[dict[str, Any]]:
    for _, place, from_, at, key, expect, _, note in load_table(report.feeds, report.buses)[1:]:
        yield _check(FEEDS, place, f"{from_} to {at}, key {key}" if at else f"{from_}, {key}", expect, note, True)


def _power_up(report: RingoutReport) -> Iterator[dict[str, Any]]:
    seen: dict[str, int] = {}
    for one in report.checks:
        where = ", ".join(filter(None, (one.at, f"key {one.key}" if one.key else "")))
        do = f"{one.step}: {one.do}" + (f" ({where})" if where else "")
        seen[do] = seen.get(do, 0) + 1
        again = f", time {seen[do]}" if seen[do] > 1 else ""
        yield _check(POWER_UP, one.place, do + again, one.expect, one.note, bool(one.expect))
