"""Which cars of a folder exchange their looms: judged pairs, groups, what lies between them, the drawing."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import jsonschema
import networkx as nx
import pytest
from builders.rows import FRONT, TWO, inline, socket
from click.testing import CliRunner

from harnesscheck.cli.main import cli
from harnesscheck.draw.exchange import GroupBox, GroupLine, exchange_sheets
from harnesscheck.draw.scene import texts
from harnesscheck.report.schema import report_schema
from harnesscheck.yard.allpairs import AllPairs, GroupEdge, PairsQuestion, Way, all_pairs, difference, nearest
from harnesscheck.yard.folder import netlists_in
from harnesscheck.yard.judge import Outcome, Task

HEAD = '<netlist xmlns="urn:harnesscheck:netlist:1" volts="12" colour-code="iec60757" vehicle="a car">{}</netlist>'


def car(feed: str = "1", colour: str = "RD", size: str = "2.5") -> str:
    """A car of one lamp behind one plug: the cavity of its feed, its colour and size."""
    ground = "2" if feed == "1" else "1"
    wire = f'colour="{colour}" size="{size}"'
    front = {feed: f"30P>P {wire}", ground: '31>G1 colour="BN" size="2.5"'}
    rear = {feed: f"30P>SF {wire}", ground: '31>G1 colour="BN" size="2.5"'}
    wires = {"1": f"30P>SF {wire}", "2": '31>G1 size="2.5"'}
    load = socket("one", "lamp", TWO, wires, 'watts="21"', harness="rear")
    return HEAD.format(FRONT + inline(front, rear, cavities="2") + load)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two cars but for a colour, one with thin wires, one with its feed in another cavity, a broken file."""
    folder = tmp_path_factory.mktemp("yard")
    cars = {"a": car(), "b": car(colour="YE"), "thin": car(size="0.35"), "turned": car("2"), "broken": "<netlist"}
    for name, text in cars.items():
        (folder / f"{name}.xml").write_text(text, encoding="utf-8")
    return folder


def asked(yard: Path, **more: object) -> PairsQuestion:
    return replace(PairsQuestion(tuple(map(str, netlists_in(yard)))), **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def found(yard: Path) -> AllPairs:
    return all_pairs(asked(yard))


def outcome(found: AllPairs, giver: str, taker: str) -> Outcome:
    return next(one.outcome for one in found.ways if (one.giver, one.taker) == (f"{giver}.xml", f"{taker}.xml"))


def test_cars_of_one_wiring_are_a_group_and_others_are_not(found: AllPairs) -> None:
    """Feed on ground where one loom alone is changed (worked out by hand): a plug turned in both halves is no group."""
    assert [one.cars for one in found.groups] == [("a.xml", "b.xml"), ("thin.xml",), ("turned.xml",)]
    assert found.groups[0].known
    assert len(found.ways) == 4 * 3
    for other in ("a", "b", "thin"):
        assert outcome(found, "turned", other).injury and outcome(found, other, "turned").injury
    assert [one.path for one in found.unread] == ["broken.xml"]


def test_thick_wires_go_in_for_thin_ones_and_not_the_other_way(found: AllPairs) -> None:
    """0.35 mm2 behind a 15 A fuse."""
    assert not outcome(found, "a", "thin").repairs
    assert outcome(found, "thin", "a").repairs
    edge = next(one for one in found.edges if (one.a, one.b) == (0, 1))
    assert not edge.least.repairs and edge.back.outcome.repairs


def nothing_found(tasks: Sequence[Task]) -> Iterator[tuple[int, Outcome]]:
    for at, task in enumerate(tasks):
        yield at, Outcome(Path(task.donor).name, 0, 0, 0, 0, "", "")


def test_only_the_likest_are_judged(yard: Path) -> None:
    few = all_pairs(asked(yard, best=1), judge=nothing_found)

    judged = {frozenset((one.giver, one.taker)) for one in few.ways}
    assert frozenset(("a.xml", "b.xml")) in judged
    assert len(judged) < 6 and all(len(pair) == 2 for pair in judged)


def test_a_car_whose_looms_are_not_named_exchanges_nothing(tmp_path: Path) -> None:
    """Nothing says what a loom is, so nothing is told of an exchange."""
    for name in "ab":
        (tmp_path / name).mkdir()
        (tmp_path / name / "pins.csv").write_text("connector,cavity,circuit\nC1,1,30\nC1,2,31\n", encoding="utf-8")
    lone = all_pairs(asked(tmp_path))

    assert [one.cars for one in lone.groups] == [("a",), ("b",)]
    assert all(one.outcome.doubtful for one in lone.ways)


# -- groups and edges


def _edge(a: int, b: int, dead: int) -> GroupEdge:
    way = Way(str(a), str(b), Outcome("", 0, 0, dead, 0, "", ""))
    return GroupEdge(a, b, way, way)


def test_what_is_drawn_is_a_minimum_spanning_forest() -> None:
    """Against networkx."""
    chance = random.Random(5)
    graph = nx.gnm_random_graph(14, 22, seed=2)
    edges = [_edge(min(pair), max(pair), chance.randint(1, 40)) for pair in graph.edges]
    for one in edges:
        graph.edges[one.a, one.b]["weight"] = one.least.dead

    kept = nearest(14, edges)

    oracle = nx.minimum_spanning_edges(graph, data=True)
    assert sum(one.least.dead for one in kept) == sum(data["weight"] for _, _, data in oracle)
    assert all(difference(one.least) for one in kept)


def test_a_group_too_large_for_a_page_is_not_drawn() -> None:
    boxes = [GroupBox(f"Group {at}", ("car.xml",)) for at in range(90)]
    lines = [GroupLine(0, at, ("x", "y"), ("dead", "dead"), (False, False)) for at in range(1, 90)]

    assert exchange_sheets(boxes, lines, "") is None


def test_every_group_and_every_line_is_drawn() -> None:
    boxes = [GroupBox(f"Group {at}", (f"{at}.xml",)) for at in range(4)]
    lines = [GroupLine(0, 1, ("there 1", "back 2"), ("", "dead"), (True, False))]
    scenes = exchange_sheets(boxes, lines, "")

    assert scenes is not None and len(scenes) == 2  # what hangs together, and the rest
    said = [{text.text for text in texts(scene)} for scene in scenes]
    assert {"Group 0", "Group 1", "there 1", "back 2"} <= said[0]
    assert {"Group 2", "Group 3", "2.xml", "3.xml"} <= said[1]


# -- the command


def run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(cli, list(words))
    return done.exit_code, done.stdout, done.stderr


def test_the_command_writes_tables_a_drawing_and_json(yard: Path, tmp_path: Path) -> None:
    out, file = tmp_path / "out", tmp_path / "r.json"
    words = ["rank", "--all-pairs", str(yard), "--cache", str(tmp_path / "cache"), "--processes", "1"]
    status, text, _ = run(*words, "-o", str(out), "--json", str(file))
    before = [(out / name).read_bytes() for name in ("exchange.svg", "report.html")], file.read_bytes()

    assert status == 0
    assert "a.xml, b.xml exchange their looms both ways; between one pair of groups" in " ".join(text.split())
    assert (out / "groups.csv").read_text(encoding="utf-8").splitlines()[1] == 'A,"a.xml, b.xml"'
    document = json.loads(file.read_text(encoding="utf-8"))
    jsonschema.validate(document, report_schema())
    assert [one["files"] for one in document["groups"]] == [["a.xml", "b.xml"], ["thin.xml"], ["turned.xml"]]
    run(*words, "-o", str(out), "--json", str(file))  # from what was kept
    assert ([(out / name).read_bytes() for name in ("exchange.svg", "report.html")], file.read_bytes()) == before


@pytest.mark.parametrize("words", [("--all-pairs", ".", "."), ("--all-pairs", "--decide", "."), (".",)])
def test_what_cannot_be_asked_together_is_one_message(words: tuple[str, ...]) -> None:
    status, text, error = run("rank", *words, "--no-cache")

    assert (status, text) == (2, "") and "--all-pairs" in error and "Traceback" not in error
