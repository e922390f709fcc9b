"""A part of the campaign in every run, the same inputs first; and that the campaign sees what it looks for."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from fuzz.campaign import campaign, tried
from fuzz.seeds import Form
from harnesscheck.read import workbook

SECONDS = float(os.environ.get("FUZZ_SECONDS", "20"))


def test_spoilt_inputs_end_well() -> None:
    """No traceback, no third status, nothing written with status 2, nothing a terminal would obey, no input changed."""
    counts, failures = campaign(SECONDS, 20, apart=False)

    assert len(counts) >= 10
    assert not failures, "\n".join(map(str, failures[:10]))


@pytest.mark.parametrize(
    ("output", "seen"),
    [("fine\n", ""), ("a\x1b[2Jb\n", "obey"), ("a\u202eb\n", "obey")],
)
def test_the_campaign_sees_what_it_looks_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, output: str, seen: str
) -> None:
    """Output that a terminal would obey."""
    from harnesscheck.cli import explain

    monkeypatch.setattr(explain.command, "callback", lambda **_: sys.stdout.write(output))
    monkeypatch.chdir(tmp_path)
    found = tried(Form("a.txt", b"", ()), ("explain", "crossed"), b"", tmp_path)

    assert (seen in found) if seen else found == ""


def test_the_campaign_sees_a_traceback(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A reader that fails with what nobody expects."""

    def fail(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(workbook, "_judge_package", fail)
    monkeypatch.chdir(tmp_path)

    assert "ZeroDivisionError" in tried(Form("car.xlsx", b"", ()), ("validate", "car.xlsx"), b"PK", tmp_path)
