"""Two cars as one set of integer arrays, so that whatever is worked out is worked out for both alike.

Rows of the donor come first, rows of the shell behind them. *Holes* are cavities
that hold something, *ends* are terminals of components; both say which piece
they are on. Text is replaced by its rank among all texts of both cars, so equal
numbers are equal words and nothing depends on the order of rows in a file.
Names that a maker chose (ids, functions) are not in here.

Needs numpy, imported by the functions.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from harnesscheck.model.records import Component, Connector, Pin
from harnesscheck.network.index import Index
from harnesscheck.network.sides import Study

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]
    Hashes = NDArray[np.uint64]

_DIGITS = re.compile(r"(\d+)")


def natural_key(text: str) -> tuple[tuple[int, int, str], ...]:
    """Sorts C2 before C10."""
    return tuple((0, int(part), part) if part.isdecimal() else (1, 0, part) for part in _DIGITS.split(text) if part)


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of one sort in both cars: ids of the donor's, then of the shell's, each in natural order."""

    ids: tuple[str, ...]
    donors: int

    @property
    def count(self) -> int:
        """Rows of both cars."""
        return len(self.ids)


@dataclass(frozen=True)
class Both:
    """See the module's text. -1 is none or not known in every array of row numbers or words.

    ``facts`` and ``part_facts`` hold, by field, one word a connector or component.
    ``hole_colour`` and ``hole_size`` are sums over the wires in the cavity, 0 not known.
    """

    connectors: Rows
    components: Rows
    harnesses: Rows
    pieces: int
    donor_pieces: int
    owner: Ints  # component of each connector
    loom: Ints  # harness of each connector
    mate: Ints  # the connector each one is plugged into
    facts: Mapping[str, Ints]
    part_facts: Mapping[str, Ints]
    hole_connector: Ints
    hole_cavity: Ints
    hole_piece: Ints
    hole_colour: Hashes
    hole_size: Hashes
    end_component: Ints
    end_terminal: Ints
    end_role: Ints
    end_piece: Ints
    ground: Ints  # per piece: the word of its ground's metal part and place, -1 no ground
    inside: Hashes  # per component: what is joined inside
    words: Sequence[str]


CONNECTOR_FACTS = ("count", "half", "keyway", "housing_colour", "at")
COMPONENT_FACTS = ("kind", "at", "amps", "watts", "rating", "key")


class _Words:
    """Ranks of texts; made once all texts are known."""

    def __init__(self, texts: Iterable[str]) -> None:
        self.sorted = sorted(set(texts), key=natural_key)
        self.rank = {text: number for number, text in enumerate(self.sorted)}

    def of(self, value: object) -> int:
        """The rank of a value's text, -1 for a value that is not known."""
        return -1 if value is None else self.rank[str(value)]


def _connector_facts(row: Connector, index: Index) -> dict[str, object]:
    facts: dict[str, object] = {name: getattr(row, name) for name in CONNECTOR_FACTS if name != "count"}
    facts["count"] = len(row.cavities) if row.cavities is not None else None
    return facts


def _component_facts(row: Component) -> dict[str, object]:
    return {name: getattr(row, name) for name in COMPONENT_FACTS}


def _texts(study: Study) -> Iterable[str]:
    net, index = study.vehicle.netlist, study.index
    for row in net.connectors:
        yield from (str(v) for v in _connector_facts(row, index).values() if v is not None)
    for part in net.components:
        yield from (str(v) for v in _component_facts(part).values() if v is not None)
    yield from {cavity for _, cavity in index.cavity}
    yield from {terminal for _, terminal in index.terminal}
    yield from {pin.role for pin in net.pins if pin.role is not None}
    yield from {_ground_text(row.on, row.at) for row in net.grounds}
    for inside in net.insides:
        yield _inside_text(inside)


def _ground_text(on: str | None, at: str | None) -> str:
    return f"{on or 'body'}, {at or ''}"


def _inside_text(row: Any) -> str:
    parts = (row.from_, row.to, row.when, row.load, row.fuse, row.diode, row.ohms, row.amps, row.watts)
    return "|".join("" if part is None else str(part) for part in parts)


class _Side:
    """The lists of one car, its rows in natural order, its pieces numbered by the first hole or end."""

    def __init__(self, study: Study, words: _Words) -> None:
        net, index = study.vehicle.netlist, study.index
        self.connectors = sorted(study.vehicle.connectors, key=natural_key)
        self.components = sorted(study.vehicle.components, key=natural_key)
        self.harnesses = sorted(study.vehicle.harnesses, key=natural_key)
        c_rank = {id: n for n, id in enumerate(self.connectors)}
        p_rank = {id: n for n, id in enumerate(self.components)}
        h_rank = {id: n for n, id in enumerate(self.harnesses)}
        rows = [study.vehicle.connectors[id] for id in self.connectors]
        self.owner = [p_rank.get(row.component or "", -1) for row in rows]
        self.loom = [h_rank.get(row.harness or "", -1) for row in rows]
        mates = study.vehicle.mate_of
        self.mate = [c_rank.get(mates.get(id, ""), -1) for id in self.connectors]
        facts = [_connector_facts(row, index) for row in rows]
        self.facts = {name: [words.of(fact[name]) for fact in facts] for name in CONNECTOR_FACTS}
        part_facts = [_component_facts(study.vehicle.components[id]) for id in self.components]
        self.part_facts = {name: [words.of(fact[name]) for fact in part_facts] for name in COMPONENT_FACTS}
        holes = sorted((c_rank[c], words.rank[cavity], node) for (c, cavity), node in index.cavity.items())
        self.holes = holes
        roles = study.roles
        ends = sorted((p_rank[part], words.rank[name], node) for (part, name), node in index.terminal.items())
        self.ends = ends
        self.end_role = [
            words.of(pin.role if (pin := roles.get((self.components[c], words.sorted[t]))) else None)
            for c, t, _ in ends
        ]
        number: dict[int, int] = {}
        for _, _, node in (*holes, *ends):
            number.setdefault(index.piece_of[node], len(number))
        for piece in sorted(index.ground_pieces):
            number.setdefault(piece, len(number))
        self.number = number
        grounds = {row.id: words.rank[_ground_text(row.on, row.at)] for row in net.grounds}
        self.ground = [-1] * len(number)
        for piece, id in index.ground_pieces.items():
            self.ground[number[piece]] = grounds[id]
        self.piece_of = index.piece_of
        self.inside = [(p_rank[row.component], words.rank[_inside_text(row)]) for row in net.insides]


def _wire_marks(study: Study, code: dict[object, int]) -> list[tuple[int, int, int]]:
    """(node, colour, size) for every cavity a wire ends in; numbers of ``code``, 0 not known."""
    cavity = study.index.cavity
    marks: list[tuple[int, int, int]] = []
    for pin in study.vehicle.netlist.pins:
        colour, size = _marks(pin, code)
        if not colour and not size:
            continue
        if pin.connector is not None:
            marks.append((cavity[pin.connector, pin.cavity or ""], colour, size))
        if pin.to is not None and ":" in pin.to:
            owner, _, name = pin.to.partition(":")
            marks.append((cavity[owner, name], colour, size))
    return marks


def _marks(pin: Pin, code: dict[object, int]) -> tuple[int, int]:
    names = pin.colour.names if pin.colour is not None else None
    colour = 0 if names is None else code.setdefault(names, len(code) + 1)
    size = 0 if pin.size is None else code.setdefault(round(pin.size.area_mm2, 3), len(code) + 1)
    return colour, size


def scramble(values: Hashes) -> Hashes:
    """A well-mixed 64-bit hash of each value (the finaliser of SplitMix64; Steele, Lea, Flood 2014)."""
    import numpy as np

    x = values + np.uint64(0x9E3779B97F4A7C15)
    x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return x ^ (x >> np.uint64(31))


def both(donor: Study, shell: Study) -> Both:
    """Number two cars alike. Linear in their rows but for sorting."""
    import numpy as np

    words = _Words(text for study in (donor, shell) for text in _texts(study))
    a, b = _Side(donor, words), _Side(shell, words)
    na, nb = len(a.connectors), len(a.components)
    nh, np_ = len(a.harnesses), len(a.number)

    def joined(x: Sequence[int], y: Sequence[int], shift: int = 0) -> Ints:
        first, second = np.array(x, dtype=np.int64), np.array(y, dtype=np.int64)
        return np.concatenate([first, np.where(second >= 0, second + shift, -1)])

    def pieces(rows: str) -> Ints:
        return joined(
            [a.number[a.piece_of[node]] for _, _, node in getattr(a, rows)],
            [b.number[b.piece_of[node]] for _, _, node in getattr(b, rows)],
            np_,
        )

    colour, size = _hole_marks(donor, shell, a, b)
    return Both(
        connectors=Rows((*a.connectors, *b.connectors), na),
        components=Rows((*a.components, *b.components), nb),
        harnesses=Rows((*a.harnesses, *b.harnesses), nh),
        pieces=np_ + len(b.number),
        donor_pieces=np_,
        owner=joined(a.owner, b.owner, nb),
        loom=joined(a.loom, b.loom, nh),
        mate=joined(a.mate, b.mate, na),
        facts={name: joined(a.facts[name], b.facts[name]) for name in CONNECTOR_FACTS},
        part_facts={name: joined(a.part_facts[name], b.part_facts[name]) for name in COMPONENT_FACTS},
        hole_connector=joined([h[0] for h in a.holes], [h[0] for h in b.holes], na),
        hole_cavity=joined([h[1] for h in a.holes], [h[1] for h in b.holes]),
        hole_piece=pieces("holes"),
        hole_colour=colour,
        hole_size=size,
        end_component=joined([e[0] for e in a.ends], [e[0] for e in b.ends], nb),
        end_terminal=joined([e[1] for e in a.ends], [e[1] for e in b.ends]),
        end_role=joined(a.end_role, b.end_role),
        end_piece=pieces("ends"),
        ground=joined(a.ground, b.ground),
        inside=_insides(a, b),
        words=words.sorted,
    )


def _hole_marks(donor: Study, shell: Study, a: _Side, b: _Side) -> tuple[Hashes, Hashes]:
    import numpy as np

    code: dict[object, int] = {}
    colours: list[Hashes] = []
    sizes: list[Hashes] = []
    for study, side in ((donor, a), (shell, b)):
        marks = np.array(_wire_marks(study, code), dtype=np.int64).reshape(-1, 3)
        nodes = len(study.index.piece_of)
        order = np.array([node for _, _, node in side.holes], dtype=np.int64)
        for column, into in ((1, colours), (2, sizes)):
            value = marks[:, column].astype(np.uint64)
            total = np.zeros(nodes, dtype=np.uint64)
            np.add.at(total, marks[:, 0], np.where(value > 0, scramble(value), np.uint64(0)))
            into.append(total[order])
    return np.concatenate(colours), np.concatenate(sizes)


def _insides(a: _Side, b: _Side) -> Hashes:
    import numpy as np

    total = np.zeros(len(a.components) + len(b.components), dtype=np.uint64)
    rows = [*a.inside, *((part + len(a.components), text) for part, text in b.inside)]
    table = np.array(rows, dtype=np.int64).reshape(-1, 2)
    np.add.at(total, table[:, 0], scramble(table[:, 1].astype(np.uint64)))
    return total
