"""The commands as a person types them: whole processes, exit statuses, files, consoles."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from builders.commands import Say
from builders.demo import DEMO, RICH

from harnesscheck.report.document import report_schema

Run = Callable[..., "subprocess.CompletedProcess[bytes]"]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Run harnesscheck in a folder of its own, with the demo copied into it."""
    shutil.copytree(DEMO, tmp_path / "demo")
    for name in ("rich-donor.xml", "rich-shell.xml"):  # small cars with planted faults: quicker
        shutil.copy(RICH / name, tmp_path / name)

    def go(*words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
        env = {**os.environ, "PYTHONIOENCODING": "utf-8", **environment}
        command = [sys.executable, "-m", "harnesscheck", *words]
        return subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, timeout=300, check=False)

    return go


def test_without_arguments_it_says_three_next_steps(run: Run) -> None:
    """A person who types the bare name is told what to type next."""
    done = run()

    assert done.returncode == 0
    assert done.stdout.decode().count("\n  harnesscheck ") == 3


def test_compare_of_the_demo_is_80_columns_and_worst_first(run: Run) -> None:
    """The terminal report fits 80 columns and its headings come worst first."""
    done = run("compare", "demo/donor.xml", "demo/shell.xml")
    text = done.stdout.decode()
    heads = re.findall(r"^(INJURY|DAMAGE|DEAD|REWORK|NOTE)\b", text, re.MULTILINE)

    assert done.returncode == 0 and not done.stderr
    assert max(map(len, text.splitlines())) <= 80
    assert heads == ["INJURY", "DAMAGE", "DEAD", "REWORK", "NOTE"]
    assert "WHAT THIS RESTS ON" in text and "Not judged:" in text


def test_json_report_follows_its_schema(run: Run, tmp_path: Path) -> None:
    """The file holds to the schema, and standard output gives the same bytes."""
    run("compare", "rich-donor.xml", "rich-shell.xml", "--json", "report.json")
    done = run("compare", "rich-donor.xml", "rich-shell.xml", "--json", "-")
    written = (tmp_path / "report.json").read_bytes()

    jsonschema.Draft202012Validator(report_schema()).validate(json.loads(written))
    assert written == done.stdout
    assert b"\r" not in written


def test_fail_on_sets_status_1_only_for_what_is_that_bad(run: Run) -> None:
    """A car against itself passes every bar above note; the pair with planted faults fails on injury."""
    assert run("compare", "rich-donor.xml", "rich-donor.xml", "--fail-on", "rework").returncode == 0
    assert run("compare", "rich-donor.xml", "rich-shell.xml", "--fail-on", "injury").returncode == 1
    assert run("compare", "rich-donor.xml", "rich-shell.xml").returncode == 0


def test_since_sorts_by_what_is_new_and_gone(run: Run, tmp_path: Path) -> None:
    """Against itself nothing is new; against the identical car everything above is gone."""
    run("compare", "rich-donor.xml", "rich-shell.xml", "--json", "old.json")
    same = json.loads(run("compare", "rich-donor.xml", "rich-shell.xml", "--since", "old.json", "--json", "-").stdout)
    other = json.loads(run("compare", "rich-donor.xml", "rich-donor.xml", "--since", "old.json", "--json", "-").stdout)
    old = json.loads((tmp_path / "old.json").read_text(encoding="utf-8"))

    assert same["since"]["new"] == [] and same["since"]["gone"] == []
    assert same["since"]["unchanged"] == [row["id"] for row in old["findings"]]
    assert {row["id"] for row in other["since"]["gone"]} >= {
        row["id"] for row in old["findings"] if row["severity"] != "note"
    }
    assert b"Since the older report" in run("compare", "rich-donor.xml", "rich-shell.xml", "--since", "old.json").stdout


def test_accepted_findings_are_shown_and_do_not_count_but_never_injury(run: Run, tmp_path: Path) -> None:
    """A reason quiets --fail-on for a finding; an injury stays whatever is written."""
    rows = json.loads(run("compare", "rich-donor.xml", "rich-shell.xml", "--json", "-").stdout)["findings"]
    lines = "\n".join(f'{row["id"]} = "seen, can live with it"' for row in rows)
    (tmp_path / "all.toml").write_text(f"[accepted]\n{lines}\n", encoding="utf-8")
    done = run("compare", "rich-donor.xml", "rich-shell.xml", "--crosswalk", "all.toml", "--json", "-")
    after = json.loads(done.stdout)["findings"]

    assert [row["id"] for row in after] == [row["id"] for row in rows]
    assert {row["severity"] for row in after if "accepted" not in row} == {"injury"}
    assert (
        run("compare", "rich-donor.xml", "rich-shell.xml", "--crosswalk", "all.toml", "--fail-on", "injury").returncode
        == 1
    )


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "utf-8"])
def test_any_console_shows_the_report(run: Run, encoding: str) -> None:
    """Letters the console has not become plain ones; nothing breaks."""
    done = run("compare", "rich-donor.xml", "rich-shell.xml", "--notes", PYTHONIOENCODING=encoding)

    assert done.returncode == 0, done.stderr
    done.stdout.decode(encoding)


def test_paths_with_blanks_and_umlauts(run: Run, tmp_path: Path) -> None:
    """Folder names are the user's business."""
    folder = tmp_path / "Mein Käfig (2)"
    folder.mkdir()
    names = [shutil.copy(tmp_path / f"rich-{car}.xml", folder / f"{car} ß.xml").name for car in ("donor", "shell")]

    done = run("compare", *(f"{folder.name}/{name}" for name in names), "--json", f"{folder.name}/ö.json")

    assert done.returncode == 0 and (folder / "ö.json").exists()


def test_convert_loses_nothing_and_refuses_its_own_source(run: Run, tmp_path: Path) -> None:
    """XML to tables and back gives the same file, and nothing above note against the source."""
    assert run("convert", "demo/donor.xml", "tables").returncode == 0
    assert run("compare", "demo/donor.xml", "tables", "--fail-on", "rework").returncode == 0
    assert run("convert", "tables", "again.xml").returncode == 0
    assert run("convert", "again.xml", "tables2").returncode == 0
    assert run("convert", "tables2", "third.xml").returncode == 0
    assert (tmp_path / "again.xml").read_bytes() == (tmp_path / "third.xml").read_bytes()

    before = (tmp_path / "again.xml").read_bytes()
    done = run("convert", "again.xml", "again.xml")
    assert done.returncode == 2 and (tmp_path / "again.xml").read_bytes() == before


def test_an_input_is_never_overwritten(run: Run, tmp_path: Path) -> None:
    """--json on one of the inputs is refused with status 2 and leaves it alone."""
    before = (tmp_path / "demo" / "donor.xml").read_bytes()
    done = run("compare", "demo/donor.xml", "demo/shell.xml", "--json", "demo/donor.xml")

    assert done.returncode == 2 and b"Traceback" not in done.stderr
    assert (tmp_path / "demo" / "donor.xml").read_bytes() == before


def test_new_writes_the_example_and_never_over_files(run: Run, tmp_path: Path) -> None:
    """The example is the demo; a second time it is refused."""
    assert run("new", "--example", "mine").returncode == 0
    names = {file.name for file in (tmp_path / "mine").iterdir()}

    assert {"donor.xml", "shell.xml", "plug-donor.csv", "plug-shell.csv", "swap.toml"} <= names
    assert run("compare", "mine/plug-donor.csv", "mine/plug-shell.csv").returncode == 0
    assert run("validate", "mine/donor.xml").returncode == run("validate", "mine/shell.xml").returncode == 0
    assert run("new", "--example", "mine").returncode == 2


BAD: dict[str, bytes] = {
    "empty.xml": b"",
    "binary.xml": bytes(range(256)) * 8,
    "cut.xml": b'<netlist xmlns="urn:harnesscheck:netlist:1"><harness id="a"',
    "doctype.xml": b'<!DOCTYPE x [<!ENTITY a "b">]><netlist xmlns="urn:harnesscheck:netlist:1">&a;</netlist>',
    "namespace.xml": b'<netlist xmlns="urn:other"/>',
    "element.xml": b'<netlist xmlns="urn:harnesscheck:netlist:1"><wheel/></netlist>',
    "script.xml": b'<netlist xmlns="urn:harnesscheck:netlist:1"><splice id="&lt;script&gt;"/></netlist>',
    "climb.xml": b'<netlist xmlns="urn:harnesscheck:netlist:1"><splice id="../../x"/></netlist>',
    "twice.xml": b'<netlist xmlns="urn:harnesscheck:netlist:1"><splice id="a"/><splice id="a"/></netlist>',
    "number.xml": b'<netlist xmlns="urn:harnesscheck:netlist:1"><component id="a" kind="lamp" amps="NaN"/></netlist>',
    "utf16.csv": "cavity,colour\n1,RD\n".encode("utf-16"),
    "empty.csv": b"",
    "column.csv": b"cavity,colour,weather\n1,RD,fine\n",
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", ["validate", "compare", "convert"])
def test_bad_input_is_one_message_a_fault(say: Say, tmp_path: Path, name: str, command: str) -> None:
    """Status 2, the file's name in the message, no traceback, nothing written."""
    (tmp_path / name).write_bytes(BAD[name])
    words = {
        "validate": ("validate", name, "--json", "out.json"),
        "compare": ("compare", name, str(RICH / "rich-shell.xml"), "--json", "out.json"),
        "convert": ("convert", name, "out.json"),
    }
    status, _, message = say(*words[command])

    assert status == 2, message
    assert name in message and "Traceback" not in message
    assert "expected" in message
    assert not (tmp_path / "out.json").exists()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no FIFOs")
def test_a_fifo_is_refused_at_once(run: Run, tmp_path: Path) -> None:
    """A pipe nobody writes to must not hang the command."""
    os.mkfifo(tmp_path / "pipe.xml")
    done = run("validate", "pipe.xml")

    assert done.returncode == 2 and b"pipe.xml" in done.stderr


def test_faults_of_both_files_come_at_once(run: Run, tmp_path: Path) -> None:
    """Nobody should mend one file only to learn of the other."""
    (tmp_path / "a.xml").write_bytes(BAD["twice.xml"])
    (tmp_path / "b.xml").write_bytes(BAD["number.xml"])
    message = run("compare", "a.xml", "b.xml").stderr.decode()

    assert "a.xml" in message and "b.xml" in message


def test_an_unknown_crosswalk_entry_is_a_fault(run: Run, tmp_path: Path) -> None:
    """Certain knowledge about a plug that is not there is a mistake, not to be ignored."""
    (tmp_path / "wrong.toml").write_text('[crosswalk]\nconnector = { C999 = "C12" }\n', encoding="utf-8")
    done = run("compare", "demo/donor.xml", "demo/shell.xml", "--crosswalk", "wrong.toml")

    assert done.returncode == 2 and b"C999" in done.stderr


def test_an_older_report_that_is_none_is_a_fault(run: Run, tmp_path: Path) -> None:
    """--since takes what --json wrote, and says so of anything else."""
    (tmp_path / "old.json").write_text("{]", encoding="utf-8")
    done = run("compare", "rich-donor.xml", "rich-shell.xml", "--since", "old.json")

    assert done.returncode == 2 and b"old.json" in done.stderr and b"Traceback" not in done.stderr
