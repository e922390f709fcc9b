"""Reads KBL files (open standard VDA 4964) as the harness of one car, a file or a folder of them.

A connector occurrence is a plug of the harness; by its usage it is a splice, or
a ring terminal (a plug with one contact that goes on whatever it is bolted to).
One contact point is one potential. Contact points that share a cavity are
variants of each other, not joined: where more than one is left, each becomes a
joint of its own and the cavity is not known. What is on a plug (the car's
parts, their roles) is not in such a file; a further file of ours fills it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from harnesscheck.model.order import natural_key
from harnesscheck.model.places import Source
from harnesscheck.read.build import Begin, Take
from harnesscheck.read.conditions import OR
from harnesscheck.read.faults import Faults
from harnesscheck.read.kblparts import (
    Names,
    clean,
    colour_text_of,
    length_m,
    length_type,
    number_text,
    size_text,
    slot_names,
)
from harnesscheck.read.kbltree import VERSIONS, Element, kbl_tree
from harnesscheck.read.kblvariant import Variant, choose
from harnesscheck.read.limits import Limits
from harnesscheck.read.values import Origin, Typer

Texts = dict[str, str]
SPLICE, RING = "splice", "ring terminal"
_UNPLUGGED = {"no end": "a cut wire end, not plugged", "dangler": "a terminal without housing, not plugged"}
_YEARS = (1800, 2199)


def read_kbl(paths: Sequence[Path], faults: Faults, limits: Limits, begin: Begin, variant: Variant) -> None:
    """Hand the header of one car's KBL files to ``begin``, and every other row to what that answers with.

    Raises ``StopReading`` when it cannot go on.
    """
    trees = [kbl_tree(path, faults, limits) for path in paths]
    harnesses = []
    for path, tree in zip(paths, trees, strict=True):
        harness = tree.one("Harness")
        if harness is None:
            faults.stop(
                Origin(Source(str(path)), tree.line, tree.column).place(), "a KBL file without Harness", VERSIONS
            )
        harnesses.append(harness)
    chosen = choose([str(path) for path in paths], harnesses, variant, faults)
    untyped = Typer(faults, limits, people=True)
    first = Origin(Source(str(paths[0])), harnesses[0].line, harnesses[0].column)
    header = untyped.values("netlist", _header(harnesses[0]), first)
    take = begin(header, first)
    typer = Typer(faults, limits, header.get("colour_code"), people=True)
    names = Names()
    loom_names = Names()
    loom_rows: dict[str, list[tuple[Texts, Origin]]] = defaultdict(list)
    for module in chosen.modules:
        text = {"id": clean(module.names[0]).replace(OR, "_"), "name": module.words}
        loom_rows["option"].append((text, first))
    for path, tree, harness, gone in zip(paths, trees, harnesses, chosen.gone, strict=True):
        loom = _Loom(Source(str(path)), tree, harness, gone, faults, names, loom_names)
        for sort, texts, origin in loom.rows():
            loom_rows[sort].append((texts, origin))
    _hand_over(loom_rows, typer, take)


def _header(harness: Element) -> Texts:
    year = harness.said("Model_year") or ""
    known = year.isdecimal() and year.isascii() and _YEARS[0] <= int(year) <= _YEARS[1]
    return {"vehicle": harness.said("Car_classification_level_2") or "", "model-year": year if known else ""}


_ORDER = ("option", "circuit", "harness", "splice", "component", "connector", "pin", "wire")


def _hand_over(rows: dict[str, list[tuple[Texts, Origin]]], typer: Typer, take: Take) -> None:
    """A connector before its pins; circuits and options once."""
    for sort in _ORDER:
        seen: set[str] = set()
        for texts, origin in rows[sort]:
            if sort in ("option", "circuit"):
                if texts["id"] in seen:
                    continue
                seen.add(texts["id"])
            take(sort, typer.values(sort, texts, origin), origin)


@dataclass(slots=True)
class _Contact:
    """A contact point: where it is (a cavity of a plug, or a splice), what is crimped on, the wires it holds."""

    element: Element
    owner: str
    cavities: list[str]  # none: a joint
    parts: list[str]
    wires: int = 0
    joint: str | None = None  # of a contact that shares its cavity

    @property
    def end(self) -> str:
        """What a wire says that goes there."""
        if self.joint is not None:
            return self.joint
        return f"{self.owner}:{self.cavities[0]}" if self.cavities else self.owner

    @property
    def in_cavity(self) -> bool:
        """Whether it is a pin of a plug."""
        return self.joint is None and bool(self.cavities)


@dataclass(slots=True)
class _Plug:
    """One owner of contact points: a connector, splice, ring terminal or box."""

    element: Element
    name: str
    usage: str | None
    housing: Element | None
    cavities: list[str]
    blanks: list[str]
    contacts: list[_Contact] = field(default_factory=list)
    on: str | None = None


class _Loom:
    """One file's harness."""

    def __init__(
        self,
        source: Source,
        tree: Element,
        harness: Element,
        gone: frozenset[str],
        faults: Faults,
        names: Names,
        looms: Names,
    ) -> None:
        self._source, self._harness, self._gone, self._faults, self._names = source, harness, gone, faults, names
        self.loom = looms.give(harness.said("Part_number") or "harness")
        self._ids: dict[str, Element] = {}
        self._index(tree)
        self._contacts: dict[str, _Contact | None] = {}  # None: of something that the variant has not
        self._wires = {one.id: one for one in harness.all("General_wire_occurrence") if one.id}
        self._cable_of = {
            core.id: wire for wire in self._wires.values() for core in wire.all("Core_occurrence") if core.id
        }
        ends = [*self._wires.values(), *(core for one in self._wires.values() for core in one.all("Core_occurrence"))]
        self._length_type = length_type(ends)
        self._pairs = {
            ref: clean(one.said("Id") or "pair")
            for one in harness.all("Wiring_group")
            if any(sign in (one.said("Type") or "").lower() for sign in ("twist", "verdrill"))
            for ref in one.refs("Assigned_wire")
        }

    def _index(self, tree: Element) -> None:
        waiting = [tree]
        while waiting:
            one = waiting.pop()
            waiting.extend(one.inside)
            if one.id is None:
                continue
            first = self._ids.setdefault(one.id, one)
            if first is not one:
                self._faults.add(
                    self._at(one).place(), one.id, "id: one that no other element has", self._at(first).place()
                )

    def _at(self, one: Element) -> Origin:
        return Origin(self._source, one.line, one.column)

    def _part(self, one: Element | None, name: str = "Part") -> Element | None:
        """What an element's reference points to."""
        refs = one.refs(name) if one is not None else []
        return self._ids.get(refs[0]) if refs else None

    def rows(self) -> Iterator[tuple[str, Texts, Origin]]:
        """Every row of the loom, of all sorts as they come."""
        about = {"id": self.loom, "name": self._harness.said("Description") or ""}
        yield "harness", about, self._at(self._harness)
        plugs = list(self._plugs())
        connections = [one for one in self._harness.all("Connection") if self._is_there(one)]
        self._judge_version(connections)
        ways = [(one, self._ends(one)) for one in connections]
        for plug in plugs:
            self._part_shared(plug)
        yield from self._components(plugs)
        for plug in plugs:
            yield from self._plug_rows(plug)
        rows = [row for one, ends in ways for row in self._wire_rows(one, ends)]
        circuits = {row[1]["circuit"]: row for row in rows if "circuit" in row[1]}
        for name, (_, texts, origin) in circuits.items():
            yield "circuit", {"id": name, "function": texts.pop("function", "")}, origin
        for _, texts, _ in rows:
            if "circuit" in texts:
                texts.pop("function", None)
        yield from self._with_contacts(plugs, rows)

    def _judge_version(self, connections: Sequence[Element]) -> None:
        if connections and not any(one.one("Extremities", "Contact_point") for one in connections):
            read = "a connection without Extremities/Contact_point (KBL before 2.3 SR-1)"
            self._faults.stop(self._at(connections[0]).place(), read, VERSIONS)

    def _is_there(self, one: Element) -> bool:
        return one.id not in self._gone

    # -- plugs, splices, ring terminals, boxes

    def _plugs(self) -> Iterator[_Plug]:
        called: set[str] = set()
        for one in self._harness.inside:
            if one.name not in ("Connector_occurrence", "Component_box_occurrence"):
                continue
            if not self._is_there(one):
                self._contacts |= {point.id: None for point in one.all("Contact_points") if point.id}
                continue
            plug = self._connector(one) if one.name == "Connector_occurrence" else self._box(one)
            own = clean(one.said("Id") or "unnamed")
            if own in called and plug.usage != SPLICE:
                said = f"this id is there more than once: called {plug.name} here"
                self._faults.remarks.add(self._at(one).place(), own, said)
            called.add(own)
            yield plug

    def _connector(self, one: Element) -> _Plug:
        name = self._names.give(one.said("Id") or "unnamed")
        usage = (one.said("Usage") or "").lower() or None
        slots = list(one.all("Slots"))
        cavity_of, names, blanks = self._cavities(slots)
        plug = _Plug(one, name, usage, self._part(one), names, blanks)
        self._add_contacts(plug, one, cavity_of)
        return plug

    def _box(self, one: Element) -> _Plug:
        """A fuse box: its sockets for the harness are one plug; what joins them inside is the part's own."""
        name = self._names.give(one.said("Id") or "unnamed")
        slots = [slot for socket in one.all("Component_box_connectors") for slot in socket.all("Slots")]
        cavity_of, names, blanks = self._cavities(slots)
        plug = _Plug(one, name, None, self._part(one), names, blanks)
        self._add_contacts(plug, one, cavity_of)
        said = "a fuse box: which of its cavities are joined inside, and through which fuse, is not read"
        self._faults.remarks.add(self._at(one).place(), name, said)
        return plug

    def _cavities(self, slots: Sequence[Element]) -> tuple[dict[str, str], list[str], list[str]]:
        """The names of an occurrence's cavities by their ids, all of them, and those that hold a cavity plug."""
        parts = [self._part(slot) for slot in slots]
        inside = [list(slot.all("Cavities")) for slot in slots]
        numbers = [[self._cavity_number(one, at) for at, one in enumerate(row, 1)] for row in inside]
        called = slot_names([part.said("Id") if part else None for part in parts], numbers) if slots else []
        names: dict[str, str] = {}
        all_names: list[str] = []
        blanks: list[str] = []
        for elements, texts in zip(inside, called, strict=True):
            for one, text in zip(elements, texts, strict=True):
                while text in all_names:
                    text += "_"
                all_names.append(text)
                names[one.id or ""] = text
                if (blank := self._part(one, "Associated_plug")) is not None and self._is_there(blank):
                    number = (part.said("Part_number") if (part := self._part(blank)) is not None else None) or ""
                    blanks.append(f"{text}={''.join(number.split())}" if number else text)
        return names, all_names, blanks

    def _cavity_number(self, one: Element, at: int) -> str:
        part = self._part(one)
        return (part.said("Cavity_number") if part is not None else None) or str(at)

    def _add_contacts(self, plug: _Plug, one: Element, cavity_of: dict[str, str]) -> None:
        for point in one.all("Contact_points"):
            cavities = []
            for ref in point.refs("Contacted_cavity"):
                if ref in cavity_of:
                    cavities.append(cavity_of[ref])
                else:
                    expected = "Contacted_cavity: the id of a cavity of the same connector"
                    self._faults.add(self._at(point).place(), ref, expected)
            if plug.usage == SPLICE:
                cavities = []
            elif plug.usage == RING:
                cavities = plug.cavities[:1]
            contact = _Contact(point, plug.name, cavities, point.refs("Associated_parts"))
            plug.contacts.append(contact)
            if point.id:
                self._contacts[point.id] = contact

    def _part_shared(self, plug: _Plug) -> None:
        """Contacts of one cavity are variants of each other: kept apart, each a joint of its own."""
        if plug.usage in (SPLICE, RING):
            return
        holding: dict[str, list[_Contact]] = defaultdict(list)
        for contact in plug.contacts:
            for cavity in contact.cavities if contact.wires else ():
                holding[cavity].append(contact)
        for cavity, contacts in holding.items():
            if len(contacts) < 2:
                continue
            said = f"{len(contacts)} contacts in one cavity, of which a car has one: kept apart, {cavity} is not known"
            self._faults.remarks.add(self._at(plug.element).place(), f"{plug.name}:{cavity}", said)
            for contact in contacts:
                if contact.joint is None:
                    contact.joint = self._names.give(f"{plug.name}.{cavity}.{contacts.index(contact) + 1}")

    def _plug_rows(self, plug: _Plug) -> Iterator[tuple[str, Texts, Origin]]:
        one, origin = plug.element, self._at(plug.element)
        words = one.said("Description") or ""
        own = one.said("Id") or ""
        if plug.usage == SPLICE:
            yield "splice", {"id": plug.name, "harness": self.loom, "name": words}, origin
            return
        notes = [_UNPLUGGED.get(plug.usage or "", ""), RING if plug.usage == RING else ""]
        notes += [f"called {own} in the file"] if own and own != plug.name else []
        housing = plug.housing
        wired = {cavity for contact in plug.contacts if contact.wires for cavity in contact.cavities}
        texts = {
            "id": plug.name,
            "harness": self.loom,
            "name": words,
            "part-number": (housing.said("Part_number") if housing is not None else None) or "",
            "housing-colour": (housing.said("Housing_colour") if housing is not None else None) or "",
            "keyway": (housing.said("Housing_code") if housing is not None else None) or "",
            "cavities": _cavity_list(plug.cavities),
            "cavity-plugs": " ".join(blank for blank in plug.blanks if blank.partition("=")[0] not in wired),
            "note": "; ".join(filter(None, notes)),
            "on": plug.on or "",
        }
        yield "connector", texts, origin
        told: set[str] = set()
        for contact in plug.contacts:
            if not contact.wires:
                continue
            if contact.joint is None:
                yield from self._bridges(contact, plug)
                continue
            note = f"one of several contacts that {plug.name}:{' '.join(contact.cavities)} may have"
            yield "splice", {"id": contact.joint, "harness": self.loom, "note": note}, self._at(contact.element)
            for cavity in contact.cavities:
                if cavity not in told:
                    told.add(cavity)
                    note = "one of several contacts, which one the car has was not said"
                    yield "pin", {"connector": plug.name, "cavity": cavity, "note": note}, self._at(contact.element)

    def _bridges(self, contact: _Contact, plug: _Plug) -> Iterator[tuple[str, Texts, Origin]]:
        """One contact in several cavities joins them."""
        for cavity in contact.cavities[1:]:
            to = f"{plug.name}:{contact.cavities[0]}"
            texts = {"connector": plug.name, "cavity": cavity, "to": to, "note": "one contact in both cavities"}
            yield "pin", texts | self._crimped(contact), self._at(contact.element)

    # -- parts that sit on plugs

    def _components(self, plugs: Sequence[_Plug]) -> Iterator[tuple[str, Texts, Origin]]:
        by_id = {plug.element.id: plug for plug in plugs if plug.element.name == "Connector_occurrence"}
        mounted: dict[str, list[str]] = defaultdict(list)
        rows = []
        for one in self._harness.all("Component_occurrence"):
            if not self._is_there(one):
                continue
            name = self._names.give(one.said("Id") or "part")
            part = self._part(one)
            seats = [self._seat(ref, plugs) for ref in one.refs("Mounting")]
            texts = {
                "id": name,
                "name": one.said("Description") or (part.said("Description") if part is not None else None) or "",
                "part-number": (part.said("Part_number") if part is not None else None) or "",
                "kind": "fuse" if "fuse" in one.kind.lower() else "",
                "note": f"sits in {', '.join(dict.fromkeys(filter(None, seats)))}" if any(seats) else "",
            }
            rows.append(("component", texts, self._at(one)))
            for ref in one.refs("Mounting"):
                mounted[ref].append(name)
        for ref, names in mounted.items():
            if ref in by_id and len(names) == 1:
                by_id[ref].on = names[0]
        yield from rows

    def _seat(self, ref: str, plugs: Sequence[_Plug]) -> str | None:
        """Where a part is mounted, in words: a plug, or a slot of a box."""
        for plug in plugs:
            if plug.element.id == ref:
                return plug.name
            if any(one.id == ref for one in _below(plug.element)):
                slot = self._part(self._ids.get(ref))
                text = (slot.said("Id") or slot.said("Cavity_number")) if slot is not None else None
                return f"{plug.name} {text}" if text else plug.name
        return None

    # -- wires

    def _ends(self, connection: Element) -> list[tuple[float, _Contact | None]]:
        """The contacts along a wire, in order of where on it they are; None for one that the variant has not."""
        wire = self._wire_of(connection)
        if wire is None or not self._has_wire(wire):
            return []
        ends = []
        for one in connection.all("Extremities"):
            for ref in one.refs("Contact_point")[:1]:
                if ref not in self._contacts:
                    expected = "Contact_point: the id of a contact point of a connector or a box"
                    self._faults.add(self._at(one).place(), ref, expected)
                    continue
                contact = self._contacts[ref]
                ends.append((self._position(one), contact))
                if contact is not None:
                    contact.wires += 1
        return sorted(ends, key=lambda end: end[0])

    def _wire_of(self, connection: Element) -> Element | None:
        refs = connection.refs("Wire")
        wire = self._ids.get(refs[0]) if refs else None
        if wire is None:
            expected = "Wire: the id of a wire or of a core of a cable"
            self._faults.add(self._at(connection).place(), " ".join(refs), expected)
        return wire

    def _has_wire(self, wire: Element) -> bool:
        cable = self._cable_of.get(wire.id or "")
        return self._is_there(wire) and (cable is None or self._is_there(cable))

    def _position(self, one: Element) -> float:
        """As numbers: ``1`` and ``1.0`` are one place."""
        text = one.said("Position_on_wire") or ""
        try:
            return float(text)
        except ValueError:
            self._faults.add(self._at(one).place(), text, "Position_on_wire: a number from 0 to 1")
            return 0.0

    def _wire_rows(
        self, connection: Element, ends: Sequence[tuple[float, _Contact | None]]
    ) -> Iterator[tuple[str, Texts, Origin]]:
        """A row for each piece of a wire: between its ends, or from one tap to the next."""
        wire = self._wire_of(connection) if ends else None
        if wire is None:
            return
        texts, length = self._said_of(connection, wire)
        whole = ends[-1][0] - ends[0][0]
        for (start, a), (stop, b) in pairwise(ends):
            piece = dict(texts)
            if length is not None and whole > 0 and stop > start:
                piece["length"] = number_text(length * (stop - start) / whole)
            yield from self._piece(connection, a, b, piece)

    def _said_of(self, connection: Element, wire: Element) -> tuple[Texts, float | None]:
        """What a wire's rows say of it, and its length in metres."""
        units = self._ids
        part, cable = self._part(wire), self._cable_of.get(wire.id or "")
        pair = self._pairs.get(wire.id or "") or (self._pairs.get(cable.id or "") if cable is not None else None)
        signal = connection.said("Signal_name")
        length = length_m(wire, self._length_type, units)
        if length is None and cable is not None:
            length = length_m(cable, self._length_type, units)
        texts = {
            "wire-number": wire.said("Wire_number") or "",
            "cable": (cable.said("Special_wire_id") or "") if cable is not None else "",
            "pair": pair or "",
            "size": size_text(part, units),
            "colour": colour_text_of(part, "Core_colour" if cable is not None else "Cover_colour"),
        }
        if signal is not None:
            texts["circuit"] = clean(signal)
            if texts["circuit"] != signal:
                texts["function"] = signal
        return {name: text for name, text in texts.items() if text}, length

    def _piece(
        self, connection: Element, a: _Contact | None, b: _Contact | None, texts: Texts
    ) -> Iterator[tuple[str, Texts, Origin]]:
        origin = self._at(connection)
        if a is None or b is None:
            lone = a or b
            if lone is not None and lone.in_cavity:
                lost = {name: text for name, text in texts.items() if name not in ("circuit", "length")}
                lost |= {"note": "its other end is on something that this variant has not"}
                lost |= {"function": texts["circuit"]} if "circuit" in texts and "function" not in texts else {}
                yield "pin", {"connector": lone.owner, "cavity": lone.cavities[0], **lost}, origin
            return
        if a.in_cavity and b.in_cavity and natural_key(b.end) < natural_key(a.end):
            a, b = b, a  # one way of writing it: wires side by side stand beside each other
        if a.end == b.end:
            self._faults.remarks.add(origin.place(), a.end, "a wire whose two ends are at one place: left out")
        elif a.in_cavity:
            yield "pin", {"connector": a.owner, "cavity": a.cavities[0], "to": b.end, **texts}, origin
        elif b.in_cavity:
            yield "pin", {"connector": b.owner, "cavity": b.cavities[0], "to": a.end, **texts}, origin
        else:
            yield "wire", {"harness": self.loom, "from": a.end, "to": b.end, **texts}, origin

    def _with_contacts(
        self, plugs: Iterable[_Plug], rows: Sequence[tuple[str, Texts, Origin]]
    ) -> Iterator[tuple[str, Texts, Origin]]:
        """The wires, and at each cavity what is crimped on them there; the far end of a wire has a row for that."""
        crimped = {
            (contact.owner, contact.cavities[0]): contact
            for plug in plugs
            for contact in plug.contacts
            if contact.in_cavity and contact.wires
        }
        own = {(texts["connector"], texts["cavity"]) for sort, texts, _ in rows if sort == "pin"}
        for sort, texts, origin in rows:
            contact = crimped.get((texts["connector"], texts["cavity"])) if sort == "pin" else None
            yield sort, texts | (self._crimped(contact) if contact is not None else {}), origin
        for place, contact in crimped.items():
            if place not in own and (said := self._crimped(contact)):
                yield "pin", {"connector": place[0], "cavity": place[1], **said}, self._at(contact.element)

    def _crimped(self, contact: _Contact) -> Texts:
        """The terminal and the seal of a contact, by their part numbers."""
        texts: Texts = {}
        for ref in contact.parts:
            occurrence = self._ids.get(ref)
            part = self._part(occurrence)
            number = part.said("Part_number") if part is not None else None
            if occurrence is None or part is None or not self._is_there(occurrence):
                continue
            if part.name == "Cavity_seal":
                texts |= {"sealed": "yes"} | ({"seal": number} if number else {})
            elif part.name == "General_terminal" and number:
                texts.setdefault("part-number", number)
        return texts


def _cavity_list(names: Sequence[str]) -> str:
    """Cavities as our files list them: one that is a number only would be a count."""
    if not names:
        return ""
    if list(names) == [str(number) for number in range(1, len(names) + 1)]:
        return str(len(names))
    return f"{names[0]}-{names[0]}" if len(names) == 1 and names[0].isdigit() else " ".join(names)


def _below(one: Element) -> Iterator[Element]:
    for inside in one.inside:
        yield inside
        yield from _below(inside)
