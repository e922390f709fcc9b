"""The decision on the example's two vans, made once for all tests that look at it, as a person would type it."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from builders.demo import ROOT

VANS = ROOT / "harness_demo"


@dataclass(frozen=True)
class Ran:
    """One run of ``decide``: its status, its words, the folder with the files it wrote and ``answer.json``."""

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


@cache
def decided_vans() -> Ran:
    """The example's swap sheet, with every file that the command writes."""
    folder = Path(tempfile.mkdtemp())
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    ran = decide(str(VANS / "swap.toml"), "-o", "out", "--json", "answer.json", "--people", "2", cwd=folder)
    return Ran(ran.status, ran.out, ran.err, folder)
