"""What a person may ask to see drawn, by its id: the one way in for commands.

A connector, a component, a circuit, a cavity (``C12:4``: its net), a splice, a
ground point, or ``overview``. With a second car a connector gives the meeting
sheet, and what has circuit sheets is drawn for both, one above the other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.draw.blocks import BlockState, Naming
from harnesscheck.draw.circuitsheets import DrawnCircuit, circuit_pair_sheets, circuit_sheets, differing
from harnesscheck.draw.face import face_sheets
from harnesscheck.draw.layout import NO_ENGINE
from harnesscheck.draw.links import Links, links_of
from harnesscheck.draw.marks import MarkedCavity
from harnesscheck.draw.meeting import meeting_sheets, plain_differences
from harnesscheck.draw.overview import overview_sheets
from harnesscheck.draw.page import A4, SheetHeading, Stock
from harnesscheck.draw.pick import Picked, pick_component, pick_wires, wires_of_net
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.stops import with_stops
from harnesscheck.lists.wiresearch import called
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import CAVITY, POINT, End
from harnesscheck.write.filenames import apart, numbered, safe_file_name

OVERVIEW = "overview"
_CLOSE = 8  # names offered where a target is unknown
_ANSWERING = 20  # circuits listed that answer to words


@dataclass(frozen=True, slots=True)
class DrawnSheet:
    """One drawing and its file name without ending."""

    name: str
    scene: Scene


@dataclass(frozen=True, slots=True)
class NotDrawn:
    """Why there is no drawing, in a sentence; for a target nobody has, the names that come close."""

    target: str
    reason: str
    close: tuple[str, ...] = ()
    offers: str = "close to it"

    def __str__(self) -> str:
        """One line for a person."""
        return f"{self.reason}; {self.offers}: {', '.join(self.close)}" if self.close else self.reason


@dataclass(frozen=True, slots=True)
class DrawingAsked:
    """What may be said beside a target.

    ``digest`` of the inputs stands on every page. ``differences`` of a meeting
    place; None: what differs in plain sight is worked out. ``marks``: the worst
    severity by connector, for the overview; ``sources``: the car each harness of a
    car made of two comes from. ``state`` adds volts and amperes. ``stock`` is the paper.
    """

    digest: str = ""
    differences: Sequence[MarkedCavity] | None = None
    marks: Mapping[str, str] | None = None
    sources: Mapping[str, str] | None = None
    mating: bool = False
    state: BlockState | None = None
    stock: Stock = A4


def draw_target(
    study: Study,
    target: str,
    other: Study | None = None,
    pairs: Pairs | None = None,
    asked: DrawingAsked | None = None,
) -> list[DrawnSheet] | NotDrawn:
    """The sheets of a target; ``other`` is the shell where ``study`` is the donor, ``pairs`` their crosswalk."""
    sheets = _drawn(study, target, other, pairs, asked or DrawingAsked())
    if isinstance(sheets, NotDrawn) or target == OVERVIEW:
        return sheets
    return [DrawnSheet(sheet.name, with_stops(sheet.scene, study, other)) for sheet in sheets]


def _drawn(
    study: Study, target: str, other: Study | None, pairs: Pairs | None, asked: DrawingAsked
) -> list[DrawnSheet] | NotDrawn:
    if target == OVERVIEW:
        scenes = overview_sheets(
            study.vehicle, asked.marks or {}, digest=asked.digest, sources=asked.sources, stock=asked.stock
        )
        return _named(OVERVIEW, scenes) if scenes is not None else NotDrawn(target, NO_ENGINE)
    if target in study.vehicle.connectors:
        return _connector(study, target, other, pairs, asked)
    ours = _drawn_circuit(study, target, Naming(pairs))
    partner = _partner(target, pairs) if ours is not None else target
    theirs = _drawn_circuit(other, partner, Naming()) if other is not None else None
    if ours is None and theirs is None:
        return _unknown(study, target, other, pairs, asked)
    name = f"circuit-{target}"
    if other is None and ours is not None:
        return _named(name, circuit_sheets(ours, _heading(study.vehicle, ours, asked), asked.state, asked.stock))
    return _named(
        name, circuit_pair_sheets(ours, theirs, _pair_heading(study, other, ours, theirs, asked), asked.stock)
    )


def keep_apart(sheets: Sequence[DrawnSheet]) -> list[DrawnSheet]:
    """The same sheets of several targets, no file name differing from another by case alone."""
    names = apart(sheet.name for sheet in sheets)
    return [DrawnSheet(name, sheet.scene) for name, sheet in zip(names, sheets, strict=True)]


def names_of(vehicle: Vehicle) -> list[str]:
    """Everything of a car that may be a target, in natural order."""
    rows = (*vehicle.connectors, *vehicle.components, *vehicle.splices, *vehicle.grounds, *vehicle.circuits)
    wires: tuple[Pin | Wire, ...] = (*vehicle.netlist.pins, *vehicle.netlist.wires)
    return sorted({*rows, *(row.circuit for row in wires if row.circuit is not None)}, key=natural_key)


def _named(name: str, scenes: Sequence[Scene]) -> list[DrawnSheet]:
    names = numbered(safe_file_name(name), len(scenes))
    return [DrawnSheet(each, scene) for each, scene in zip(names, scenes, strict=True)]


def _unknown(
    study: Study, target: str, other: Study | None, pairs: Pairs | None, asked: DrawingAsked
) -> list[DrawnSheet] | NotDrawn:
    """A connector that only the shell has, else what words of a function mean, else the names that come close.

    One word that is nearly a name is a name.
    """
    if other is not None and target in other.vehicle.connectors:
        return _named(
            f"face-{target}", face_sheets(other, target, mating=asked.mating, digest=asked.digest, stock=asked.stock)
        )
    known = names_of(study.vehicle) + (names_of(other.vehicle) if other is not None else [])
    by_small = {name.lower(): name for name in reversed([OVERVIEW, *known])}
    close = get_close_matches(target.lower(), list(by_small), _CLOSE, 0.5)
    starting = [name for small, name in by_small.items() if small.startswith(target.lower()) and small not in close]
    found = [by_small[small] for small in close] + sorted(starting, key=natural_key)
    by_words = called(study, target) if len(target.split()) > 1 or not found else ()
    if len(by_words) == 1:
        return _drawn(study, by_words[0], other, pairs, asked)
    if by_words:
        reason = f"{len(by_words)} circuits answer to '{target}'"
        return NotDrawn(target, reason, by_words[:_ANSWERING], "draw one of them")
    return NotDrawn(target, f"nothing in the netlist is called '{target}'", tuple(found[:_CLOSE]))


def _connector(
    study: Study, target: str, other: Study | None, pairs: Pairs | None, asked: DrawingAsked
) -> list[DrawnSheet] | NotDrawn:
    partner = _paired(pairs.connector if pairs is not None else None, target)
    if other is None or partner not in other.vehicle.connectors:
        scenes = face_sheets(
            study,
            target,
            mating=asked.mating,
            digest=asked.digest,
            differences=asked.differences or (),
            stock=asked.stock,
        )
        return _named(f"face-{target}", scenes)
    found = asked.differences
    if found is None:
        found = plain_differences(study, other, (target, partner), pairs)
    scenes = meeting_sheets(study, other, (target, partner), found, digest=asked.digest, stock=asked.stock)
    return _named(f"meeting-{target}", scenes)


def _paired(pairs: Mapping[str, Pair] | None, name: str) -> str:
    """The shell's name for a row of the donor; without a crosswalk it is called the same."""
    if pairs is None:
        return name
    pair = pairs.get(name)
    return pair.shell if pair is not None else ""


def _partner(target: str, pairs: Pairs | None) -> str:
    if pairs is None:
        return target
    if ":" in target:
        return pairs.cavity_of(target)
    for table in (pairs.component, pairs.circuit, pairs.ground):
        if target in table:
            return table[target].shell
    return ""


# -- circuit sheets


def _drawn_circuit(study: Study | None, target: str, naming: Naming) -> DrawnCircuit | None:
    """What a car has of a target that circuit sheets can show."""
    if study is None or not target:
        return None
    car = links_of(study)
    for pick in (_component, _circuit, _cavity, _point):
        found = pick(car, target)
        if found is not None:
            words, picked = found
            return DrawnCircuit(car, picked, naming, words)
    return None


_Found = tuple[str, Picked] | None


def _component(car: Links, target: str) -> _Found:
    row = car.vehicle.components.get(target)
    if row is None:
        return None
    words = ", ".join(part for part in (row.name or target, row.at) if part)
    return words, pick_component(car, target)


def _circuit(car: Links, target: str) -> _Found:
    wires = car.wiring.of_circuit.get(target)
    row = car.vehicle.circuits.get(target)
    if wires is None and row is None:
        return None
    words = f"Circuit {target}" + (f", {row.function}" if row is not None and row.function else "")
    return words, pick_wires(car, wires or ())


def _cavity(car: Links, target: str) -> _Found:
    connector, colon, cavity = target.partition(":")
    if not colon or (connector, cavity) not in car.study.index.cavity:
        return None
    return f"Net of {target}", pick_wires(car, wires_of_net(car, End(CAVITY, connector, cavity)))


def _point(car: Links, target: str) -> _Found:
    if target in car.vehicle.splices:
        return f"Net of splice {target}", pick_wires(car, wires_of_net(car, End(POINT, target)))
    row = car.vehicle.grounds.get(target)
    if row is None:
        return None
    words = f"Ground point {target}" + (f", {row.at}" if row.at else "")
    return words, pick_wires(car, car.wiring.at.get(End(POINT, target), ()))


def _heading(vehicle: Vehicle, circuit: DrawnCircuit, asked: DrawingAsked) -> SheetHeading:
    count = len(circuit.picked.own)
    wires = f"{count} {'wire' if count == 1 else 'wires'} in full, and the ways" if count else "The ways"
    left = len(circuit.picked.left)
    rest = f" {left} more terminals: see the faces of its connectors." if left else ""
    subtitle = f"{wires} to feed and ground. Size (mm² or gauge) and colour beside each wire.{rest}"
    if asked.state is not None:
        subtitle = f"Live thick, dead thin, sneak path dashed; volts over the body. {asked.state.name}.{rest}"
    return SheetHeading(
        circuit.title, subtitle, vehicle.name, asked.digest, f"Circuit sheet: {circuit.title}. {subtitle}"
    )


def _pair_heading(
    donor: Study, shell: Study | None, ours: DrawnCircuit | None, theirs: DrawnCircuit | None, asked: DrawingAsked
) -> SheetHeading:
    names = donor.vehicle.name, shell.vehicle.name if shell is not None else ""
    title = ours.title if ours is not None else theirs.title if theirs is not None else ""
    count = differing(ours, theirs)
    words = "nothing differs" if not count else f"{count} {'thing differs' if count == 1 else 'things differ'}"
    subtitle = f"Donor {names[0]} above, shell {names[1]} below; {words}, inked strongly."
    return SheetHeading(title, subtitle, " and ".join(names), asked.digest, f"Circuit sheet: {title}. {subtitle}")
