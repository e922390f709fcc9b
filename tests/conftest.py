"""What tests of several folders ask for by name."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.commands import Say

from harnesscheck.cli.main import cli


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Say:
    """Run a command in a folder of its own: its status, what it said, what it said of faults."""
    monkeypatch.chdir(tmp_path)

    def go(*words: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            cli(list(words), prog_name="harnesscheck")
        said = capsys.readouterr()
        return int(left.value.code or 0), said.out, said.err

    return go
