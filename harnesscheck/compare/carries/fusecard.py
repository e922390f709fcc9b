"""The fuse card of one car: every fuse with its rating, when it is live, and what it feeds."""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component, Inside
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.elements import ALWAYS, key_mask
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.network.volts.guards import Feeds
from harnesscheck.trade.fuses import fuse_colour, fuse_form


@dataclass(frozen=True, slots=True)
class FuseSlot:
    """One fuse of one car. ``live`` says when, in words; ``feeds`` loads, relays and fuses behind it by label."""

    slot: str
    component: str
    at: str
    rating_a: float | None
    type: str
    colour: str
    live: str
    feeds: tuple[str, ...]


def fuse_card(behaviour: Behaviour, feeds: Feeds) -> tuple[FuseSlot, ...]:
    """Every fuse of a car, by component and slot."""
    return tuple(slot for _, slot in fuse_slots(behaviour, feeds))


def fuse_slots(behaviour: Behaviour, feeds: Feeds) -> list[tuple[int, FuseSlot]]:
    """Every fuse with its branch number, in natural order of slot and component."""
    branches = behaviour.circuit.branches
    numbers = [number for number, one in enumerate(branches) if one.sort == "fuse"]
    found = [(number, _slot(behaviour, feeds, number, branches[number])) for number in numbers]
    return sorted(found, key=lambda one: (natural_key(one[1].slot), one[1].component))


def _slot(behaviour: Behaviour, feeds: Feeds, number: int, branch: Branch) -> FuseSlot:
    circuit, vehicle = behaviour.circuit, behaviour.study.vehicle
    row = branch.row
    type_ = row.type if isinstance(row, Component | Inside) and row.type else ""
    form = fuse_form(type_) if type_ else None
    owner = vehicle.components.get(branch.component)
    fed = [circuit.loads[load].label for load in feeds.loads.get(number, ())]
    fed += [f"relay {name}" for name in feeds.coils.get(number, ())]
    fed += [f"fuse {circuit.branches[other].name}" for other in feeds.behind.get(number, ())]
    return FuseSlot(
        slot=branch.name,
        component=branch.component,
        at=owner.at or "" if owner is not None else "",
        rating_a=branch.rating_a,
        type=type_ or (owner.kind or "" if owner is not None and owner.kind != "other" else ""),
        colour=fuse_colour(form, branch.rating_a) or "" if form and branch.rating_a else "",
        live=_live(behaviour, feeds, number),
        feeds=tuple(fed),
    )


def _live(behaviour: Behaviour, feeds: Feeds, number: int) -> str:
    """``always``, ``accessory run``, ``when switched on``; "" where nothing feeds it."""
    if number not in feeds.ends:
        return ""
    near, _ = feeds.ends[number]
    study, circuit = behaviour.study, behaviour.circuit
    component = circuit.branches[number].component
    for (owner, _), node in study.index.terminal.items():
        if owner == component and circuit.node_of[node] == near:
            reached = study.reach.reached(study.index.piece_of[node])
            return _mask_words(reached.feed_sure) or ("when switched on" if reached.feed_maybe else "")
    return ""


def _mask_words(mask: int) -> str:
    if mask == ALWAYS:
        return "always"
    return " ".join(word for word in KEY_POSITIONS if mask & key_mask((word,)))
