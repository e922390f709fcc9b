"""The job on paper: one PDF with the answer, the sheets to work by, the labels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from os import fspath
from pathlib import Path
from typing import TYPE_CHECKING

from harnesscheck.api.cars import READING, AnyCar, FilePath
from harnesscheck.api.decide import Decision, decide
from harnesscheck.api.faults import stop
from harnesscheck.api.reading import Reading
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.progress import Told, silent
from harnesscheck.model.swapsheet import SwapSheet

if TYPE_CHECKING:
    from harnesscheck.compare.built import BuiltComparison
    from harnesscheck.report.ringout import RingoutReport

PAPERS = ("a4", "letter")
LABELS = ("a4-21", "letter-30", "tape-12")
NAMES = (
    "cover", "left", "overview", "meetings", "circuits", "leads", "unplug", "work", "pull", "shopping", "ring-out",
    "power-up", "fuses", "colours", "labels",
)  # fmt: skip


@dataclass(frozen=True, repr=False)
class Sheets:
    """The sheets of a job as one PDF, and the decision that they are of."""

    decision: Decision
    pdf: bytes

    @property
    def files(self) -> tuple[str, ...]:
        """The files read for it."""
        return self.decision.files

    def save(self, path: FilePath) -> Path:
        """Write the PDF, whole or not at all; its path. Raises InputError where it would go over an input."""
        from harnesscheck.api.writing import write_files

        write_files(None, {}, self.files, also={fspath(path): self.pdf})
        return Path(path)

    def __repr__(self) -> str:
        return f"<Sheets: {self.decision.report.title}>"


def sheets(
    donor: AnyCar,
    shell: AnyCar | None = None,
    *,
    swap: FilePath | None = None,
    only: Sequence[str] = (),
    paper: str = "a4",
    labels: str | None = None,
    car: str = "",
    date: str = "",
    people: int | None = None,
    reading: Reading = READING,
    told: Told = silent,
) -> Sheets:
    """Print what goes under the car, of the choice that ``decide`` makes of the same cars.

    ``only`` names the sheets wanted (``NAMES``; all where it is empty), ``paper`` is a4 or letter, ``labels`` the
    size of the labels (``LABELS``; those of the paper where it is not given). ``car`` and ``date`` stand at every foot
    as they are given: no clock is read. Raises InputError with every fault.

    >>> made = sheets("harness_demo/yard/van-04.xml", "harness_demo/shell.xml", only=["cover", "work"])
    >>> made.pdf[:5]
    b'%PDF-'
    """
    from harnesscheck.draw.page import A4, LETTER
    from harnesscheck.report.paper.job import Job, printed
    from harnesscheck.report.paper.labels import LABELS as STOCKS
    from harnesscheck.report.paper.pages import Foot

    _stop_for_words(only, paper, labels)
    made = decide(donor, shell, swap=swap, people=people, reading=reading, told=told)
    digest = " + ".join(one["digest"] for one in made.inputs.values())
    job = Job(
        made.decided,
        made.inputs,
        Foot(car, date, digest),
        LETTER if paper == "letter" else A4,
        STOCKS[labels or ("letter-30" if paper == "letter" else "a4-21")],
        lambda: _ringout(made, digest),
        lambda: _built(made),
    )
    return Sheets(made, printed(job, tuple(only) or NAMES))


def _stop_for_words(only: Sequence[str], paper: str, labels: str | None) -> None:
    """Stop for names that there is no sheet, paper or label of, all of them at once."""
    from harnesscheck.read.names import close_to

    asked: list[tuple[str, str, tuple[str, ...]]] = [("only", name, NAMES) for name in only]
    asked.append(("paper", paper, PAPERS))
    asked += [("labels", labels, LABELS)] if labels is not None else []
    faults = [
        InputFault(Place(f"--{option}"), name, f"one of {', '.join(known)}{close_to(name, known)}")
        for option, name, known in asked
        if name not in known
    ]
    if faults:
        stop(faults)


def _ringout(made: Decision, digest: str) -> RingoutReport:
    """The ring-out of the finished car, as ``ringout`` makes it of a car."""
    from harnesscheck.api.ringout import RingoutCar, dangerous, rung_out
    from harnesscheck.report.built import found_notes

    notes = tuple(found_notes(made.sheet)) if made.sheet is not None else ()
    digests = tuple(digest.split(" + "))
    return rung_out(RingoutCar(made.car, made.files, digests, made.inputs, notes, dangerous(made.findings)))


def _built(made: Decision) -> BuiltComparison:
    """The donor against the car that the plan puts together, before the work at the bench."""
    from harnesscheck.compare.built import compare_built

    decided = made.decided
    sheet = made.sheet or SwapSheet("")
    return compare_built(decided.donor, decided.shell, decided.pairs, made.best.assembly, sheet)
