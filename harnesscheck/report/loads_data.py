"""One car's wires, fuses and lost volts as JSON and as rows for CSV files."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from harnesscheck.compare.carries.loads import FuseLoad, Loads, WireLoad
from harnesscheck.compare.carries.loadwords import condition_words, load_words, way_rows, wire_spot
from harnesscheck.compare.finding.findings import Spot
from harnesscheck.network.behaviour.drops import MARINE_CRITICAL, MARINE_OTHER, Drop
from harnesscheck.report.blocks.sheets import table_csv
from harnesscheck.report.blocks.vocabulary import table
from harnesscheck.report.document import envelope, finding_document
from harnesscheck.report.fuses import card_table
from harnesscheck.report.loads import ToldLoads, counted, load_label, not_judged

WIRE_COLUMNS = ("wire", "circuit", "size", "amps", "state", "allowed", "share", "by", "not-judged")
DROP_COLUMNS = ("load", "side", "function", "volts", "limit", "everything-on", "percent", "amps", "state", "most-at")


def loads_document(one: ToldLoads, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The JSON report; ``inputs`` says by ``donor`` (the car), or by the words of a swap, which files it rests on."""
    document = envelope(
        "loads",
        inputs,
        {"donor": one.loads.behaviour.study},
        findings=one.findings,
        coverage={"assumed": list(one.loads.behaviour.circuit.assumptions), "not-judged": not_judged(one.loads)},
    )
    document["wires"] = [wire_document(one.loads, wire) for wire in one.loads.wires]
    document["fuses"] = [_fuse_document(one, fuse) for fuse in one.loads.fuses]
    document["drops"] = [drop_document(one.loads, drop) for drop in one.loads.drops]
    if one.asked.words:
        document["what-if"] = list(one.asked.words)
    if one.asked.upgrade is not None:
        document["worse"] = [judgement.finding.id for judgement in one.asked.upgrade.worse]
        document["change"] = [
            {"what-if": str(step.change), "what": step.what, "was": step.was, "now": step.now}
            for step in one.asked.upgrade.steps
        ]
        document["still-worse"] = [finding_document(judgement.finding) for judgement in one.asked.upgrade.open]
    return document


def _spot_document(spot: Spot) -> dict[str, str]:
    return {"connector": spot.connector, "cavity": spot.cavity, "circuit": spot.circuit}


def wire_document(loads: Loads, wire: WireLoad) -> dict[str, Any]:
    """One wire as the report writes it; what is not known is null."""
    branch, rating = loads.branch(wire.wire), wire.rating
    return {
        **_spot_document(wire_spot(branch)),
        "wire": branch.name,
        "size": None if rating.area_mm2 is None else round(rating.area_mm2, 4),
        "amps": round(wire.steady_a, 4),
        "state": str(loads.state(wire.steady_at).condition),
        "most-amps": round(wire.worst_a, 4),
        "allowed": None if rating.amps is None else round(rating.amps, 3),
        "allowed-for-a-moment": None if rating.for_a_moment_a is None else round(rating.for_a_moment_a, 3),
        "share": None if wire.share is None else round(min(wire.share, 1e6), 4),
        "by": rating.allowable.source if rating.allowable is not None else None,
        "not-judged": rating.why_not or None,
        "assumed": list(rating.assumed),
    }


def _fuse_document(one: ToldLoads, fuse: FuseLoad) -> dict[str, Any]:
    loads = one.loads
    slot = next(row for row in one.card if (row.slot, row.component) == (fuse.name, fuse.component))
    thinnest = None if fuse.thinnest is None else loads.branch(loads.wires[fuse.thinnest[0]].wire).name
    shorts = [short for short in fuse.shorts if short.amps > 0]
    least = min(shorts, key=lambda short: short.amps, default=None)
    return {
        "slot": fuse.name,
        "component": fuse.component,
        "rating": fuse.rating_a,
        "type": slot.type or None,
        "colour": slot.colour or None,
        "live": slot.live or None,
        "feeds": list(slot.feeds),
        "amps": round(fuse.nominal_a, 4),
        "state": str(loads.state(fuse.nominal_at).condition),
        "running-amps": round(fuse.steady_a, 4),
        "most-amps": round(fuse.worst_a, 4),
        "share": None if fuse.use is None else round(fuse.use, 4),
        "thinnest-wire": thinnest,
        "thinnest-allowed": None if fuse.thinnest is None else round(fuse.thinnest[1], 3),
        "least-short-amps": None if least is None else round(least.amps, 2),
        "guards": len(fuse.shorts),
        "shorts-not-safe": sum(short.safe is False for short in fuse.shorts),
        "shorts-not-judged": sum(short.safe is None for short in fuse.shorts),
    }


def drop_document(loads: Loads, drop: Drop) -> dict[str, Any]:
    """One side of one load as the report writes it."""
    circuit = loads.behaviour.circuit
    load = circuit.loads[drop.load] if drop.load >= 0 else None
    nominal = load.volts if load is not None else next((one.volts for one in circuit.loads), 12.0)
    share = drop.volts / nominal
    both = sum(one.volts for one in loads.drops if one.load == drop.load) / nominal
    return {
        "load": load_label(loads, drop),
        "component": load.component if load is not None else "",
        "side": drop.side,
        "function": drop.function,
        "volts": round(drop.volts, 4),
        "limit": round(drop.limit_v, 4),
        "everything-on": round(drop.most_v, 4),
        "percent": round(100 * share, 3),
        "both-sides-percent": round(100 * both, 3),
        "within-3-percent": both <= MARINE_CRITICAL,
        "within-10-percent": both <= MARINE_OTHER,
        "amps": round(drop.amps, 4),
        "state": str(loads.state(drop.state).condition),
        "path": way_rows(drop.hops),
    }


# -- CSV


def loads_files(one: ToldLoads) -> dict[str, bytes]:
    """``fuse-card.csv``, ``wires.csv`` and ``drops.csv``: all rows, fullest first where that is a sort of order."""
    wires = sorted(one.loads.wires, key=lambda wire: (-(wire.share or 0.0), wire.wire))
    drops = sorted(one.loads.drops, key=lambda drop: (-drop.volts / drop.limit_v, drop.load))
    tables = {
        "fuse-card.csv": card_table(one.card),
        "wires.csv": table("Wires", WIRE_COLUMNS, [_wire_row(one.loads, wire) for wire in wires]),
        "drops.csv": table("Volts lost", DROP_COLUMNS, [_drop_row(one.loads, drop) for drop in drops]),
    }
    return {name: table_csv(made) for name, made in tables.items()}


def _wire_row(loads: Loads, wire: WireLoad) -> tuple[str, ...]:
    row = wire_document(loads, wire)
    amps, allowed = counted(wire)
    judged = row["allowed"] is not None
    return (
        row["wire"],
        row["circuit"],
        "" if row["size"] is None else f"{row['size']:g}",
        f"{amps if judged else wire.steady_a:.2f}",
        condition_words(loads, loads.state(wire.worst_at if wire.for_a_moment else wire.steady_at).condition),
        f"{allowed:.2f}" if judged else "",
        f"{row['share']:.3f}" if judged else "",
        row["by"] or "",
        row["not-judged"] or "",
    )


def _drop_row(loads: Loads, drop: Drop) -> tuple[str, ...]:
    row = drop_document(loads, drop)
    return (
        load_words(loads, drop.load) if drop.load >= 0 else row["load"],
        drop.side,
        drop.function,
        f"{drop.volts:.3f}",
        f"{drop.limit_v:.3f}",
        f"{drop.most_v:.3f}",
        f"{row['percent']:.2f}",
        f"{drop.amps:.2f}",
        condition_words(loads, loads.state(drop.state).condition),
        drop.culprit.element.name,
    )
