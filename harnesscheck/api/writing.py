"""Writing files: whole or not at all, and never over an input."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from harnesscheck.api.faults import stop_for


def refuse_input(target: str, inputs: Sequence[str]) -> None:
    """Stop when a target is one of the inputs, lies inside an input folder, or is a folder that an input lies in."""
    where = Path(target).resolve()
    for name in inputs:
        source = Path(name).resolve()
        if where == source or source in where.parents or where in source.parents:
            stop_for(target, "an input of this command", "another file to write to")


def write_files(folder: str, contents: Mapping[str, bytes], inputs: Sequence[str]) -> None:
    """Write files into a folder, made where it is missing; each whole or not at all, none over an input."""
    from harnesscheck.write.atomic import write_bytes

    for name in contents:
        refuse_input(str(Path(folder) / name), inputs)
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
        for name, data in contents.items():
            write_bytes(Path(folder) / name, data)
    except OSError as error:
        stop_for(folder, error.strerror or str(error), "a folder that can be written")
