"""Which modules of a KBL file a car has: one file may hold every option of a harness at once (a 150 % file)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from harnesscheck.model.places import Place
from harnesscheck.read.faults import Faults
from harnesscheck.read.kbltree import Element
from harnesscheck.read.names import close_to

_MOST_LISTED = 40


@dataclass(frozen=True, slots=True)
class Variant:
    """What a person says of it: modules by part number or abbreviation, or one configuration of the file."""

    modules: tuple[str, ...] = ()
    configuration: str | None = None

    def __bool__(self) -> bool:
        return bool(self.modules) or self.configuration is not None


@dataclass(frozen=True, slots=True)
class Module:
    """A module: what it may be called by, the first its name; its family; what is there for its sake (ids)."""

    id: str | None
    names: tuple[str, ...]
    words: str
    family: str | None
    controls: frozenset[str]
    file: int


@dataclass(frozen=True, slots=True)
class Chosen:
    """The modules of a variant, and for each file the ids of what is not there."""

    modules: tuple[Module, ...]
    gone: tuple[frozenset[str], ...]


def choose(paths: Sequence[str], harnesses: Sequence[Element], variant: Variant, faults: Faults) -> Chosen:
    """The modules that a variant names, out of all files of one car; says what was done where none is named."""
    modules = [one for number, harness in enumerate(harnesses) for one in _modules(harness, number)]
    place = Place(paths[0])
    if not variant:
        if len(modules) > 1:
            said = (
                f"all {len(modules)} modules were taken together, no car need have them all: choose with --modules or "
                "--configuration; where several contacts stand for one cavity they were kept apart"
            )
            faults.remarks.add(place, _listed([one.names[0] for one in modules]), said, aloud=True)
        return Chosen(tuple(modules) if len(modules) == 1 else (), tuple(frozenset[str]() for _ in harnesses))
    chosen = _named(modules, variant.modules, place, faults)
    if variant.configuration is not None:
        chosen += _configured(harnesses, modules, variant.configuration, place, faults)
    chosen = [one for one in modules if one in chosen]
    _ask_about_families(chosen, place, faults)
    gone = []
    for number, _ in enumerate(harnesses):
        all_of = frozenset[str]().union(*(one.controls for one in modules if one.file == number))
        gone.append(all_of.difference(*(one.controls for one in chosen if one.file == number)))
    return Chosen(tuple(chosen), tuple(gone))


def _modules(harness: Element, file: int) -> Iterable[Module]:
    for one in harness.all("Module"):
        names = [one.said("Part_number"), one.said("Abbreviation"), one.id]
        controls = one.one("Module_configuration")
        refs = frozenset(controls.refs("Controlled_components")) if controls is not None else frozenset[str]()
        called = tuple(dict.fromkeys(name for name in names if name)) or ("module without a name",)
        yield Module(one.id, called, one.said("Description") or "", one.said("Of_family"), refs, file)
    for one in harness.all("Module_configuration"):  # beside the modules: one of its own
        refs = frozenset(one.refs("Controlled_components"))
        name = one.said("Logistic_control_information")
        if refs and name:
            yield Module(one.id, (name,), "", None, refs, file)


def _named(modules: Sequence[Module], names: Iterable[str], place: Place, faults: Faults) -> list[Module]:
    found = []
    for name in names:
        same = [one for one in modules if name in one.names]
        if not same:
            known = [one.names[0] for one in modules]
            near = close_to(name, known) or f": {_listed(known)}"
            faults.add(place, name, f"--modules: a module of the file{near}" if known else "no module: there is none")
        found += same
    return found


def _configured(
    harnesses: Sequence[Element], modules: Sequence[Module], name: str, place: Place, faults: Faults
) -> list[Module]:
    known: dict[str, list[Module]] = {}
    for number, harness in enumerate(harnesses):
        for one in harness.all("Harness_configuration"):
            refs = set(one.refs("Modules"))
            listed = [module for module in modules if module.file == number and module.id in refs]
            for called in (one.said("Part_number"), one.said("Abbreviation"), one.id):
                if called and listed:
                    known.setdefault(called, []).extend(listed)
                elif called:
                    known.setdefault(called, [])
    if name not in known:
        near = close_to(name, known) or f": {_listed(list(known))}"
        faults.add(place, name, f"--configuration: one of the file{near}" if known else "no configuration: none there")
    elif not known[name]:
        faults.add(place, name, "--configuration: one that lists modules")
    return known.get(name, [])


def _ask_about_families(chosen: Sequence[Module], place: Place, faults: Faults) -> None:
    """Modules of one family shut each other out."""
    first: dict[tuple[int, str], Module] = {}
    for one in chosen:
        if one.family is None:
            continue
        other = first.setdefault((one.file, one.family), one)
        if other is not one:
            said = "two modules of one family, of which a car has one: is this a single car?"
            faults.remarks.add(place, f"{other.names[0]} {one.names[0]}", said, aloud=True)


def _listed(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MOST_LISTED} more" if len(names) > _MOST_LISTED else ""
    return ", ".join(names[:_MOST_LISTED]) + more
