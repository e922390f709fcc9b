"""What a person means by ``C12:4``, a part, a part's terminal, a circuit, a splice, a ground point.

Nothing is guessed: a name that several things answer to gives all of them, in
natural order, each with the name that means it alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final, Literal

from harnesscheck.lists.wiresearch import called
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import DcCircuit

CAVITY: Final = "cavity"
TERMINAL: Final = "terminal"
COMPONENT: Final = "component"
CIRCUIT: Final = "circuit"
SPLICE: Final = "splice"
GROUND: Final = "ground"
FUSE: Final = "fuse"
TargetSort = Literal["cavity", "terminal", "component", "circuit", "splice", "ground", "fuse"]
CLOSE = 5  # names offered where nothing has the name asked for


@dataclass(frozen=True, slots=True)
class Target:
    """One thing to trace. ``ends`` are its cavities, splices, ground points or terminals.

    ``branch`` is its load's or coil's number in the circuit, where it is one.
    ``between`` says that current passes from one of its two ends to the other.
    """

    sort: TargetSort
    name: str
    words: str
    ends: tuple[str, ...]
    branch: int | None = None
    between: bool = False


def targets(study: Study, circuit: DcCircuit, text: str) -> tuple[Target, ...]:
    """Everything the text may mean: one where it is clear, none where no name and no wire's words are like it."""
    asked = " ".join(text.split())
    for way in (_exact, _folded, _part_of_name, _by_words):
        found = way(study, circuit, asked)
        if found:
            return tuple(sorted(found, key=lambda one: (natural_key(one.name), one.sort)))
    return ()


def close_names(study: Study, text: str) -> tuple[str, ...]:
    """Names a person may have meant, nearest first."""
    names = _names(study)
    folded = {name.casefold(): name for name in names}
    owner, colon, cavity = text.partition(":")
    if colon:
        wanted = study.vehicle.connectors
        close = get_close_matches(owner.casefold(), [name.casefold() for name in wanted], n=CLOSE, cutoff=0.6)
        if owner in wanted:
            held = sorted((one for other, one in study.index.cavity if other == owner), key=natural_key)
            return tuple(f"{owner}:{one}" for one in held[:CLOSE])
        return tuple(f"{folded[name]}:{cavity}" for name in close if name in folded)
    return tuple(folded[name] for name in get_close_matches(text.casefold(), list(folded), n=CLOSE, cutoff=0.6))


def _names(study: Study) -> list[str]:
    vehicle = study.vehicle
    circuits = dict.fromkeys(pin.circuit for pin in vehicle.netlist.pins if pin.circuit)
    named = (*vehicle.components, *vehicle.connectors, *vehicle.splices, *vehicle.grounds, *vehicle.circuits)
    fuses = [row.id for row in vehicle.netlist.insides if row.id]
    return list(dict.fromkeys([*named, *circuits, *fuses]))


def _folded(study: Study, circuit: DcCircuit, text: str) -> list[Target]:
    """Things called so but for upper and lower case, or whose printed name it is."""
    vehicle = study.vehicle
    names = [name for name in _names(study) if name.casefold() == text.casefold() and name != text]
    names += [row.id for row in vehicle.netlist.components if (row.name or "").casefold() == text.casefold()]
    return [one for name in dict.fromkeys(names) for one in _exact(study, circuit, name)]


def _part_of_name(study: Study, circuit: DcCircuit, text: str) -> list[Target]:
    """Parts and fuses whose name holds the text: only offered, so never fewer than two or one sure one."""
    if len(text) < 3:
        return []
    names = [row.id for row in study.vehicle.netlist.components if text.casefold() in row.id.casefold()]
    found = [one for name in names for one in _exact(study, circuit, name)]
    return found if len(found) > 1 else []


def _by_words(study: Study, circuit: DcCircuit, text: str) -> list[Target]:
    """What answers to words of a function, a colour, a place, as the search for wires understands them."""
    return [one for name in called(study, text) for one in _exact(study, circuit, name)]


def _exact(study: Study, circuit: DcCircuit, text: str) -> list[Target]:
    sort, _, name = text.partition(" ")
    if name and sort in (COMPONENT, CIRCUIT, SPLICE, GROUND):
        return [one for one in _exact(study, circuit, name) if one.sort == sort]
    return [
        *_cavities(study, text),
        *_parts(study, circuit, text),
        *_fuses(study, text),
        *_points(study, text),
        *_circuits(study, text),
        *_terminals(study, circuit, text),
    ]


def _cavities(study: Study, text: str) -> Iterator[Target]:
    owner, colon, cavity = text.partition(":")
    row = study.vehicle.connectors.get(owner)
    if row is None:
        return
    names = study.index.cavities(owner)
    for one in names if not colon else [cavity]:
        if one in names and (colon or (owner, one) in study.index.cavity):
            yield Target(CAVITY, f"{owner}:{one}", _cavity_words(study, owner, one), (f"{owner}:{one}",))


def _cavity_words(study: Study, connector: str, cavity: str) -> str:
    for pin in study.vehicle.pins_of.get(connector, ()):
        if pin.cavity == cavity:
            circuit = study.vehicle.circuits.get(pin.circuit or "")
            said = pin.function or (circuit.function if circuit is not None else None) or pin.terminal
            return " ".join(filter(None, (pin.circuit, said))) or "wire nobody documented"
    node = study.index.cavity.get((connector, cavity))
    circuits = study.index.circuits_of[study.index.piece_of[node]] if node is not None else ()
    return ", ".join(circuits) or study.index.state(connector, cavity)


def _parts(study: Study, circuit: DcCircuit, text: str) -> Iterator[Target]:
    row = study.vehicle.components.get(text)
    if row is None:
        return
    loads = [number for number, load in enumerate(circuit.loads) if load.component == text]
    ends = _terminals_of(study, text)
    words = row.name or row.kind or "part"
    if row.kind == "relay":
        coil = next((one.branch for one in circuit.coils if one.component == text), None)
        yield Target(COMPONENT, text, f"{words}, its coil", ends, coil)
    elif len(loads) == 1:
        words += ", its supply; its other terminals by name" if len(ends) > 2 else ""
        yield Target(COMPONENT, text, words, ends, circuit.loads[loads[0]].branch)
    elif len(loads) > 1:
        yield from (_load_target(study, circuit, number) for number in loads)
    elif row.kind in FUSES or len(ends) <= 2:
        yield Target(COMPONENT, text, words, ends, between=len(ends) == 2 and row.kind != "battery")
    else:
        for end in ends:
            yield from _terminals(study, circuit, end)


def _load_target(study: Study, circuit: DcCircuit, number: int) -> Target:
    """One of several loads of a part, called by the terminal that no other load of it has."""
    load = circuit.loads[number]
    branch = circuit.branches[load.branch]
    others = [circuit.branches[one.branch] for one in circuit.loads if one.component == load.component]
    ends = _terminals_of(study, load.component)

    def shared(node: int) -> int:
        """How many of the others meet a node."""
        return sum(node in (one.a, one.b) for one in others)

    own = min((branch.a, branch.b), key=shared)
    name = next((end for end in ends if _node_of(study, circuit, end) == own), load.component)
    row = study.vehicle.components[load.component]
    return Target(TERMINAL, name, f"{row.name or row.id}, {load.name or 'supply'}", (name,), load.branch)


def _node_of(study: Study, circuit: DcCircuit, terminal: str) -> int:
    component, _, name = terminal.rpartition(".")
    return circuit.node_of[study.index.terminal[component, name]]


def _terminals_of(study: Study, component: str) -> tuple[str, ...]:
    return tuple(f"{owner}.{name}" for owner, name in study.index.terminal if owner == component)


def _terminals(study: Study, circuit: DcCircuit, text: str) -> Iterator[Target]:
    component, dot, terminal = text.rpartition(".")
    if not dot or (component, terminal) not in study.index.terminal:
        return
    row: Component = study.vehicle.components[component]
    pin = study.roles.get((component, terminal))
    node = _node_of(study, circuit, text)
    loads = [
        one.branch
        for one in circuit.loads
        if one.component == component and node in (circuit.branches[one.branch].a, circuit.branches[one.branch].b)
    ]
    said = " ".join(filter(None, (pin.role if pin is not None else None, pin.function if pin is not None else None)))
    words = f"{row.name or row.id}, terminal {terminal}" + (f" ({said})" if said else "")
    yield Target(TERMINAL, text, words, (text,), loads[0] if len(loads) == 1 else None)


def _fuses(study: Study, text: str) -> Iterator[Target]:
    """Fuses and other joints inside a box, by their own id."""
    for row in study.vehicle.netlist.insides:
        if row.id == text:
            words = f"fuse {row.fuse:g} A in {row.component}" if row.fuse is not None else f"inside {row.component}"
            yield Target(FUSE, text, words, (f"{row.component}.{row.to}", f"{row.component}.{row.from_}"), between=True)


def _points(study: Study, text: str) -> Iterator[Target]:
    splice, ground = study.vehicle.splices.get(text), study.vehicle.grounds.get(text)
    if splice is not None:
        yield Target(SPLICE, text, f"splice{_where(splice.at)}", (text,))
    if ground is not None:
        yield Target(GROUND, text, f"ground point{_where(ground.at)}", (text,))


def _where(at: str | None) -> str:
    return f", {at}" if at else ""


def _circuits(study: Study, text: str) -> Iterator[Target]:
    """A circuit; where its wires do not hang together, each of its pieces by a cavity of it."""
    index = study.index
    ends: dict[int, list[str]] = defaultdict(list)
    for pin in study.vehicle.netlist.pins:
        if pin.circuit == text and pin.connector is not None:
            end = f"{pin.connector}:{pin.cavity}"
            ends[index.net_of[index.piece_of[index.cavity[pin.connector, pin.cavity or ""]]]].append(end)
    for wire in study.vehicle.netlist.wires:
        if wire.circuit == text:
            for end in (wire.from_, wire.to):
                if end in index.point and end not in study.vehicle.grounds:
                    ends[index.net_of[index.piece_of[index.point[end]]]].append(end)
    row = study.vehicle.circuits.get(text)
    words = (row.function if row is not None else None) or "circuit"
    if not ends and row is not None:
        yield Target(CIRCUIT, text, f"{words}, no wire of it in the file", ())
    if len(ends) == 1:
        ((_, names),) = ends.items()
        yield Target(CIRCUIT, text, words, tuple(dict.fromkeys(names)))
    for names in ends.values() if len(ends) > 1 else ():
        yield Target(CIRCUIT, names[0], f"{text} {words}: one of {len(ends)} pieces", tuple(dict.fromkeys(names)))
