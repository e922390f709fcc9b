"""One car as a direct-current circuit of lumped resistances between nodes.

A *node* is what no resistance parts: a cavity and the terminal crimped into it,
all ground points on one metal part. A *branch* is a resistance that is always
there: a wire, a mated contact, a fuse, a load, a coil. A *port* is one that some
states close: a switch, a relay's contact, a module's output, a diode, a battery,
an alternator. Current is positive from ``a`` to ``b``; a port that is closed
holds ``volts(a) - volts(b) = emf_v + ohm · amperes``.

Volts, A and Ω; what the file does not give is assumed and named in
``DcCircuit.assumptions``. ``network.volts.lumping`` builds circuits; nothing is solved here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import AnyRecord, Pin, Wire
from harnesscheck.model.vehicle import Vehicle

OHMS_ASSUMED = (
    "ohms of wires, where not written, are the most that wire of their size may have (ISO 6722-1, from memory; JIS C "
    "3406; of a gauge by ABYC E-11)"
)

BranchSort = Literal["wire", "contact", "joint", "fuse", "resistor", "load", "coil"]
PortSort = Literal[
    "key", "switch", "make", "break", "output", "diode", "battery", "discharge", "alternator", "field", "chain"
]
"""What a joint is; a ``chain``'s is one that only whoever asks about a trace opens and closes."""

REST = frozenset({"rest", "off", "released"})
"""Positions a switch has when nobody touches it. Without one of these words no row applies at rest."""

SOURCES = frozenset({"battery", "discharge", "alternator"})
ONE_WAY = frozenset({"diode", "discharge"})  # pass current from a to b only
PASSING = frozenset({"wire", "contact", "joint", "fuse", "resistor"})  # branches a feed or a ground goes through


@dataclass(frozen=True, slots=True)
class Branch:
    """A resistance that is always there. ``why`` says what of it was assumed."""

    sort: BranchSort
    component: str
    name: str
    a: int
    b: int
    ohm: float
    why: str = ""
    likely: bool = False
    rating_a: float | None = None
    row: AnyRecord | None = None
    ends: tuple[str, str] = ("", "")  # of a wire: what a and b are called

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells it from the others, in words that another car may share."""
        return self.sort, self.component, self.name


@dataclass(frozen=True, slots=True)
class Port:
    """A joint that some states close. ``control`` and ``words`` say which positions close it."""

    sort: PortSort
    component: str
    name: str
    a: int
    b: int
    ohm: float
    emf_v: float = 0.0
    control: str = ""
    words: frozenset[str] = frozenset()
    why: str = ""
    row: AnyRecord | None = None
    driven: str = ""  # the terminal that a module's output switches
    guessed: bool = False  # the file does not write which positions close it

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells it from the others, in words that another car may share."""
        return self.sort, self.component, self.name


@dataclass(frozen=True, slots=True)
class Load:
    """A consumer to be judged: a branch with its nominal volts and what it needs.

    ``directed`` says that ``a`` is known to be its positive end. ``pwm`` loads are
    fed in pulses and not judged by direct current.
    """

    component: str
    name: str  # of a load inside a component; "" for the component itself
    kind: str
    branch: int
    volts: float
    polar: bool
    directed: bool
    min_volts: float | None = None
    short: bool = False
    critical: bool = False
    pwm: bool = False

    @property
    def label(self) -> str:
        """``fuel-pump``, or ``headlamp-left low beam``."""
        return f"{self.component} {self.name}" if self.name else self.component

    @property
    def key(self) -> tuple[str, str]:
        """The component and the load's name inside it."""
        return self.component, self.name


@dataclass(frozen=True, slots=True)
class Coil:
    """A relay's coil: pulls in from ``pick_up_v`` across it, lets go below ``drop_out_v``, either way round.

    ``volts`` is what it is made for; 0 is not known.
    """

    component: str
    branch: int
    pick_up_v: float
    drop_out_v: float
    volts: float = 0.0


@dataclass(frozen=True, slots=True)
class Module:
    """A module whose outputs act only while one of its supplies has ``min_v`` over its ground."""

    component: str
    pairs: tuple[tuple[int, int], ...]
    min_v: float


@dataclass(frozen=True)
class DcCircuit:
    """The lumped circuit of one car. ``node_of`` gives a node for every node of the car's index."""

    vehicle: Vehicle
    count: int
    node_of: tuple[int, ...]
    body: int
    references: tuple[int, ...]  # where 0 V is, best first: the body, then each battery's negative
    branches: tuple[Branch, ...]
    ports: tuple[Port, ...]
    loads: tuple[Load, ...]
    coils: tuple[Coil, ...]
    modules: tuple[Module, ...]
    unjudged: tuple[tuple[str, str], ...]  # component, why it is not in the circuit
    names: Mapping[int, str]

    @cached_property
    def controls(self) -> Mapping[str, tuple[str, ...]]:
        """Every control by name with the positions a hand, a module or a plug can put it in, rest left out."""
        found: dict[str, dict[str, None]] = {}
        for port in self.ports:
            if port.control:
                found.setdefault(port.control, {}).update(dict.fromkeys(port.words - REST))
        named = sorted(found, key=natural_key)
        return {control: tuple(sorted(found[control], key=natural_key)) for control in named if found[control]}

    @cached_property
    def assumptions(self) -> tuple[str, ...]:
        """What was assumed and for how many parts, in words: of wires in general first, then most often first."""
        counts: dict[str, int] = {}
        for words in (*(one.why for one in self.branches), *(one.why for one in self.ports)):
            for why in filter(None, words.split("; ")):
                counts[why] = counts.get(why, 0) + 1
        ordered = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
        said = tuple(f"{why} ({count} ×)" if count > 1 else why for why, count in ordered)
        rows = (one.row for one in self.branches if one.sort == "wire")
        by_size = any(isinstance(row, Pin | Wire) and row.ohms is None for row in rows)
        return (OHMS_ASSUMED, *said) if by_size else said

    @cached_property
    def load_of(self) -> Mapping[tuple[str, str], int]:
        """The number of each load by component and name."""
        return {load.key: number for number, load in enumerate(self.loads)}
