"""Which netlists of a family may be of one car, and what on the car would tell the rest apart.

What a person knows of the car (model year, month, options it has and has not, wires seen in a plug) is held against
what each file says of itself. A file is out only where the two contradict each other; what a file leaves open
keeps it in, and is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import combinations

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Netlist, Pin
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.read.conditions import Months, names_in, overlap
from harnesscheck.read.configure import configure, options_of
from harnesscheck.read.families import families_of

Names = tuple[str, ...]  # of a colour, base first
MOST_TELLING = 5  # places to look at
_EMPTY, _ABSENT, _NOT_KNOWN = "empty", "no such plug", ""


@dataclass(frozen=True, slots=True)
class SeenPlug:
    """Colours seen in a plug, cavity by cavity in order: None cannot be read, () is empty."""

    connector: str
    wires: tuple[Names | None, ...]


@dataclass(frozen=True, slots=True)
class CarAsked:
    """What is known of a car; None and () are not known."""

    model_year: int | None = None
    months: Months | None = None
    options: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    seen: tuple[SeenPlug, ...] = ()


class Fits(Enum):
    """Whether a netlist is of the car."""

    YES = "applies"
    MAYBE = "may apply"
    NO = "does not apply"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A netlist, the version of it that is asked for, what speaks against it and what it leaves open."""

    file: str
    vehicle: Vehicle
    against: tuple[str, ...]
    left_open: tuple[str, ...]

    @property
    def fits(self) -> Fits:
        """No, where anything speaks against it; maybe, where it leaves anything open."""
        return Fits.NO if self.against else Fits.MAYBE if self.left_open else Fits.YES


@dataclass(frozen=True, slots=True)
class TellingPlace:
    """A contact, or without a cavity a plug, to look at: what each file has there, ``""`` where it does not say."""

    connector: str
    cavity: str
    at: str
    shows: Mapping[str, str]


def candidate(file: str, netlist: Netlist, asked: CarAsked) -> Candidate:
    """A netlist held against what is known of the car."""
    known = {name for row in netlist.rows() for name in names_in(row.common)} | {row.id for row in netlist.options}
    known |= families_of(netlist.options).keys()
    has = options_of(netlist, known.intersection(asked.options), known.intersection(asked.without))
    vehicle = configure(netlist, has, asked.months)
    against: list[str] = []
    left_open: list[str] = []
    _of_year(netlist, asked, against, left_open)
    _of_months(netlist, asked, against, left_open)
    _of_options(netlist, asked, known, against, left_open)
    for plug in asked.seen:
        _of_plug(vehicle, plug, against, left_open)
    return Candidate(file, vehicle, tuple(against), tuple(left_open))


def _of_year(netlist: Netlist, asked: CarAsked, against: list[str], left_open: list[str]) -> None:
    own = netlist.header.model_year
    if asked.model_year is None or own == asked.model_year:
        return
    if own is None:
        left_open.append("its model year is not written")
    else:
        against.append(f"it is of model year {own}")


def _of_months(netlist: Netlist, asked: CarAsked, against: list[str], left_open: list[str]) -> None:
    common = netlist.header.common
    own = (common.built_from, common.built_to)
    if asked.months is None:
        return
    if own == (None, None):
        left_open.append("it does not say when its cars were built")
    elif not overlap(own, asked.months):
        against.append(f"its cars were built {own[0] or 'before'} to {own[1] or 'later'}")


def _of_options(netlist: Netlist, asked: CarAsked, known: set[str], against: list[str], left_open: list[str]) -> None:
    """Options of the car the file is of, where no row says what belongs to them; options it does not speak of.

    A file whose rows say which option they need holds the car with it and the car without.
    """
    left_open += [f"it says nothing of {name}" for name in asked.options if name not in known]
    needed = {name for row in netlist.rows() for name in names_in(row.common)}
    families = families_of(netlist.options)
    has, has_not = set(asked.options), set(asked.without)
    for name, members in families.items():
        if (mine := members & has) or name in has_not:
            has_not |= members - mine
        if name in needed:
            needed |= members
    for row in netlist.options:
        if row.id in needed:
            continue
        is_fitted = row.fitted is not False
        said = f"it is of a car {'with' if is_fitted else 'without'} {row.id}"
        if row.id in (has_not if is_fitted else has):
            against.append(said)
        elif row.id not in (has if is_fitted else has_not):
            left_open.append(said)


def _of_plug(vehicle: Vehicle, plug: SeenPlug, against: list[str], left_open: list[str]) -> None:
    """Colours that were seen, against those of the version."""
    row = vehicle.connectors.get(plug.connector)
    if row is None:
        against.append(f"it has no plug {plug.connector}")
        return
    shown = _cavities(vehicle, plug.connector)
    if len(plug.wires) > len(shown) and row.cavities:
        against.append(f"{plug.connector} has {len(shown)} cavities")
        return
    for name, seen in zip(shown, plug.wires, strict=False):
        if seen is None:
            continue
        has = _colours(vehicle, plug.connector, name)
        if has is None:
            left_open.append(f"what is in {plug.connector}:{name} is not written")
        elif seen not in has and not (seen == () and not has):
            against.append(f"{plug.connector}:{name} has {_words(has)}")


def _cavities(vehicle: Vehicle, connector: str) -> list[str]:
    """The cavities of a plug in their order."""
    listed = vehicle.connectors[connector].cavities
    used = {pin.cavity or "" for pin in vehicle.pins_of.get(connector, ())}
    return list(listed) if listed else sorted(used, key=natural_key)


def _colours(vehicle: Vehicle, connector: str, cavity: str) -> frozenset[Names] | None:
    """The colours of the wires in a cavity, none where it is empty; None where that is not known."""
    pins = [pin for pin in vehicle.pins_of.get(connector, ()) if pin.cavity == cavity]
    if not pins:
        return frozenset() if vehicle.connectors[connector].complete is not False else None
    if all(_is_bare(pin) for pin in pins):
        return frozenset()
    names = [pin.colour.names if pin.colour is not None else None for pin in pins]
    return None if None in names else frozenset(one for one in names if one is not None)


def _is_bare(pin: Pin) -> bool:
    """Whether a row says of its cavity only that nothing is wired there."""
    return pin.colour is None and pin.circuit is None and pin.to is None and pin.function is None


def _words(colours: frozenset[Names]) -> str:
    return " and ".join(sorted("/".join(names) for names in colours)) or "nothing"


# -- what would tell the rest apart


def telling_places(candidates: Sequence[Candidate]) -> list[TellingPlace]:
    """Plugs and contacts to look at, the one that parts most files first, until nothing is left together or to see.

    A plug that restraint or high-voltage wiring shares is not looked into.
    """
    left = {frozenset(pair) for pair in combinations([one.file for one in candidates], 2)}
    places = list(_places(candidates)) if left else []
    found: list[TellingPlace] = []
    while left and places and len(found) < MOST_TELLING:
        best = min(places, key=lambda place: (-len(left & _parted(place)), not place.at))
        parted = left & _parted(best)
        if not parted:
            break
        found.append(best)
        left -= parted
    return found


def _parted(place: TellingPlace) -> set[frozenset[str]]:
    """The pairs of files of which a place tells one from the other."""
    said = [(file, what) for file, what in place.shows.items() if what != _NOT_KNOWN]
    return {frozenset((one, other)) for (one, what), (other, its) in combinations(said, 2) if what != its}


def _places(candidates: Sequence[Candidate]) -> Iterator[TellingPlace]:
    """Every plug and contact that is not the same in all files, plugs first."""
    shut = {
        plug for one in candidates if (judge := Study(one.vehicle).hands_off).any for plug in judge.plugs
    }  # of any file: nobody knows yet which car it is
    names = {row.id for one in candidates for row in one.vehicle.netlist.connectors} - shut
    contacts: list[TellingPlace] = []
    for plug in sorted(names, key=natural_key):
        there = [one for one in candidates if plug in one.vehicle.connectors]
        at = next((where for one in there if (where := one.vehicle.connectors[plug].at)), "") or ""
        if len(there) < len(candidates):
            yield TellingPlace(plug, "", at, {one.file: "there" if one in there else _ABSENT for one in candidates})
        cavities = {name for one in there for name in _cavities(one.vehicle, plug)}
        for name in sorted(cavities, key=natural_key):
            shows = {one.file: _shown(one.vehicle, plug, name) for one in there}
            if len(set(shows.values()) - {_NOT_KNOWN}) > 1:
                contacts.append(TellingPlace(plug, name, at, shows))
    yield from contacts


def _shown(vehicle: Vehicle, connector: str, cavity: str) -> str:
    """What a person sees in a cavity."""
    colours = _colours(vehicle, connector, cavity)
    if colours is None:
        return _NOT_KNOWN
    return " and ".join(sorted("/".join(names) for names in colours)) or _EMPTY


def disagreement(model_year: int | None, months: Months | None) -> str:
    """Why a model year and a build date cannot both be right; nothing where they can.

    A model year's cars are built from 2 January of the year before to 31 December of the year itself: 40 CFR
    85.2303 (United States), from memory; elsewhere a model year is the maker's own, and this a question only.
    """
    if model_year is None or months is None:
        return ""
    if overlap(months, (f"{model_year - 1}-01", f"{model_year}-12")):
        return ""
    built = " to ".join(dict.fromkeys(month for month in months if month))
    return (
        f"Model year {model_year} and built {built} do not go together: cars of a model year are built from January of "
        f"the year before ({model_year - 1}) to December of the year itself. Read both on the car once more."
    )
