"""The decision on the example's two vans, made once for all tests that look at it, as a person would type it."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from builders.demo import ROOT

VANS = ROOT / "harness_demo"
LINE = ".venv/bin/harnesscheck decide harness_demo/swap.toml -o decision --people 2"
"""As it stands in the README; the report for programs is asked for beside it."""
LONGEST_S = 600


@dataclass(frozen=True)
class Ran:
    """One run of ``decide``: its status, its words, and the folder where it ran."""

    status: int
    out: str
    err: str
    folder: Path


def decide(*words: str, cwd: Path | None = None, seed: str = "0") -> Ran:
    """Run the command; the folder is where it ran."""
    done = subprocess.run(
        [sys.executable, "-m", "harnesscheck", "decide", *words],
        cwd=cwd,
        capture_output=True,
        timeout=300,
        check=False,
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
    )
    return Ran(done.returncode, done.stdout.decode(), done.stderr.decode(), cwd or Path())


def decided_vans(factory: pytest.TempPathFactory) -> Ran:
    """The example's swap sheet, with every file that the command writes in ``decision`` and ``answer.json``.

    The processes of one test run share it: the first that asks makes it, the others wait.
    """
    base = factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "decided-vans"
    done = folder / "ran.json"
    try:
        folder.mkdir()
    except FileExistsError:
        until = time.monotonic() + LONGEST_S
        while not done.exists() and time.monotonic() < until:
            time.sleep(0.1)
    else:
        shutil.copytree(VANS, folder / "harness_demo")
        ran = decide(*shlex.split(LINE)[2:], "--json", "answer.json", cwd=folder)
        (folder / "part.json").write_text(json.dumps([ran.status, ran.out, ran.err]), encoding="utf-8")
        (folder / "part.json").rename(done)
    status, out, err = json.loads(done.read_text(encoding="utf-8"))
    return Ran(status, out, err, folder)
