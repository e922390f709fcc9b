"""How a part conducts between its terminals: the one table that reach, volts and drawing read.

A part is its rows ``<inside>`` and what its kind has without them. Relay terminals
follow plug-in relay practice (ISO 7588): 85 86 coil, 30 common, 87 make, 87a break;
see ``harnesscheck.trade.terminals`` for where DIN 72552 differs.

What depends on the rest of the car stands elsewhere: batteries, alternators and the
outputs a module drives (``network.volts.consumers``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from harnesscheck.model.records import Component, Inside

FUSES = frozenset({"fuse", "fusible-link", "breaker"})
LOADS = frozenset({"lamp", "motor", "heater", "solenoid", "sounder"})
MAKE = (("30", "87"), ("30", "87b"), ("88", "88a"))
BREAK = (("30", "87a"),)
COIL = ("86", "85")
_IF_RATED = frozenset({"sensor", "other", "connector-only", None})
HAND = ("on",)
"""What closes a switch of which no positions are written."""

ConductionSort = Literal["joint", "fuse", "switch", "make", "break", "diode", "resistor", "sender", "load", "coil"]

Role = Callable[[str], str | None]
"""The role of one of a part's terminals, None where the file gives none."""


@dataclass(frozen=True, slots=True)
class Conduction:
    """One way through a part, between two of its terminals.

    A diode passes from ``a`` to ``b``; a load's positive end is ``a`` where ``directed``.
    ``words`` are the positions that close it: of the row's switch, in series with what
    else the row is. ``row`` is None for what the kind has without rows.
    """

    sort: ConductionSort
    a: str
    b: str
    row: Inside | None = None
    words: tuple[str, ...] = ()
    directed: bool = False


def is_load(component: Component, row: Inside) -> bool:
    """Whether a row inside a component is a load of its own."""
    rated = row.load is not None or row.amps is not None or row.watts is not None
    return rated or (component.kind in LOADS and row.ohms is not None and row.fuse is None)


def conductions_of(
    component: Component, rows: Sequence[Inside], terminals: Iterable[str], role: Role
) -> tuple[Conduction, ...]:
    """Every way through a part, those of its rows first; ``terminals`` are its names in the order they were met."""
    names = tuple(terminals)
    found = [_of_row(component, row, role) for row in rows]
    found += _built_in(component, bool(rows), names)
    if not any(way.sort == "load" for way in found) and uses_current(component):
        found += _loads(component, names, role)
    return tuple(found)


def _of_row(component: Component, row: Inside, role: Role) -> Conduction:
    if is_load(component, row):
        directed = role(row.from_) == "supply" or role(row.to) == "ground"
        return Conduction("load", row.from_, row.to, row, row.when, directed)
    sort: ConductionSort
    if row.fuse is not None:
        sort = "fuse"
    elif row.diode:
        sort = "diode"
    elif row.ohms is not None:
        sort = "resistor"
    else:
        sort = "switch" if row.when else "joint"
    return Conduction(sort, row.from_, row.to, row, row.when)


def _built_in(component: Component, has_rows: bool, names: tuple[str, ...]) -> Iterator[Conduction]:
    kind = component.kind
    if kind == "relay":
        yield from _relay(names)
    elif kind == "diode" and {"A", "K"} <= set(names):
        yield Conduction("diode", "A", "K")
    elif len(names) == 2 and not has_rows:
        sort = _of_two_ends(component)
        if sort:
            yield Conduction(sort, *names, words=HAND if sort == "switch" else ())


def _relay(names: tuple[str, ...]) -> Iterator[Conduction]:
    if set(COIL) <= set(names):
        yield Conduction("coil", *COIL)
    yield from (Conduction("make", a, b) for a, b in MAKE if a in names and b in names)
    yield from (Conduction("break", a, b) for a, b in BREAK if a in names and b in names)


def _of_two_ends(component: Component) -> ConductionSort | Literal[""]:
    """What a part with two terminals and nothing written inside it is, a load apart; empty where nobody can say.

    A switch can only join its two terminals, whatever its positions are called.
    """
    kind = component.kind
    if kind in FUSES:
        return "fuse"
    if kind == "switch":
        return "switch"
    if kind == "resistor":
        return "resistor"
    return "" if uses_current(component) or kind in ("diode", "battery", "alternator") else "sender"


def uses_current(component: Component) -> bool:
    """Whether a part of which no load is written inside is one itself."""
    rated = bool(component.amps or component.watts)
    return component.kind in LOADS or component.kind == "module" or (rated and component.kind in _IF_RATED)


def _loads(component: Component, names: tuple[str, ...], role: Role) -> Iterator[Conduction]:
    """The loads of a part without rows, positive end first: between its two ends, else from each supply to ground."""
    supplies = [name for name in names if role(name) == "supply"]
    grounds = [name for name in names if role(name) == "ground"]
    if len(names) == 2 and component.kind != "module":
        a, b = names
        if a in grounds or b in supplies or (a == "-" and b == "+"):
            a, b = b, a
        yield Conduction("load", a, b, directed=a in supplies or b in grounds or (a, b) == ("+", "-"))
    elif grounds:
        yield from (Conduction("load", name, grounds[0], directed=True) for name in supplies)
