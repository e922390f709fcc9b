"""A plug's table in the folder the page was opened in: read into the page, saved back as it was typed."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from harnesscheck.model.records import Netlist
from harnesscheck.serve.desk import RefusedError, safe_parts
from harnesscheck.serve.typed import MOST_TEXT, typed_plug

ENDING = ".csv"


@dataclass(frozen=True, slots=True)
class SavedTable:
    """A table as it stands on the disk: its file's name and a digest of its bytes."""

    name: str
    text: str
    digest: str


def plug_table(folder: Path, path: Path) -> SavedTable | None:
    """A file of one plug, to be typed on in the page; None for a whole car and for what is no CSV file."""
    if path.suffix.lower() != ENDING or not path.is_file() or path.stat().st_size > MOST_TEXT:
        return None
    data = path.read_bytes()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return None
    plug = typed_plug(text)
    if plug is None or not isinstance(plug.read, Netlist) or len(plug.read.connectors) > 1:
        return None
    return SavedTable(path.resolve().relative_to(folder.resolve()).as_posix(), text, digest(data))


def save(folder: Path, name: str, text: str, known: str) -> SavedTable:
    """Save a plug's table below a folder, whole or not at all.

    ``known`` is the digest of what the page was given of this file, "" where it is a new one. What a table cannot
    be read from, what has changed on the disk meanwhile, and what leads out of the folder raise RefusedError.
    """
    from harnesscheck.write.atomic import write_bytes

    target = folder.joinpath(*safe_parts(name))
    if target.suffix.lower() != ENDING:
        raise RefusedError(f"{name}; expected a name that ends in {ENDING}")
    if target.is_symlink() or not target.parent.resolve().is_relative_to(folder.resolve()):
        raise RefusedError(f"{name}: a link; expected a file in the folder the page was opened in")
    if not target.parent.is_dir():
        raise RefusedError(f"{name}: no such folder; expected one that is there")
    plug = typed_plug(text)
    if plug is None or not isinstance(plug.read, Netlist):
        raise RefusedError("a plug that cannot be read yet; expected its lines mended first, nothing was written")
    _stop_where_changed(target, name, known)
    data = (text if text.strip() == plug.table.strip() or _is_table(text) else plug.table).encode("utf-8")
    try:
        write_bytes(target, data)
    except OSError as error:
        raise RefusedError(f"{name}: {error.strerror or error}; expected a place that can be written") from None
    return SavedTable(name, data.decode("utf-8"), digest(data))


def _stop_where_changed(target: Path, name: str, known: str) -> None:
    try:
        there = digest(target.read_bytes()) if target.exists() else ""
    except OSError as error:
        raise RefusedError(f"{name}: {error.strerror or error}; expected a file that can be read") from None
    if there and not known:
        raise RefusedError(f"{name} is there already; expected a name that is not taken")
    if there != known:
        raise RefusedError(f"{name} has changed on the disk since; expected another name, or the page loaded again")


def _is_table(text: str) -> bool:
    """Whether a text is a table that a netlist is read from as it stands: it has a heading line with its cavities."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return "," in first and "cavity" in first.lower()


def digest(data: bytes) -> str:
    """SHA-256 of a file."""
    return hashlib.sha256(data).hexdigest()
