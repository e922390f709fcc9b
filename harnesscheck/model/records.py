"""One car's netlist as frozen, slotted records.

Slots carry the names of ``harnesscheck.fields`` (a test holds them together),
in its units: metres, mm², volts, amperes, watts, ohms, hours, °C. ``None``
means *not in the file*, which is not the same as no, nothing or zero.

Every record ends with ``common`` (what every row may hold), the ``file`` it was
read from, and ``line`` and ``column`` there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from html import escape
from typing import Any

from harnesscheck.model.places import NOWHERE, Place, Source
from harnesscheck.trade.colours import Colour
from harnesscheck.trade.sizes import Size

Hours = tuple[float, ...]  # one number, or best, likely, worst


@dataclass(frozen=True, slots=True)
class Common:
    """What every row may hold. ``partial`` is set by ``configure``: the row covers part of the build dates.

    ``apart`` are options that are never there with the row because of their families; the reader works them out.
    """

    note: str | None = None
    source: str | None = None
    photo: str | None = None
    option: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    built_from: str | None = None
    built_to: str | None = None
    was: str | None = None
    partial: bool = False
    apart: tuple[str, ...] = ()


NO_COMMON = Common()


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What all records share: where they were read."""

    common: Common = NO_COMMON
    file: Source = NOWHERE
    line: int = 0
    column: int = 0

    @property
    def place(self) -> Place:
        """The place of the row, made on demand."""
        return Place(self.file.path, self.line, self.column, self.file.sheet)


@dataclass(frozen=True, slots=True, kw_only=True)
class Header(Record):
    """The vehicle: one row a netlist. ``version`` is what a person chose of it beside the file, in words."""

    vehicle: str | None = None
    model_year: int | None = None
    colour_code: str | None = None
    volts: float | None = None
    version: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Option(Record):
    """An option this vehicle was built with, or could have been (``fitted`` is no)."""

    id: str
    name: str | None = None
    family: str | None = None
    fitted: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit(Record):
    """A function that wires carry."""

    id: str
    function: str | None = None
    class_: str | None = None
    system: str | None = None
    critical: bool | None = None
    signal: str | None = None
    level: float | None = None
    bus: str | None = None
    insulation: str | None = None
    ambient: float | None = None
    bundle: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Harness(Record):
    """One loom."""

    id: str
    name: str | None = None
    at: str | None = None
    out_hours: Hours | None = None
    in_hours: Hours | None = None
    after: tuple[str, ...] = ()
    insulation: str | None = None
    ambient: float | None = None
    bundle: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Splice(Record):
    """A joint in a harness."""

    id: str
    harness: str | None = None
    name: str | None = None
    at: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground(Record):
    """A stud on a metal part; ``on`` is None for the body."""

    id: str
    name: str | None = None
    at: str | None = None
    on: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Component(Record):
    """What a harness plugs into."""

    id: str
    name: str | None = None
    at: str | None = None
    system: str | None = None
    critical: bool | None = None
    out_hours: Hours | None = None
    in_hours: Hours | None = None
    after: tuple[str, ...] = ()
    kind: str | None = None
    volts: float | None = None
    amps: float | None = None
    watts: float | None = None
    ohms: float | None = None
    rating: float | None = None
    type: str | None = None
    polar: bool | None = None
    duty: str | None = None
    stall: float | None = None
    inrush: float | None = None
    min_volts: float | None = None
    running_volts: float | None = None
    pick_up: float | None = None
    drop_out: float | None = None
    curve: str | None = None
    pulses: str | None = None
    key: bool | None = None
    with_: str | None = None
    coded: str | None = None
    safety: bool | None = None
    part_number: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector(Record):
    """One plug half. ``cavities`` holds every cavity's name, or None where the file does not list them."""

    id: str
    component: str | None = None
    harness: str | None = None
    name: str | None = None
    at: str | None = None
    part_number: str | None = None
    cavities: tuple[str, ...] | None = None
    half: str | None = None
    keyway: str | None = None
    housing_colour: str | None = None
    mates: str | None = None
    complete: bool | None = None
    contact: str | None = None
    sealed: bool | None = None
    cavity_plugs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin(Record):
    """One wire end in a cavity, or one terminal of a component.

    Exactly one of ``connector`` (with ``cavity``) and ``component`` (a terminal
    wired or grounded without a plug) is set.
    """

    connector: str | None = None
    component: str | None = None
    function: str | None = None
    circuit: str | None = None
    signal: str | None = None
    level: float | None = None
    bus: str | None = None
    ohms: float | None = None
    part_number: str | None = None
    cavity: str | None = None
    terminal: str | None = None
    role: str | None = None
    via: str | None = None
    colour: Colour | None = None
    size: Size | None = None
    to: str | None = None
    length: float | None = None
    wire_number: str | None = None
    cable: str | None = None
    pair: str | None = None
    shield: str | None = None
    contact: str | None = None
    sealed: bool | None = None
    seal: str | None = None
    insulation: str | None = None
    ambient: float | None = None
    bundle: float | None = None

    @property
    def is_case(self) -> bool:
        """Whether it joins a part's terminal without a plug and with nothing said of a wire: through the case."""
        return self.connector is None and not (self.length or self.size or self.ohms or self.colour)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside(Record):
    """A joint, contact, load, fuse or diode inside a component."""

    component: str
    from_: str
    to: str
    id: str | None = None
    critical: bool | None = None
    amps: float | None = None
    watts: float | None = None
    ohms: float | None = None
    rating: float | None = None
    type: str | None = None
    polar: bool | None = None
    duty: str | None = None
    stall: float | None = None
    inrush: float | None = None
    min_volts: float | None = None
    when: tuple[str, ...] = ()
    load: str | None = None
    fuse: float | None = None
    diode: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire(Record):
    """A wire with no cavity at either end."""

    from_: str
    to: str
    harness: str | None = None
    function: str | None = None
    circuit: str | None = None
    ohms: float | None = None
    part_number: str | None = None
    colour: Colour | None = None
    size: Size | None = None
    length: float | None = None
    wire_number: str | None = None
    cable: str | None = None
    pair: str | None = None
    shield: str | None = None
    insulation: str | None = None
    ambient: float | None = None
    bundle: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LidFuse(Record):
    """One line of the fuse-box lid: when the fuse is live and which circuits it feeds."""

    id: str
    rating: float | None = None
    type: str | None = None
    live: str | None = None
    feeds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Run(Record):
    """The length along the loom between two places in the car."""

    from_: str
    to: str
    length: float


AnyRecord = (
    Header | Option | Circuit | Harness | Splice | Ground | Component | Connector | Pin | Inside | Wire | LidFuse | Run
)

RECORD_OF: dict[str, type[Any]] = {
    "netlist": Header, "option": Option, "circuit": Circuit, "harness": Harness, "splice": Splice,
    "ground": Ground, "component": Component, "connector": Connector, "pin": Pin, "inside": Inside,
    "wire": Wire, "fuse": LidFuse, "place": Run,
}  # fmt: skip
"""The record for each sort of row of ``harnesscheck.fields.ROWS``."""

TABLE_OF: dict[str, str] = {
    "option": "options", "circuit": "circuits", "harness": "harnesses", "splice": "splices",
    "ground": "grounds", "component": "components", "connector": "connectors", "pin": "pins",
    "inside": "insides", "wire": "wires", "fuse": "lid", "place": "runs",
}  # fmt: skip
"""The slot of ``Netlist`` that holds each sort of row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Netlist:
    """Everything one file, folder or workbook says about one vehicle, options and build dates not yet applied.

    ``digest`` is of the bytes it was read from, 12 hexadecimal digits; empty of a netlist that was made otherwise.
    """

    header: Header = Header()
    options: tuple[Option, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    harnesses: tuple[Harness, ...] = ()
    splices: tuple[Splice, ...] = ()
    grounds: tuple[Ground, ...] = ()
    components: tuple[Component, ...] = ()
    connectors: tuple[Connector, ...] = ()
    pins: tuple[Pin, ...] = ()
    insides: tuple[Inside, ...] = ()
    wires: tuple[Wire, ...] = ()
    lid: tuple[LidFuse, ...] = ()
    runs: tuple[Run, ...] = ()
    digest: str = field(default="", compare=False)

    @property
    def name(self) -> str:
        """What to call the car: its own name and model year, else the file it came from."""
        words = [self.header.vehicle or self.header.file.path or "vehicle"]
        if self.header.model_year:
            words.append(str(self.header.model_year))
        return " ".join(words)

    def __repr__(self) -> str:
        return f"<Netlist: {self.name}, {len(self.connectors)} connectors, {len(self.pins)} pins>"

    def _repr_html_(self) -> str:
        """For a notebook: how many rows there are of each sort."""
        counts = [(slot, len(getattr(self, slot))) for slot in TABLE_OF.values()]
        rows = "".join(f"<tr><td>{slot}</td><td>{count}</td></tr>" for slot, count in counts if count)
        return f"<table><caption>{escape(self.name)}</caption><tbody>{rows}</tbody></table>"

    def rows(self) -> Iterator[AnyRecord]:
        """Every record, sort by sort, in file order."""
        yield self.header
        for slot in fields(self):
            if slot.name not in ("header", "digest"):
                yield from getattr(self, slot.name)
