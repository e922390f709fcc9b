"""How cars are read, the same way by every command and by programs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.version import Version, version_of
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.progress import Told, silent
from harnesscheck.model.records import Netlist
from harnesscheck.read.kblvariant import Variant
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.remarks import HowRead

CARS = DONOR, SHELL = "donor", "shell"


@dataclass(frozen=True, slots=True)
class Reading:
    """How to read: limits, the style of colours where a file does not say its own, files that fill what a car lacks.

    ``overlays`` names for each file the car that it is for, ``donor`` or ``shell``, or "" where it is for every car;
    so do ``options``, ``without`` (names) and ``built`` (``2013-10``), which say which version of a file's car is
    meant. ``told`` is handed a line for a file with texts that were not read for certain.
    """

    limits: Limits = DEFAULT_LIMITS
    colour_code: str | None = None
    overlays: tuple[tuple[str, str], ...] = ()
    told: Told = silent
    modules: tuple[tuple[str, str], ...] = ()  # of a KBL file, each with the car it is for
    configurations: tuple[tuple[str, str], ...] = ()
    options: tuple[tuple[str, str], ...] = ()  # of any file: names of options, each with the car they are for
    without: tuple[tuple[str, str], ...] = ()
    built: tuple[tuple[str, str], ...] = ()

    def variants(self, cars: int) -> list[Variant]:
        """Which modules of a KBL file each of some cars has, the donor first."""
        modules = _of_each("--modules", "a name", self.modules, cars)
        made = []
        for named, chosen in zip(
            modules, _of_each("--configuration", "a name", self.configurations, cars), strict=True
        ):
            if len(chosen) > 1:
                stop_for("--configuration", " ".join(chosen), "one configuration of a car")
            names = [name for text in named for name in _names(text)]
            made.append(Variant(tuple(names), chosen[0] if chosen else None))
        return made

    def versions(self, cars: int) -> list[Version]:
        """Which version each of some cars is, the donor first."""
        more, less = (
            [tuple(dict.fromkeys(name for text in texts for name in _names(text))) for texts in said]
            for said in (
                _of_each("--option", "a name", self.options, cars),
                _of_each("--without", "a name", self.without, cars),
            )
        )
        months = _of_each("--built", "a month", self.built, cars)
        for texts in months:
            if len(texts) > 1:
                stop_for("--built", " ".join(texts), "one month of a car, or the first and the last (2013-08..2013-12)")
        return [
            Version(with_, without, texts[0] if texts else None)
            for with_, without, texts in zip(more, less, months, strict=True)
        ]

    def filling(self, cars: int) -> list[tuple[str, ...]]:
        """The files that fill each of some cars, the donor first."""
        return _of_each("--with", "a file", self.overlays, cars)


def _of_each(option: str, what: str, given: Sequence[tuple[str, str]], cars: int) -> list[tuple[str, ...]]:
    """What an option says of each of some cars, the donor first; of one car nothing may be said by donor= or shell=."""
    if cars < len(CARS) and (named := [f"{car}={value}" for car, value in given if car]):
        stop_for(option, named[0], f"{what}; donor= and shell= where there are two cars")
    words = [*CARS, *[""] * cars][:cars]
    return [tuple(value for car, value in given if car in ("", word)) for word in words]


def _names(text: str) -> list[str]:
    """Names with commas or white space between."""
    return text.replace(",", " ").split()


def is_sheet(path: str) -> bool:
    """Whether a file that a person names is a swap sheet."""
    return Path(path).suffix.lower() == ".toml"


def netlists(paths: Sequence[str], reading: Reading, *, overlaid: bool = True) -> list[Netlist]:
    """Read several netlists; the faults of all of them come at once. Questions to their writers are only counted.

    What ``--with`` names fills them, and they are the versions that were chosen, unless they are not ``overlaid``.
    """
    read = netlists_and_remarks(paths, reading, overlaid=overlaid)
    for path, how in dict(zip(paths, (how for _, how in read), strict=True)).items():
        for remark in how.remarks:
            if remark.aloud:
                reading.told(str(remark))
        if asked := sum(remark.count for remark in how.remarks if not remark.aloud):
            cells = "1 text" if asked == 1 else f"{asked} texts"
            reading.told(f"{path}: {cells} not read for certain; listed by: harnesscheck validate {path}")
    return [netlist for netlist, _ in read]


def netlists_and_remarks(
    paths: Sequence[str], reading: Reading, *, overlaid: bool = True
) -> list[tuple[Netlist, HowRead]]:
    """The same, with what the reader has to say about each."""
    from harnesscheck.read import read_with_remarks

    sheets = [path for path in (*paths, *(file for _, file in reading.overlays)) if is_sheet(path)]
    if sheets:
        expected = "a netlist: an XML file, a folder of tables, a workbook or one CSV file"
        stop([InputFault(Place(path), "a swap sheet", expected) for path in dict.fromkeys(sheets)])
    filling = reading.filling(len(paths)) if overlaid else [()] * len(paths)
    read = [
        read_with_remarks(path, reading.limits, reading.colour_code, more, variant)
        for path, more, variant in zip(paths, filling, reading.variants(len(paths)), strict=True)
    ]
    if overlaid:
        read = [
            (version_of(result, version) if version and isinstance(result, Netlist) else result, how)
            for (result, how), version in zip(read, reading.versions(len(paths)), strict=True)
        ]
    faults = [fault for result, _ in read if isinstance(result, list) for fault in result]
    if faults:
        stop(list(dict.fromkeys(faults)))  # one file may be given as both cars
    return [(result, how) for result, how in read if isinstance(result, Netlist)]
