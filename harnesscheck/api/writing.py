"""Writing files: all of them or none, and never over an input."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from harnesscheck.api.faults import stop_for
from harnesscheck.model.paths import real_path


def refuse_input(target: str, inputs: Sequence[str]) -> None:
    """Stop when a target is one of the inputs, lies inside an input folder, or is a folder that an input lies in."""
    where = real_path(target)  # a link that leads to itself is no fault here
    for name in inputs:
        source = real_path(name)
        if where == source or source in where.parents or where in source.parents:
            stop_for(target, "an input of this command", "another file to write to")


def write_files(
    folder: str | None,
    contents: Mapping[str, bytes],
    inputs: Sequence[str],
    *,
    run: str = "",
    also: Mapping[str, bytes] | None = None,
) -> None:
    """Write files into a folder, made where it is missing, and ``also`` files elsewhere: all or none.

    ``run`` names the run in the folder's list of what it wrote: what the last one of that name wrote and this does
    not goes. Raises InputError, as for a file that would go over an input.
    """
    from harnesscheck.write.atomic import Results, write_all

    others = dict(also or {})
    targets = [*others, *(str(Path(folder) / name) for name in contents if folder is not None)]
    for target in targets:
        refuse_input(target, inputs)
    for name in others:
        if Path(name).is_dir():
            stop_for(name, "a folder", "a file that can be written")
    try:
        results = Results(Path(folder), contents, run) if folder is not None else None
        write_all({Path(name): data for name, data in others.items()}, results)
    except OSError as error:
        of = _of(error, others, folder)
        expected = "a folder that can be written" if of == folder else "a file that can be written"
        stop_for(of, error.strerror or str(error), expected)


def _of(error: OSError, others: Mapping[str, bytes], folder: str | None) -> str:
    """Which of the targets an error is of: the file whose folder it names, else the folder of results."""
    at = real_path(error.filename) if isinstance(error.filename, str) else None
    for name in others:
        target = real_path(name)
        if at == target or (at is not None and at.name.startswith(f".{target.name[:100]}.")):
            return name
    return folder if folder is not None else next(iter(others), "")
