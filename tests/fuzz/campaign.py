"""Spoilt inputs through every command: what must never happen, whatever a file holds.

``python -m fuzz.campaign [SECONDS] [SEED]`` in ``tests`` runs it and prints how many inputs of each form were tried;
the suite runs it for some seconds with one seed. What counts as a failure: a traceback, a status other than 0, 1, 2, a
status of 2 that names nothing, output a terminal would obey, anything written with status 2, a changed input, a page or
drawing with a tag of the input's own in it, a run longer than ``LONGEST_S``.
"""

from __future__ import annotations

import os
import random
import re
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from fuzz.mutations import spoilt
from fuzz.seeds import Form, forms
from harnesscheck.cli.main import cli

LONGEST_S = 30
APART = ("page.pdf", "page.png")  # read in a process of its own: dear, so tried less often
_OBEYED = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
_TAG = re.compile(rb"<(?:script>alert|img src=x)", re.I)


@dataclass(frozen=True)
class Failure:
    """What went wrong, and how to see it again."""

    form: str
    words: tuple[str, ...]
    seed: str
    what: str

    def __str__(self) -> str:
        return f"{self.form} {' '.join(self.words)} (seed {self.seed}): {self.what}"


class _TooLong(BaseException):
    """A run that does not end."""


@contextmanager
def _ended() -> Iterator[None]:
    def ring(*_: Any) -> None:
        raise _TooLong

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, LONGEST_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def tried(form: Form, words: tuple[str, ...], data: bytes, folder: Path) -> str:
    """One spoilt input through one command in an empty folder: what went wrong, or nothing."""
    given = {**form.beside, form.name: data}
    for name, held in given.items():
        (folder / name).write_bytes(held)
    try:
        with _ended(), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            done = CliRunner().invoke(cli, list(words))
    except _TooLong:
        return f"ran longer than {LONGEST_S} s"
    if isinstance(done.exception, _TooLong):
        return f"ran longer than {LONGEST_S} s"
    return _wrong(done, given, folder)


def _wrong(done: Result, given: dict[str, bytes], folder: Path) -> str:
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        return "".join(traceback.format_exception(done.exception)[-4:])
    if done.exit_code not in (0, 1, 2):
        return f"status {done.exit_code}"
    if found := _OBEYED.search(done.output):
        return f"a terminal would obey {found.group()!r}"
    made = [path for path in sorted(folder.rglob("*")) if path.is_file() and str(path.relative_to(folder)) not in given]
    if done.exit_code == 2:
        if made:
            return f"status 2, and wrote {made[0].name}"
        if not any(name in done.stderr for name in given) and "expected" not in done.stderr:
            return f"status 2 that names nothing: {done.stderr[:200]}"
    for name, held in given.items():
        if (folder / name).read_bytes() != held:
            return f"changed its input {name}"
    for path in made:
        if path.suffix in (".html", ".svg") and _TAG.search(path.read_bytes()):
            return f"{path.name} holds a tag of the input's own"
    return ""


def campaign(seconds: float, seed: int, *, apart: bool = True) -> tuple[Counter[str], list[Failure]]:
    """Try inputs of every form in turn until the time is over; how many of each form, and what failed."""
    all_forms = [form for form in forms() if apart or form.name not in APART]
    counts: Counter[str] = Counter()
    failures: list[Failure] = []
    until = time.monotonic() + seconds
    home, number = Path.cwd(), 0
    while time.monotonic() < until:
        for form in all_forms:
            number += 1
            if form.name in APART and number % 40:
                continue
            name = f"{seed}.{number}"
            rng = random.Random(name)
            data, words = spoilt(form.name, form.data, rng), rng.choice(form.commands)
            with tempfile.TemporaryDirectory() as folder:
                os.chdir(folder)
                try:
                    what = tried(form, words, data, Path(folder))
                finally:
                    os.chdir(home)
            counts[form.name] += 1
            if what:
                failures.append(Failure(form.name, words, name, what))
    return counts, failures


def main() -> None:
    """Print what was tried and what failed."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
    counts, failures = campaign(seconds, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    for form, count in sorted(counts.items()):
        print(f"{form:12} {count:7}")
    print(f"{'in all':12} {sum(counts.values()):7}, {len(failures)} failed")
    for one in failures[:40]:
        print(one)
    sys.exit(bool(failures))


if __name__ == "__main__":
    with suppress(KeyboardInterrupt):
        main()
