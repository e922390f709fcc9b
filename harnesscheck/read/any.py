"""Reads a netlist from whatever holds it: an XML file, a table, a workbook, or a folder of them."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from harnesscheck.model.paths import real_path
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.records import Netlist, Pin
from harnesscheck.read.base import colour_code_of, is_beside, overlay
from harnesscheck.read.bolted import bolt
from harnesscheck.read.build import Begin, Builder, Row, Take, Values
from harnesscheck.read.check import check
from harnesscheck.read.expand import expand
from harnesscheck.read.families import tell_apart
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.files import is_folder
from harnesscheck.read.fill import fill
from harnesscheck.read.imply import imply, tell_fuses, tell_harnesses
from harnesscheck.read.kbltree import ENDING as KBL_ENDING
from harnesscheck.read.kbltree import is_kbl, root_of
from harnesscheck.read.kblvariant import Variant
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.pool import pool_pins
from harnesscheck.read.remarks import HowRead
from harnesscheck.read.shown import field_name, shown
from harnesscheck.read.tables import TEXT_ENDINGS, WORKBOOK_ENDINGS, read_pins_table, read_tables, table_files
from harnesscheck.read.values import Origin
from harnesscheck.read.xml import read_xml

ALL_OF_IT = Variant()
_TABLE_ENDINGS = (*TEXT_ENDINGS, *WORKBOOK_ENDINGS)


def read_netlist(
    path: str | Path,
    limits: Limits = DEFAULT_LIMITS,
    colour_code: str | None = None,
    overlays: Sequence[str | Path] = (),
    variant: Variant = ALL_OF_IT,
) -> Netlist | list[InputFault]:
    """Read one vehicle's netlist; returns every input fault instead where there is any.

    The path may be an XML file, a folder of tables, a workbook or one CSV file.
    Nothing is raised for bad input. ``limits`` bounds time and memory;
    ``colour_code`` is the style of a file that does not say its own. ``overlays``
    are further files of any of these forms, which fill what the first does not
    give; what contradicts it is a fault. ``variant`` says which modules of a KBL
    file the car has.
    """
    return read_with_remarks(path, limits, colour_code, overlays, variant)[0]


def read_with_remarks(
    path: str | Path,
    limits: Limits = DEFAULT_LIMITS,
    colour_code: str | None = None,
    overlays: Sequence[str | Path] = (),
    variant: Variant = ALL_OF_IT,
) -> tuple[Netlist | list[InputFault], HowRead]:
    """The same, and what the reader has to say about how it understood the file."""
    faults = Faults()
    with _no_collection():
        try:
            netlist = _read(Path(path), faults, limits, colour_code, [Path(one) for one in overlays], variant)
        except StopReading:
            return faults.in_order(), faults.remarks.gathered()
    return faults.in_order() if faults else netlist, faults.remarks.gathered()


def _read(
    path: Path,
    faults: Faults,
    limits: Limits,
    colour_code: str | None,
    overlays: Sequence[Path],
    variant: Variant,
) -> Netlist:
    builder = Builder(faults, limits)
    kept: list[Row] = []

    def begin(header: Values, origin: Origin) -> Take:
        """Rows go straight into records, or aside where a base must come first or another file fills them."""
        if header.get("base") is not None or overlays:
            return _keeper(kept, faults, limits, colour_code)(header, origin)
        header.pop("base", None)
        _tell(header, colour_code)
        builder.add("netlist", header, origin)
        return builder.add

    read_rows(path, faults, limits, begin, empties=bool(overlays), variant=variant)
    if kept:
        rows = _over_base(path, kept, faults, limits, colour_code, (path,))
        for one in overlays:
            rows = fill(rows, _overlay(one, rows, faults, limits, colour_code), faults)
        for row in rows:
            builder.add(row.sort, row.values, row.origin)
    return _finished(builder, faults)


def read_pins_text(
    text: str, name: str, limits: Limits = DEFAULT_LIMITS, colour_code: str | None = None
) -> Netlist | list[InputFault]:
    """The netlist of one CSV text of pins that is in no file; every input fault instead where there is any."""
    faults = Faults()
    builder = Builder(faults, limits)

    def begin(header: Values, origin: Origin) -> Take:
        """Rows go straight into records."""
        _tell(header, colour_code)
        builder.add("netlist", header, origin)
        return builder.add

    try:
        read_pins_table(text, name, faults, limits, begin)
        netlist = _finished(builder, faults)
    except StopReading:
        return faults.in_order()
    return faults.in_order() if faults else netlist


def _finished(builder: Builder, faults: Faults) -> Netlist:
    """The netlist of all rows, with what they say in short written out."""
    bolt(builder)
    imply(builder)
    expand(builder)
    tell_harnesses(builder)
    tell_fuses(builder)
    netlist = _pooled(tell_apart(builder.netlist(), faults), faults)
    check(netlist, faults)
    return netlist


def _overlay(path: Path, car: Sequence[Row], faults: Faults, limits: Limits, colour_code: str | None) -> list[Row]:
    """The rows of a file that fills a car's; its colours are in the car's style where it does not say its own."""
    rows: list[Row] = []
    read_rows(path, faults, limits, _keeper(rows, faults, limits, colour_code_of(car) or colour_code), empties=True)
    header = rows[0]
    if header.values.pop("base", None) is not None:
        faults.add(header.origin.place("base"), str(path), "base: none, in a file that only fills a car's")
    header.values.pop("colour_code", None)
    return rows


def read_rows(
    path: Path, faults: Faults, limits: Limits, begin: Begin, *, empties: bool = False, variant: Variant = ALL_OF_IT
) -> None:
    """Hand over the typed rows of whatever the path is; with ``empties`` what is said to be empty as well."""
    known = is_folder(path) or path.suffix.lower() in (*_TABLE_ENDINGS, ".xml", KBL_ENDING)
    root = "" if known else root_of(path, faults, limits)  # what no name tells, the file's start does
    if files := _kbl_files(path, root, faults):
        from harnesscheck.read.kbl import read_kbl  # most cars need none of it

        read_kbl(files, faults, limits, begin, variant)
        return
    if variant:
        read = " ".join(filter(None, (*variant.modules, variant.configuration)))
        faults.stop(Place(str(path)), read, "modules or a configuration of a KBL file only; --option is for other cars")
    if is_folder(path) or path.suffix.lower() in _TABLE_ENDINGS:
        read_tables(path, faults, limits, begin, empties)
    elif path.suffix.lower() == ".xml" or root:
        read_xml(path, faults, limits, begin, empties)
    else:
        read_tables(path, faults, limits, begin, empties)


def _kbl_files(path: Path, root: str, faults: Faults) -> list[Path]:
    """The KBL files that a path is, by its ending or its root, or, being a folder of nothing else that is read, holds.

    A KBL file called .xml is told when it is read, to be called .kbl.
    """
    if is_folder(path):
        try:
            found = sorted(file for file in path.iterdir() if file.suffix.lower() == KBL_ENDING)
            tables = [file for file in table_files(path) if found]
        except OSError:
            return []  # told where tables are looked for
        if found and tables:
            expected = "KBL files alone in a folder; tables that fill them in a folder of their own, by --with"
            faults.stop(Place(str(tables[0])), "a table beside KBL files", expected)
        return found
    return [path] if path.suffix.lower() == KBL_ENDING or is_kbl(root) else []


def _tell(header: Values, colour_code: str | None) -> None:
    """Say the style of the colours where the file does not."""
    if colour_code is not None and header.get("colour_code") is None:
        header["colour_code"] = colour_code


def _keeper(rows: list[Row], faults: Faults, limits: Limits, colour_code: str | None) -> Begin:
    """Keeps rows in a list."""

    def take(sort: str, values: Values, origin: Origin) -> None:
        """Keep a row, within the limits."""
        if len(rows) >= limits.max_rows:
            most = f"at most {limits.max_rows} rows (a limit, can be raised)"
            faults.stop(origin.place(), "one more row", most)
        rows.append(Row(sort, values, origin))

    def begin(header: Values, origin: Origin) -> Take:
        """Keep the header, and answer with what takes the rest."""
        _tell(header, colour_code)
        take("netlist", header, origin)
        return take

    return begin


def _over_base(
    path: Path, own: list[Row], faults: Faults, limits: Limits, colour_code: str | None, chain: tuple[Path, ...]
) -> list[Row]:
    """A netlist's rows over those of its base, and of its base's base."""
    header = own[0]
    named = header.values.pop("base", None)
    if named is None:
        return own
    place = header.origin.place("base")
    base = Path(header.origin.file.path).parent / named
    if not is_beside(named):
        faults.stop(place, named, "base: a file beside this one, by a relative path")
    if len(chain) > limits.max_depth:
        most = f"at most {limits.max_depth} netlists built on each other (a limit, can be raised)"
        faults.stop(place, named, f"base: {most}")
    if any(_same_file(base, one) for one in chain):
        faults.stop(place, named, "base: a netlist that is not built on this one")
    if not os.path.lexists(base):
        faults.stop(place, named, "base: a file that is there, beside this one")
    if is_folder(path) and real_path(base).is_relative_to(real_path(path)):
        faults.stop(place, named, "base: a file outside this folder, whose tables are all read already")
    rows: list[Row] = []
    read_rows(base, faults, limits, _keeper(rows, faults, limits, colour_code))
    return overlay(_over_base(base, rows, faults, limits, colour_code, (*chain, base)), own, faults)


def _same_file(a: Path, b: Path) -> bool:
    return real_path(a) == real_path(b)


def _pooled(netlist: Netlist, faults: Faults) -> Netlist:
    """The netlist with one row for each wire end, and the digest of what was read."""

    def clash(later: Pin, earlier: Pin, slot: str) -> None:
        """Two rows of one wire end that disagree are a fault."""
        name = field_name(slot)
        what = f"cavity {later.cavity} of" if later.cavity is not None else f"terminal {later.terminal} of"
        faults.add(
            later.place,
            f"{what} {later.connector or later.component} is there twice, {name} {shown(getattr(later, slot))}",
            f"one row for it, or the same in both: {name} {shown(getattr(earlier, slot))}",
            earlier.place,
        )

    return replace(netlist, pins=tuple(pool_pins(netlist.pins, clash)), digest=faults.digest)


@contextmanager
def _no_collection() -> Iterator[None]:
    """Keep the cycle collector from walking a million new records again and again; they hold no cycles."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
