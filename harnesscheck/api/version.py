"""Which version of a car is meant: options it has besides those of its file, others it has not, when it was built."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.records import Netlist
from harnesscheck.read.conditions import Months, names_in
from harnesscheck.read.configure import configure, options_of
from harnesscheck.read.families import families_of
from harnesscheck.read.names import close_to

_SPAN = re.compile(r"(\d{4}-(?:0[1-9]|1[0-2]))(?:\.\.(\d{4}-(?:0[1-9]|1[0-2])))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Version:
    """What a person says of a car beside its file: names of options, and the month it was built or two with ``..``."""

    options: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    built: str | None = None

    def __bool__(self) -> bool:
        return bool(self.options or self.without or self.built)

    def __str__(self) -> str:
        """``with tail-lift, without reading-lamps, built 2013-10``."""
        said = (
            f"with {' '.join(self.options)}" if self.options else "",
            f"without {' '.join(self.without)}" if self.without else "",
            f"built {self.built}" if self.built else "",
        )
        return ", ".join(filter(None, said))


def version_of(netlist: Netlist, version: Version) -> Netlist | list[InputFault]:
    """The rows of a netlist that are there in a version of it; every fault where it names what the file does not know.

    Its digest is of the file and of what was chosen, so that what was worked out of one version is not taken for
    another's.
    """
    months = read_months(version.built) if version.built is not None else None
    faults = [*_faults(netlist, version), *([months] if isinstance(months, InputFault) else ())]
    if faults or isinstance(months, InputFault):
        return faults
    has = options_of(netlist, version.options, version.without)
    made = configure(netlist, has, months).netlist
    digest = hashlib.sha256(f"{netlist.digest} {version}".encode()).hexdigest()[:12]
    return replace(made, digest=digest, header=replace(made.header, version=str(version)))


def read_months(text: str) -> Months | InputFault:
    """``2013-10``, or first and last month with two dots between."""
    match = _SPAN.fullmatch(text.strip())
    if match is None or (match[2] is not None and match[2] < match[1]):
        return InputFault(Place("--built"), text, "a month (2013-10), or the first and the last (2013-08..2013-12)")
    return match[1], match[2] or match[1]


def _faults(netlist: Netlist, version: Version) -> Iterator[InputFault]:
    known = options_known(netlist)
    path = netlist.header.file.path
    for option, names in (("--option", version.options), ("--without", version.without)):
        for name in names:
            if name not in known:
                listed = f": {', '.join(sorted(known))}" if known else ", which has none"
                yield InputFault(
                    Place(path), name, f"{option}: an option of this file{close_to(name, known) or listed}"
                )
    for name in sorted({*version.options} & {*version.without}):
        yield InputFault(Place(path), name, "--option or --without, not both")
    for family, members in families_of(netlist.options).items():
        if family in version.options:
            yield InputFault(Place(path), family, f"--option: one of the family, {', '.join(sorted(members))}")
        if len(named := [name for name in version.options if name in members]) > 1:
            yield InputFault(Place(path), " ".join(named), f"--option: one of {family} at most")


def options_known(netlist: Netlist) -> Collection[str]:
    """Every option that the file speaks of."""
    named = {name for row in netlist.rows() for name in names_in(row.common)}
    return named | {row.id for row in netlist.options} | families_of(netlist.options).keys()
