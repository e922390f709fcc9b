"""The band on a drawing that shows restraint or high-voltage contacts: under the title, a second one in the foot."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from harnesscheck.compare.finding.cautions import short_stop
from harnesscheck.draw.font import BOLD, fit
from harnesscheck.draw.ink import BLACK, SMALL_MM, WHITE
from harnesscheck.draw.page import FOOTER_MM, HEADER_MM, MARGIN_MM
from harnesscheck.draw.scene import Box, Item, Scene, Text, texts
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import Mark, Marks, together

BAND_MM = 3.4  # between the rule under the title and the drawing's first line


def with_stops(scene: Scene, *studies: Study | None) -> Scene:
    """The sheet with a stop for each hazard whose plugs or parts it names; the same sheet for most cars."""
    marks = together(mark for study in studies if study is not None for mark in _named_on(scene, study))
    if not marks:
        return scene
    tops = (MARGIN_MM + HEADER_MM - BAND_MM - 1.4, scene.height_mm - MARGIN_MM - FOOTER_MM - 1.0)
    bands = [item for mark, top in zip(marks, tops, strict=False) for item in _band(scene, top, short_stop(mark))]
    return replace(scene, items=(*scene.items, *bands))


def _band(scene: Scene, top: float, words: str) -> Iterator[Item]:
    """White words on black, across the sheet: seen on a photocopy too."""
    room = scene.width_mm - 2 * MARGIN_MM
    yield Box(MARGIN_MM, top, room, BAND_MM, None, BLACK)
    text = fit(words, room - 2.0, SMALL_MM, BOLD)
    yield Text(MARGIN_MM + 1.0, top + BAND_MM - 0.8, text, SMALL_MM, WHITE, BOLD)


def _named_on(scene: Scene, study: Study) -> Iterator[Mark]:
    """The marks of the plugs and parts that stand on a sheet."""
    judge = study.hands_off
    if not judge.any:
        return
    words = "\n".join((scene.title, *(text.text for text in texts(scene))))
    for name, marks in _names(study).items():
        if re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", words):
            yield from marks


def _names(study: Study) -> dict[str, Marks]:
    judge = study.hands_off
    found = dict(judge.plugs)
    for component, marks in judge.parts.items():
        row = study.vehicle.components[component]
        found |= {component: marks} | ({row.name: marks} if row.name else {})
    return found
