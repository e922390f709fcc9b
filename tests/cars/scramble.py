"""Any netlist with every id changed and every name, function and place-free word of its maker replaced."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from typing import Any

from harnesscheck.model.records import Netlist

_SORTS = ("circuits", "harnesses", "splices", "grounds", "components", "connectors", "lid")
_ROWS = (*_SORTS, "pins", "insides", "wires", "runs", "options")


def scrambled(netlist: Netlist, seed: int) -> tuple[Netlist, dict[str, dict[str, str]]]:
    """The netlist renamed and its rows shuffled; and, by sort, the new id of every old one."""
    rng = random.Random(seed)
    new = {sort: _fresh(rng, (row.id for row in getattr(netlist, sort)), sort) for sort in _SORTS}
    used = [row.circuit for row in (*netlist.pins, *netlist.wires) if row.circuit is not None]
    known = new["circuits"]
    new["circuits"] = {**known, **_fresh(rng, sorted(set(used) - known.keys()), "net")}
    ends = {old: name for sort in ("splices", "grounds", "connectors") for old, name in new[sort].items()}
    rows: dict[str, Any] = {}
    for sort in _ROWS:
        changed = [_renamed(row, sort, new, ends) for row in getattr(netlist, sort)]
        rng.shuffle(changed)
        rows[sort] = tuple(changed)
    return replace(netlist, **rows), new


def _fresh(rng: random.Random, old: Iterable[str], sort: str) -> dict[str, str]:
    ids = list(old)
    numbers = rng.sample(range(100, 100 + 9 * len(ids) + 9), len(ids))
    return {id: f"{sort[:4].upper()}-{number}" for id, number in zip(ids, numbers, strict=True)}


def _renamed(row: Any, sort: str, new: Mapping[str, Mapping[str, str]], ends: Mapping[str, str]) -> Any:
    names = {field.name for field in fields(row)}
    change: dict[str, Any] = {name: None for name in ("name", "function") if name in names}
    if sort in new:
        change["id"] = new[sort][row.id]
    owners = {
        "circuit": "circuits", "harness": "harnesses", "component": "components", "connector": "connectors",
        "mates": "connectors", "with_": "harnesses",
    }  # fmt: skip
    for name, owner in owners.items():
        if name in names and getattr(row, name) is not None:
            change[name] = new[owner][getattr(row, name)]
    if sort in ("pins", "wires"):
        for name in {"from_", "to"} & names:
            end = getattr(row, name)
            if end is not None:
                owner, colon, cavity = end.partition(":")
                change[name] = f"{ends[owner]}{colon}{cavity}"
    if "feeds" in names:
        change["feeds"] = tuple(new["circuits"].get(id, id) for id in row.feeds)
    if "after" in names:
        everywhere = {**new["components"], **new["harnesses"]}
        change["after"] = tuple(everywhere.get(id, id) for id in row.after)
    return replace(row, **change)
