"""What holds for every command: a new one is covered as soon as it is in the table of commands.

The cars are small ones of our invention; consoles are tried with a whole process.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from itertools import cycle
from pathlib import Path

import pytest
from builders.commands import run
from builders.lampcars import pair
from click import Command
from click.testing import CliRunner

from harnesscheck.cli.main import COMMANDS, NEXT_STEPS, cli
from harnesscheck.report.since import FORMAT
from harnesscheck.write.xml import write_xml

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
SEED = 5
WORDS = {  # how each command is asked for something; a new command needs a line here
    "compare": ("compare", "donor.xml", "shell.xml"),
    "decide": ("decide", "swap.toml"),
    "draw": ("draw", "donor.xml", "overview", "-o", "drawn"),
    "sheets": ("sheets", "swap.toml", "--only", "cover"),
    "trace": ("trace", "donor.xml", "PLUG"),
    "ringout": ("ringout", "donor.xml"),
    "loads": ("loads", "donor.xml"),
    "states": ("states", "donor.xml"),
    "validate": ("validate", "donor.xml"),
    "convert": ("convert", "donor.xml", "tables"),
    "read-table": ("read-table", "page.csv"),
    "crosswalk": ("crosswalk", "donor.xml", "shell.xml"),
    "identify": ("identify", "donor.xml", "--cavities", "2"),
    "find": ("find", "donor.xml", "PLUG"),
    "which": ("which", "."),
    "rank": ("rank", "donor.xml", ".", "--no-cache", "--processes", "1"),
    "open": ("open", "--help"),  # it serves until somebody ends it; tests/serve runs it
    "explain": ("explain", "crossed"),
    "columns": ("columns", "pins"),
    "new": ("new", "fresh"),
}
NO_NETLIST = ("explain", "columns", "new", "read-table", "open", "which")  # given as an argument
READING = [name for name in COMMANDS if name not in NO_NETLIST]


def options(name: str) -> set[str]:
    """The options of a command."""
    command = cli.get_command(None, name)  # type: ignore[arg-type]
    assert isinstance(command, Command)
    return {word for one in command.params for word in one.opts if word.startswith("-")}


def having(option: str) -> list[str]:
    """The commands that have an option."""
    return [name for name in COMMANDS if option in options(name)]


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder with two small cars and their swap sheet."""
    donor, shell, _ = pair(SEED)
    write_xml(donor.vehicle.netlist, tmp_path / "donor.xml")
    write_xml(shell.vehicle.netlist, tmp_path / "shell.xml")
    (tmp_path / "swap.toml").write_text('donor = "donor.xml"\nshell = "shell.xml"\n', encoding="utf-8")
    (tmp_path / "page.csv").write_text("C15, 2-way\nPin,Colour,Function\n1,red,horn feed\n2,brown,ground\n")
    monkeypatch.chdir(tmp_path)


def asked(name: str, *more: str) -> list[str]:
    """The words of a command, with a contact of the donor for what asks for one."""
    plugs = pair(SEED)[0].vehicle.pins_of
    contact = next(f"{plug}:{pins[0].cavity}" for plug, pins in plugs.items() if pins)
    return [contact if word == "PLUG" else word for word in (*WORDS[name], *more)]


def test_every_command_has_its_words() -> None:
    """The table above is the table of commands."""
    assert list(WORDS) == list(COMMANDS)


def test_the_list_says_in_a_few_words_what_each_does() -> None:
    """Imperative, a capital, a full stop, no more than a line of 80 columns with its name."""
    text = run("--help").stdout
    for name, (_, words) in COMMANDS.items():
        assert f"\n  {name} " in text
        assert re.fullmatch(r"[A-Z][^.]*\.", words), words


def test_without_a_command_the_next_steps_run() -> None:
    """The three commands that a new user is told to type, typed."""
    steps = re.findall(r"^  harnesscheck (.*)$", run().stdout, re.MULTILINE)

    assert len(steps) == 3 and run().stdout == NEXT_STEPS
    for step in steps:
        run(*step.split())


@pytest.mark.parametrize("name", COMMANDS)
def test_help_is_of_one_style(name: str) -> None:
    """One sentence first; every option explained in a sentence; 80 columns; -h as well."""
    text = run(name, "--help").stdout
    command = cli.get_command(None, name)  # type: ignore[arg-type]
    assert isinstance(command, Command) and command.help is not None
    first = command.help.split("\n\n")[0]

    assert max(map(len, text.splitlines())) <= 80
    assert run(name, "-h").stdout == text
    assert "\n" not in first and first[0].isupper() and first[-1] in ".?:"
    for one in command.params:
        words = getattr(one, "help", None)
        if one.param_type_name == "option":
            assert words and words[0].isupper() and words[-1] in '.)"', (one.name, words)


@pytest.mark.parametrize("name", COMMANDS)
def test_it_does_what_is_asked(name: str) -> None:
    """Status 0, something said, nothing on the error stream."""
    done = run(*asked(name))

    assert done.stdout and not done.stderr


@pytest.mark.parametrize("name", having("--json"))
def test_json_on_standard_output_is_json_only(name: str, tmp_path: Path) -> None:
    """The same bytes as in the file, of our format, with the command's own name and all its inputs."""
    alone = run(*asked(name, "--json", "-"))
    run(*asked(name, "--json", "report.json"))
    found = json.loads(alone.stdout)

    assert not alone.stderr
    assert (tmp_path / "report.json").read_bytes() == alone.stdout_bytes
    assert (found["format"], found["command"]) == (FORMAT, name)
    for one in found["inputs"].get("vehicles", found["inputs"].values()):
        assert one["file"] in ("donor.xml", "shell.xml", "swap.toml")
        assert re.fullmatch("[0-9a-f]{12}", one["digest"])


@pytest.mark.parametrize("name", having("--json"))
def test_files_beside_json_are_not_announced_in_it(name: str) -> None:
    """With -o as well, what is on standard output is still JSON."""
    if "-o" in options(name):
        json.loads(run(*asked(name, "--json", "-", "-o", "out")).stdout)


@pytest.mark.parametrize("name", READING)
def test_an_input_is_never_written_over(name: str, tmp_path: Path) -> None:
    """--json on it, -o into the folder of tables that is read, or as its file: refused, and left alone."""
    run("convert", "donor.xml", "donor-tables")
    words = [word.replace("donor.xml", "donor-tables") for word in asked(name)]
    if name in ("decide", "sheets"):
        (tmp_path / "swap.toml").write_text('donor = "donor-tables"\nshell = "shell.xml"\n', encoding="utf-8")
    tries = [[*words, "--json", "donor-tables/pins.csv"]] if "--json" in options(name) else []
    tries += [[*words, "-o", "donor-tables"]] if "-o" in options(name) else []
    tries += [[*words[:-1], "donor-tables"]] if name == "convert" else []
    before = {file: file.read_bytes() for file in (tmp_path / "donor-tables").iterdir()}

    assert tries
    for one in tries:
        done = run(*one, status=2)
        assert "an input of this command" in done.stderr, done.stderr
        assert {file: file.read_bytes() for file in (tmp_path / "donor-tables").iterdir()} == before


@pytest.mark.parametrize("name", READING)
def test_a_file_that_is_not_there_is_one_line(name: str, tmp_path: Path) -> None:
    """Status 2, its name, nothing on standard output, nothing written."""
    (tmp_path / "donor.xml").unlink()
    before = set(tmp_path.iterdir())
    done = run(*asked(name), status=2)

    asks = "swap.toml:1: read 'donor.xml'; " if "swap.toml" in WORDS[name] else "donor.xml: "  # the line that asks
    assert done.stderr.startswith(asks) and len(done.stderr.splitlines()) == 1
    assert "expected" in done.stderr and not done.stdout
    assert set(tmp_path.iterdir()) == before


@pytest.mark.parametrize("name", [name for name in READING if "swap.toml" not in WORDS[name]])
def test_a_sheet_in_the_place_of_a_netlist_is_one_line_or_a_car(name: str) -> None:
    """Where no car is put together the sheet is named for what it is."""
    words = ["swap.toml" if word == "donor.xml" else word for word in asked(name)]
    done = CliRunner().invoke(cli, words)
    if done.exit_code:
        assert done.exit_code == 2 and done.stderr.startswith("swap.toml: read 'a swap sheet'"), done.output
    else:
        assert "SWAP.toml" in run(name, "--help").stdout


@pytest.mark.parametrize("name", READING)
@pytest.mark.parametrize("limit", ["--max-rows", "--max-depth"])
def test_a_limit_is_held_by_whoever_reads(name: str, limit: str) -> None:
    """A limit of one: refused, and said that it can be raised."""
    done = run(*asked(name), limit, "1", status=2)

    assert re.match(r"donor\.xml:\d+:\d+: .* \(a limit, can be raised\)\n", done.stderr), done.stderr


@pytest.mark.parametrize("name", having("--fail-on"))
def test_status_1_only_when_asked_for(name: str) -> None:
    """Whatever was found, 0; with --fail-on note, 1 where anything was found at all."""
    found = json.loads(run(*asked(name, "--json", "-")).stdout)["findings"]

    run(*asked(name, "--fail-on", "note"), status=1 if found else 0)


@pytest.mark.parametrize(("name", "encoding"), list(zip(COMMANDS, cycle(["cp1252", "ascii"]), strict=False)))
def test_any_console_shows_it(name: str, encoding: str) -> None:
    """Letters that the console has not become plain ones; nothing breaks. One console a command, in turn."""
    done = subprocess.run(
        [sys.executable, "-m", "harnesscheck", *asked(name)],
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True,
        timeout=300,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert b"\xef\xbf\xbd" not in done.stdout
    done.stdout.decode(encoding)


def test_the_readme_has_every_command_once_in_its_table() -> None:
    """Its name in the first column, the words of the list in the second."""
    for name, (_, words) in COMMANDS.items():
        assert README.count(f"| `{name}` | {words[:-1]}") == 1, name
