"""What a person ticked and measured on the bench page, as the page exports it: JSON, read back with every fault.

``done`` gives the hours that each work step took, ``readings`` what the meter showed between two ends, as it was
typed. What a reading means is told where filled-in sheets are read (``bench.readings.filled``).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from harnesscheck.model.places import InputFault, Place
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits

FORMAT = "harnesscheck-bench/1"
ENDING = ".json"
MOST_HOURS = 1_000_000  # more is a slip of the pen, and an integer may be too large for any float


@dataclass(frozen=True, slots=True)
class BenchReading:
    """One reading as it was typed, and the two ends."""

    from_: str
    to: str
    read: str


@dataclass(frozen=True, slots=True)
class BenchFile:
    """An export of the bench page: the car and its ``inputs`` digest, the plan of its ring-out, what was done."""

    path: str
    vehicle: str
    inputs: str
    plan: str
    done_h: Mapping[str, float] = field(default_factory=dict)
    readings: tuple[BenchReading, ...] = ()


def read_bench_file(path: str | Path, limits: Limits = DEFAULT_LIMITS) -> BenchFile | list[InputFault]:
    """Read an export; returns every fault instead where there is any."""
    place = Place(str(path))
    try:
        with Path(path).open("rb") as file:
            held = file.read(limits.max_bytes + 1)
    except OSError as error:
        return [InputFault(place, error.strerror or "unreadable", "a file that can be read")]
    if len(held) > limits.max_bytes:
        return [InputFault(place, "a larger file", f"at most {limits.max_bytes} bytes (--max-mb raises it)")]
    try:
        data = json.loads(held.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        return [InputFault(place, _short(str(error)), f"the JSON that the bench page exports ({FORMAT})")]
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        read = data.get("format", "no format") if isinstance(data, dict) else type(data).__name__
        return [InputFault(place, _short(str(read)), f'an export of the bench page: "format": "{FORMAT}"')]
    return _bench_file(place, data)


def _bench_file(place: Place, data: Mapping[str, Any]) -> BenchFile | list[InputFault]:
    faults: list[InputFault] = []

    def fault(read: object, expected: str) -> None:
        faults.append(InputFault(place, _short(str(read)), expected))

    texts = {name: data.get(name, "") for name in ("vehicle", "inputs", "plan")}
    for name, text in texts.items():
        if not isinstance(text, str):
            fault(text, f"{name}: a text")
    done, readings = data.get("done", {}), data.get("readings", [])
    if not isinstance(done, dict):
        fault(type(done).__name__, "done: hours by work step")
        done = {}
    for step, hours in done.items():
        if not _is_hours(hours):
            fault(f"{step}: {hours}", f"done: hours of a step, 0 to {MOST_HOURS}")
    if not isinstance(readings, list):
        fault(type(readings).__name__, "readings: a list")
        readings = []
    for row in readings:
        if not isinstance(row, dict) or not all(isinstance(row.get(name), str) for name in ("from", "to", "read")):
            fault(row, "readings: from, to and read, each a text")
    if faults:
        return faults
    rows = tuple(BenchReading(row["from"], row["to"], row["read"]) for row in readings)
    hours_of = {step: float(hours) for step, hours in done.items()}
    return BenchFile(place.path, texts["vehicle"], texts["inputs"], texts["plan"], hours_of, rows)


def _is_hours(item: object) -> bool:
    return isinstance(item, int | float) and not isinstance(item, bool) and 0 <= item <= MOST_HOURS


def _short(text: str) -> str:
    return text if len(text) <= 80 else text[:77] + "..."
