"""Meeting sheet: a donor's plug above the shell's plug it is aligned with, only what differs inked strongly.

Contacts that moved are joined by arrows and say where they go in words as well;
a table lists what differs. Nothing is judged here: the differences are given.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.draw.arrows import LANE_MM as ARROW_LANE_MM
from harnesscheck.draw.arrows import ArrowMove, arrows, band_height, drawn_moves, gutter_lanes
from harnesscheck.draw.face import (
    CELL_HEIGHT_MM,
    ORDER,
    WIRE_SIDE,
    Content,
    FaceLook,
    about,
    by_cavity,
    cells_of,
    contents,
    draw_cell,
    most_across,
)
from harnesscheck.draw.grid import rows_alike
from harnesscheck.draw.marks import SEVERITIES, MarkedCavity, legend, sign
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
from harnesscheck.draw.scene import Item, Scene
from harnesscheck.network.graph.index import EMPTY, UNKNOWN, USED
from harnesscheck.network.graph.sides import Study
from harnesscheck.trade.colours import same_colour

_NARROWEST_MM = 13.0
_WIDEST_MM = 28.0
_GAP_MM = 1.0
_ROW_GAP_MM = 1.6
_CAPTION_MM = 6.0
_NOTES_MM = 9.0


@dataclass(frozen=True, slots=True)
class DrawnPlug:
    """One of the two connectors: whose it is, its contents by cavity, and what differs in each."""

    title: str
    contents: Mapping[str, Content]
    found: Mapping[str, tuple[MarkedCavity, ...]]
    rows: tuple[tuple[str, ...], ...]


def meeting_sheets(
    donor: Study,
    shell: Study,
    connectors: tuple[str, str],
    differences: Sequence[MarkedCavity],
    *,
    digest: str = "",
    word: str = "shell",
    stock: Stock = A4,
) -> list[Scene]:
    """The two faces, and the table of what differs; ``connectors`` are the donor's and the shell's.

    ``word`` is what the second car is called. Raises KeyError for a connector its car does not have.
    """
    paper = stock.lying
    for_arrows_mm = sum(1.0 for each in differences if each.moved_to)
    listed = [contents(study, name) for study, name in zip((donor, shell), connectors, strict=True)]
    names = [[content.cavity for content in each] for each in listed]
    rows = rows_alike(names[0], names[1], most_across(paper.room - for_arrows_mm, _NARROWEST_MM))
    above = _plug("Donor", donor, connectors[0], listed[0], rows[0], by_cavity(differences))
    below = _plug(word.capitalize(), shell, connectors[1], listed[1], rows[1], _seen_from_shell(differences))
    moves = [ArrowMove(each.cavity, each.moved_to) for each in differences if each.moved_to]
    bodies: list[list[Item]] = []
    bottom = paper.top
    for upper, lower in _chunks(above, below, paper):
        items, bottom = _faces((above, below), upper, lower, moves, paper)
        bodies.append(items)
    _append_table(bodies, bottom, (above, below), differences, (word, paper))
    heading = _heading((donor, shell), connectors, len(differences), digest, word)
    return [page(paper, heading, items, at + 1, len(bodies)) for at, items in enumerate(bodies)]


_OTHER, _FILLED = "other circuit", "empty in the donor"
_MOVING = (_OTHER, "empty in the shell")  # where the donor's circuit may be found in another cavity


def plain_differences(
    donor: Study, shell: Study, connectors: tuple[str, str], pairs: Pairs | None = None
) -> list[MarkedCavity]:
    """What differs in plain sight, cavity name by cavity name: circuit, colour, size, empty. Judges nothing."""
    theirs = {content.cavity: content for content in contents(shell, connectors[1])}
    at: dict[str, list[str]] = defaultdict(list)
    for content in theirs.values():
        at[content.circuit].append(content.cavity)
    found = []
    for content in contents(donor, connectors[0]):
        facing = theirs.pop(content.cavity, None)
        circuit = _shell_circuit(content.circuit, pairs)
        kind = _plain_kind(content, circuit, facing)
        there = at.get(circuit, ()) if circuit and kind in _MOVING else ()
        moved_to = there[0] if len(there) == 1 else ""
        if kind:
            found.append(MarkedCavity(content.cavity, "moved" if moved_to else kind, moved_to=moved_to))
    found += [MarkedCavity(cavity, "not in the donor") for cavity, content in theirs.items() if content.state == USED]
    filled = {each.moved_to for each in found}
    return [each for each in found if each.kind != _FILLED or each.cavity not in filled]


def _shell_circuit(circuit: str, pairs: Pairs | None) -> str:
    pair = pairs.circuit.get(circuit) if pairs is not None else None
    return pair.shell if pair is not None else circuit


def _plain_kind(ours: Content, circuit: str, theirs: Content | None) -> str:
    """In one or two words how two facing cavities differ; empty where they do not, or where nobody knows."""
    if theirs is None:
        return "no such cavity in the shell" if ours.state == USED else ""
    if UNKNOWN in (ours.state, theirs.state):
        return ""
    if ours.state != theirs.state:
        return "empty in the shell" if theirs.state == EMPTY else _FILLED
    if circuit != theirs.circuit:
        return _OTHER if circuit and theirs.circuit else ""
    pairs = list(zip(ours.wires, theirs.wires, strict=False))
    if any(same_colour(a.colour, b.colour) is False for a, b in pairs):
        return "other colour"
    sized = [(a.size.area_mm2, b.size.area_mm2) for a, b in pairs if a.size is not None and b.size is not None]
    return "other size" if any(a != b for a, b in sized) else ""


def _heading(
    cars: tuple[Study, Study], connectors: tuple[str, str], count: int, digest: str, word: str
) -> SheetHeading:
    donor, shell = cars
    both = connectors[0] if connectors[0] == connectors[1] else " and ".join(connectors)
    row = donor.vehicle.connectors[connectors[0]]
    things = "one difference" if count == 1 else f"{count} differences" if count else "no difference"
    return SheetHeading(
        f"Meeting place {both}" + (f", {row.at}" if row.at else ""),
        f"Donor {donor.vehicle.name} above, {word} {shell.vehicle.name} below; {things}, inked strongly.",
        f"{donor.vehicle.name} and {shell.vehicle.name}",
        digest,
        f"Faces of the donor's connector {connectors[0]} and the {word}'s {connectors[1]} with {things}.",
    )


def _plug(
    role: str,
    study: Study,
    connector: str,
    listed: Sequence[Content],
    rows: Sequence[tuple[str, ...]],
    found: Mapping[str, tuple[MarkedCavity, ...]],
) -> DrawnPlug:
    row = study.vehicle.connectors[connector]
    title = f"{role}: {connector}, {about(study.vehicle, row, len(listed))}"
    return DrawnPlug(title, {content.cavity: content for content in listed}, found, tuple(rows))


def _seen_from_shell(differences: Sequence[MarkedCavity]) -> Mapping[str, tuple[MarkedCavity, ...]]:
    """The same differences by the shell's cavity; where a contact arrives nothing moves on."""
    return by_cavity(
        [MarkedCavity(each.moved_to or each.cavity, each.kind, each.severity, each.text) for each in differences]
    )


_Rows = Sequence[tuple[str, ...]]


def _chunks(above: DrawnPlug, below: DrawnPlug, paper: Paper) -> list[tuple[_Rows, _Rows]]:
    """So many rows of either plug as one sheet holds."""
    room = paper.bottom - paper.top - _NOTES_MM - 2 * _CAPTION_MM - 26
    most = max(1, int(room / 2 // (CELL_HEIGHT_MM + _ROW_GAP_MM)))
    count = max(len(above.rows), len(below.rows), 1)
    return [(above.rows[at : at + most], below.rows[at : at + most]) for at in range(0, count, most)]


def _faces(
    plugs: tuple[DrawnPlug, DrawnPlug], upper: _Rows, lower: _Rows, moves: Sequence[ArrowMove], paper: Paper
) -> tuple[list[Item], float]:
    """Both faces with their arrows, and where the drawing ends."""
    above, below = plugs
    across = max((len(row) for row in (*upper, *lower)), default=1)
    probe = FaceLook(_NARROWEST_MM)
    flat_above, flat_below = (cells_of(rows, 0, 0, probe, (0, 0)) for rows in (upper, lower))
    shown = drawn_moves(moves, flat_above, flat_below)
    lanes = gutter_lanes(shown, flat_above, flat_below)
    gap = _GAP_MM + (ARROW_LANE_MM * lanes + 0.6 if lanes else 0.0)
    if (paper.room - (across + 1) * gap) / across < _NARROWEST_MM:
        shown, gap = [], _GAP_MM
    width = min(_WIDEST_MM, (paper.room - (across + 1) * gap) / across)
    look = FaceLook(width, only_differences=True)
    items = paragraph(paper.left, paper.top + 1, f"{WIRE_SIDE} {ORDER}", paper.room)
    top, left = paper.top + _NOTES_MM, paper.left + gap
    items.append(caption(paper.left, top, above.title, paper.room))
    cells_above = cells_of(upper, left, top + 2, look, (gap, _ROW_GAP_MM))
    top += 2 + len(upper) * (CELL_HEIGHT_MM + _ROW_GAP_MM) - _ROW_GAP_MM + band_height(shown)
    if not shown:
        items.append(caption(paper.left, top - 2, below.title, paper.room))
    cells_below = cells_of(lower, left, top, look, (gap, _ROW_GAP_MM))
    for plug, cells in ((above, cells_above), (below, cells_below)):
        items += [draw_cell(c, plug.contents[c.cavity], look, plug.found.get(c.cavity, ())) for c in cells]
    items += arrows(shown, cells_above, cells_below, (width, CELL_HEIGHT_MM), gap)
    top += len(lower) * (CELL_HEIGHT_MM + _ROW_GAP_MM) + 3
    if shown:  # arrows take the room above
        items.append(caption(paper.left, top, below.title, paper.room))
    return items, top + 3


def _columns(word: str) -> tuple[TableColumn, ...]:
    heads = ("", 9), ("Cavity", 20), ("Donor", 62), (word.capitalize(), 62), ("What differs", 40), ("In words", 86)
    return tuple(TableColumn(head, width_mm) for head, width_mm in heads)


def _append_table(
    bodies: list[list[Item]],
    bottom: float,
    plugs: tuple[DrawnPlug, DrawnPlug],
    differences: Sequence[MarkedCavity],
    on: tuple[str, Paper],
) -> None:
    """Put the table under the faces, and what does not fit there on sheets of its own; what ``on`` calls the car."""
    (above, below), (called, paper) = plugs, on
    rows = [_row(above, below, each) for each in differences]
    present = [word for word in SEVERITIES if any(each.severity == word for each in differences)]
    if present:
        if bottom + 8 > paper.bottom:
            bodies.append([])
            bottom = paper.top
        bodies[-1] += legend(paper.left, bottom + 3, present)
        bottom += 8
    while rows:
        items, done = table(paper.left, bottom, paper.bottom, fitting(_columns(called), paper), rows)
        bodies[-1] += items if done else []
        rows = rows[done:]
        if rows:
            bodies.append([])
            bottom = paper.top


def _row(above: DrawnPlug, below: DrawnPlug, each: MarkedCavity) -> TableRow:
    arrives = each.moved_to or each.cavity
    cavity = f"{each.cavity} → {each.moved_to}" if each.moved_to else each.cavity
    lead = tuple(sign(4.4, 3.2, each.severity)) if each.severity in SEVERITIES else ()
    words = (_said(above.contents.get(each.cavity)), _said(below.contents.get(arrives)))
    return TableRow(("", cavity, *words, each.kind.replace("-", " "), each.text), lead=lead)


def _said(content: Content | None) -> str:
    """A cavity in words: circuit, size and colour."""
    if content is None:
        return "no such cavity"
    if content.state in (EMPTY, UNKNOWN):
        return content.state
    wires = "; ".join(wire.words for wire in content.wires)
    terminal = content.terminals[0].terminal if content.terminals and not content.wires else None
    parts = (content.circuit or "no circuit named", wires or (f"terminal {terminal}" if terminal else ""))
    return ", ".join(part for part in parts if part)
