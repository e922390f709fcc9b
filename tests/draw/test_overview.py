"""The overview, and the contract with the layout engine."""

from __future__ import annotations

import stat
import sys
from itertools import combinations
from pathlib import Path

import pytest
from builders.scenes import NASTY, as_text, broken_laws, car, small_van, words_on

from draw import golden
from harnesscheck.draw import layout as layout_module
from harnesscheck.draw.layout import NO_ENGINE, Graph, Layout, engines, lay_out
from harnesscheck.draw.overview import overview_sheets
from harnesscheck.draw.scene import Extent
from harnesscheck.draw.targets import NotDrawn, draw_target
from harnesscheck.model.records import Component, Connector, Harness
from harnesscheck.model.vehicle import Vehicle

GRAPH = Graph(((30, 12), (40, 8), (25, 20), (30, 12)), ((0, 1), (1, 2), (0, 3)))


def harnesses(count: int, meetings: int) -> Vehicle:
    """So many harnesses, each but the first meeting the first in so many plugs, and some with parts."""
    rows = [Harness(id=f"h{number}", name=f"Harness number {number}") for number in range(count)]
    plugs, parts = [], []
    for number in range(1, count):
        for at in range(meetings):
            plugs.append(Connector(id=f"C{number}-{at}", harness="h0", mates=f"C{number}-{at}R", at="left kick panel"))
            plugs.append(Connector(id=f"C{number}-{at}R", harness=f"h{number}"))
        parts.append(Component(id=f"lamp-{number}", kind="lamp", name="Load lamp"))
        plugs.append(Connector(id=f"L{number}-A", component=f"lamp-{number}"))
        plugs.append(Connector(id=f"L{number}", harness=f"h{number}", mates=f"L{number}-A"))
    return car(harnesses=rows, components=parts, connectors=plugs).vehicle


@pytest.mark.parametrize("across", [True, False])
def test_contract_places_sizes_and_order(across: bool) -> None:
    """Boxes keep their size, lie inside, overlap nowhere; lines lead from box to box; same places every time."""
    graph = Graph(GRAPH.boxes_mm, GRAPH.lines, across)

    found = lay_out(graph)

    assert isinstance(found, Layout)
    boxes = [
        Extent(x - w / 2, y - h / 2, x + w / 2, y + h / 2)
        for (x, y), (w, h) in zip(found.boxes, graph.boxes_mm, strict=True)
    ]
    assert all(box.within(found.width_mm + 0.1, found.height_mm + 0.1) for box in boxes)
    assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))
    for (a, b), line in zip(graph.lines, found.lines, strict=True):
        ends = [_near(boxes[a], line[0]) and _near(boxes[b], line[-1]), _near(boxes[a], line[-1])]
        assert any(ends)
    assert lay_out(graph) == found


def _near(box: Extent, point: tuple[float, float]) -> bool:
    x, y = point
    return box.left - 1 <= x <= box.right + 1 and box.top - 1 <= y <= box.bottom + 1


def test_the_first_engine_is_the_package_s() -> None:
    """The engine that installs with us comes before whatever the machine has."""
    assert next(engines()).stem == "graphviz-pure"


def test_no_engine_is_said_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither the package nor a dot on the PATH: no layout, no exception, one sentence."""
    monkeypatch.setattr(layout_module, "engines", lambda: iter(()))

    assert lay_out(GRAPH) is None
    found = draw_target(small_van(), "overview")
    assert found == NotDrawn("overview", NO_ENGINE)
    assert "\n" not in str(found)


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a shell script")
@pytest.mark.parametrize("body", ["exit 3", "sleep 5", "echo nonsense", "echo 'graph 1 2 3'"])
def test_an_engine_that_fails_gives_no_layout(body: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An exit status, too much time, an answer that is none: the next engine is asked, or there is no layout."""
    program = tmp_path / "dot"
    program.write_text(f"#!/bin/sh\n{body}\n")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setattr(layout_module, "TIME_LIMIT_S", 0.5)
    monkeypatch.setattr(layout_module, "engines", lambda: iter((program, tmp_path / "missing")))

    assert lay_out(GRAPH) is None


@pytest.mark.parametrize(("count", "meetings"), [(1, 0), (2, 1), (7, 2), (14, 5), (40, 3)])
@pytest.mark.parametrize("marked", [False, True])
def test_any_car_has_an_overview(count: int, meetings: int, marked: bool) -> None:
    """Few harnesses or many, one page or several: the laws hold, every harness is named."""
    vehicle = harnesses(count, meetings)
    words = ("injury", "damage", "dead", "rework", "note")
    marks = {row.id: words[at % 5] for at, row in enumerate(vehicle.netlist.connectors)} if marked else {}

    scenes = overview_sheets(vehicle, marks, digest="0123abcd")

    assert scenes is not None
    assert [broken_laws(scene) for scene in scenes] == [{} for _ in scenes]
    found = words_on(scenes)
    assert all(f"Harness number {number}" in found for number in range(count))


@pytest.mark.parametrize("text", NASTY)
def test_names_reach_the_drawing_and_not_the_engine(text: str) -> None:
    """The engine is given numbers; a name that would be code for it is only a label."""
    rows = [Harness(id="a", name=text), Harness(id="b", name=text)]
    plugs = [Connector(id="C1", harness="a", mates="C2", at=text), Connector(id="C2", harness="b")]

    scenes = overview_sheets(car(harnesses=rows, connectors=plugs).vehicle, {"C1": "dead"}, digest=text)

    assert scenes is not None
    assert [broken_laws(scene) for scene in scenes] == [{}]


def test_overview_is_as_it_was() -> None:
    """Golden scene: the small van with one meeting place that is dead and a relay plug that burns."""
    scenes = overview_sheets(small_van().vehicle, {"C1": "dead", "R-H": "injury"}, digest="0123abcd")

    assert scenes is not None
    golden.same("overview", "".join(as_text(scene) for scene in scenes))


@pytest.mark.parametrize(("count", "meetings"), [(4, 2), (9, 6), (30, 14)])
def test_every_harness_of_a_car_made_of_two_is_lettered(count: int, meetings: int) -> None:
    """D, S or N stands in each harness's box and in the legend, which says what it means; marks stay what they were."""
    vehicle = harnesses(count, meetings)
    sources = {name: ("donor", "shell", "new")[at % 3] for at, name in enumerate(vehicle.harnesses)}
    scenes = overview_sheets(vehicle, {"C1-0": "dead"}, sources=sources)

    assert scenes
    told = words_on(scenes)
    for letter, source in (("D", "donor"), ("S", "shell"), ("N", "new")):
        assert told.count(letter) >= list(sources.values()).count(source)
    assert all(not broken_laws(scene) for scene in scenes)
    assert any("D from the donor, S the shell's own, N made new" in word for word in told)
    if len(scenes) == 1:
        assert {"from the donor", "the shell's own", "made new", "dead"} <= set(told)


def test_without_sources_nothing_is_lettered() -> None:
    """A single car's overview has no such letters."""
    told = words_on(overview_sheets(harnesses(4, 2), {}) or ())

    assert told and not {"D", "S", "N"} & set(told)
