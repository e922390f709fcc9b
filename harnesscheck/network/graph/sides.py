"""What one half of a contact brings by itself, with the contact open: supply, ground, consumer, signal, nothing.

A ``Side`` is gathered over the pieces that stay joined to the cavity without that
contact; all others of the plug are joined, so what comes back through them counts.
A part is seen with its whole plug apart. Its ``label`` is the one word the facing table is entered with; the
rest (masks, fuses, terminals, circuits) says in detail what was found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from typing import Any, TypeVar

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component, Pin
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.conduction import LOADS
from harnesscheck.network.graph.elements import ACCESSORY, ALWAYS, OFF, RUN, START
from harnesscheck.network.graph.index import EMPTY as CAVITY_EMPTY
from harnesscheck.network.graph.index import UNKNOWN as CAVITY_UNKNOWN
from harnesscheck.network.graph.index import Index, build_index
from harnesscheck.network.graph.reach import Contact, Reach, Reached, reach_of
from harnesscheck.network.hands_off import HandsOff
from harnesscheck.trade.lexicon import EMPTY as UNUSED
from harnesscheck.trade.lexicon import HIGH_VOLTAGE, RESTRAINT, understand

Kept = TypeVar("Kept")


class Label(Enum):
    """What a side is, in one word; the order is the order of the facing table."""

    PERMANENT = "permanent feed"
    ACCESSORY = "accessory feed"
    RUN = "run feed"
    START = "start feed"
    FEED = "switched feed"
    OUTPUT = "driven output"
    LOW_SIDE = "low-side output"
    GROUND = "ground"
    SWITCHED_GROUND = "switched ground"
    REFERENCE = "reference"
    SENSOR_RETURN = "sensor return"
    SIGNAL = "signal"
    DATA = "data line"
    INPUT = "input"
    SUPPLY = "consumer's supply"
    RETURN = "consumer's ground side"
    LOAD = "load"
    CONTACT = "contact"
    OPEN = "wire to nothing"
    EMPTY = "empty"
    RESTRAINT = "restraint"
    NOT_KNOWN = "not known"


FEEDS = frozenset({Label.PERMANENT, Label.ACCESSORY, Label.RUN, Label.START, Label.FEED})
STEADY_FEEDS = FEEDS - {Label.FEED}
NOTHING = frozenset({Label.EMPTY, Label.OPEN})

_BY_ROLE = {
    "source": Label.OUTPUT,
    "supply": Label.SUPPLY,
    "ground": Label.RETURN,
    "input": Label.INPUT,
    "output": Label.OUTPUT,
    "output-high": Label.OUTPUT,
    "output-low": Label.LOW_SIDE,
    "sense": Label.INPUT,
    "return": Label.SENSOR_RETURN,
    "data": Label.DATA,
    "reference": Label.REFERENCE,
}
_BY_CLASS = {
    "permanent": Label.PERMANENT,
    "accessory": Label.ACCESSORY,
    "run": Label.RUN,
    "start": Label.START,
    "feed": Label.FEED,
    "ground": Label.GROUND,
    "return": Label.SENSOR_RETURN,
    "reference": Label.REFERENCE,
    "signal": Label.SIGNAL,
    "data": Label.DATA,
    "restraint": Label.RESTRAINT,
    "high-voltage": Label.RESTRAINT,
}
_LABEL_OF = _BY_CLASS | {UNUSED: Label.OPEN}  # "spare": a wire to nothing
_SPECIAL_CLASSES = frozenset({RESTRAINT, HIGH_VOLTAGE})
_FEED_CLASSES = frozenset({"permanent", "accessory", "run", "start", "feed"})
CLASS_OF_LABEL = {label: name for name, label in reversed(_BY_CLASS.items())}
_TELLS_NOTHING = frozenset({None, "module", "sensor", "other", "connector-only"})
_STRENGTH = (
    Label.OUTPUT,
    Label.LOW_SIDE,
    Label.REFERENCE,
    Label.DATA,
    Label.SENSOR_RETURN,
    Label.SIGNAL,
    Label.INPUT,
    Label.SUPPLY,
    Label.RETURN,
    Label.LOAD,
    Label.CONTACT,
)


@dataclass(frozen=True, slots=True)
class SideTerminal:
    """A component's terminal on a side, with its role where the file gives one."""

    component: str
    name: str
    role: str | None


@dataclass(frozen=True, slots=True)
class Side:
    """What one half of a plug brings in one cavity, with that contact open.

    ``open`` says that the side's extent is not fully known; ``likely`` that it
    rests on something likely; ``declared`` that the label comes from a declared
    class or from words, not from reach. ``supplies`` names the separate fuses
    (or ``"unfused"``) that feed it.
    """

    label: Label
    reached: Reached | None = None
    terminals: tuple[SideTerminal, ...] = ()
    circuits: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()
    supplies: tuple[str, ...] = ()
    pieces: tuple[int, ...] = ()
    grounds: tuple[str, ...] = ()
    open: bool = False
    likely: bool = False
    declared: bool = False
    push_pull: bool = False  # an output that drives both ways
    from_part: bool = False  # the cavity is a component's own, with no wire of a harness before the terminal
    vague: bool = False  # a terminal on it says neither by its role nor by its part's kind what it does
    tied: bool = False  # a part's ground contact beside others of the same part that are grounded
    level_v: float | None = None  # what an input on it expects

    @property
    def used(self) -> bool:
        """Whether anything is in the cavity at all."""
        return self.label is not Label.EMPTY and not (self.label is Label.NOT_KNOWN and not self.pieces)


_EMPTY_SIDE = Side(Label.EMPTY)
_DOUBTED_EMPTY_SIDE = Side(Label.EMPTY, open=True)
_UNKNOWN_SIDE = Side(Label.NOT_KNOWN, open=True)


class Study:
    """One car with what is worked out of it once: index, reach, sides. Passed down, never copied."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.index: Index = build_index(vehicle)
        self._sides: dict[tuple[int, Contact | None, str], Side] = {}
        self._net_sides: dict[int, Side] = {}
        self._behind: dict[tuple[int, Contact | None], int] = {}
        self._kept: dict[Callable[[Study], Any], Any] = {}

    @cached_property
    def reach(self) -> Reach:
        """Reach of every piece, relays settled."""
        return reach_of(self.vehicle, self.index)

    def kept(self, make: Callable[[Study], Kept]) -> Kept:
        """What a higher module works out of the whole car, worked out once: ``study.kept(Behaviour)``."""
        if make not in self._kept:
            self._kept[make] = make(self)
        found: Kept = self._kept[make]
        return found

    @cached_property
    def hands_off(self) -> HandsOff:
        """What of the car is restraint or high voltage: never touched from our lists."""
        return HandsOff(self.vehicle, self.index, lambda: self.reach)

    @cached_property
    def murky(self) -> frozenset[int]:
        """Pieces that nothing feeds or grounds as built, in an island whose extent is not fully known.

        What an undocumented wire may bring could be a feed or a ground; such a
        piece must not be called dead.
        """
        reach, index = self.reach, self.index
        lit = {piece for tree in (*reach.feed_maybe, *reach.ground_maybe) for piece in tree.ways}
        murky: set[int] = set()
        seen: set[int] = set(lit)
        for start in range(len(index.nodes_of)):
            if start in seen:
                continue
            island = [start]
            seen.add(start)
            for here in island:
                for other, edge in reach.steps[here]:
                    if other not in seen and (edge < 0 or reach.elements[edge].maybe):
                        seen.add(other)
                        island.append(other)
            if any(piece in index.open_at for piece in island):
                murky.update(island)
        return frozenset(murky)

    @property
    def roles(self) -> Mapping[tuple[str, str], Pin]:
        """The first pin row of every terminal that gives a role, else the first of all."""
        return self.index.roles

    @cached_property
    def ground_contacts(self) -> dict[str, list[str]]:
        """The names of each component's terminals whose role is ground."""
        found: dict[str, list[str]] = {}
        for (component, name), pin in self.roles.items():
            if pin.role == "ground":
                found.setdefault(component, []).append(name)
        return found

    def meeting_of(self, connector: str) -> tuple[str, str] | None:
        """The meeting place of a connector as the index names it, or None where no mate is known."""
        mate = self.vehicle.mate_of.get(connector)
        if mate is None:
            return None
        row = self.vehicle.connectors[connector]
        if row.mates == mate and not (self.vehicle.connectors[mate].mates == connector and mate < connector):
            return connector, mate
        return mate, connector

    def side(self, connector: str, cavity: str) -> Side:
        """What a connector brings in one cavity, with the contact there open (see ``_opened``)."""
        piece = self.index.piece(connector, cavity)
        if piece is None:
            state = self.index.state(connector, cavity)
            if state != CAVITY_EMPTY:
                return _UNKNOWN_SIDE
            return _DOUBTED_EMPTY_SIDE if self.index.is_doubted(connector) else _EMPTY_SIDE
        assert self.index.state(connector, cavity) != CAVITY_UNKNOWN
        return self.piece_side(piece, self._opened(connector, cavity), connector)

    def is_not_known(self, connector: str, cavity: str) -> bool:
        """Whether nothing tells what a connector brings in one cavity: mostly told without a search for a feed."""
        piece = self.index.piece(connector, cavity)
        if piece is not None:
            zone = _zone(self, piece, self._opened(connector, cavity))
            if any(self.index.terminals_of[one] for one in zone) or not _is_open(self, zone, connector):
                return False
        return self.side(connector, cavity).label is Label.NOT_KNOWN

    def _opened(self, connector: str, cavity: str) -> Contact | None:
        """The contact at a cavity of a harness; of a part its whole plug.

        What a part makes of its other contacts is its own doing, not what is plugged into it.
        """
        place, part = self.meeting_of(connector), self.vehicle.connectors[connector].component
        if place is None:
            return None
        return place, cavity if part is None else None

    def lone_side(self, connector: str, cavity: str) -> Side | None:
        """What a connector brings in one cavity with the whole plug apart; None where nothing is known to be there."""
        piece = self.index.piece(connector, cavity)
        return None if piece is None else self.piece_side(piece, self._whole_plug(connector), connector)

    def behind(self, connector: str, cavity: str) -> int | None:
        """The same number for all contacts that one half of a plug joins by itself; None where nothing is there."""
        piece, apart = self.index.piece(connector, cavity), self._whole_plug(connector)
        if piece is None:
            return None
        if (piece, apart) not in self._behind:
            self._behind[piece, apart] = min(_zone(self, piece, apart))
        return self._behind[piece, apart]

    def _whole_plug(self, connector: str) -> Contact | None:
        """All contacts of a plug; None where no mate is known."""
        place = self.meeting_of(connector)
        return None if place is None else (place, None)

    def piece_side(self, piece: int, apart: Contact | None, connector: str = "") -> Side:
        """What a piece brings with the contact ``apart`` open (None: as built); memoised."""
        side = self._sides.get((piece, apart, connector))
        if side is None:
            zone = _zone(self, piece, apart)
            side = self._sides[piece, apart, connector] = _gather(self, zone, apart, connector)
        return side

    def net_side(self, net: int) -> Side:
        """What a whole net is, as built, on both sides of its ground points."""
        side = self._net_sides.get(net)
        if side is None:
            whole = _gather(self, self.index.pieces_of[net], None, "")
            side = replace(whole, circuits=tuple(sorted(whole.circuits, key=natural_key)))
            self._net_sides[net] = side
        return side

    def terminal(self, component: str, name: str) -> SideTerminal:
        """A component's terminal with its role."""
        pin = self.roles.get((component, name))
        return SideTerminal(component, name, pin.role if pin is not None else None)


def _zone(study: Study, piece: int, apart: Contact | None) -> list[int]:
    """The pieces joined to one by mated contacts, one of them open; grounds are not walked through."""
    index, steps = study.index, study.reach.steps
    zone, seen = [piece], {piece}
    for here in zone:
        if here in index.ground_pieces:
            continue
        for other, edge in steps[here]:
            if edge >= 0 or other in seen:
                continue
            mate = index.mates[-1 - edge]
            if apart is None or mate.place != apart[0] or apart[1] not in (None, mate.cavity):
                seen.add(other)
                zone.append(other)
    return zone


def _supplies(study: Study, zone: list[int], apart: Contact | None) -> tuple[str, ...]:
    """The separate fuses that feed a zone from outside it; "unfused" for a way without one."""
    reach, inside = study.reach, set(zone)
    found: dict[str, None] = {}
    if any(piece in reach.sources for piece in zone):
        found["unfused"] = None
    for piece in zone:
        for other, edge in reach.steps[piece]:
            if edge < 0 or other in inside:
                continue
            element = reach.elements[edge]
            if element.sort in ("resistor", "diode") and other not in reach.feed_sure[2].ways:
                continue
            way = reach.way_to_feed(other, apart) if other not in reach.sources else []
            if (other not in reach.sources and not way) or any(step[0] in inside for step in way):
                continue
            names = [element.name] if element.sort == "fuse" else []
            names += [reach.elements[e].name for _, e in way if e >= 0 and reach.elements[e].sort == "fuse"]
            found[names[0] if names else "unfused"] = None
    return tuple(sorted(found))


def _terminal_label(component: Component, terminal: SideTerminal) -> Label:
    kind = component.kind
    if terminal.role is not None:
        if kind == "battery" or (kind == "sensor" and terminal.role == "output"):
            return Label.SIGNAL if kind == "sensor" else Label.OUTPUT
        return _BY_ROLE[terminal.role]
    if kind in LOADS or (kind == "relay" and terminal.name in ("85", "86")):
        return Label.LOAD
    if kind == "sensor":
        return Label.SIGNAL
    return Label.CONTACT


def label_of_terminals(study: Study, terminals: Sequence[SideTerminal]) -> Label:
    """What some terminals bring by their roles and kinds alone; open where there are none."""
    labels = {_terminal_label(study.vehicle.components[t.component], t) for t in terminals}
    return next((label for label in _STRENGTH if label in labels), Label.OPEN)


def _feed_label(mask: int) -> Label:
    if mask & OFF:
        return Label.PERMANENT if mask == ALWAYS else Label.FEED
    if mask & ACCESSORY:
        return Label.ACCESSORY
    if mask & RUN:
        return Label.RUN
    return Label.START if mask & START else Label.FEED


def _label(study: Study, reached: Reached, terminals: list[SideTerminal], opened: bool) -> Label | None:
    """The label that reach and roles prove, or None where they prove nothing."""
    if reached.feed_sure:
        return _feed_label(reached.feed_sure)
    if reached.grounded:
        return Label.GROUND
    components = study.vehicle.components
    labels = {_terminal_label(components[t.component], t) for t in terminals}
    driven = next((label for label in _STRENGTH[:4] if label in labels), None)
    if driven is not None:
        return driven
    if reached.feed_maybe:
        return Label.FEED
    if reached.ground_sure == ALWAYS:
        return Label.GROUND
    if reached.ground_maybe:
        return Label.SWITCHED_GROUND
    return next((label for label in _STRENGTH if label in labels), None if opened else Label.OPEN)


def _restrained(study: Study, zone: list[int], terminals: list[SideTerminal], circuits: list[str]) -> bool:
    """Whether a side is known to be restraint or high voltage: its net is, or it is such a part's own contact only."""
    judge = study.hands_off
    if not judge.any:
        return False
    if any(mark.known for mark in judge.piece(zone[0])):
        return True
    own = bool(terminals) and not circuits and all(judge.part(t.component) for t in terminals)
    return own and any(mark.known for t in terminals for mark in judge.part(t.component))


def _declared(study: Study, circuits: list[str], functions: list[str]) -> tuple[Label | None, bool]:
    """The label of a declared class (False), else of the words of a function (True: likely at most)."""
    rows = [study.vehicle.circuits[name] for name in circuits if name in study.vehicle.circuits]
    classes = {row.class_ for row in rows if row.class_ is not None}
    if len(classes) == 1:
        return _LABEL_OF[classes.pop()], False
    lid = {fuse.live for fuse in study.vehicle.netlist.lid if fuse.live and set(fuse.feeds) & set(circuits)}
    if len(lid) == 1:
        return _BY_CLASS[lid.pop()], False
    said = _class_by_words([*functions, *(row.function for row in rows if row.function)])
    return (None, False) if said is None else (_LABEL_OF[said], True)


def _class_by_words(texts: Sequence[str]) -> str | None:
    """The one class that all texts on a side give which give any; restraint and high voltage win over the others."""
    said = {class_ for text in texts if (class_ := understand(text).class_) is not None}
    special = said & _SPECIAL_CLASSES
    if special:
        return min(special)
    if len(said) > 1:
        said -= {"feed"} if said <= _FEED_CLASSES else {UNUSED}
    return said.pop() if len(said) == 1 else None


def _gather(study: Study, zone: list[int], apart: Contact | None, connector: str) -> Side:
    """A side over the pieces of a zone, whose first is the one asked about."""
    index, piece = study.index, zone[0]
    rows = [row for member in zone for row in index.wires_of[member]]
    circuits = _own_first(index.circuits_of[piece], (name for one in zone for name in index.circuits_of[one]))
    functions = sorted({row.function for row in rows if row.function}, key=natural_key)
    terminals = [study.terminal(*key) for member in zone for key in index.terminals_of[member]]
    reached = study.reach.reached(piece, apart)
    opened = _is_open(study, zone, connector)
    label = _label(study, reached, terminals, opened)
    declared = by_words = False
    if label is None or (label in (Label.OPEN, Label.CONTACT) and opened):
        said, by_words = _declared(study, circuits, functions)
        declared = said is not None
        label = said or label or Label.NOT_KNOWN
    if _restrained(study, zone, terminals, circuits):
        label = Label.RESTRAINT
    fed = label in FEEDS or reached.feed_maybe
    levels = [pin.level for t in terminals if (pin := study.roles.get((t.component, t.name))) and pin.level]
    return Side(
        label=label,
        reached=reached,
        terminals=tuple(terminals),
        circuits=tuple(circuits),
        functions=tuple(functions),
        supplies=_supplies(study, zone, apart) if fed and not declared else (),
        pieces=tuple(zone),
        grounds=tuple(_own_first((), (index.ground_pieces[one] for one in zone if one in index.ground_pieces))),
        open=opened,
        likely=by_words or any(member in index.likely_pieces for member in zone),
        declared=declared,
        push_pull=any(t.role == "output" and study.vehicle.components[t.component].kind != "sensor" for t in terminals),
        from_part=_is_part(study, connector),
        vague=any(t.role is None and study.vehicle.components[t.component].kind in _TELLS_NOTHING for t in terminals),
        tied=label is not Label.GROUND and any(_is_tied(study, terminal) for terminal in terminals),
        level_v=max(levels, default=None),
    )


def _is_open(study: Study, zone: list[int], connector: str) -> bool:
    """Whether not all is written of what hangs together with the first piece of a zone, seen from a connector."""
    told_of = study.index.open_at
    return zone[0] in study.murky or any(why != connector for one in zone for why in told_of.get(one, ()))


def _own_first(own: Sequence[str], others: Iterable[str]) -> list[str]:
    """The names of the piece asked about, then those of the pieces joined to it; never by the order of rows."""
    return list(dict.fromkeys((*own, *sorted(set(others), key=natural_key))))


def _is_tied(study: Study, terminal: SideTerminal) -> bool:
    """Whether a part's ground contact is joined inside the part with one that is grounded.

    Common practice, no source: the ground contacts of a part are one inside it,
    and inside the tester that is plugged into a diagnostic socket.
    """
    if terminal.role != "ground":
        return False
    index, grounded = study.index, study.reach.grounded.ways
    return any(
        name != terminal.name and index.piece_of[index.terminal[terminal.component, name]] in grounded
        for name in study.ground_contacts.get(terminal.component, ())
    )


def _is_part(study: Study, connector: str) -> bool:
    row = study.vehicle.connectors.get(connector)
    return row is not None and row.component is not None
