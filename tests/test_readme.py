"""Every fenced command of the README runs, and what it shows is read."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from builders.decided import LINE, decided_vans
from builders.demo import ROOT

from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.read.swap import read_swap

README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```console\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
LINES = [line for block in BLOCKS for line in block.splitlines() if line.strip()]
INSTALLING = [line for line in LINES if "pip install" in line]
COMMANDS = [line for line in LINES if "pip install" not in line]


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo in it, where the commands run one after the other as a reader would type them."""
    folder = tmp_path_factory.mktemp("checkout with spaces ä")
    shutil.copytree(ROOT / "harness_demo", folder / "harness_demo")
    return folder


@pytest.mark.parametrize("line", COMMANDS)
def test_command_runs(line: str, checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """The command ends with status 0 and says something."""
    words = shlex.split(line)
    assert words[0] == ".venv/bin/harnesscheck", line
    if line == LINE:  # the longest: others look at its answer too
        ran = decided_vans(tmp_path_factory)
        assert ran.status == 0 and ran.out, ran.err
        return
    done = subprocess.run(
        [sys.executable, "-m", "harnesscheck", *words[1:]], cwd=checkout, capture_output=True, timeout=300, check=False
    )

    assert done.returncode == 0, done.stderr.decode()
    assert done.stdout


def test_the_longest_command_is_one_of_them() -> None:
    """So that a change of the README is seen."""
    assert LINE in COMMANDS


def test_the_two_install_commands_run_in_ci() -> None:
    """The two lines that install are run by .ci/run on a fresh virtual environment, word for word but for --quiet."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8").replace(" --quiet", "").replace(" > /dev/null", "")

    assert len(INSTALLING) == 2
    for line in INSTALLING:
        assert line in script


@pytest.mark.parametrize("block", re.findall(r"^```toml\n(.*?)^```", README, re.MULTILINE | re.DOTALL))
def test_the_swap_sheets_shown_read(block: str, tmp_path: Path) -> None:
    """The TOML shown is a file that the reader takes, section by section."""
    file = tmp_path / "swap.toml"
    file.write_text(block, encoding="utf-8")
    sheet, data = read_swap(str(file)), tomllib.loads(block)

    assert isinstance(sheet, SwapSheet)
    assert dict(sheet.crosswalk.connector) == data.get("crosswalk", {}).get("connector", {})
    assert sheet.rates_h.keys() == data.get("rates", {}).keys()
    assert sheet.built_donor.condition == data.get("built", {}).get("donor", {}).get("condition", {})


def test_the_readme_is_short() -> None:
    """What is asked seldom stands in the help of its command and in the glossaries."""
    assert len(README) <= 18_000


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("meeting-C15.svg", ["harness_demo/donor.xml", "C15", "--beside", "harness_demo/shell.xml"]),
        ("circuit-FP.svg", ["harness_demo/shell.xml", "FP"]),
    ],
)
def test_the_pictures_shown_are_what_draw_draws(name: str, words: list[str], checkout: Path, tmp_path: Path) -> None:
    """Draw them anew with ``draw ... -o harness_demo`` after a change of the demo or of the drawing."""
    assert f"(harness_demo/{name})" in README
    command = [sys.executable, "-m", "harnesscheck", "draw", *words, "-o", str(tmp_path)]
    subprocess.run(command, cwd=checkout, check=True, capture_output=True, timeout=300)

    assert (tmp_path / name).read_bytes() == (ROOT / "harness_demo" / name).read_bytes()
