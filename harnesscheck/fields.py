"""The one definition of every field a netlist can hold.

Attributes of the XML form, columns of the table form, record slots, the shipped
schema and the templates are all generated from, or tested against, ``FIELDS``.
This module imports nothing of ours and reads nothing.

A *row* is one element of the XML form or one line of a table. ``ROWS`` gives,
for each sort of row, its XML element, its table, what it may stand inside, and
which fields together tell it apart from its neighbours.
"""

from __future__ import annotations

import keyword
from dataclasses import dataclass
from enum import Enum

NAMESPACE = "urn:harnesscheck:netlist:1"


class Type(Enum):
    """How the text of a field is read."""

    TEXT = "text"
    ID = "id"  # names a row; no white space, no colon, not a path
    REF = "ref"  # the id of another row
    REFS = "refs"  # ids, white space between
    END = "end"  # ``C7:3``, a splice or a ground point
    CAVITY = "cavity"  # the name of a cavity: text without white space or colon
    CAVITIES = "cavities"  # a count, or a list of names and ranges
    COLOUR = "colour"  # base/stripe in the netlist's colour code
    SIZE = "size"  # mm², or a gauge
    LENGTH = "length"  # m, or a number with its unit
    NUMBER = "number"  # not negative
    TEMPERATURE = "temperature"  # °C, may be negative
    HOURS = "hours"  # one number, or best likely worst
    YES_NO = "yes-no"
    CHOICE = "choice"
    MONTH = "month"  # 2013-08
    YEAR = "year"
    WORDS = "words"  # words, white space between
    LIST = "list"  # one entry for each cavity, commas between


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its name in files, its type, the sorts of row it applies to, its unit, its choices."""

    name: str
    type: Type
    on: tuple[str, ...]
    help: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    required_on: tuple[str, ...] = ()

    @property
    def slot(self) -> str:
        """The name of the record slot: dashes become underscores, Python's own words get one behind."""
        name = self.name.replace("-", "_")
        return name + "_" if keyword.iskeyword(name) else name


@dataclass(frozen=True, slots=True)
class RowSort:
    """One sort of row: XML element and table name, allowed parents in XML, and its identifying fields."""

    name: str
    table: str
    parents: tuple[str, ...]
    key: tuple[str, ...]


ROWS: tuple[RowSort, ...] = (
    RowSort("netlist", "vehicle", (), ()),
    RowSort("option", "options", ("netlist",), ("id",)),
    RowSort("circuit", "circuits", ("netlist",), ("id",)),
    RowSort("harness", "harnesses", ("netlist",), ("id",)),
    RowSort("splice", "splices", ("netlist",), ("id",)),
    RowSort("ground", "grounds", ("netlist",), ("id",)),
    RowSort("component", "components", ("netlist",), ("id",)),
    RowSort("connector", "connectors", ("netlist", "component"), ("id",)),
    RowSort("pin", "pins", ("connector", "component"), ("connector", "component", "cavity", "terminal", "to")),
    RowSort("inside", "inside", ("component",), ("component", "from", "to", "when", "load", "id")),
    RowSort("wire", "wires", ("netlist",), ("harness", "from", "to", "circuit")),
    RowSort("fuse", "fuses", ("netlist",), ("id",)),
    RowSort("place", "places", ("netlist",), ("from", "to")),
)
ROW_NAMES: tuple[str, ...] = tuple(row.name for row in ROWS)
BELOW_NETLIST: tuple[str, ...] = ROW_NAMES[1:]

KINDS = (
    "battery", "alternator", "fuse", "fusible-link", "breaker", "relay", "switch", "lamp", "motor", "heater",
    "solenoid", "sounder", "sensor", "module", "diode", "resistor", "connector-only", "other",
)  # fmt: skip
ROLES = (
    "source", "supply", "ground", "input", "output", "output-high", "output-low", "sense", "return", "data",
    "reference",
)  # fmt: skip
CLASSES = (
    "permanent", "accessory", "run", "start", "feed", "ground", "return", "reference", "signal", "data", "restraint",
    "high-voltage",
)  # fmt: skip
KEY_POSITIONS = ("off", "accessory", "run", "start")
COLOUR_CODES = ("iec60757", "din", "jis", "sae")
SIGNALS = ("switched", "analogue", "pulse", "pwm", "lin", "can", "audio")
HALVES = ("pins", "sockets")
INSULATIONS = ("pvc", "pvc-90", "pvc-105", "xlpe", "rubber", "silicone", "ptfe")

_T = Type
_WIRED = ("pin", "wire")

FIELDS: tuple[Field, ...] = (
    # -- what names a row, and what it belongs to
    Field("id", _T.ID,
          ("option", "circuit", "harness", "splice", "ground", "component", "connector", "inside", "fuse"),
          "what the row is called, unique in the netlist",
          required_on=("option", "circuit", "harness", "splice", "ground", "component", "connector", "fuse")),
    Field("connector", _T.REF, ("pin",), "the connector the cavity is in"),
    Field("component", _T.REF, ("connector", "pin", "inside"), "the component that owns it",
          required_on=("inside",)),
    Field("harness", _T.REF, ("splice", "connector", "wire"), "the harness that owns it"),
    Field("name", _T.TEXT, ("option", "harness", "splice", "ground", "component", "connector"), "in plain words"),
    Field("at", _T.TEXT, ("harness", "splice", "ground", "component", "connector"), "the place in the car"),
    # -- options
    Field("family", _T.REF, ("option",), "a vehicle has one of these at most; in option=: any of them"),
    Field("fitted", _T.YES_NO, ("option",), "no: a sibling or option that this vehicle does not have"),
    # -- the vehicle
    Field("vehicle", _T.TEXT, ("netlist",), "what the vehicle is called"),
    Field("model-year", _T.YEAR, ("netlist",), "the model year"),
    Field("colour-code", _T.CHOICE, ("netlist",), "the style every colour in the file is written in",
          choices=COLOUR_CODES),
    Field("base", _T.TEXT, ("netlist",), "another netlist this one only changes"),
    # -- circuits
    Field("function", _T.TEXT, ("circuit", "pin", "wire"), "what the circuit is for; free text, joins nothing"),
    Field("class", _T.CHOICE, ("circuit",), "what the maker says the net is", choices=CLASSES),
    Field("system", _T.TEXT, ("circuit", "component"), "the system; restraint and high-voltage are special"),
    Field("critical", _T.YES_NO, ("circuit", "component", "inside"), "whether the car must not run without it"),
    Field("circuit", _T.ID, _WIRED, "the function the wire carries, by the maker's name"),
    Field("signal", _T.CHOICE, ("circuit", "pin"), "the sort of signal", choices=SIGNALS),
    Field("level", _T.NUMBER, ("circuit", "pin"), "the volts an input expects", unit="V"),
    Field("bus", _T.TEXT, ("circuit", "pin"), "the data bus it is part of"),
    # -- harnesses and work
    Field("out-hours", _T.HOURS, ("harness", "component"), "hours to take it out", unit="h"),
    Field("in-hours", _T.HOURS, ("harness", "component"), "hours to put it in", unit="h"),
    Field("after", _T.REFS, ("harness", "component"), "what must be in first"),
    # -- grounds
    Field("on", _T.TEXT, ("ground", "connector"),
          "ground: the metal part it is on (body when left out); connector: the component it plugs into, or the ground "
          "it is bolted to"),
    # -- components
    Field("kind", _T.CHOICE, ("component", "connector"), "the sort of component", choices=KINDS),
    Field("volts", _T.NUMBER, ("netlist", "component"), "the volts a rating is given at", unit="V"),
    Field("amps", _T.NUMBER, ("component", "inside"), "current drawn", unit="A"),
    Field("watts", _T.NUMBER, ("component", "inside"), "power drawn", unit="W"),
    Field("ohms", _T.NUMBER, ("component", "inside", "pin", "wire"), "resistance", unit="Ω"),
    Field("rating", _T.NUMBER, ("component", "inside", "fuse"), "the rating of a fuse", unit="A"),
    Field("type", _T.TEXT, ("component", "inside", "fuse"), "the form of a fuse"),
    Field("polar", _T.YES_NO, ("component", "inside"), "whether it must be fed the right way round"),
    Field("duty", _T.CHOICE, ("component", "inside"), "how long it is on", choices=("continuous", "short")),
    Field("stall", _T.NUMBER, ("component", "inside"), "current when held still", unit="A"),
    Field("inrush", _T.NUMBER, ("component", "inside"), "current when switched on", unit="A"),
    Field("min-volts", _T.NUMBER, ("component", "inside"), "the volts below which it does not work", unit="V"),
    Field("running-volts", _T.NUMBER, ("component",), "the volts an alternator holds", unit="V"),
    Field("pick-up", _T.NUMBER, ("component",), "the voltage at which a relay pulls in, of nominal", unit="%"),
    Field("drop-out", _T.NUMBER, ("component",), "the voltage at which a relay lets go, of nominal", unit="%"),
    Field("curve", _T.TEXT, ("component",), "a sender's scale, as value:ohms pairs"),
    Field("pulses", _T.TEXT, ("component",), "a sender's pulses a turn or a mile"),
    Field("key", _T.YES_NO, ("component",), "marks the ignition switch"),
    Field("with", _T.REF, ("component",), "the harness it cannot be separated from"),
    Field("coded", _T.TEXT, ("component",), "all parts of one tag must come from one car"),
    Field("safety", _T.YES_NO, ("component",), "an interlock, never bridged"),
    Field("part-number", _T.TEXT, ("component", "connector", "pin", "wire"), "the maker's part number"),
    # -- connectors
    Field("cavities", _T.CAVITIES, ("connector",), "how many cavities, or their names"),
    Field("half", _T.CHOICE, ("connector",), "which contacts it holds", choices=HALVES),
    Field("keyway", _T.TEXT, ("connector",), "the coding of the housing"),
    Field("housing-colour", _T.TEXT, ("connector",), "the colour of the housing"),
    Field("mates", _T.REF, ("connector",), "the connector it plugs into"),
    Field("complete", _T.YES_NO, ("connector",), "no: a cavity without a row is not known, instead of empty"),
    Field("mirror", _T.YES_NO, ("connector",), "yes: its cavities carry what the mate's carry, colours not known"),
    Field("like", _T.REF, ("connector",), "takes what is not written here from that connector"),
    Field("part", _T.TEXT, ("component", "connector"), "a shipped generic part"),
    # -- its cavities in one row; each list is written out as rows of pins
    Field("circuits", _T.LIST, ("connector",), "the circuits in its cavities, in their order"),
    Field("functions", _T.LIST, ("connector",), "what the wires in its cavities are for"),
    Field("colours", _T.LIST, ("connector",), "the colours of the wires in its cavities"),
    Field("sizes", _T.LIST, ("connector",), "the sizes of its wires; one entry stands for all"),
    Field("ends", _T.LIST, ("connector",), "where its wires go"),
    Field("lengths", _T.LIST, ("connector",), "how long its wires are; one entry stands for all"),
    Field("terminals", _T.LIST, ("connector",), "the terminals of the component behind its cavities"),
    Field("roles", _T.LIST, ("connector",), "what the component does at its cavities"),
    Field("ratings", _T.LIST, ("connector",),
          "of a fuse box: the ratings of the fuses behind its cavities, fed from its one supply", unit="A"),
    Field("positions", _T.LIST, ("connector",),
          "of a switch: the positions in which each cavity is joined to its supply"),
    Field("loads", _T.LIST, ("connector",),
          "of a lamp with several filaments and the like: the loads from its cavities to its ground"),
    # -- cavities and wires
    Field("cavity", _T.CAVITY, ("pin",), "the numbered hole"),
    Field("terminal", _T.TEXT, ("pin",), "the named pin of the component"),
    Field("role", _T.CHOICE, ("pin",), "what the component does there", choices=ROLES),
    Field("via", _T.TEXT, ("pin",), "the supply or ground terminal an output switches"),
    Field("colour", _T.COLOUR, _WIRED, "the colour of the wire, base/stripe"),
    Field("size", _T.SIZE, _WIRED, "cross-section in mm² or a gauge", unit="mm²"),
    Field("from", _T.END, ("wire",), "one end", required_on=("wire",)),
    Field("from", _T.TEXT, ("inside", "place"), "inside: a terminal; place: where the stretch of loom begins",
          required_on=("inside", "place")),
    Field("to", _T.END, ("pin", "wire"), "the other end", required_on=("wire",)),
    Field("to", _T.TEXT, ("inside", "place"), "inside: a terminal; place: where the stretch of loom ends",
          required_on=("inside", "place")),
    Field("length", _T.LENGTH, ("pin", "wire", "place"), "length in m, or with its unit", unit="m",
          required_on=("place",)),
    Field("wire-number", _T.TEXT, _WIRED, "the wire's own number; wires of one circuit may have different ones"),
    Field("cable", _T.TEXT, _WIRED, "groups the wires of one cable"),
    Field("pair", _T.TEXT, _WIRED, "groups the wires of one twisted pair"),
    Field("shield", _T.TEXT, _WIRED, "the shield the wire is in"),
    Field("contact", _T.TEXT, ("connector", "pin"), "the contact's size in mm", unit="mm"),
    Field("sealed", _T.YES_NO, ("connector", "pin"), "whether it is sealed"),
    Field("seal", _T.TEXT, ("pin",), "the part number of the seal on the wire"),
    Field("cavity-plugs", _T.WORDS, ("connector",), "the cavities closed with a cavity plug, as 3 or 3=part number"),
    Field("insulation", _T.CHOICE, ("harness", "circuit", "pin", "wire"), "the insulation", choices=INSULATIONS),
    Field("ambient", _T.TEMPERATURE, ("harness", "circuit", "pin", "wire"), "the temperature around", unit="°C"),
    Field("bundle", _T.NUMBER, ("harness", "circuit", "pin", "wire"), "how many loaded wires lie together"),
    # -- inside a component
    Field("when", _T.WORDS, ("inside",), "the positions in which it is joined; always when left out"),
    Field("load", _T.TEXT, ("inside",), "names a load of its own"),
    Field("fuse", _T.NUMBER, ("inside",), "the rating of a fuse inside a box", unit="A"),
    Field("diode", _T.YES_NO, ("inside",), "conducts from its from to its to only"),
    # -- the fuse-box lid
    Field("live", _T.CHOICE, ("fuse",), "when the fuse is live", choices=("permanent", "accessory", "run", "start")),
    Field("feeds", _T.WORDS, ("fuse",), "the circuits it feeds"),
    # -- allowed on every row
    Field("note", _T.TEXT, ROW_NAMES, "anything worth knowing"),
    Field("source", _T.TEXT, ROW_NAMES, "where it was read or seen"),
    Field("photo", _T.TEXT, ROW_NAMES, "a file beside the netlist"),
    Field("option", _T.REFS, BELOW_NETLIST, "the row is there only in vehicles with all of these; a|b: with a or b"),
    Field("without", _T.REFS, BELOW_NETLIST, "the row is there only in vehicles with none of these"),
    Field("built-from", _T.MONTH, ROW_NAMES, "first build month"),
    Field("built-to", _T.MONTH, ROW_NAMES, "last build month"),
    Field("drop", _T.YES_NO, BELOW_NETLIST, "takes the row out of the base"),
    Field("was", _T.TEXT, BELOW_NETLIST, "what it was called in the car it came from"),
)  # fmt: skip

EXAMPLES = {
    "id": "C12", "connector": "C12", "component": "fuel-pump", "harness": "body", "name": "Fuel pump",
    "at": "left kick panel", "vehicle": "Linnet library van", "model-year": "2014", "colour-code": "din",
    "base": "van-2014.xml", "function": "permanent feed", "class": "permanent", "system": "fuel", "critical": "yes",
    "circuit": "FP", "signal": "switched", "level": "5", "bus": "CAN1", "out-hours": "1 2 4", "in-hours": "2.5",
    "after": "dash floor", "on": "engine", "kind": "motor", "volts": "12", "amps": "7.5", "watts": "55", "ohms": "60",
    "rating": "15", "type": "blade", "polar": "yes", "duty": "short", "stall": "20", "inrush": "30", "min-volts": "9",
    "running-volts": "14.2", "pick-up": "60", "drop-out": "20", "curve": "full:10 empty:180", "pulses": "4 a turn",
    "key": "yes", "with": "engine", "coded": "immobiliser", "safety": "yes", "part-number": "4711 B", "cavities": "16",
    "half": "pins", "keyway": "A", "housing-colour": "black", "mates": "C12H", "complete": "no", "mirror": "yes",
    "like": "C11", "circuits": "FP, 31, empty", "functions": "fuel pump feed; ground; empty",
    "colours": "RD/BK, BN, empty", "sizes": "1.5", "ends": "S3, G2, empty", "lengths": "0.4, 1.2, empty",
    "terminals": "30, 87, 87a", "roles": "supply, ground, empty",
    "ratings": "15, 7.5, empty",
    "positions": "empty, slow, fast", "loads": "tail lamp, brake lamp, empty",
    "part": "relay-changeover", "cavity": "4", "terminal": "30", "role": "supply", "via": "30",
    "colour": "RD/BK", "size": "1.5", "from": "S3", "to": "S3", "wire.to": "G2", "inside.from": "30", "inside.to": "87",
    "place.from": "left kick panel", "place.to": "rear left",
    "option.id": "tow-bar", "circuit.id": "FP", "harness.id": "body", "splice.id": "S3", "ground.id": "G2",
    "component.id": "fuel-pump", "inside.id": "F12", "fuse.id": "F12", "connector.on": "fuel-pump",
    "harness.name": "Body harness", "connector.name": "Sill, left", "option.name": "Tow bar",
    "family": "tow-bars", "fitted": "no",
    "length": "2.4", "wire-number": "101", "seal": "4711-7", "cavity-plugs": "3 8=4711-5",
    "cable": "K7", "pair": "CAN1",
    "shield": "SH2", "contact": "2.8", "sealed": "yes", "insulation": "pvc", "ambient": "80", "bundle": "12",
    "when": "run start", "load": "fast", "fuse": "15", "diode": "yes", "live": "run", "feeds": "FP HN",
    "note": "cut by the last owner", "source": "manual, page 61", "photo": "c12.jpg", "option": "tow-bar",
    "without": "tow-bar", "built-from": "2013-08", "built-to": "2014-07", "drop": "yes", "was": "C12",
}  # fmt: skip
"""What may stand in a field, by its name; by ``row.name`` where one name means two things."""

COLUMNS_SHEET, CHOICES_SHEET = "columns", "choices"
"""The sheets of our workbooks that hold no rows: what the columns ask for, and what the drop-downs offer."""

LISTED = {
    "circuits": "circuit", "functions": "function", "colours": "colour", "sizes": "size", "ends": "to",
    "lengths": "length", "terminals": "terminal", "roles": "role",
}  # fmt: skip
"""The lists of a connector's row, and the field of a pin that each is of."""

INSIDES = {"ratings": ("fuse", "supply"), "positions": ("when", "supply"), "loads": ("load", "ground")}
"""The lists of what is inside a part: the field of an inside row, and the role of the terminal they are joined to."""

COMMON = ("note", "source", "photo", "option", "without", "built-from", "built-to", "was")


def fields_of(row: str) -> tuple[Field, ...]:
    """The fields that apply to one sort of row, in the order they are written."""
    return tuple(field for field in FIELDS if row in field.on)


def example_of(row: str, field: Field) -> str:
    """Something that may stand in a field of one sort of row."""
    return EXAMPLES.get(f"{row}.{field.name}", EXAMPLES[field.name])


def dashed(text: str) -> str:
    """A name of ours as a person may write it: ``New wire per_metre`` is ``new-wire-per-metre``.

    >>> dashed("Feed to ground")
    'feed-to-ground'
    """
    return "-".join(text.casefold().replace("_", " ").replace("-", " ").split())


def row_sort(name: str) -> RowSort:
    """The sort of row of that XML name; raises KeyError for any other."""
    for row in ROWS:
        if row.name == name:
            return row
    raise KeyError(name)
