"""A car typed the short way: a row for each plug, with what its cavities hold as lists; made of one typed in full."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import Any

from harnesscheck.model.records import Connector, Netlist, Pin
from harnesscheck.write.tables import table_rows
from harnesscheck.write.texts import row_texts

Rows = dict[str, list[dict[str, str]]]  # by sort of row


def at_components_rung(netlist: Netlist) -> Netlist:
    """The car without what the next rungs ask for: sizes, lengths, amperes."""
    return replace(
        netlist,
        pins=tuple(replace(pin, size=None, length=None) for pin in netlist.pins),
        wires=tuple(replace(wire, size=None, length=None) for wire in netlist.wires),
        components=tuple(replace(part, amps=None, rating=None) for part in netlist.components),
    )


def full_rows(netlist: Netlist) -> Rows:
    """Every row of the full tables."""
    return {sort: [dict(row) for row in rows] for sort, _, rows in table_rows(netlist)}


def short_rows(netlist: Netlist) -> Rows:
    """The same car the short way."""
    return _ShortWay(netlist).rows()


def needed_rows(netlist: Netlist) -> Rows:
    """What of it the rung needs: parts without their names, the lid's ratings, no words for circuits."""
    parts = [row for row in netlist.components if row.key or row.with_ or row.coded or row.safety]
    fuses = [row for row in netlist.components if row.kind in ("fuse", "fusible-link")]
    own = {"component": [{"id": row.id} for row in parts], "fuse": [{"id": row.id} for row in fuses]}
    return short_rows(at_components_rung(netlist)) | own


def in_line_plugs(netlist: Netlist) -> list[Connector]:
    """The halves that join two harnesses."""
    plugs = {row.id: row for row in netlist.connectors}
    pairs = [(row, plugs[row.mates]) for row in netlist.connectors if row.mates is not None]
    return [half for pair in pairs if all(one.harness for one in pair) for half in pair]


class _ShortWay:
    def __init__(self, netlist: Netlist) -> None:
        self.netlist = netlist
        self.plugs = {row.id: row for row in netlist.connectors}
        self.full = full_rows(netlist)
        self.functions = {row.id: row.function or "" for row in netlist.circuits}
        self.inside = {(row.component, row.to): row for row in netlist.insides if row.fuse is not None or row.when}
        self.inside |= {(row.component, row.from_): row for row in netlist.insides if row.load is not None}
        self.wires: dict[tuple[str, str], list[tuple[str, Pin]]] = defaultdict(list)  # by contact: far end, row
        self.behind = {(pin.connector, pin.cavity): pin for pin in netlist.pins if pin.terminal is not None}
        for pin in netlist.pins:
            if pin.connector is not None and pin.to is not None:
                self.wires[pin.connector, str(pin.cavity)].append((pin.to, pin))
                owner, colon, cavity = pin.to.partition(":")
                if colon:
                    self.wires[owner, cavity].append((f"{pin.connector}:{pin.cavity}", pin))

    def rows(self) -> Rows:
        """A row a plug; parts, circuits and fuses only where a plug cannot tell them."""
        named = {row.kind for row in self.netlist.components}
        rows = {sort: self.full.get(sort, []) for sort in ("netlist", "harness", "splice", "ground", "wire")}
        rows["component"] = [
            {name: row[name] for name in ("id", "name", "key") if name in row}
            for row in self.full["component"]
            if row.get("key") or row.get("name") not in named
        ]
        rows["connector"] = [self.plug(row) for row in self.netlist.connectors if row.harness is not None]
        rows["pin"] = [row for row in self.full["pin"] if "connector" not in row]
        listed = set(map(id, self.inside.values()))
        rows["inside"] = [row_texts("inside", row) for row in self.netlist.insides if id(row) not in listed]
        return rows

    def plug(self, row: Connector) -> dict[str, str]:
        """One plug of a harness with all that its cavities hold."""
        mate = self.plugs.get(row.mates or "")
        own: dict[str, Any] = {k: v for k, v in row_texts("connector", row).items() if v}
        part = next((one for one in self.netlist.components if mate is not None and one.id == mate.component), None)
        if part is not None:
            own |= {"on": part.id, "kind": part.kind or ""}
        lists: dict[str, list[str]] = defaultdict(list)
        for cavity in row.cavities or ():
            for name, text in self.cavity(row, mate, cavity).items():
                lists[name].append(text)
        told = {name: texts for name, texts in lists.items() if any(text not in ("", "empty") for text in texts)}
        return own | {name: "; ".join(texts) for name, texts in told.items()}

    def cavity(self, row: Connector, mate: Connector | None, cavity: str) -> dict[str, str]:
        """The entries of one cavity; a function is written once, where its circuit is met first."""
        wires = self.wires.get((row.id, cavity), [])
        behind = self.behind.get((mate.id if mate is not None else None, cavity))
        ends = " + ".join(end for end, _ in wires) or "empty"
        circuits = " + ".join(pin.circuit or "" for _, pin in wires) or "empty"
        colours = " + ".join(pin.colour.text if pin.colour else "" for _, pin in wires) or "empty"
        function = next((self.functions.pop(pin.circuit or "", "") for _, pin in wires), "") or (
            "" if wires else "empty"
        )
        inside = self.inside.get((mate.component or "", behind.terminal or "")) if mate is not None and behind else None
        return {
            "circuits": circuits, "functions": function, "colours": colours, "ends": ends,
            "terminals": (behind.terminal or "") if behind else "empty",
            "roles": (behind.role or "") if behind else "empty",
            "ratings": f"{inside.fuse:g}" if inside is not None and inside.fuse is not None else "empty",
            "positions": " ".join(inside.when) if inside is not None and inside.when else "empty",
            "loads": inside.load if inside is not None and inside.load is not None else "empty",
        }  # fmt: skip
