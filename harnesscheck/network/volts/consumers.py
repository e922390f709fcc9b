"""Components in the circuit: sources, fuses, switches, relays, outputs, diodes and loads.

Two-terminal parts need no rows inside; relays follow plug-in practice (ISO 7588:
85 86 coil, 30 common, 87 make, 87a break). A row inside with ``when`` is in
series with a switch of its own. A load's nominal volts are the component's, else
the car's, else 12 V.
"""

from __future__ import annotations

from collections.abc import Sequence

from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import AnyRecord, Component, Inside, Pin
from harnesscheck.network.graph.conduction import Conduction, uses_current
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch, BranchSort, Coil, Load, Module, Port, PortSort
from harnesscheck.network.volts.resistances import (
    ALTERNATOR_OHM,
    BATTERY_OHM,
    DIODE_OHM,
    DIODE_V,
    FIELD_OHM,
    LOAD_A,
    MODULE_A,
    NOMINAL_V,
    RUNNING_V_PER_V,
    SWITCH_OHM,
    Defaulted,
    Quantity,
    coil_ohm,
    fuse_ohm,
    load_ohm,
    plain,
    reason,
    sender_ohm,
)

POLAR = frozenset({"motor", "module"})
PICK_UP_PERCENT, DROP_OUT_PERCENT = 60.0, 20.0  # of nominal volts, assumed where not written
MODULE_MIN_SHARE = 0.5  # of nominal volts: below it a module drives nothing; assumed where min-volts is not written
_NEGATIVE = ("B-", "D-", "31", "-")
_EXCITATION = ("D+", "L", "61")

At = dict[str, int]  # a component's terminals, as nodes


class Drafted:
    """A circuit under way: nodes of the index, then metal parts and inner points; see ``network.volts.circuit``."""

    def __init__(self, study: Study, opened: frozenset[str]) -> None:
        self.study = study
        self.opened = opened
        self.count = len(study.index.piece_of)
        self.metals: dict[str, int] = {}
        self.negatives: list[int] = []
        self.merges: list[tuple[int, int]] = []
        self.branches: list[Branch] = []
        self.ports: list[Port] = []
        self.loads: list[Load] = []
        self.coils: list[Coil] = []
        self.modules: list[Module] = []
        self.unjudged: list[tuple[str, str]] = []
        volts = study.vehicle.netlist.header.volts
        self.volts = volts or NOMINAL_V
        self.volts_why = "" if volts else f"volts of the car not written: {NOMINAL_V:g} V assumed"

    def new_node(self) -> int:
        """A node that only the circuit has."""
        self.count += 1
        return self.count - 1

    def metal(self, on: str) -> int:
        """The node of a metal part."""
        if on not in self.metals:
            self.metals[on] = self.new_node()
        return self.metals[on]

    def merge(self, a: int, b: int) -> None:
        """Say that two nodes are one."""
        self.merges.append((a, b))

    def branch(
        self,
        sort: BranchSort,
        part: tuple[str, str],
        ends: tuple[int, int],
        ohm: Quantity,
        row: AnyRecord | None = None,
        rating_a: float | None = None,
    ) -> int:
        """Add a resistance; returns its number. ``part`` is component and name."""
        likely = row is not None and row.common.partial
        self.branches.append(Branch(sort, *part, *ends, plain(ohm), reason(ohm), likely, rating_a, row))
        return len(self.branches) - 1

    def port(
        self,
        sort: PortSort,
        part: tuple[str, str],
        ends: tuple[int, int],
        ohm: Quantity = SWITCH_OHM,
        *,
        emf_v: Quantity = 0.0,
        control: str = "",
        words: frozenset[str] = frozenset(),
        why: str = "",
        driven: str = "",
        guessed: bool = False,
    ) -> None:
        """Add a joint that some states close."""
        whys = "; ".join(filter(None, (reason(ohm), reason(emf_v), why)))
        port = Port(sort, *part, *ends, plain(ohm), plain(emf_v), control, words, whys, driven=driven, guessed=guessed)
        self.ports.append(port)

    def volts_of(self, component: Component) -> float:
        """The volts a component's rating is given at."""
        return component.volts or self.volts

    def role(self, component: Component, terminal: str) -> str | None:
        """The role of a terminal, where the file gives one."""
        return self.study.index.role(component.id, terminal)


def draft_components(draft: Drafted) -> None:
    """Add every component of the car that the circuit can hold."""
    index = draft.study.index
    for row in draft.study.vehicle.netlist.components:
        if row.id in draft.opened:
            continue
        ways = index.conductions_of[row.id]
        names = index.terminals_by_part.get(row.id, ())
        at = {name: index.terminal[row.id, name] for name in names}
        own_loads = [way for way in ways if way.row is None and way.sort == "load"]
        for way in ways:
            if way.row is not None:
                _inside(draft, row, way, at)
        for way in ways:
            if way.row is None and way not in own_loads:
                _built_in(draft, row, way, at)
        _source(draft, row, at)
        _outputs(draft, row, at)
        _built_in_loads(draft, row, own_loads, at)


# -- what rows inside a component say


def _inside(draft: Drafted, component: Component, way: Conduction, at: At) -> None:
    row = way.row
    assert row is not None
    if (row.id or "") in draft.opened:
        return
    a, b = at[way.a], at[way.b]
    name = row.id or f"{row.from_}-{row.to}"
    if way.words:
        middle = b if way.sort == "switch" else draft.new_node()
        _switch(draft, component, row, (a, middle))
        a = middle
    if way.sort == "joint":
        draft.branch("joint", (component.id, name), (a, b), SWITCH_OHM, row)
    elif way.sort == "load":
        _load(draft, component, row, (a, b), way.directed)
    elif way.sort == "fuse":
        draft.branch("fuse", (component.id, name), (a, b), fuse_ohm(row.fuse, row.type), row, row.fuse)
    elif way.sort == "diode":
        draft.port("diode", (component.id, name), (a, b), row.ohms or DIODE_OHM, emf_v=DIODE_V)
    elif way.sort == "resistor":
        draft.branch("resistor", (component.id, name), (a, b), load_ohm(row, draft.volts), row)


def _switch(draft: Drafted, component: Component, row: Inside, ends: tuple[int, int]) -> None:
    words = frozenset(row.when)
    part = (component.id, f"{row.from_}-{row.to}")
    if component.key:
        draft.port("key", part, ends, words=words & frozenset(KEY_POSITIONS))
    else:
        draft.port("switch", part, ends, control=component.id, words=words)


# -- what a kind has without rows


def _source(draft: Drafted, component: Component, at: At) -> None:
    if component.kind == "battery":
        _battery(draft, component, at)
    elif component.kind == "alternator":
        _alternator(draft, component, at)


def _built_in(draft: Drafted, component: Component, way: Conduction, at: At) -> None:
    part, ends = (component.id, component.id), (at[way.a], at[way.b])
    if way.sort == "fuse":
        draft.branch("fuse", part, ends, fuse_ohm(component.rating, component.type), component, component.rating)
    elif way.sort == "diode":
        draft.port("diode", (component.id, "A-K"), ends, component.ohms or DIODE_OHM, emf_v=DIODE_V)
    elif way.sort == "switch":
        why = "switch without positions: taken to join its two terminals when on"
        part = component.id, f"{way.a}-{way.b}"
        words = frozenset(way.words)
        draft.port("switch", part, ends, control=component.id, words=words, why=why, guessed=True)
    elif way.sort == "resistor":
        draft.branch("resistor", part, ends, load_ohm(component, draft.volts_of(component)), component)
    elif way.sort == "sender":
        ohm = component.ohms if component.ohms else sender_ohm(component.curve or "")
        if ohm is not None:
            draft.branch("resistor", part, ends, ohm, component)
    elif way.sort == "coil":
        _coil(draft, component, ends)
    else:
        _relay_contact(draft, component, way, ends)


def _coil(draft: Drafted, component: Component, ends: tuple[int, int]) -> None:
    volts = draft.volts_of(component)
    number = draft.branch("coil", (component.id, "coil"), ends, coil_ohm(component, volts), component)
    pick_up = PICK_UP_PERCENT if component.pick_up is None else component.pick_up
    drop_out = DROP_OUT_PERCENT if component.drop_out is None else component.drop_out
    draft.coils.append(Coil(component.id, number, pick_up / 100 * volts, drop_out / 100 * volts, volts))


def _relay_contact(draft: Drafted, component: Component, way: Conduction, ends: tuple[int, int]) -> None:
    part = component.id, f"{way.a}-{way.b}"
    if any(one.sort == "coil" for one in draft.study.index.conductions_of[component.id]):
        draft.port("make" if way.sort == "make" else "break", part, ends)
        return
    words = frozenset({"pulled" if way.sort == "make" else "rest"})
    why = "relay without a documented coil: taken as worked by hand"
    draft.port("switch", part, ends, control=component.id, words=words, why=why)


def _battery(draft: Drafted, component: Component, at: At) -> None:
    if "+" not in at:
        posts = ", ".join(sorted(at, key=natural_key))
        draft.unjudged.append(
            (component.id, f'which of its terminals ({posts}) is +? write terminal="+" and terminal="-"')
        )
        return
    negative = at.get("-")
    if negative is None:
        negative = draft.new_node()
    why = draft.volts_why if not component.volts else ""
    if not _is_wired(draft, negative):
        draft.merge(negative, draft.metal("body"))
        why = "; ".join(filter(None, (why, "battery negative taken to be on the body")))
    draft.negatives.append(negative)
    volts = component.volts or draft.volts
    assumed = Defaulted(BATTERY_OHM, f"battery resistance not written: {BATTERY_OHM:g} Ω assumed")
    ohm: Quantity = component.ohms if component.ohms else assumed
    draft.port("battery", (component.id, "+"), (at["+"], negative), ohm, emf_v=volts, why=why)
    draft.port("discharge", (component.id, "-"), (negative, at["+"]), plain(ohm), emf_v=-volts)


def _is_wired(draft: Drafted, node: int) -> bool:
    """Whether anything at all is joined to a terminal, as far as the file says."""
    index = draft.study.index
    if node >= len(index.piece_of):
        return False
    net = index.net_of[index.piece_of[node]]
    pieces = index.pieces_of[net]
    if any(piece in index.ground_pieces for piece in pieces):
        return True
    return sum(len(index.terminals_of[piece]) for piece in pieces) > 1 or any(
        row.to is not None for piece in pieces for row in index.wires_of[piece]
    )


def _alternator(draft: Drafted, component: Component, at: At) -> None:
    """Running it holds B+ and D+; standing its field joins D+ to ground."""
    grounds = [name for name in at if draft.role(component, name) == "ground"] + [n for n in _NEGATIVE if n in at]
    why = "" if grounds else "alternator taken to be grounded to the body"
    ground = at[grounds[0]] if grounds else draft.metal("body")
    excited = next((at[name] for name in _EXCITATION if name in at), None)
    held: Quantity = component.running_volts or 0.0
    if not held:
        volts = round(RUNNING_V_PER_V * draft.volts_of(component), 1)
        held = Defaulted(volts, f"running volts not written: {volts:g} V assumed")
    for name, node in (("B+", at.get("B+")), ("D+", excited)):
        if node is not None:
            draft.port("alternator", (component.id, name), (node, ground), ALTERNATOR_OHM, emf_v=held, why=why)
    if excited is not None:
        assumed = Defaulted(FIELD_OHM, f"alternator field not written: {FIELD_OHM:g} Ω assumed")
        draft.port("field", (component.id, "field"), (excited, ground), component.ohms or assumed)


# -- modules and what they drive


def _outputs(draft: Drafted, component: Component, at: At) -> None:
    """Outputs a module drives when commanded, and the supplies it needs for that."""
    rails = {role: [name for name in at if draft.role(component, name) == role] for role in ("supply", "ground")}
    driven = False
    for name in at:
        pin = draft.study.roles.get((component.id, name))
        role = {"output-low": "ground", "output-high": "supply"}.get(pin.role or "" if pin is not None else "")
        if pin is None or role is None or component.kind in ("sensor", "switch"):
            continue
        rail = pin.via or (rails[role][0] if rails[role] else None)
        if rail is None or rail not in at:
            draft.unjudged.append((component.id, f"output {name} has no {role} to switch"))
            continue
        ends = (at[rail], at[name]) if role == "supply" else (at[name], at[rail])
        control = f"{component.id}.{name}"
        part, words = (component.id, f"{rail}-{name}"), frozenset({"on"})
        draft.port("output", part, ends, control=control, words=words, driven=name)
        driven = True
    if component.kind == "module":
        _one_ground(draft, component, at, rails["ground"])
    if driven and rails["supply"] and rails["ground"]:
        ground = at[rails["ground"][0]]
        min_v = component.min_volts or MODULE_MIN_SHARE * draft.volts_of(component)
        pairs = tuple((at[name], ground) for name in rails["supply"])
        draft.modules.append(Module(component.id, pairs, min_v))


def _one_ground(draft: Drafted, component: Component, at: At, grounds: list[str]) -> None:
    """A module's ground contacts are one inside it; common practice, no source."""
    joined = {(row.from_, row.to) for row in draft.study.vehicle.insides_of.get(component.id, ())}
    for name in grounds[1:]:
        if not {(grounds[0], name), (name, grounds[0])} & joined:
            part = (component.id, f"{grounds[0]}-{name}")
            draft.branch("joint", part, (at[grounds[0]], at[name]), SWITCH_OHM)


# -- loads


def _built_in_loads(draft: Drafted, component: Component, loads: Sequence[Conduction], at: At) -> None:
    """The loads of a component that writes none inside it."""
    ways = draft.study.index.conductions_of[component.id]
    if uses_current(component) and not any(way.sort == "load" for way in ways):
        draft.unjudged.append((component.id, "its supply and ground are not told apart, or only one is in the file"))
    for number, way in enumerate(loads):
        ends = (at[way.a], at[way.b])
        if component.kind == "connector-only":
            middle = draft.new_node()
            part, plugged = (component.id, f"{way.a}-{way.b}"), frozenset({"plugged"})
            draft.port("switch", part, (ends[0], middle), control=component.id, words=plugged)
            ends = (middle, ends[1])
        _load(draft, component, component, ends, way.directed, "" if number == 0 else way.a)


def _load(
    draft: Drafted, component: Component, row: Component | Inside, ends: tuple[int, int], directed: bool, name: str = ""
) -> None:
    """Add one load; ``name`` is given to the second and further loads of a component without rows."""
    volts = draft.volts_of(component)
    if isinstance(row, Inside):
        name = row.load or f"{row.from_}-{row.to}"
        same = sum(1 for one in draft.loads if one.key[0] == component.id and one.name.partition("#")[0] == name)
        name = f"{name}#{same + 1}" if same else name
    default_a = MODULE_A if component.kind == "module" or name else LOAD_A
    ohm = load_ohm(row, volts, default_a) if isinstance(row, Inside) or not name else _second(volts, default_a)
    number = draft.branch("load", (component.id, name), ends, ohm, row)
    polar = row.polar if row.polar is not None else component.polar
    draft.loads.append(
        Load(
            component=component.id,
            name=name,
            kind=component.kind or "other",
            branch=number,
            volts=volts,
            polar=component.kind in POLAR if polar is None else polar,
            directed=directed,
            min_volts=row.min_volts or component.min_volts,
            short=(row.duty or component.duty) == "short",
            critical=bool(row.critical or component.critical),
            pwm=_is_pwm(draft, ends),
        )
    )


def _second(volts: float, amps: float) -> Defaulted:
    return Defaulted(volts / amps, f"further supplies of a module: {amps:g} A each assumed")


def _is_pwm(draft: Drafted, ends: tuple[int, int]) -> bool:
    """Whether a wire at either end carries pulses."""
    index, circuits = draft.study.index, draft.study.vehicle.circuits
    for node in ends:
        if node >= len(index.piece_of):
            continue
        for piece in index.pieces_of[index.net_of[index.piece_of[node]]]:
            for row in index.wires_of[piece]:
                circuit = circuits.get(row.circuit or "")
                if (isinstance(row, Pin) and row.signal == "pwm") or (circuit is not None and circuit.signal == "pwm"):
                    return True
    return False
