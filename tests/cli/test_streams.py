"""Standard output and standard error that are full, closed, or read by nobody; a working folder that is gone.

``/dev/full`` is a device that is always full (Linux, full(4)).
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from builders.demo import RICH

pytestmark = pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
CARS = (str(RICH / "rich-donor.xml"), str(RICH / "rich-shell.xml"))
PROGRAM = f"'{sys.executable}' -m harnesscheck"
EXPLAIN = f"{PROGRAM} explain crossed"
MISSING = f"{PROGRAM} explain crossd"


def shell(command: str, folder: Path) -> tuple[int, str, str]:
    """A line typed at a shell: status, standard output, standard error."""
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {command}"],
        cwd=folder,
        capture_output=True,
        timeout=300,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )
    return done.returncode, done.stdout.decode(), done.stderr.decode()


@pytest.mark.parametrize(
    ("to", "why"), [("> /dev/full", "No space left on device"), (">&-", "Bad file descriptor")], ids=["full", "closed"]
)
def test_output_that_cannot_be_printed_is_told(tmp_path: Path, to: str, why: str) -> None:
    """One line, status 2."""
    assert shell(f"{EXPLAIN} {to}", tmp_path) == (
        2,
        "",
        f"standard output: read '{why}'; expected a place that takes what is printed\n",
    )


@pytest.mark.parametrize("to", ["2> /dev/full", "2>&-"])
def test_messages_that_nobody_can_take_are_lost(tmp_path: Path, to: str) -> None:
    """The status stays; no traceback anywhere."""
    assert shell(f"{MISSING} {to}", tmp_path) == (2, "", "")


def test_a_reader_that_leaves_changes_nothing(tmp_path: Path) -> None:
    """The status is that of --fail-on, and the file is written."""
    command = f"{PROGRAM} compare {' '.join(CARS)} --fail-on injury --json found.json"
    status, out, err = shell(f"{{ {command}; echo $? > status; }} | head -1", tmp_path)

    assert (tmp_path / "status").read_text() == "1\n" and (tmp_path / "found.json").exists()
    assert out.startswith("donor: ") and err == "" and status in (0, 141)


def test_a_working_folder_that_is_gone_is_said(tmp_path: Path) -> None:
    """One line, status 2."""
    (tmp_path / "gone").mkdir()
    status, _, err = shell(f"cd gone && rmdir ../gone && {EXPLAIN}", tmp_path)

    assert status == 2
    assert err.splitlines()[-1] == ".: read 'No such file or directory'; expected a working folder that is there"


@pytest.mark.parametrize("bad", ["-o afile", "--json nowhere/report.json -o out", "--json adir -o out"])
def test_status_2_leaves_nothing_written(tmp_path: Path, bad: str) -> None:
    """A folder's name that is a file's, and a file that has no folder or is one: neither report nor page."""
    (tmp_path / "afile").write_text("mine")
    (tmp_path / "adir").mkdir()
    more = "" if "--json" in bad else "--json found.json"
    status, _, err = shell(f"{PROGRAM} compare {' '.join(CARS)} {bad} {more}", tmp_path)

    assert status == 2 and err.count("\n") == 1 and "; expected a" in err
    assert sorted(file.name for file in tmp_path.iterdir()) == ["adir", "afile"]


def test_names_that_are_no_text_and_links_that_lead_nowhere(tmp_path: Path) -> None:
    """A name of other bytes is read and written; a link to itself is told."""
    odd = os.fsdecode(b"car-\xff.xml")
    (tmp_path / odd).write_bytes((RICH / "rich-donor.xml").read_bytes())
    (tmp_path / "loop").symlink_to("loop")
    status, out, err = shell(f"{PROGRAM} compare $'car-\\xff.xml' {CARS[1]} --json $'\\xfe.json' -o out", tmp_path)
    looped = shell(f"{PROGRAM} convert {CARS[0]} loop", tmp_path)

    assert (status, err) == (0, "") and "car-" in out
    assert (tmp_path / os.fsdecode(b"\xfe.json")).exists() and (tmp_path / "out" / "report.html").exists()
    assert looped[0] == 2 and looped[2].startswith("loop: read '") and looped[2].count("\n") == 1
