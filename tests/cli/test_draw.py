"""``draw`` as a person types it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from builders.demo import DEMO

PNG = b"\x89PNG\r\n\x1a\n"


def draw(*words: str, cwd: Path) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "harnesscheck", "draw", *words], cwd=cwd, capture_output=True, timeout=300, check=False
    )


def test_a_face_a_circuit_a_part_and_the_car(tmp_path: Path) -> None:
    """Each target becomes a file named by its task, and the command says which."""
    done = draw(str(DEMO / "shell.xml"), "C12", "FP", "fuel-pump", "overview", "-o", "out", cwd=tmp_path)
    names = {file.name for file in (tmp_path / "out").iterdir()}

    assert done.returncode == 0, done.stderr
    assert names == {"face-C12.svg", "circuit-FP.svg", "circuit-fuel-pump.svg", "overview.svg"}
    assert all(f"wrote out/{name}" in done.stdout.decode() for name in names)


def test_png_is_the_same_sheet(tmp_path: Path) -> None:
    """--format png writes PNG files and nothing else."""
    done = draw(str(DEMO / "shell.xml"), "C12", "--format", "png", "-o", "out", cwd=tmp_path)
    (file,) = (tmp_path / "out").iterdir()

    assert done.returncode == 0 and file.name == "face-C12.png"
    assert file.read_bytes().startswith(PNG)


def test_two_cars_give_the_meeting_sheet(tmp_path: Path) -> None:
    """With --beside a connector is drawn as the place where both cars meet, renumbered ones too."""
    words = [str(DEMO / "donor.xml"), "C15", "C21", "--beside", str(DEMO / "shell.xml"), "-o", "out"]
    done = draw(*words, cwd=tmp_path)

    assert done.returncode == 0, done.stderr
    assert {file.name for file in (tmp_path / "out").iterdir()} == {"meeting-C15.svg", "meeting-C21.svg"}
    assert "C31" in (tmp_path / "out" / "meeting-C21.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("target", ["C12x", "no such thing", "../C12", "", "<script>"])
def test_an_unknown_target_is_a_fault_and_nothing_is_written(target: str, tmp_path: Path) -> None:
    """Status 2, the target named, no file; what comes close is offered."""
    done = draw(str(DEMO / "shell.xml"), "C12", target, "-o", "out", cwd=tmp_path)

    assert done.returncode == 2
    assert b"Traceback" not in done.stderr and b"expected" in done.stderr
    assert not (tmp_path / "out").exists()


def test_the_same_bytes_under_any_hash_seed(tmp_path: Path) -> None:
    """Drawings follow no hash order."""
    seen = set()
    for seed in ("0", "1"):
        command = [
            sys.executable,
            "-m",
            "harnesscheck",
            "draw",
            str(DEMO / "donor.xml"),
            "cluster",
            "overview",
            "-o",
            seed,
        ]
        subprocess.run(command, cwd=tmp_path, check=True, capture_output=True, env={"PYTHONHASHSEED": seed, **_path()})
        seen.add(tuple((file.name, file.read_bytes()) for file in sorted((tmp_path / seed).iterdir())))

    assert len(seen) == 1


def _path() -> dict[str, str]:
    """What a process needs of the environment to find Python and the package."""
    import os

    return {name: os.environ[name] for name in ("PATH", "PYTHONPATH", "HOME") if name in os.environ}


def test_a_state_is_drawn_or_said_to_be_none(tmp_path: Path) -> None:
    """--state writes volts and amperes; a word the car does not have, or a second car, is one message and no file."""
    demo = str(DEMO / "donor.xml")
    done = draw(demo, "F31", "FP", "--state", "run engine-computer.FPR engine-computer.MR", "-o", "out", cwd=tmp_path)
    wrong = draw(demo, "FP", "--state", "run nobody=1", "-o", "no", cwd=tmp_path)
    two = draw(demo, "FP", "--state", "run", "--beside", str(DEMO / "shell.xml"), "-o", "no", cwd=tmp_path)

    assert done.returncode == 0, done.stderr
    assert "live 0 A" in (tmp_path / "out" / "circuit-FP.svg").read_text(encoding="utf-8")
    assert (wrong.returncode, two.returncode) == (2, 2)
    assert b"nobody=1" in wrong.stderr and b"one car" in two.stderr
    assert not (tmp_path / "no").exists()
