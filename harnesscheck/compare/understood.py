"""What the functions written in one car's file were understood as, each text once, what needs a look first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum

from harnesscheck.model.order import NaturalKey, natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.trade.lexicon import Meaning, understand

_RAILS = frozenset({"permanent", "accessory", "run", "start", "feed", "ground"})


class Look(IntEnum):
    """Why a text needs a look; the smaller the sooner."""

    HAZARD = 0
    DOUBTED_RAIL = 1  # it speaks of a feed or a ground and leaves a doubt
    OVERRULED = 2  # a typed class says otherwise
    NOT_UNDERSTOOD = 3
    MISPRINT = 4
    NONE = 5  # understood


@dataclass(frozen=True, slots=True)
class FunctionRead:
    """One function's text, where it first stands and how often, and what it was taken for."""

    text: str
    place: str  # ``C12:4``, or a circuit's id
    rows: int
    typed: str | None  # the class that the file gives its circuit
    meaning: Meaning
    out_of_bounds: bool = False  # it stands at a plug that only the licensed person opens

    @property
    def class_(self) -> str | None:
        """The class that counts: the typed one, else that of the words."""
        return self.typed or self.meaning.class_

    @property
    def look(self) -> Look:
        """Why a person should look at it."""
        said = self.meaning
        if self.typed is not None:
            return Look.OVERRULED if said.class_ not in (None, "feed", self.typed) else Look.NONE
        if said.hazards:
            return Look.HAZARD
        if said.class_ is None and _RAILS & set(said.maybe):
            return Look.DOUBTED_RAIL
        if said.unknown:
            return Look.NOT_UNDERSTOOD
        return Look.MISPRINT if said.corrected else Look.NONE


def functions_read(study: Study) -> tuple[FunctionRead, ...]:
    """Every function's text of a car, those that need a look first."""
    classes = {row.id: row.class_ for row in study.vehicle.netlist.circuits}
    seen: dict[tuple[str, str | None], list[str]] = {}
    for text, place, circuit in _texts(study):
        seen.setdefault((text, classes.get(circuit or "")), []).append(place)
    found = []
    for (text, typed), places in seen.items():
        place = min(places, key=natural_key)
        held = bool(study.hands_off.plug(place.partition(":")[0]))
        found.append(FunctionRead(text, place, len(places), typed, understand(text), held))
    return tuple(sorted(found, key=_order))


def _order(one: FunctionRead) -> tuple[Look, bool, NaturalKey, str]:
    return one.look, one.class_ is not None, natural_key(one.place), one.text


def _texts(study: Study) -> Iterator[tuple[str, str, str | None]]:
    """(text, place, circuit) of every row that says what it is for."""
    netlist = study.vehicle.netlist
    for circuit in netlist.circuits:
        if circuit.function:
            yield circuit.function, circuit.id, circuit.id
    rows: tuple[Pin | Wire, ...] = (*netlist.pins, *netlist.wires)
    for row in rows:
        if row.function:
            yield row.function, _place(row), row.circuit


def _place(row: Pin | Wire) -> str:
    if isinstance(row, Wire):
        return f"{row.from_}-{row.to}"
    return f"{row.connector}:{row.cavity}" if row.connector else row.component or ""
