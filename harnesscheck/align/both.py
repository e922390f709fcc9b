"""Two cars as one set of integer arrays, so that whatever is worked out is worked out for both alike.

Rows of the donor come first, rows of the shell behind them. *Holes* are cavities
that hold something, *ends* are terminals of components; both say which piece
they are on. Text is replaced by its rank among all texts of both cars, so equal
numbers are equal words and nothing depends on the order of rows in a file.
Names that a maker chose (ids, functions) stand apart, in ``names``: they are evidence
of another sort.

Needs numpy, imported by the functions.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from harnesscheck.model.records import Component, Connector, Pin
from harnesscheck.network.index import Index
from harnesscheck.network.sides import Study

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]
    Hashes = NDArray[np.uint64]
    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]

_DIGITS = re.compile(r"(\d+)")


def natural_key(text: str) -> list[str | int]:
    """Sorts C2 before C10: text and numbers in turn, so that like meets like."""
    key: list[str | int] = _DIGITS.split(text)  # the odd places become numbers
    key[1::2] = map(int, key[1::2])
    return key


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
    ``names`` holds numbers that are equal for equal texts, 0 not known: ``id`` and
    ``name`` of connectors, ``part id`` and ``part name`` of components, ``circuit`` and
    ``function`` of holes.
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
    names: Mapping[str, Hashes]
    words: Sequence[str]

    @cached_property
    def hole_range(self) -> tuple[Ints, Ints]:
        """Per connector: its first hole, and how many it has."""
        import numpy as np

        count = np.bincount(self.hole_connector, minlength=self.connectors.count)
        return np.cumsum(count) - count, count

    @cached_property
    def _hole_key(self) -> Ints:
        return self.hole_connector * (len(self.words) + 1) + self.hole_cavity

    def hole_at(self, connector: Ints, cavity: Ints) -> Ints:
        """The hole of each connector and cavity name, -1 where there is none."""
        import numpy as np

        wanted = connector * (len(self.words) + 1) + cavity
        if not self._hole_key.size:
            return np.full(len(wanted), -1)
        at = np.minimum(np.searchsorted(self._hole_key, wanted), self._hole_key.size - 1)
        return np.where(self._hole_key[at] == wanted, at, -1)


CONNECTOR_FACTS = ("count", "half", "keyway", "housing_colour", "at")
COMPONENT_FACTS = ("kind", "at", "amps", "watts", "rating", "key")


class _Words:
    """Ranks of texts; made once all texts are known."""

    def __init__(self, texts: Iterable[str]) -> None:
        self.sorted = sorted(set(texts))
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


MARKS = ("colour", "size", "circuit", "function")


class _Codes:
    """Numbers things in the order they come, from 1; only their equality means anything."""

    def __init__(self) -> None:
        self.numbers: dict[object, int] = {}

    def of(self, *thing: object) -> int:
        """The number of a thing, 0 for one that ends in None."""
        return 0 if thing[-1] is None else self.numbers.setdefault(thing, len(self.numbers) + 1)


def _wire_marks(study: Study, code: _Codes) -> list[tuple[int, ...]]:
    """(node, colour, size, circuit, function) for every cavity a wire ends in; 0 not known."""
    cavity = study.index.cavity
    functions = {row.id: row.function for row in study.vehicle.netlist.circuits}
    marks: list[tuple[int, ...]] = []
    for pin in study.vehicle.netlist.pins:
        mark = _marks(pin, functions, code)
        if mark == (0, 0, 0, 0):
            continue
        if pin.connector is not None:
            marks.append((cavity[pin.connector, pin.cavity or ""], *mark))
        if pin.to is not None and ":" in pin.to:
            owner, _, name = pin.to.partition(":")
            marks.append((cavity[owner, name], *mark))
    return marks


def _marks(pin: Pin, functions: Mapping[str, str | None], code: _Codes) -> tuple[int, int, int, int]:
    return (
        code.of("colour", pin.colour.names if pin.colour is not None else None),
        code.of("size", round(pin.size.area_mm2, 3) if pin.size is not None else None),
        code.of("circuit", pin.circuit),
        code.of("function", pin.function or functions.get(pin.circuit or "")),
    )


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

    code = _Codes()
    marks = _hole_marks(donor, shell, a, b, code)
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
        hole_colour=marks["colour"],
        hole_size=marks["size"],
        end_component=joined([e[0] for e in a.ends], [e[0] for e in b.ends], nb),
        end_terminal=joined([e[1] for e in a.ends], [e[1] for e in b.ends]),
        end_role=joined(a.end_role, b.end_role),
        end_piece=pieces("ends"),
        ground=joined(a.ground, b.ground),
        inside=_insides(a, b),
        names={**_row_names(donor, shell, a, b, code), "circuit": marks["circuit"], "function": marks["function"]},
        words=words.sorted,
    )


def _hole_marks(donor: Study, shell: Study, a: _Side, b: _Side, code: _Codes) -> dict[str, Hashes]:
    import numpy as np

    found: dict[str, list[Hashes]] = {name: [] for name in MARKS}
    for study, side in ((donor, a), (shell, b)):
        marks = np.array(_wire_marks(study, code), dtype=np.int64).reshape(-1, 1 + len(MARKS))
        nodes = len(study.index.piece_of)
        order = np.array([node for _, _, node in side.holes], dtype=np.int64)
        for column, name in enumerate(MARKS, start=1):
            value = marks[:, column].astype(np.uint64)
            total = np.zeros(nodes, dtype=np.uint64)
            np.add.at(total, marks[:, 0], np.where(value > 0, scramble(value), np.uint64(0)))
            found[name].append(total[order])
    return {name: np.concatenate(parts) for name, parts in found.items()}


def _row_names(donor: Study, shell: Study, a: _Side, b: _Side, code: _Codes) -> dict[str, Hashes]:
    import numpy as np

    found: dict[str, list[int]] = {"id": [], "name": [], "part id": [], "part name": []}
    for study, side in ((donor, a), (shell, b)):
        for id in side.connectors:
            found["id"].append(code.of("id", id))
            found["name"].append(code.of("name", study.vehicle.connectors[id].name))
        for id in side.components:
            found["part id"].append(code.of("part id", id))
            found["part name"].append(code.of("part name", study.vehicle.components[id].name))
    return {name: np.array(numbers, dtype=np.uint64) for name, numbers in found.items()}


def _insides(a: _Side, b: _Side) -> Hashes:
    import numpy as np

    total = np.zeros(len(a.components) + len(b.components), dtype=np.uint64)
    rows = [*a.inside, *((part + len(a.components), text) for part, text in b.inside)]
    table = np.array(rows, dtype=np.int64).reshape(-1, 2)
    np.add.at(total, table[:, 0], scramble(table[:, 1].astype(np.uint64)))
    return total
