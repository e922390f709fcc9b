"""Writes small KBL files (VDA 4964) of our own, to read them with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

NAMESPACE = "http://www.prostep.org/Car_electric_container/KBL2.3/KBLSchema"
Spot = tuple[str, str]  # a plug's key, and a contact point's


@dataclass
class Plug:
    """A connector occurrence: contact points by key with their cavities, slots by name with theirs."""

    id: str
    contacts: Mapping[str, Sequence[str]] = field(default_factory=dict)
    slots: Mapping[str, Sequence[str]] = field(default_factory=lambda: {"A": ("1",)})
    usage: str = ""
    words: str = ""
    parts: Mapping[str, str] = field(default_factory=dict)  # contact to ids of terminals and seals
    blanks: Sequence[str] = ()  # cavities with a cavity plug
    box: bool = False
    key: str = ""


@dataclass
class Wire:
    """A connection and its wire, or a core of the cable it names."""

    number: str
    ends: Sequence[tuple[str, str, str]]  # position, plug, contact
    signal: str = ""
    colours: Sequence[tuple[str, str]] = ()
    size: str = ""
    lengths: Mapping[str, str] = field(default_factory=dict)
    cable: str = ""


def tag(name: str, *inside: str, id: str = "", kind: str = "") -> str:
    """One element."""
    own = (f' id="{id}"' if id else "") + (f' xsi:type="kbl:{kind}"' if kind else "")
    return f"<{name}{own}>{''.join(inside)}</{name}>"


def says(name: str, text: str) -> str:
    """An element that holds a text."""
    return f"<{name}>{escape(text)}</{name}>"


def _value(unit: str, text: str) -> str:
    return says("Unit_component", unit) + says("Value_component", text)


def _part(name: str, id: str, number: str, *inside: str) -> str:
    return tag(name, says("Part_number", number), says("Company_name", "/NULL"), *inside, id=id)


def _plug(plug: Plug) -> tuple[str, str]:
    """The housing and the occurrence."""
    key = plug.key or plug.id
    place = {name: f"{key}.{slot}.{name}" for slot, names in reversed(list(plug.slots.items())) for name in names} | {
        f"{slot}/{name}": f"{key}.{slot}.{name}" for slot, names in plug.slots.items() for name in names
    }
    housing, own = [], []
    for slot, names in plug.slots.items():
        cells = (tag("Cavities", says("Cavity_number", name), id=f"h.{key}.{slot}.{name}") for name in names)
        housing.append(tag("Slots", says("Id", slot), *cells, id=f"h.{key}.{slot}"))
        blank = {name: says("Associated_plug", "plug1") if name in plug.blanks else "" for name in names}
        cells = (
            tag("Cavities", says("Part", f"h.{key}.{slot}.{name}"), blank[name], id=f"{key}.{slot}.{name}")
            for name in names
        )
        own.append(tag("Slots", says("Part", f"h.{key}.{slot}"), *cells, id=f"{key}.{slot}"))
    points = [
        tag(
            "Contact_points",
            says("Id", point),
            says("Associated_parts", plug.parts[point]) if point in plug.parts else "",
            says("Contacted_cavity", " ".join(place[name] for name in names)),
            id=f"p.{key}.{point}",
        )
        for point, names in plug.contacts.items()
    ]
    about = [says("Id", plug.id), says("Description", plug.words or "/NULL")]
    if plug.box:
        part = _part("Component_box", f"h.{key}", f"BOX-{key}", tag("Component_box_connectors", *housing))
        sockets = tag("Component_box_connectors", *own, id=f"{key}.sockets")
        return part, tag("Component_box_occurrence", *about, says("Part", f"h.{key}"), *points, sockets, id=key)
    usage = says("Usage", plug.usage) if plug.usage else ""
    part = _part("Connector_housing", f"h.{key}", f"HSG-{key}", *housing)
    return part, tag("Connector_occurrence", *about, usage, says("Part", f"h.{key}"), *points, *own, id=key)


def _wire(wire: Wire, number: int) -> tuple[str, str, str]:
    """The part, the occurrence, the connection; a core's are put into its cable."""
    kind = "Core_colour" if wire.cable else "Cover_colour"
    colours = [tag(kind, says("Colour_type", a), says("Colour_value", b)) for a, b in wire.colours]
    size = tag("Cross_section_area", _value("mm2", wire.size)) if wire.size else ""
    lengths = [
        tag("Length_information", says("Length_type", a), tag("Length_value", _value("mm", b)))
        for a, b in wire.lengths.items()
    ]
    ends = [
        tag("Extremities", says("Position_on_wire", at), says("Contact_point", f"p.{plug}.{point}"))
        for at, plug, point in wire.ends
    ]
    signal = says("Signal_name", wire.signal) if wire.signal else ""
    connection = tag("Connection", signal, says("Wire", f"w{number}"), *ends, id=f"n{number}") if ends else ""
    if wire.cable:
        part = tag("Core", size, *colours, id=f"gw{number}")
        own = tag(
            "Core_occurrence", says("Wire_number", wire.number), says("Part", f"gw{number}"), *lengths, id=f"w{number}"
        )
        return part, own, connection
    part = _part("General_wire", f"gw{number}", f"W-{number}", size, *colours)
    inside = (says("Part", f"gw{number}"), *lengths, says("Wire_number", wire.number))
    return part, tag("General_wire_occurrence", *inside, id=f"w{number}", kind="Wire_occurrence"), connection


def module(name: str, ids: Iterable[str], family: str = "") -> str:
    """A module and what it controls."""
    of = says("Of_family", family) if family else ""
    controls = tag("Module_configuration", says("Controlled_components", " ".join(ids)))
    return tag("Module", says("Part_number", name), says("Description", f"all of {name}"), of, controls, id=f"m.{name}")


def configuration(name: str, modules: Iterable[str]) -> str:
    """A configuration that lists modules."""
    listed = says("Modules", " ".join(f"m.{one}" for one in modules))
    return tag("Harness_configuration", says("Part_number", name), listed, id=f"c.{name}")


def kbl_text(
    plugs: Sequence[Plug], wires: Sequence[Wire], *more: str, loom: str = "LOOM-1", words: str = "", car: str = "/NULL"
) -> str:
    """A whole file, ``more`` inside its harness; wire n has the ids ``w n`` and ``n n``, counted from 0."""
    parts, rows = [], []
    cables: dict[str, tuple[list[str], list[str]]] = {}
    for plug in plugs:
        part, own = _plug(plug)
        parts.append(part)
        rows.append(own)
    for number, wire in enumerate(wires):
        part, own, connection = _wire(wire, number)
        rows.append(connection)
        if wire.cable:
            cores = cables.setdefault(wire.cable, ([], []))
            cores[0].append(part)
            cores[1].append(own)
        else:
            parts.append(part)
            rows.append(own)
    for name, (core_parts, cores) in cables.items():
        jacket = tag("Cover_colour", says("Colour_type", "base colour"), says("Colour_value", "GY"))
        parts.append(_part("General_wire", f"g.{name}", f"CABLE-{name}", *core_parts, jacket))
        inside = (says("Part", f"g.{name}"), says("Special_wire_id", name), *cores)
        rows.append(tag("General_wire_occurrence", *inside, id=f"o.{name}", kind="Special_wire_occurrence"))
    metre = says("Si_unit_name", "metre") + says("Si_prefix", "milli")
    units = tag("Unit", metre, id="mm") + tag("Unit", metre, says("Si_dimension", "square"), id="mm2")
    crimped = "".join(
        (
            _part("General_terminal", "tpart", "TERM-28"),
            _part("Cavity_seal", "spart", "SEAL-7"),
            _part("Cavity_plug", "ppart", "BLANK 3"),
        )
    )
    used = "".join(
        (
            tag("Terminal_occurrence", says("Part", "tpart"), id="term1"),
            tag("Cavity_seal_occurrence", says("Part", "spart"), id="seal1"),
            tag("Cavity_plug_occurrence", says("Part", "ppart"), id="plug1"),
        )
    )
    about = says("Part_number", loom) + says("Description", words or "/NULL")
    about += says("Car_classification_level_2", car) + says("Model_year", "/NULL")
    harness = tag("Harness", about, *rows, used, *more, id="H")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<?made by="a test" <Connection>?>\n'
        f'<kbl:KBL_container id="c" version_id="2.4" xmlns:kbl="{NAMESPACE}" '
        f'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">{"".join(parts)}{crimped}{harness}{units}'
        "</kbl:KBL_container>\n"
    ).replace("><", ">\n<")
