"""Long work in a process of its own, so that the page stays quick and work can be stopped at any moment."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from harnesscheck.api.result import Result

QUESTIONS = ("compare", "decide")
MOST_AT_ONCE = 2
REPORT = "report.html"


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be done: the question, both cars, the only folders they may read from, where the answer is written."""

    question: str
    cars: tuple[str, str]
    within: tuple[Path, ...]
    out: Path


class Work:
    """One question that is being answered. ``said`` is how far it is, ``answer`` its files or its faults."""

    def __init__(self, order: Order) -> None:
        spawning = multiprocessing.get_context("spawn")  # nothing of the server is in it
        self.order = order
        self.said = "reading"
        self.answer: dict[str, Any] | None = None
        self._heard, told = spawning.Pipe(duplex=False)
        self._process = spawning.Process(target=answer, args=(order, told), daemon=True)
        self._process.start()
        told.close()

    def look(self) -> None:
        """Hear what the process has told since."""
        try:
            while self.answer is None and self._heard.poll():
                kind, value = self._heard.recv()
                if kind == "said":
                    self.said = value
                else:
                    self.answer = value
        except (EOFError, OSError):
            self._heard.close()
            self.answer = self.answer or {"faults": ["the work ended before its answer was there; try it again"]}

    @property
    def is_running(self) -> bool:
        """Whether there is no answer yet."""
        self.look()
        return self.answer is None

    def stop(self) -> None:
        """End it; what it has written is not kept."""
        self.answer = self.answer or {"faults": ["stopped"]}
        if self._process.is_alive():
            self._process.kill()
        self._process.join()
        self._process.close()

    def file(self, name: str) -> bytes | None:
        """A file of the answer; None for any other name."""
        if self.answer is None or name not in self.answer.get("files", ()):
            return None
        try:
            return (self.order.out / name).read_bytes()
        except OSError:
            return None


def answer(order: Order, told: Connection) -> None:
    """Answer a question into a folder; runs in its own process. Every fault is a sentence of the answer."""
    from harnesscheck.api.compare import compare
    from harnesscheck.api.decide import decide
    from harnesscheck.api.faults import InputError
    from harnesscheck.api.reading import Reading
    from harnesscheck.read.limits import Limits

    def said(how_far: str) -> None:
        """Tell how far it is."""
        told.send(("said", how_far))

    notes: list[str] = []
    reading = Reading(Limits(within=order.within), told=notes.append)
    ask: Callable[..., Result] = compare if order.question == "compare" else decide
    try:
        result = ask(*order.cars, reading=reading, told=said)
        said("drawing")
        written = result.save(order.out)
    except InputError as error:
        told.send(("done", {"faults": [_said(str(one), order) for one in error.faults]}))
        return
    worst = min((one.severity for one in result.findings if not one.accepted), default=None)
    names = [path.relative_to(order.out).as_posix() for path in written]
    told.send(
        (
            "done",
            {
                "files": names,
                "sentence": _sentence(result),
                "tone": worst.word if worst else "",
                "notes": [_said(note, order) for note in notes],
            },
        )
    )


def _sentence(result: Result) -> str:
    """The answer in one sentence, as its report begins."""
    from harnesscheck.report.blocks.vocabulary import Answer

    first = next((one.sentence for one in result.report.blocks if isinstance(one, Answer)), "")
    return first or result.report.title


def _said(text: str, order: Order) -> str:
    """A sentence with files called as their person calls them, without the private folder they lie in."""
    for car in order.cars:
        text = text.replace(car, Path(car).name)
    for folder in order.within:
        text = text.replace(f"{folder}/", "")
    return text
