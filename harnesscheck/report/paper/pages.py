"""Sheets as pages of one PDF: text, drawings on pages of their own, labels to cut; what stands at every foot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

from harnesscheck.draw.page import Stock
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.typeset import in_our_font, picture, typeset
from harnesscheck.report.blocks.vocabulary import AnyBlock
from harnesscheck.report.drawings import without_footer
from harnesscheck.report.paper.blocks import Data, blocks_data, shown
from harnesscheck.report.paper.labels import LabelSheet

SIDE_MM = 14.0


@dataclass(frozen=True)
class Sheet:
    """One part of the job: a title and blocks; drawings and labels follow on pages of their own."""

    title: str
    blocks: tuple[AnyBlock, ...]
    lying: bool = False
    drawings: tuple[tuple[str, Scene], ...] = ()
    labels: LabelSheet | None = None
    contents: bool = False  # ends with a list of all sheets


@dataclass(frozen=True)
class Foot:
    """What stands at the foot of every page: the car and the date that a person gave, the digest of the inputs."""

    car: str
    date: str
    digest: str

    def __str__(self) -> str:
        return "  |  ".join(filter(None, (self.car, self.date, f"inputs {self.digest}")))


def job_pdf(title: str, foot: Foot, sheets: Sequence[Sheet], stock: Stock) -> bytes:
    """All sheets as one PDF on one sort of paper."""
    source = files("harnesscheck.report.paper").joinpath("job.typ").read_text(encoding="utf-8")
    data = {
        "title": shown(title),
        "foot": shown(str(foot)),
        "paper": stock.name,
        "sheets": [_sheet(one, stock) for one in sheets],
    }
    return typeset(source, data)


def _sheet(sheet: Sheet, stock: Stock) -> Data:
    across = stock.lying.width if sheet.lying else stock.standing.width
    blocks = blocks_data(sheet.blocks, across - 2 * SIDE_MM)
    if sheet.contents:
        blocks += [{"is": "heading", "text": "Sheets"}, {"is": "contents"}]
    found: Data = {"title": shown(sheet.title), "flipped": sheet.lying, "blocks": blocks, "kind": "text"}
    if sheet.drawings:
        found |= {"kind": "drawings", "drawings": [_drawing(*one) for one in sheet.drawings]}
    if sheet.labels is not None:
        found |= {"kind": "labels", "labels": sheet.labels.data()}
    return found


def _drawing(title: str, scene: Scene) -> Data:
    return {
        "title": in_our_font(title),
        "width": scene.width_mm,
        "height": scene.height_mm,
        "wide": scene.width_mm,
        "svg": picture(without_footer(scene)),
    }
