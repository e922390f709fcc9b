"""The drawings of a compare: one sheet a meeting place or part with something dead or worse, and the overview.

Drawing judges nothing: findings are handed over as plain differences. A sheet is
put beside the first finding that needs it; files are named by task.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from harnesscheck.compare.compare import Comparison
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.jobs import moves_in
from harnesscheck.draw.face import by_cavity, contents, face_sheets
from harnesscheck.draw.marks import MarkedCavity, worst
from harnesscheck.draw.meeting import meeting_sheets
from harnesscheck.draw.page import A4, Stock
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.stops import with_stops
from harnesscheck.draw.targets import OVERVIEW, DrawingAsked, NotDrawn, draw_target
from harnesscheck.network.graph.index import EMPTY, UNKNOWN
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.vocabulary import FaceGrid, GridCell
from harnesscheck.trade.colours import srgb
from harnesscheck.write.filenames import numbered

DRAWN_TO = Severity.DEAD  # findings this bad or worse have a drawing beside them


@dataclass(frozen=True, slots=True)
class PictureSheet:
    """One drawing of a report: its file name without ending, the finding it stands beside, the scene."""

    name: str
    finding: str  # id; empty for the overview
    caption: str
    scene: Scene
    faces: tuple[FaceGrid, ...] = ()
    told: bool = False  # its plug's faces stand with the sheet before


def difference_of(finding: Finding, *, in_shell: bool = False) -> MarkedCavity:
    """A finding as drawings are told it. ``in_shell`` takes the shell's cavity instead of the donor's."""
    spot = finding.shell if in_shell else finding.donor
    kind = finding.kind.replace("-", " ")
    return MarkedCavity(spot.cavity, kind, finding.severity.word, finding.text)


def _marked(found: Iterable[Finding], *, in_shell: bool = False) -> Iterator[MarkedCavity]:
    """Findings of one plug as drawings are told them; moved contacts one by one, with where each goes."""
    for one in found:
        moves = moves_in(one)
        texts = one.evidence.differences or (one.text,)
        for (here, there), text in zip(moves, texts, strict=False):
            mark = difference_of(replace(one, donor=here, shell=there, text=text), in_shell=in_shell)
            yield mark if in_shell else replace(mark, moved_to=there.cavity)
        if not moves and (one.shell if in_shell else one.donor).cavity:
            yield difference_of(one, in_shell=in_shell)


def comparison_sheets(
    result: Comparison, digest: str, drawn_to: Severity = DRAWN_TO, stock: Stock = A4
) -> tuple[list[PictureSheet], list[str]]:
    """Every sheet of the report in the order of the findings, and a line for what could not be drawn.

    Findings as bad as ``drawn_to`` or worse are drawn.
    """
    sheets, warnings = _overview(result, digest, stock)
    drawn: set[tuple[str, str]] = set()
    for finding in result.findings:
        if finding.severity > drawn_to:
            break
        for places in _places(finding):
            if places not in drawn or places == ("", ""):
                drawn.add(places)
                sheets += _sheets_for(result, finding, places, (digest, stock))
    return sheets, warnings


def drawn_with(result: Comparison) -> dict[str, str]:
    """For a finding at a plug that is drawn beside an earlier finding: that finding's id."""
    first: dict[tuple[str, str], str] = {}
    found: dict[str, str] = {}
    for finding in result.findings:
        for places in _places(finding):
            if places == ("", ""):
                continue
            if finding.severity <= DRAWN_TO:
                first.setdefault(places, finding.id)
            if places in first and first[places] != finding.id:
                found.setdefault(finding.id, first[places])
    return found


def _overview(result: Comparison, digest: str, stock: Stock) -> tuple[list[PictureSheet], list[str]]:
    """The donor's car with every meeting place marked by its worst finding; not for a car of one plug."""
    if not result.donor.vehicle.harnesses:
        return [], []
    worst: dict[str, str] = {}
    for finding in result.findings:
        for connector in (finding.donor.connector, *(donor for donor, _ in _places(finding))):
            for name in (connector, result.donor.vehicle.mate_of.get(connector, "")):
                worst.setdefault(name, finding.severity.word)
    drawn = draw_target(result.donor, OVERVIEW, asked=DrawingAsked(digest=digest, marks=worst, stock=stock))
    if isinstance(drawn, NotDrawn):
        return [], [str(drawn)]
    caption = "The donor's harnesses and the plugs between them, each marked by its worst finding"
    return [PictureSheet(sheet.name, "", caption, sheet.scene) for sheet in drawn], []


def _places(finding: Finding) -> list[tuple[str, str]]:
    """The pairs of connectors a finding is drawn at: a restraint part's are where it differs."""
    if finding.evidence.places:
        return list(dict.fromkeys((donor.connector, shell.connector) for donor, shell in finding.evidence.places))
    return [(finding.donor.connector, finding.shell.connector)]


def _sheets_for(
    result: Comparison, finding: Finding, places: tuple[str, str], on: tuple[str, Stock]
) -> Iterator[PictureSheet]:
    (donor, shell), (digest, stock) = places, on
    ours, theirs = result.donor.vehicle.connectors, result.shell.vehicle.connectors
    if donor in ours and shell in theirs:
        found = [*_marked(one for one in result.findings if _shown_at(one, donor, shell))]
        found += _restraints_at(result, donor)
        drawn = meeting_sheets(
            result.donor, result.shell, (donor, shell), found, digest=digest, word=result.word, stock=stock
        )
        scenes = [with_stops(one, result.donor, result.shell) for one in drawn]
        theirs_found = [*_marked((one for one in result.findings if _shown_at(one, donor, shell)), in_shell=True)]
        theirs_found += _restraints_at(result, shell, in_shell=True)
        faces: tuple[FaceGrid, ...] = (
            face_grid(result.donor, donor, f"Donor's plug {donor}", found),
            face_grid(result.shell, shell, f"The {result.word}'s plug {shell}", theirs_found),
        )
        caption = f"Plug {donor}: donor above, {result.word} below"
        yield from _numbered(f"meeting-{donor}", caption, finding, scenes, faces)
    elif donor in ours:
        found = [*_marked(one for one in result.findings if one.donor.connector == donor)]
        drawn = face_sheets(result.donor, donor, differences=found, digest=digest, stock=stock)
        scenes = [with_stops(one, result.donor) for one in drawn]
        faces = (face_grid(result.donor, donor, f"The donor's plug {donor}", found),)
        yield from _numbered(f"face-{donor}", f"The donor's plug {donor}", finding, scenes, faces)
    elif shell in theirs:
        found = [*_marked((one for one in result.findings if one.shell.connector == shell), in_shell=True)]
        drawn = face_sheets(result.shell, shell, differences=found, digest=digest, stock=stock)
        scenes = [with_stops(one, result.shell) for one in drawn]
        caption = f"The {result.word}'s plug {shell}"
        faces = (face_grid(result.shell, shell, caption, found),)
        yield from _numbered(f"face-{result.word}-{shell}", caption, finding, scenes, faces)
    else:
        yield from _part_sheets(result, finding, DrawingAsked(digest=digest, stock=stock))


def _part_sheets(result: Comparison, finding: Finding, asked: DrawingAsked) -> Iterator[PictureSheet]:
    """A part or ground point that no plug stands for: its circuit sheet."""
    spots = (finding.donor_component or finding.donor.connector, finding.shell_component or finding.shell.connector)
    for word, study, name in zip(("donor", result.word), (result.donor, result.shell), spots, strict=True):
        drawn = draw_target(study, name, asked=asked) if name else []
        if isinstance(drawn, NotDrawn) or not drawn:
            continue
        for sheet in drawn:
            yield PictureSheet(f"{sheet.name}-{word}", finding.id, f"{name} in the {word}", sheet.scene)
        return


def _restraints_at(result: Comparison, plug: str, *, in_shell: bool = False) -> list[MarkedCavity]:
    """Contacts of a plug that belong to an altered restraint part: marked, never with a move."""
    cavities = {
        places[in_shell].cavity: finding
        for finding in result.findings
        if finding.kind == "restraint-altered"
        for places in finding.evidence.places or ()
        if places[in_shell].connector == plug
    }
    return [
        MarkedCavity(cavity, "restraint altered", Severity.INJURY.word, "take the complete set of one car")
        for cavity, finding in cavities.items()
        if cavity
    ]


def _shown_at(finding: Finding, donor: str, shell: str) -> bool:
    """Whether a finding belongs on the meeting sheet of two connectors."""
    return finding.donor.connector == donor and finding.shell.connector in (shell, "")


def _numbered(
    name: str, caption: str, finding: Finding, scenes: Sequence[Scene], faces: tuple[FaceGrid, ...]
) -> Iterator[PictureSheet]:
    for number, (sheet, scene) in enumerate(zip(numbered(name, len(scenes)), scenes, strict=True), start=1):
        which = f", sheet {number}" if len(scenes) > 1 else ""
        yield PictureSheet(sheet, finding.id, caption + which, scene, faces if number == 1 else (), number > 1)


def face_grid(study: Study, connector: str, title: str, found: Iterable[MarkedCavity]) -> FaceGrid:
    """A connector's face as a grid that flows, with what differs at its contacts."""
    marks = by_cavity([*found])
    cells = []
    for one in contents(study, connector):
        here = marks.get(one.cavity, ())
        to = next((mark.moved_to for mark in here if mark.moved_to), "")
        nothing = {EMPTY: "empty", UNKNOWN: "not known"}.get(one.state, "")
        words = ", ".join(filter(None, (one.colours, one.circuit))) or nothing or "?"
        colour = one.wires[0].colour if one.wires else None
        paint = tuple(map(srgb, colour.names or ())) if colour is not None else ()
        texts = "; ".join(dict.fromkeys(mark.kind for mark in here))
        text = " ".join(filter(None, (texts, f"to {to}" if to else "")))
        cells.append(GridCell(one.cavity, words, paint, worst(mark.severity for mark in here) or "", text))
    return FaceGrid(f"{title}, wire side", tuple(cells))
