"""Pages read in a process of their own: a hostile file ends in one message, in bounded time and memory."""

from __future__ import annotations

import io
import pickle
import time
from dataclasses import replace
from pathlib import Path

import pytest
from builders.hostilepages import bomb, crowded, png

from harnesscheck.read.pages import Given, read_pages
from harnesscheck.read.pages.apart import Apart, Task, _Rebuilt, read_apart
from harnesscheck.read.pages.pagelimits import PAGE_LIMITS

DEMO = Path(__file__).parents[2] / "harness_demo"
PAGE = (DEMO / "manual-page.pdf").read_bytes()


def only_fault(found: Apart) -> str:
    """The one fault, in words."""
    assert found.read.rows == ()
    (fault,) = found.read.faults
    return str(fault)


def test_it_reads_what_is_read_in_this_process() -> None:
    """The same rows, tables and places, and each page as it looks."""
    found = read_apart(Task((Given(PAGE, "manual-page.pdf"),), pictures=True))

    assert found.read == read_pages([Given(PAGE, "manual-page.pdf")])
    assert found.pictures["manual-page.pdf", 1].png.startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (png(60_000, 60_000), "at most 40000000 pixels"),
        (png(8_000, 8_000), "8000 x 8000"),
        (crowded(50_000), "letters'; expected at most 10000 words"),
    ],
)
def test_a_page_that_is_too_big_is_refused_before_it_is_read(data: bytes, said: str) -> None:
    """One message with what it is and what it may be, long before the time is up."""
    start = time.monotonic()

    assert said in only_fault(read_apart(Task((Given(data, "huge"),))))
    assert time.monotonic() - start < 20


def test_a_bomb_ends_by_its_time_or_memory() -> None:
    """What unpacks to 700 MB is stopped, by whichever limit comes first, even where it takes the process with it."""
    limits = replace(PAGE_LIMITS, step_s=4.0, max_memory_bytes=600 * 1024**2)
    start = time.monotonic()
    said = only_fault(read_apart(Task((Given(bomb(700), "bomb.pdf"),), page_limits=limits)))

    assert "bomb.pdf" in said and ("there is time for" in said or "read in 600 MiB" in said)
    assert time.monotonic() - start < 20


def test_memory_has_an_end() -> None:
    """Where the system keeps a limit, no more memory is taken than is allowed."""
    pytest.importorskip("resource")
    limits = replace(PAGE_LIMITS, max_memory_bytes=300 * 1024**2)
    rows = b"pin,colour\n" + b"1,red\n" * 3_000_000

    assert "memory for" in only_fault(read_apart(Task((Given(rows, "big.csv"),), page_limits=limits)))


def test_time_has_an_end_that_names_the_page() -> None:
    """A step that takes longer than it may is stopped, whatever it is doing."""
    limits = replace(PAGE_LIMITS, step_s=0.01)

    assert "time for" in only_fault(read_apart(Task((Given(PAGE, "manual-page.pdf"),), page_limits=limits)))


def test_only_records_come_back() -> None:
    """Whatever the process might be made to send, nothing but records of pages is made of it."""
    assert _Rebuilt(io.BytesIO(pickle.dumps(Given(b"x", "y")))).load() == Given(b"x", "y")
    for sent in (print, Path("x"), read_pages):
        with pytest.raises(pickle.UnpicklingError):
            _Rebuilt(io.BytesIO(pickle.dumps(sent))).load()
