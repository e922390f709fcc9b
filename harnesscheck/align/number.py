"""Turn two cars into the arrays of ``Both``. The only place of the alignment that walks over records."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from harnesscheck.align.both import COMPONENT_FACTS, CONNECTOR_FACTS, Both, Rows, scramble
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin
from harnesscheck.network.graph.sides import Study

if TYPE_CHECKING:
    from harnesscheck.align.both import Hashes, Ints

MARKS = ("colour", "size", "circuit", "function")


class _Words:
    """Numbers texts in the order they come, those given at the start in natural order."""

    def __init__(self, first: Iterable[str]) -> None:
        self.texts = sorted(set(first), key=natural_key)
        self.number = {text: n for n, text in enumerate(self.texts)}

    def of(self, value: object) -> int:
        """The number of a value's text, -1 for a value that is not known."""
        if value is None:
            return -1
        text = value if isinstance(value, str) else str(value)
        found = self.number.setdefault(text, len(self.texts))
        if found == len(self.texts):
            self.texts.append(text)
        return found


class _Codes:
    """Numbers for names of one sort, from 1, 0 for none; only their equality means anything."""

    def __init__(self) -> None:
        self.numbers: dict[object, int] = {None: 0}

    def of(self, thing: object) -> int:
        """The number of a thing."""
        return self.numbers.setdefault(thing, len(self.numbers))


def both(donor: Study, shell: Study) -> Both:
    """Number two cars alike. Linear in their rows but for sorting."""
    studies = donor, shell
    words = _Words(
        name for study in studies for names in (study.index.cavity, study.index.terminal) for _, name in names
    )
    sides = _NumberedSide(donor, words), _NumberedSide(shell, words)
    a, b = sides
    shift = {"connector": len(a.connectors), "component": len(a.components), "harness": len(a.harnesses)}
    wires = _wires(studies, sides)
    facts = {name: _joined(a.facts[name], b.facts[name]) for name in CONNECTOR_FACTS}
    return Both(
        connectors=Rows((*a.connectors, *b.connectors), shift["connector"]),
        components=Rows((*a.components, *b.components), shift["component"]),
        harnesses=Rows((*a.harnesses, *b.harnesses), shift["harness"]),
        pieces=a.pieces + b.pieces,
        donor_pieces=a.pieces,
        owner=_joined(a.owner, b.owner, shift["component"]),
        loom=_joined(a.loom, b.loom, shift["harness"]),
        mate=_joined(a.mate, b.mate, shift["connector"]),
        facts=facts,
        part_facts={name: _joined(a.part_facts[name], b.part_facts[name]) for name in COMPONENT_FACTS},
        hole_connector=_joined(a.holes[0], b.holes[0], shift["connector"]),
        hole_cavity=_joined(a.holes[1], b.holes[1]),
        hole_piece=_joined(a.hole_piece, b.hole_piece, a.pieces),
        hole_colour=wires["colour"],
        hole_size=wires["size"],
        end_component=_joined(a.ends[0], b.ends[0], shift["component"]),
        end_terminal=_joined(a.ends[1], b.ends[1]),
        end_role=_joined(a.end_role, b.end_role),
        end_piece=_joined(a.end_piece, b.end_piece, a.pieces),
        ground=_joined(a.ground, b.ground),
        inside=_insides(a, b),
        names={**_row_names(studies, sides), "circuit": wires["circuit"], "function": wires["function"]},
        words=words.texts,
    )


def _joined(first: Sequence[int] | Ints, second: Sequence[int] | Ints, shift: int = 0) -> Ints:
    """The donor's column and the shell's, whose row numbers are shifted; -1 stays -1."""
    import numpy as np

    a, b = np.asarray(first, dtype=np.int64), np.asarray(second, dtype=np.int64)
    return np.concatenate([a, np.where(b >= 0, b + shift, -1)])


class _NumberedSide:
    """The columns of one car: rows in natural order, pieces numbered by their first hole or end."""

    def __init__(self, study: Study, words: _Words) -> None:
        vehicle, index = study.vehicle, study.index
        self.connectors = sorted(vehicle.connectors, key=natural_key)
        self.components = sorted(vehicle.components, key=natural_key)
        self.harnesses = sorted(vehicle.harnesses, key=natural_key)
        self.row = {id: n for n, id in enumerate(self.connectors)}
        self.part = {id: n for n, id in enumerate(self.components)}
        looms = {id: n for n, id in enumerate(self.harnesses)}
        rows = [vehicle.connectors[id] for id in self.connectors]
        self.owner = [self.part.get(row.component or "", -1) for row in rows]
        self.loom = [looms.get(row.harness or "", -1) for row in rows]
        self.mate = [self.row.get(vehicle.mate_of.get(id, ""), -1) for id in self.connectors]
        self.facts = {
            name: [words.of(getattr(row, name)) for row in rows] for name in CONNECTOR_FACTS if name != "count"
        }
        self.facts["count"] = [words.of(None if row.cavities is None else len(row.cavities)) for row in rows]
        parts = [vehicle.components[id] for id in self.components]
        self.part_facts = {name: [words.of(getattr(part, name)) for part in parts] for name in COMPONENT_FACTS}
        self.inside = [(self.part[row.component], words.of(_inside_text(row))) for row in vehicle.netlist.insides]
        self.holes = _sorted(index.cavity, self.row, words)
        self.ends = _sorted(index.terminal, self.part, words)
        self._number_pieces(study, words)
        roles = study.roles
        named = zip(self.ends[0].tolist(), self.ends[1].tolist(), strict=True)
        pins = [roles.get((self.components[part], words.texts[name])) for part, name in named]
        self.end_role = [words.of(pin.role if pin is not None else None) for pin in pins]

    def _number_pieces(self, study: Study, words: _Words) -> None:
        import numpy as np

        index = study.index
        piece_of = np.asarray(index.piece_of, dtype=np.int64)
        on_grounds = sorted(index.ground_pieces, key=lambda piece: natural_key(index.ground_pieces[piece]))
        used = np.concatenate([piece_of[self.holes[2]], piece_of[self.ends[2]], np.array(on_grounds, dtype=np.int64)])
        pieces, first = np.unique(used, return_index=True)
        number = np.empty(len(pieces), dtype=np.int64)
        number[np.argsort(first)] = np.arange(len(pieces))
        numbered = number[np.searchsorted(pieces, used)]
        holes, ends = len(self.holes[2]), len(self.ends[2])
        self.hole_piece, self.end_piece = numbered[:holes], numbered[holes : holes + ends]
        self.pieces = len(pieces)
        grounds = study.vehicle.grounds
        self.ground = np.full(self.pieces, -1)
        self.ground[numbered[holes + ends :]] = [
            words.of(_ground_text(grounds[index.ground_pieces[piece]])) for piece in on_grounds
        ]


def _sorted(nodes: Mapping[tuple[str, str], int], row: Mapping[str, int], words: _Words) -> Ints:
    """Three columns, sorted: row of the owner, number of the name, node."""
    import numpy as np

    number = words.number
    table = np.array([(row[owner], number[name], node) for (owner, name), node in nodes.items()], dtype=np.int64)
    table = table.reshape(-1, 3)
    return table[np.lexsort((table[:, 1], table[:, 0]))].T


def _ground_text(row: Any) -> str:
    return f"{row.on or 'body'}, {row.at or ''}"


def _inside_text(row: Any) -> str:
    parts = (row.from_, row.to, row.when, row.load, row.fuse, row.diode, row.ohms, row.amps, row.watts)
    return "|".join("" if part is None else str(part) for part in parts)


def _wires(studies: Sequence[Study], sides: Sequence[_NumberedSide]) -> dict[str, Hashes]:
    """What the wires in each hole look like and are called, summed over the wires; 0 not known."""
    import numpy as np

    codes = {name: _Codes() for name in MARKS}
    found: dict[str, list[Hashes]] = {name: [] for name in MARKS}
    for study, side in zip(studies, sides, strict=True):
        marks = np.array(_wire_marks(study, codes), dtype=np.int64).reshape(-1, 1 + len(MARKS))
        for column, name in enumerate(MARKS, start=1):
            value = marks[:, column].astype(np.uint64)
            total = np.zeros(len(study.index.piece_of), dtype=np.uint64)
            np.add.at(total, marks[:, 0], np.where(value > 0, scramble(value), np.uint64(0)))
            found[name].append(total[side.holes[2]])
    return {name: np.concatenate(parts) for name, parts in found.items()}


def _wire_marks(study: Study, codes: Mapping[str, _Codes]) -> list[tuple[int, ...]]:
    """(node, colour, size, circuit, function) for every cavity a wire ends in."""
    cavity = study.index.cavity
    functions = {row.id: row.function for row in study.vehicle.netlist.circuits}
    colour, size, circuit, function = (codes[name].numbers for name in MARKS)
    marks: list[tuple[int, ...]] = []
    for pin in study.vehicle.netlist.pins:
        names = pin.colour.names if pin.colour is not None else None
        area = round(pin.size.area_mm2, 3) if pin.size is not None else None
        use = pin.function or functions.get(pin.circuit or "")
        mark = (
            colour.setdefault(names, len(colour)),
            size.setdefault(area, len(size)),
            circuit.setdefault(pin.circuit, len(circuit)),
            function.setdefault(use, len(function)),
        )
        if mark != (0, 0, 0, 0):
            marks += [(cavity[end], *mark) for end in _cavities(pin)]
    return marks


def _cavities(pin: Pin) -> list[tuple[str, str]]:
    """The cavities that the wire of a row ends in."""
    ends = [(pin.connector, pin.cavity or "")] if pin.connector is not None else []
    if pin.to is not None and ":" in pin.to:
        owner, _, name = pin.to.partition(":")
        ends.append((owner, name))
    return ends


def _row_names(studies: Sequence[Study], sides: Sequence[_NumberedSide]) -> dict[str, Hashes]:
    import numpy as np

    found: dict[str, list[int]] = {"id": [], "name": [], "part id": [], "part name": []}
    codes = {name: _Codes() for name in found}
    for study, side in zip(studies, sides, strict=True):
        found["id"] += [codes["id"].of(id) for id in side.connectors]
        found["name"] += [codes["name"].of(study.vehicle.connectors[id].name) for id in side.connectors]
        found["part id"] += [codes["part id"].of(id) for id in side.components]
        found["part name"] += [codes["part name"].of(study.vehicle.components[id].name) for id in side.components]
    return {name: np.array(numbers, dtype=np.uint64) for name, numbers in found.items()}


def _insides(a: _NumberedSide, b: _NumberedSide) -> Hashes:
    """What is joined inside each component, as one sum."""
    import numpy as np

    total = np.zeros(len(a.components) + len(b.components), dtype=np.uint64)
    rows = [*a.inside, *((part + len(a.components), text) for part, text in b.inside)]
    table = np.array(rows, dtype=np.int64).reshape(-1, 2)
    np.add.at(total, table[:, 0], scramble(table[:, 1].astype(np.uint64)))
    return total
