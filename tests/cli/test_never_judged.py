"""What no command judges is named by each that judges, on the screen and in its JSON."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.commands import run
from builders.littlecar import little_car

from harnesscheck.compare.coverage import NEVER_JUDGED, NOT_JOINED


@pytest.mark.parametrize("command", ["compare", "decide", "loads", "states", "ringout"])
def test_every_command_names_what_it_does_not_judge(command: str, tmp_path: Path) -> None:
    """Shielding, timing, what is fed in pulses, the moment of switching on, what a module stands."""
    cars = [str(tmp_path / name) for name in ("donor.xml", "shell.xml")]
    for name, plus in (("donor.xml", "L"), ("shell.xml", "L")):
        little_car(tmp_path, name, plus)
    report = tmp_path / "report.json"
    done = run(command, *(cars if command in ("compare", "decide") else cars[:1]), "--json", str(report))
    text, written = " ".join(done.output.split()), report.read_text(encoding="utf-8")

    for one in (NEVER_JUDGED[1], "a module's contacts stand, where the file does not say"):
        assert one in text and one in written
    assert "timing" in text and "coding" in text and "timing" in written
    assert (NOT_JOINED in text and NOT_JOINED in written) is (command == "compare")
