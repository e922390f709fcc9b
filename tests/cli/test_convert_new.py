"""``convert`` into every form, and ``new``: what they write, and what they refuse."""

from __future__ import annotations

import shutil
from itertools import pairwise
from pathlib import Path

import pytest
from builders.commands import Say
from builders.demo import DEMO
from builders.files import bare, good, xml

from harnesscheck.read import read_netlist
from harnesscheck.write.templates import LEVELS


def test_a_plug_goes_round_through_every_form(say: Say, tmp_path: Path) -> None:
    """CSV, XML, a folder, XML, CSV: nothing lost, and the last is the first written again."""
    shutil.copy(DEMO / "plug-donor.csv", tmp_path / "plug-donor.csv")
    steps = ["plug-donor.csv", "a.xml", "folder", "b.xml", "book.xlsx", "plug.csv", "c.xml"]
    for source, target in pairwise(steps):
        assert say("convert", source, target) == (0, f"wrote {target}\n", "")

    assert (tmp_path / "a.xml").read_bytes() == (tmp_path / "b.xml").read_bytes() == (tmp_path / "c.xml").read_bytes()
    assert bare(good(read_netlist(tmp_path / "plug.csv"))) == bare(good(read_netlist(tmp_path / "plug-donor.csv")))
    assert (tmp_path / "plug.csv").is_file()


@pytest.mark.parametrize(
    ("body", "target", "read"),
    [
        ('<ground id="G"/>', "car.csv", "a netlist that also has grounds"),
        ('<connector id="C" harness="?" cavities="4"><pin cavity="1"/></connector>', "car.csv", "also has connectors"),
        ('<connector id="C" harness="?"/>', "car.csv", "a netlist that also has connectors"),
        (
            '<connector id="C" harness="?"><pin cavity="1"/></connector>',
            "wires.csv",
            "also has pins, which a file called",
        ),
        ("", "car.xlsm", "a name that ends in .xlsm"),
        ("", "car.ods", "a name that ends in .ods"),
    ],
)
def test_a_form_that_cannot_hold_it_is_refused(say: Say, tmp_path: Path, body: str, target: str, read: str) -> None:
    """Before anything is lost, or written in a form the name does not say."""
    (tmp_path / "source.xml").write_text(xml(body))
    status, out, err = say("convert", "source.xml", target)

    assert (status, out, err.count("\n")) == (2, "", 1)
    assert err.startswith(f"{target}: read '") and read in err
    assert not (tmp_path / target).exists()


@pytest.mark.parametrize(
    ("source", "target"),
    [
        ("car.xml", "car.xml"),
        ("car.xml", "./folder/../car.xml"),
        ("folder", "folder"),
        ("folder", "folder/new.xml"),
        ("folder/pins.csv", "folder"),
        ("over.xml", "car.xml"),
        ("link.xml", "car.xml"),
    ],
)
def test_no_input_is_overwritten(say: Say, tmp_path: Path, source: str, target: str) -> None:
    """Not the source, nor the folder it is in, nor the base it changes."""
    (tmp_path / "car.xml").write_text(xml('<ground id="G"/>'))
    (tmp_path / "over.xml").write_text(xml('<ground id="H"/>', 'base="car.xml"'))
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "pins.csv").write_text("connector,cavity\nC,1\n")
    (tmp_path / "link.xml").symlink_to("car.xml")
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    status, _, err = say("convert", source, target)

    assert status == 2
    assert err == f"{target}: read 'an input of this command'; expected another file to write to\n"
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("level", LEVELS)
def test_new_tables_are_a_netlist_with_nothing_in_it(say: Say, level: str) -> None:
    """They read without a fault, and nobody is told that an empty car is fine."""
    assert say("new", "my van", "--level", level)[0] == 0
    status, out, err = say("validate", "my van")

    assert (status, err) == (0, "")
    assert "No pin is written yet" in out


def test_new_tables_can_be_filled_in(say: Say, tmp_path: Path) -> None:
    """A row under a header line is what the header says; each level has the columns of the one before."""
    columns: dict[str, set[str]] = {}
    for level in LEVELS:
        assert say("new", level, "--level", level)[0] == 0
        written = {file.name: set(file.read_text().strip().split(",")) for file in (tmp_path / level).iterdir()}
        assert all(names <= written[name] for name, names in columns.items())
        assert sum(map(len, written.values())) > sum(map(len, columns.values()))
        columns = written
    with (tmp_path / "pins" / "pins.csv").open("a") as file:
        file.write("C12,fuel pump feed,FP,4,BK/BU,\n")
    (pin,) = good(read_netlist(tmp_path / "pins")).pins
    assert (pin.connector, pin.cavity, pin.circuit, pin.function) == ("C12", "4", "FP", "fuel pump feed")


@pytest.mark.parametrize("words", [(), ("a", "--example", "b"), ("--example", "b", "--level", "pins"), ("a", "b")])
def test_new_wants_one_thing(say: Say, tmp_path: Path, words: tuple[str, ...]) -> None:
    """A folder of tables or an example; nothing is written otherwise."""
    status, out, err = say("new", *words)

    assert (status, out) == (2, "") and err.startswith("Usage: harnesscheck new")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("words", [("mine",), ("--example", "mine")])
def test_new_never_writes_over_a_file(say: Say, tmp_path: Path, words: tuple[str, ...]) -> None:
    """Nor through a dangling link, nor into what is no folder."""
    name = "pins.csv" if len(words) == 1 else "shell.xml"
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / name).symlink_to(tmp_path / "elsewhere")
    assert say("new", *words)[2] == (
        f"mine/{name}: read 'a file that is already there'; expected a folder without it\n"
    )
    assert [path.name for path in (tmp_path / "mine").iterdir()] == [name]

    (tmp_path / "mine" / name).unlink()
    (tmp_path / "mine").rmdir()
    (tmp_path / "mine").write_text("a file")
    status, _, err = say("new", *words)
    assert status == 2 and err.startswith("mine: read '") and (tmp_path / "mine").read_text() == "a file"
