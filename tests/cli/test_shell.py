"""What a shell, git and a build server need: the listing, examples, completion, pipes, quiet, one order of rows."""

from __future__ import annotations

import os
import random
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import click
import pytest
from builders.commands import Say
from builders.demo import DEMO, RICH, ROOT
from builders.files import good
from cars import make_car, vehicle_of

from harnesscheck.cli.listing import COMMANDS, EXAMPLES, help_text
from harnesscheck.cli.main import cli
from harnesscheck.model.records import TABLE_OF, Netlist
from harnesscheck.read import read_netlist
from harnesscheck.write.xml import xml_text

CARS = (str(RICH / "rich-donor.xml"), str(RICH / "rich-shell.xml"))


def typed(folder: Path, *words: str, stdin: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The program as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "harnesscheck", *words],
        cwd=folder,
        input=stdin,
        capture_output=True,
        timeout=300,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )


def test_the_listing_is_the_same_by_either_way(say: Say, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Printed before the library of commands is imported, and by it."""
    monkeypatch.setenv("COLUMNS", "80")
    quick = typed(tmp_path, "--help", COLUMNS="80").stdout.decode()

    assert quick == help_text() == say("--help")[1]
    assert max(map(len, quick.splitlines())) <= 80
    assert re.findall(r"^  ([a-z-]+) ", quick, re.MULTILINE)[-len(COMMANDS) :] == list(COMMANDS)


def test_the_listing_imports_no_library_of_commands() -> None:
    """So that it is there at once."""
    code = "import sys; from harnesscheck.cli.entry import main; sys.argv[1:] = ['--help']\n" + (
        "try: main()\nexcept SystemExit: pass\nprint(sorted(name for name in sys.modules if 'click' in name))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)

    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_of_every_command_has_an_example_that_can_be_typed(name: str) -> None:
    """Its words are taken, and the files it names are in the example's folder."""
    command = cli.get_command(None, name)  # type: ignore[arg-type]
    assert isinstance(command, click.Command)
    words = shlex.split(EXAMPLES[name])
    context = command.make_context(name, list(words))

    assert f"harnesscheck {name} {EXAMPLES[name]}" in command.get_help(context)
    for word in words:
        if word.startswith("demo/"):
            assert (DEMO / word.removeprefix("demo/")).exists(), word


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_names_are_completed(tmp_path: Path, shell: str) -> None:
    """Click's own way; a command's name without importing any."""
    script = typed(tmp_path, _HARNESSCHECK_COMPLETE=f"{shell}_source").stdout.decode()
    asked = {"COMP_WORDS": "harnesscheck co", "COMP_CWORD": "co" if shell == "fish" else "1"}
    found = typed(tmp_path, _HARNESSCHECK_COMPLETE=f"{shell}_complete", **asked).stdout

    assert "_HARNESSCHECK_COMPLETE" in script and "harnesscheck" in script
    assert all(name in found.decode() for name in ("compare", "convert", "columns"))
    assert b"decide" not in found


def test_quiet_prints_nothing_but_faults(say: Say, tmp_path: Path) -> None:
    """The status and the files say it; a fault is told all the same, and JSON that was asked for is printed."""
    assert say("compare", *CARS, "--quiet", "--fail-on", "injury", "-o", "out") == (1, "", "")
    assert (tmp_path / "out" / "report.html").exists()
    status, out, err = say("compare", "none.xml", CARS[1], "-q")
    assert (status, out) == (2, "") and err.startswith("none.xml: ")
    assert say("validate", CARS[0], "-q", "--json", "-")[1].startswith("{")


def test_nothing_printed_is_coloured(tmp_path: Path) -> None:
    """Neither with NO_COLOR (no-color.org) nor without it: no escape sequence is ever printed."""
    for environment in ({}, {"NO_COLOR": "1"}, {"FORCE_COLOR": "1", "CLICOLOR_FORCE": "1"}):
        assert b"\x1b" not in typed(tmp_path, "validate", CARS[0], **environment).stdout


# -- pipes


@pytest.mark.parametrize("file", [Path(CARS[0]), DEMO / "plug-donor.csv"], ids=["XML", "CSV"])
def test_a_stroke_is_what_is_piped_in(tmp_path: Path, file: Path) -> None:
    """A netlist in either text form; and a netlist is printed where no target is named."""
    piped = typed(tmp_path, "convert", "-", stdin=file.read_bytes())
    named = typed(tmp_path, "convert", str(file))

    assert piped.returncode == 0 and piped.stdout.startswith(b"<?xml")
    if file.suffix == ".xml":
        assert piped.stdout == named.stdout


def test_what_is_piped_in_has_its_limit(tmp_path: Path) -> None:
    """Told in one line."""
    done = typed(tmp_path, "validate", "-", "--max-mb", "1", stdin=b" " * (1 << 21))

    assert done.returncode == 2 and done.stderr.startswith(b"-: read 'more bytes'; expected at most 1048576 bytes")


# -- one order of rows


def shuffled(car: Netlist, seed: int) -> Netlist:
    """The same car with the rows of every sort in another order."""
    draw = random.Random(seed)
    rows: dict[str, Any] = {}
    for slot in TABLE_OF.values():
        rows[slot] = tuple(draw.sample(getattr(car, slot), len(getattr(car, slot))))
    return replace(car, **rows)


@pytest.mark.parametrize("seed", range(8))
def test_a_row_that_only_moved_is_no_difference(seed: int) -> None:
    """What is written is the same, in whatever order rows were read."""
    car = vehicle_of(make_car(seed, 30)).netlist if seed else good(read_netlist(CARS[0]))

    assert xml_text(shuffled(car, seed)) == xml_text(car)


@pytest.mark.skipif(shutil.which("git") is None, reason="no git on this machine")
def test_git_shows_what_changed_in_a_car(tmp_path: Path) -> None:
    """With the recipe of the README: rows in another order are no difference, a wire's colour is one line."""

    def git(*words: str) -> str:
        home = {**os.environ, "HOME": str(tmp_path), "GIT_CONFIG_NOSYSTEM": "1", "PYTHONPATH": str(ROOT)}
        return subprocess.run(
            ["git", *words], cwd=tmp_path, env=home, capture_output=True, text=True, check=True
        ).stdout

    text = Path(CARS[0]).read_text(encoding="utf-8")
    git("init", "--quiet", ".")
    git("config", "diff.netlist.textconv", f"'{sys.executable}' -m harnesscheck convert")
    (tmp_path / ".gitattributes").write_text("*.xml diff=netlist\n")
    (tmp_path / "car.xml").write_text(text, encoding="utf-8")
    git("add", ".")
    first, second = re.findall(r"^ *<splice [^\n]*\n|^ *<ground [^\n]*\n", text, re.MULTILINE)[:2]
    moved = text.replace(first, "\0", 1).replace(second, first, 1).replace("\0", second, 1)
    assert moved != text
    (tmp_path / "car.xml").write_text(moved, encoding="utf-8")
    assert git("diff", "car.xml") == ""

    (tmp_path / "car.xml").write_text(moved.replace('colour="RD"', 'colour="GN"', 1), encoding="utf-8")
    changed = [line for line in git("diff", "car.xml").splitlines() if re.match(r"[+-](?![+-])", line)]
    assert len(changed) == 2 and 'colour="GN"' in changed[1]
