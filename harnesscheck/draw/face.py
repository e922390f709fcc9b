"""The face of a connector: every cavity in its row, with name, wire colours as paint and in words.

The wire side is drawn unless the mating side is asked for, which is its mirror
image; the sheet says which. Files do not give the shape of a housing, so rows
follow the cavities' names, and the sheet says that too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.draw.font import BOLD, fit, width_mm
from harnesscheck.draw.grid import rows_of
from harnesscheck.draw.ink import (
    BLACK,
    FAINT,
    GREY,
    NORMAL,
    SMALL_MM,
    STRONG,
    TEXT_MM,
    WHITE,
    colour_words,
    hatch,
    small,
    swatch,
)
from harnesscheck.draw.marks import MarkedCavity, sign, worst
from harnesscheck.draw.page import (
    A4,
    Paper,
    SheetHeading,
    Stock,
    TableColumn,
    TableRow,
    caption,
    fitting,
    page,
    paragraph,
    table,
)
from harnesscheck.draw.scene import Box, Item, Scene, SceneGroup, Text
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Connector, Pin
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import EMPTY, UNKNOWN
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import CAVITY, DrawnWire, End, wiring_of

WIRE_SIDE = "Wire side: seen as you look at the wires going in."
MATING_SIDE = "Mating side: seen as the other half sees it; mirror image of the wire side."
ORDER = "Cavities stand in the order of their names; the file does not give the housing's shape."

_GAP_MM = 1.0
_ROW_GAP_MM = 1.6
_SWATCH_MM = 3.6
_BAND_MM = 4.4  # the cavity's name
_SIGN_MM = 5.6  # kept free on the right for the mark of a finding


CELL_HEIGHT_MM = _BAND_MM + _SWATCH_MM + 7.8


@dataclass(frozen=True, slots=True)
class Content:
    """What is in one cavity: its state, the wires that end there, the terminals of its component."""

    cavity: str
    state: str
    wires: tuple[DrawnWire, ...] = ()
    terminals: tuple[Pin, ...] = ()

    @property
    def colours(self) -> str:
        """The colours in words, ``+1`` for a second wire in one contact."""
        if not self.wires:
            return ""
        more = f" +{len(self.wires) - 1}" if len(self.wires) > 1 else ""
        return colour_words(self.wires[0].colour) + more

    @property
    def circuit(self) -> str:
        """The circuit, else the function, else the component's terminal."""
        for wire in self.wires:
            if wire.circuit or wire.function:
                return wire.circuit or wire.function or ""
        return next((pin.circuit or pin.terminal or "" for pin in self.terminals), "")


def contents(study: Study, connector: str) -> tuple[Content, ...]:
    """Every cavity of a connector in order: the file's where it lists them, else natural order."""
    names = study.index.cavities(connector)
    row = study.vehicle.connectors.get(connector)
    if row is None or row.cavities is None:
        names = tuple(sorted(names, key=natural_key))
    wires = wiring_of(study).at
    pins = study.vehicle.pins_of.get(connector, ())
    return tuple(
        Content(
            name,
            study.index.state(connector, name),
            wires.get(End(CAVITY, connector, name), ()),
            tuple(pin for pin in pins if pin.cavity == name and pin.terminal is not None),
        )
        for name in names
    )


@dataclass(frozen=True, slots=True)
class FaceLook:
    """How wide cells are, which side is seen, and whether cavities without a difference are grey."""

    width_mm: float
    mating: bool = False
    only_differences: bool = False

    @property
    def height_mm(self) -> float:
        """The height of a cell: name, paint, colour in words, circuit."""
        return CELL_HEIGHT_MM


@dataclass(frozen=True, slots=True)
class FaceCell:
    """Where a cavity was drawn."""

    cavity: str
    x: float
    y: float
    row: int
    column: int


def most_across(room_mm: float, cell_mm: float, gap_mm: float = _GAP_MM) -> int:
    """How many cells fit beside one another."""
    return max(1, int((room_mm + gap_mm) // (cell_mm + gap_mm)))


def cells_of(
    rows: Sequence[Sequence[str]], x: float, y: float, look: FaceLook, gap: tuple[float, float]
) -> list[FaceCell]:
    """The places of all cavities, mirrored for the mating side; ``gap`` is between columns and between rows."""
    across = max(map(len, rows), default=0)
    step_x, step_y = look.width_mm + gap[0], look.height_mm + gap[1]
    return [
        FaceCell(
            name, x + step_x * (across - 1 - column if look.mating else column), y + step_y * number, number, column
        )
        for number, row in enumerate(rows)
        for column, name in enumerate(row)
    ]


def draw_cell(cell: FaceCell, content: Content, look: FaceLook, found: Sequence[MarkedCavity]) -> SceneGroup:
    """One cavity; what differs is boxed heavily, marked, and says where it moved."""
    strong = bool(found) or not look.only_differences
    pen = STRONG if found else NORMAL if strong else FAINT
    items: list[Item] = [Box(cell.x, cell.y, look.width_mm, look.height_mm, pen, WHITE, 0.8)]
    severity = worst(each.severity for each in found)
    room = look.width_mm - 1.8 - (_SIGN_MM if severity else 0.0)
    target = next((each.moved_to for each in found if each.moved_to), "")
    named = f"{cell.cavity} → {target}" if target else cell.cavity
    named, target = (named, "") if width_mm(named, TEXT_MM, BOLD) <= room else (cell.cavity, target)
    ink = BLACK if strong else GREY
    items.append(Text(cell.x + 0.9, cell.y + 3.4, fit(named, room, TEXT_MM, BOLD), TEXT_MM, ink, BOLD))
    if content.state in (EMPTY, UNKNOWN):
        items.extend(_nothing(cell, content, look, strong))
    else:
        items.extend(_paint(cell, content, room, strong))
        items.extend(_lines(cell, content, look, strong, target))
    if severity:
        items.extend(sign(cell.x + look.width_mm - 3.3, cell.y + 4.0, severity))
    return SceneGroup(tuple(items), "", _in_words(content, found))


def _nothing(cell: FaceCell, content: Content, look: FaceLook, strong: bool) -> Iterator[Item]:
    """Known to be empty: hatched. Not known: a question mark."""
    empty = content.state == EMPTY
    if empty:
        height = look.height_mm - _BAND_MM - 0.4
        yield from hatch(cell.x + 0.3, cell.y + _BAND_MM, look.width_mm - 0.6, height)
    middle, line = cell.x + look.width_mm / 2, cell.y + _BAND_MM + 6.0
    yield Box(middle - 4.6, line - 2.8, 9.2, 4.0, None, WHITE)
    yield small(middle, line, "empty" if empty else "?", strong=strong, bold=not empty, anchor="middle")


def _paint(cell: FaceCell, content: Content, room: float, strong: bool) -> Iterator[Item]:
    """The wires' colours; two wires in one contact stand side by side."""
    shown = content.wires[:2]
    each = room / max(1, len(shown))
    for at, wire in enumerate(shown):
        x, y = cell.x + 0.9 + at * each, cell.y + _BAND_MM
        if strong:
            yield from swatch(x, y, each, _SWATCH_MM, wire.colour)
        else:
            yield Box(x, y, each, _SWATCH_MM, FAINT, WHITE)


def _lines(cell: FaceCell, content: Content, look: FaceLook, strong: bool, target: str) -> Iterator[Item]:
    x, y, room = cell.x + 0.9, cell.y + _BAND_MM + _SWATCH_MM + 3.1, look.width_mm - 1.8
    pin = content.terminals[0] if content.terminals else None
    first = content.colours if content.wires or pin is None else pin.terminal or "?"
    second = content.circuit if content.wires or pin is None else pin.role or ""
    yield small(x, y, fit(first or "?", room, SMALL_MM), strong=strong)
    if target or second:
        words = fit(f"→ {target}" if target else second, room, SMALL_MM)
        yield small(x, y + 3.5, words, strong=strong, bold=bool(target))


def _in_words(content: Content, found: Sequence[MarkedCavity]) -> str:
    words = [f"cavity {content.cavity}: {content.state}"]
    for wire in content.wires:
        carries = wire.circuit or wire.function
        words.append(f"{wire.words}{', ' + carries if carries else ''}, to {_far(content, wire)}")
    words += [f"terminal {pin.terminal}" for pin in content.terminals]
    return "; ".join([*words, *(each.text or each.kind for each in found)])


def _far(content: Content, wire: DrawnWire) -> str:
    here = wire.a if wire.a.sort == CAVITY and wire.a.name == content.cavity else wire.b
    return str(wire.other(here))


# -- the sheet of one connector


def face_sheets(
    study: Study,
    connector: str,
    *,
    mating: bool = False,
    digest: str = "",
    differences: Sequence[MarkedCavity] = (),
    stock: Stock = A4,
) -> list[Scene]:
    """A connector's face and, under it and on further sheets, what is in every cavity.

    Raises KeyError for a connector the car does not have.
    """
    row = study.vehicle.connectors[connector]
    listed = contents(study, connector)
    heading = SheetHeading(
        f"Connector {connector}" + (f", {row.name}" if row.name else ""),
        about(study.vehicle, row, len(listed)),
        study.vehicle.name,
        digest,
        f"Face of connector {connector} with {len(listed)} cavities and a table of what is in each.",
    )
    found = by_cavity(differences)
    bodies: list[list[Item]] = []
    rest = list(listed)
    paper = stock.lying
    bottom = paper.top
    while rest or not bodies:
        drawn, items, bottom = _face_part(rest, found, mating, paper)
        bodies.append(items)
        rest = rest[drawn:]
    _append_table(study, bodies, bottom, (listed, found), paper)
    return [page(paper, heading, items, at + 1, len(bodies)) for at, items in enumerate(bodies)]


def by_cavity(differences: Sequence[MarkedCavity]) -> Mapping[str, tuple[MarkedCavity, ...]]:
    """The differences of each cavity, in the order given."""
    found: dict[str, tuple[MarkedCavity, ...]] = {}
    for each in differences:
        found[each.cavity] = (*found.get(each.cavity, ()), each)
    return found


def about(vehicle: Vehicle, row: Connector, count: int) -> str:
    """One line about a connector: whose it is, where, how many cavities, which half, and its mate."""
    words = [_owner(vehicle, row), row.at, f"{count} {'cavity' if count == 1 else 'cavities'}"]
    words.append(row.half)
    words.append(f"keyway {row.keyway}" if row.keyway else None)
    words.append(f"{row.housing_colour} housing" if row.housing_colour else None)
    mate = vehicle.mate_of.get(row.id)
    words.append(f"mates with {mate}" if mate else "mate not known")
    return ", ".join(word for word in words if word)


def _owner(vehicle: Vehicle, row: Connector) -> str | None:
    if row.harness is not None:
        harness = vehicle.harnesses.get(row.harness)
        return harness.name if harness is not None and harness.name else f"{row.harness} harness"
    component = vehicle.components.get(row.component) if row.component is not None else None
    return (component.name or component.id) if component is not None else None


def _face_part(
    listed: Sequence[Content], found: Mapping[str, Sequence[MarkedCavity]], mating: bool, paper: Paper
) -> tuple[int, list[Item], float]:
    """As many cavities as one sheet holds; returns their number, the drawing, and where it ends."""
    items: list[Item] = [*paragraph(paper.left, paper.top + 1, MATING_SIDE if mating else WIRE_SIDE, paper.room)]
    items += paragraph(paper.left, paper.top + 5, ORDER, paper.room)
    top = paper.top + 12
    names = [content.cavity for content in listed]
    rows = rows_of(names, most_across(paper.room, 13.0))
    across = max(map(len, rows), default=1)
    look = FaceLook(min(30.0, (paper.room + _GAP_MM) / across - _GAP_MM), mating=mating)
    step = look.height_mm + _ROW_GAP_MM
    rows = rows[: max(1, int((paper.bottom - top + _ROW_GAP_MM) // step))]
    of = {content.cavity: content for content in listed}
    for cell in cells_of(rows, paper.left, top, look, (_GAP_MM, _ROW_GAP_MM)):
        items.append(draw_cell(cell, of[cell.cavity], look, found.get(cell.cavity, ())))
    return sum(map(len, rows)), items, top + step * len(rows)


_COLUMNS = (
    TableColumn("Cavity", 17),
    TableColumn("Circuit", 32),
    TableColumn("Function", 72),
    TableColumn("Size", 18),
    TableColumn("Colour", 28),
    TableColumn("Goes to", 56),
    TableColumn("Note", 56),
)


def _append_table(
    study: Study,
    bodies: list[list[Item]],
    bottom: float,
    shown: tuple[Sequence[Content], Mapping[str, Sequence[MarkedCavity]]],
    paper: Paper,
) -> None:
    """Put the table under the face, and what does not fit there on sheets of its own."""
    listed, found = shown
    rows = [row for content in listed for row in _rows(study, content, found.get(content.cavity, ()))]
    top = bottom + 6
    while rows:
        head = caption(paper.left, top, "What is in each cavity", paper.room)
        items, done = table(paper.left, top + 2, paper.bottom, fitting(_COLUMNS, paper), rows)
        if done:
            bodies[-1] += [head, *items]
            rows = rows[done:]
        if rows:
            bodies.append([])
            top = paper.top + 2


def _rows(study: Study, content: Content, found: Sequence[MarkedCavity]) -> list[TableRow]:
    notes = "; ".join(each.kind for each in found)
    if content.state != EMPTY and content.state != UNKNOWN and content.wires:
        return [_wire_row(study, content, wire, notes) for wire in content.wires]
    if content.terminals:
        pin = content.terminals[0]
        role = ", ".join(filter(None, (f"terminal {pin.terminal}", pin.role)))
        return [TableRow((content.cavity, pin.circuit or "", pin.function or role, "", "", "", notes), bool(found))]
    word = {EMPTY: "empty", UNKNOWN: "not known"}.get(content.state, "a wire nobody documented")
    return [TableRow((content.cavity, "", word, "", "", "", notes), bool(found))]


def _wire_row(study: Study, content: Content, wire: DrawnWire, notes: str) -> TableRow:
    circuit = study.vehicle.circuits.get(wire.circuit or "")
    function = wire.function or (circuit.function if circuit is not None else None) or ""
    size = wire.size.text if wire.size is not None else "?"
    own = next((row.common.note for row in wire.rows if row.common.note), "") or ""
    goes_to = _far(content, wire) + (", likely" if wire.likely else "")
    cells = (content.cavity, wire.circuit or "", function, size, colour_words(wire.colour), goes_to)
    return TableRow((*cells, "; ".join(filter(None, (notes, own)))), bool(notes))
