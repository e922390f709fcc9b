"""Programs and commands get one answer: text, JSON, folder, rows; cars as files or as objects."""

from __future__ import annotations

import doctest
import json
import os
import sys
from importlib import import_module
from pathlib import Path

import pytest
from builders.demo import DEMO, ROOT, vehicle_at
from builders.files import good
from click.testing import CliRunner

from harnesscheck.api.compare import Comparison, compare
from harnesscheck.api.faults import InputError
from harnesscheck.api.find import find
from harnesscheck.api.result import framed, needed
from harnesscheck.cli.main import cli
from harnesscheck.read import read_netlist

PLUGS = str(DEMO / "plug-donor.csv"), str(DEMO / "plug-shell.csv")
MODULES = sorted(path.stem for path in (ROOT / "harnesscheck" / "api").glob("*.py") if path.stem != "__init__")


@pytest.fixture(scope="module")
def compared() -> Comparison:
    return compare(*PLUGS)


@pytest.mark.parametrize("module", MODULES)
def test_the_examples_in_docstrings_are_true(module: str) -> None:
    """Run where the example lies, as a reader would."""
    before = Path.cwd()
    os.chdir(ROOT)
    try:
        assert doctest.testmod(import_module(f"harnesscheck.api.{module}")).failed == 0
    finally:
        os.chdir(before)


def test_it_is_what_the_command_says(compared: Comparison, tmp_path: Path) -> None:
    """Text, JSON and every file of the folder, byte for byte."""
    by_command, by_program = tmp_path / "a", tmp_path / "b"
    done = CliRunner().invoke(cli, ["compare", *PLUGS, "--json", str(tmp_path / "a.json"), "-o", str(by_command)])
    assert done.exit_code == 0, done.output

    written = compared.save(by_program)

    assert json.loads((tmp_path / "a.json").read_text(encoding="utf-8")) == json.loads(json.dumps(compared.to_dict()))
    assert str(compared) in done.stdout
    assert {path.name for path in written} >= {"report.html"}
    there, here = (
        {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
        for folder in (by_command, by_program)
    )
    assert there == here


def test_cars_may_be_files_or_objects(compared: Comparison) -> None:
    """A path, a netlist as read, a car as configured."""
    for donor in (Path(PLUGS[0]), good(read_netlist(PLUGS[0])), vehicle_at(PLUGS[0])):
        assert compare(donor, PLUGS[1]).findings == compared.findings


def test_every_fault_of_every_file_is_in_the_error(tmp_path: Path) -> None:
    """With its file and place; it is a ValueError."""
    broken = [tmp_path / name for name in ("a.xml", "b.xml")]
    for path in broken:
        path.write_text("<netlist", encoding="utf-8")

    with pytest.raises(InputError) as caught:
        compare(*broken)

    assert isinstance(caught.value, ValueError)
    assert {fault.place.path for fault in caught.value.faults} == {str(path) for path in broken}


def test_an_input_is_never_written_over(tmp_path: Path) -> None:
    car = tmp_path / "report.html"
    for name, source in (("donor.csv", PLUGS[0]), ("shell.csv", PLUGS[1])):
        (tmp_path / name).write_bytes(Path(source).read_bytes())
    car.symlink_to(tmp_path / "donor.csv")
    before = (tmp_path / "donor.csv").read_bytes()

    with pytest.raises(InputError):
        compare(tmp_path / "donor.csv", tmp_path / "shell.csv").save(tmp_path)

    assert (tmp_path / "donor.csv").read_bytes() == before


def test_a_notebook_gets_a_page_in_a_frame_of_its_own(compared: Comparison) -> None:
    """Nothing of the page can leave its frame, whatever stands in a file."""
    shown = compared._repr_html_()

    assert shown.startswith("<iframe srcdoc=") and 'sandbox=""' in shown
    assert framed('"><script>x</script>', '"><b>').count("<") == 2  # the frame opens and closes
    assert repr(compared).startswith("<Comparison: ")


def test_rows_are_flat(compared: Comparison, monkeypatch: pytest.MonkeyPatch) -> None:
    """One row a finding, one column a field; what is inside a field stands by both names."""
    rows: list[dict[str, object]] = []

    class Frames:
        """What is handed to a library of data frames."""

        DataFrame = staticmethod(rows.extend)

    monkeypatch.setitem(sys.modules, "pandas", Frames)  # type: ignore[arg-type]
    compared.to_frame()

    assert [row["kind"] for row in rows] == [one.kind for one in compared.findings]
    assert rows[0]["donor.connector"] == compared.findings[0].donor.connector


def test_a_library_that_is_not_there_is_named() -> None:
    with pytest.raises(ImportError, match="to_frame needs nosuchlibrary, which is not installed"):
        needed("nosuchlibrary", "to_frame")


def test_finding_a_wire_is_what_the_command_finds(tmp_path: Path) -> None:
    file = tmp_path / "f.json"
    words = ["find", str(DEMO / "donor.xml"), "violet/red", "--json", str(file)]
    CliRunner().invoke(cli, words, catch_exceptions=False)

    found = find(DEMO / "donor.xml", words="violet/red").to_dict()

    assert json.loads(file.read_text(encoding="utf-8")) == json.loads(json.dumps(found))
