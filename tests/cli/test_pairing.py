"""What ``compare`` and ``crosswalk`` say about which plug is which, on the example cars and changed copies of them."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import jsonschema
import pytest
from builders.demo import DEMO
from cars import scrambled

from harnesscheck.model.records import Netlist
from harnesscheck.read import read_netlist
from harnesscheck.report.document import report_schema
from harnesscheck.write.xml import write_xml

DONOR, SHELL = str(DEMO / "donor.xml"), str(DEMO / "shell.xml")
PART_OF = {"C14": "X14", "C14D": "X14D"}  # the in-line plug that is split, and what its high cavities go into
KEPT = 14  # of its 24 cavities


def run(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "harnesscheck", *words]
    return subprocess.run(command, cwd=cwd, capture_output=True, timeout=300, check=False, encoding="utf-8")


def flat(text: str) -> str:
    """The text without its line breaks, so that wrapping does not matter."""
    return " ".join(text.split())


@cache
def compared(*words: str) -> tuple[str, dict[str, Any]]:
    """What a compare prints, and the report it writes; each is run once for all tests."""
    with TemporaryDirectory() as folder:
        done = run("compare", *words, "--json", "report.json", cwd=Path(folder))
        assert done.returncode == 0, done.stderr
        document: dict[str, Any] = json.loads((Path(folder) / "report.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(report_schema()).validate(document)
    return done.stdout, document


def netlist(path: str) -> Netlist:
    read = read_netlist(path)
    assert isinstance(read, Netlist)
    return read


def moved(connector: str | None, cavity: str | None) -> tuple[str | None, str | None]:
    if connector in PART_OF and cavity is not None and int(cavity) > KEPT:
        return PART_OF[connector], str(int(cavity) - KEPT)
    return connector, cavity


def moved_end(end: str | None) -> str | None:
    return end if end is None or ":" not in end else ":".join(map(str, moved(*end.split(":"))))


def split(car: Netlist) -> Netlist:
    """The same car with the 24-way plug C14 as a 14-way and a 10-way, numbered anew from 1."""
    plugs = []
    for row in car.connectors:
        if row.id not in PART_OF:
            plugs.append(row)
            continue
        names = row.cavities or ()
        mate = PART_OF[row.mates] if row.mates is not None else None
        plugs.append(replace(row, cavities=names[:KEPT]))
        plugs.append(replace(row, id=PART_OF[row.id], mates=mate, cavities=names[: len(names) - KEPT], keyway="Z"))
    pins = []
    for pin in car.pins:
        connector, cavity = moved(pin.connector, pin.cavity)
        pins.append(replace(pin, connector=connector, cavity=cavity, to=moved_end(pin.to)))
    pins.sort(key=lambda pin: pin.connector or "")
    return replace(car, connectors=tuple(plugs), pins=tuple(pins))


@pytest.fixture(scope="module")
def cars(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shell split; and the shell with every id, name and function changed."""
    folder = tmp_path_factory.mktemp("cars")
    write_xml(split(netlist(SHELL)), folder / "split.xml")
    other, new = scrambled(netlist(SHELL), 1)
    write_xml(other, folder / "renamed.xml")
    (folder / "new.json").write_text(json.dumps(new["connectors"]), encoding="utf-8")
    return folder


def test_what_speaks_against_a_crosswalk_is_said_and_it_wins(tmp_path: Path) -> None:
    """C12 is said to be C13: both commands say what the wiring says, and do as they were told."""
    (tmp_path / "swap.toml").write_text('[crosswalk.connector]\nC12 = "C13"\nC12E = "C13E"\n', encoding="utf-8")
    words = [DONOR, SHELL, "--crosswalk", str(tmp_path / "swap.toml")]
    text, document = compared(*words)
    proposed = run("crosswalk", *words, cwd=tmp_path)

    assert (
        "Speaks against your crosswalk (it stands all the same):\n  - connector C12 = C13: its wiring says C12" in text
    )
    assert text.index("Speaks against") < text.index("DEAD - ")
    against = {(one["sort"], one["donor"], one["shell"]) for one in document["alignment"]["contradicted"]}
    assert against == {("connector", "C12", "C13"), ("connector", "C12E", "C13E")}
    assert {"C12": "C13", "C12E": "C13E"}.items() <= _pairs(document).items()
    assert "#   connector C12 = C13: its wiring says C12" in proposed.stdout
    assert "speaks against your crosswalk: connector C12 = C13" in proposed.stderr
    assert tomllib.loads(proposed.stdout)["crosswalk"]["connector"]["C12"] == "C13"


def test_nothing_speaks_against_what_is_right() -> None:
    text, document = compared(DONOR, SHELL, "--crosswalk", str(DEMO / "swap.toml"))

    assert document["alignment"]["contradicted"] == []
    assert "your crosswalk" not in text


def test_each_pair_says_what_it_rests_on(cars: Path) -> None:
    """Size, housing, place and how many wires agree; the doubtful first, by rising confidence."""
    text, document = compared(DONOR, str(cars / "renamed.xml"))
    new = json.loads((cars / "new.json").read_text(encoding="utf-8"))
    why = {row["donor"]: row["why"] for row in document["alignment"]["connectors"]}
    start = text.index("Paired with less than certainty")
    doubtful = [
        int(share) for share in re.findall(r"^  \S.*? (\d+) %: ", text[start : text.index("\n\n", start)], re.M)
    ]

    assert re.fullmatch(r"16-way natural, left kick panel, \d+ of \d+ wires agree", why["C12"])
    assert f"Paired with {new['C12']}, " in flat(text)
    assert doubtful and doubtful == sorted(doubtful)
    assert start < text.index("DEAD - ") < text.index("Paired for certain by more than their names")
    assert max(map(len, text.splitlines()[2:])) <= 80  # the first two name the files


def test_look_alikes_are_named_with_what_would_settle_it(cars: Path, tmp_path: Path) -> None:
    """The two horns and the two number-plate lamps have the same wires: said in words, in JSON, in the proposal."""
    words = [DONOR, str(cars / "renamed.xml")]
    text, document = compared(*words)
    sets = document["alignment"]["ambiguous"]
    proposed = run("crosswalk", *words, cwd=tmp_path).stdout

    assert "Look-alikes that the files do not tell apart:" in flat(text) and "To settle it: " in text
    assert sets and all(one["reason"] and one["settle"] for one in sets)
    assert "# The files do not tell these apart:" in proposed


def test_a_plug_that_became_two_and_two_that_became_one(cars: Path, tmp_path: Path) -> None:
    """A 24-way plug is a 14-way and a 10-way in the other car: said both ways, the contacts followed, nothing dead."""
    (parted, document), (merged, _) = (compared(*words) for words in _both_ways(cars))
    proposed = run("crosswalk", SHELL, str(cars / "split.xml"), cwd=tmp_path).stdout

    assert re.search(r"C14 became C14 and X14 \(\d+ contacts\)", flat(parted))
    assert "C14 and X14 went into C14" in flat(merged)
    assert not [one for one in document["findings"] if one["severity"] in ("injury", "damage", "dead")]
    assert re.search(r"^#   C14 became C14 and X14", proposed, re.M)
    assert tomllib.loads(proposed)["crosswalk"]["connector"]["C14:15"] == "X14:1"


def _both_ways(cars: Path) -> list[list[str]]:
    return [[SHELL, str(cars / "split.xml")], [str(cars / "split.xml"), SHELL]]


def test_new_and_absent_plugs_have_no_partner() -> None:
    """The donor's tail lift and reading lamps, the shell's immobiliser and roof vent."""
    text, document = compared(DONOR, SHELL)
    paired = _pairs(document)

    assert re.search(r"only in the donor: AN-A, .*C22, .*TW-AH", flat(text))
    assert re.search(r"only in the shell: .*IM-A, .*RVM-AH", flat(text))
    assert "C22" not in paired and "IM-A" not in paired.values()


def _pairs(document: dict[str, Any]) -> dict[str, str]:
    return {row["donor"]: row["shell"] for row in document["alignment"]["connectors"]}
