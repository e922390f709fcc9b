"""``find`` at the command line: text, page, JSON, and what it does not take."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from builders.demo import DEMO
from click.testing import CliRunner, Result

from harnesscheck.cli.main import cli
from harnesscheck.report.document import report_schema

VANS = [str(DEMO / "donor.xml"), str(DEMO / "shell.xml")]


def find(*words: str) -> Result:
    """The command as it is typed."""
    return CliRunner().invoke(cli, ["find", *words])


def flat(text: str) -> str:
    """A text without its line breaks."""
    return " ".join(text.split())


def test_a_wire_of_both_vans_with_what_the_other_has_there(tmp_path: Path) -> None:
    """The accessory feed of the radio moved to another cavity between the years: both are said."""
    done = find(*VANS, "violet/red behind the dash", "--json", str(tmp_path / "f.json"), "-o", str(tmp_path / "out"))
    document = json.loads((tmp_path / "f.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, report_schema())

    assert done.exit_code == 0
    assert max(len(line) for line in done.output.splitlines() if ".xml" not in line and ".html" not in line) <= 80
    assert "RA-AH:A7: 1 RD/YE" in flat(done.output) and "Its circuit there: RAF" in flat(done.output)
    assert [(one["car"], one["from"], one["to"]) for one in document["found"]] == [
        (1, "FB-CH:7", "RA-AH:A7"), (2, "FB-CH:7", "RA-AH:A4"),
    ]  # fmt: skip
    assert "violet" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")


def test_restraint_wiring_is_left_alone_and_stop_comes_first() -> None:
    """Where a wire of it is, and nothing that invites a meter."""
    text = flat(find(VANS[0], "squib driver").output)

    assert text.index("STOP") < text.index("DS-AH:1")
    assert "LEAVE ALONE" in text and "live with" not in text


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([VANS[0], "the"], "something to look for"),
        ([*VANS, VANS[0], "red"], "one car or two"),
        (["nowhere.xml", "red"], "nowhere.xml"),
    ],
)
def test_what_cannot_be_asked_is_one_line_and_status_2(words: list[str], told: str) -> None:
    """Nothing to look for, too many cars, a file that is not there."""
    done = find(*words)

    assert done.exit_code == 2
    assert told in done.output and len(done.output.splitlines()) == 1


def test_nothing_found_says_so() -> None:
    """Status 0: the job was done."""
    done = find(VANS[0], "zzzzz")

    assert done.exit_code == 0 and "No wire is found. Nothing in the files answers to 'zzzzz'." in flat(done.output)
