"""Writes out what is inside a part behind the cavities of one plug: its fuses, its switch's positions, its loads.

``ratings`` are fuses fed from the part's supply, ``positions`` say when a
contact is joined to it, ``loads`` are consumers to the part's ground. The supply
or ground is the one terminal of that role, else the one contact of the plug of
which the list says that nothing is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from harnesscheck.fields import INSIDES, fields_of
from harnesscheck.read.build import Values
from harnesscheck.read.listed import entries_of, says_empty
from harnesscheck.read.sketch import Plug, Sketch
from harnesscheck.read.values import Reader, Wrong, field_reader


@dataclass(frozen=True, slots=True)
class _Sort:
    """One sort of list: the field of an inside row, the role of the terminal all are joined to, which end that is."""

    field: str
    role: str
    common: str
    other: str
    read: Reader


def _sorts() -> Mapping[str, _Sort]:
    readers = {field.name: field_reader(field) for field in fields_of("inside")}
    ends = {"supply": ("from_", "to"), "ground": ("to", "from_")}
    return {name: _Sort(field, role, *ends[role], readers[field]) for name, (field, role) in INSIDES.items()}


_SORTS = _sorts()


def expand_insides(sketch: Sketch, plug: Plug) -> None:
    """A joint for every cavity that a list names one of; what cannot be told is a fault."""
    for name, sort in _SORTS.items():
        if plug.values.get(name):
            _expand(sketch, plug, name, sort)


def _expand(sketch: Sketch, plug: Plug, name: str, sort: _Sort) -> None:
    half, text, place = _half(sketch, plug), str(plug.values[name]), plug.origin.place(name)
    if half is None:
        sketch.faults.add(place, text, f"{name}: only on the plug of a component, or with on=")
        return
    cavities, entries = half.values.get("cavities") or tuple(half.pins), entries_of(text)
    if len(entries) != len(cavities):
        sketch.faults.add(place, f"{len(entries)} in {text}", f"{name}: one for each of its {len(cavities)} cavities")
        return
    told = {half.terminal(cavity): entry for cavity, entry in zip(cavities, entries, strict=True)}
    given = {one: entry for one, entry in told.items() if entry.strip("?") and not says_empty(name, entry)}
    common = [one for one in sketch.terminals_of(str(half.values["component"]), sort.role) if one not in given]
    common = common or [one for one, entry in told.items() if says_empty(name, entry)]
    if len(common) != 1:
        expected = f"{name}: a component with one terminal of the role {sort.role}; else rows of inside"
        sketch.faults.add(place, ", ".join(common) or f"no {sort.role}", expected)
        return
    for cavity in cavities:  # what a list is about is there, whether or not a wire is known
        if half.terminal(cavity) in (*given, *common):
            half.give_pin(cavity, {"terminal": half.terminal(cavity)})
    _join(sketch, plug, name, given, {"component": half.values["component"], sort.common: common[0]})


def _join(sketch: Sketch, plug: Plug, name: str, given: Mapping[str, str], shared: Values) -> None:
    """A joint from what all are joined to, to each terminal of which the list says something."""
    sort = _SORTS[name]
    for terminal, entry in given.items():
        value = sort.read(entry)
        if isinstance(value, Wrong):
            sketch.faults.add(plug.origin.place(name), entry, f"{name}: {value.expected}")
            continue
        named = {"id": terminal} if sort.field == "fuse" and sketch.is_free_inside(terminal) else {}
        sketch.add_inside(shared | named | {sort.other: terminal, sort.field: value}, plug.origin)


def _half(sketch: Sketch, plug: Plug) -> Plug | None:
    """The component's half: the plug itself, or what it goes on."""
    if plug.values.get("component") is not None:
        return plug
    mate = sketch.mate(plug.id) if plug.values.get("on") is not None else None
    if mate is None or not sketch.is_connector(mate) or sketch.owner(mate) is None:
        return None
    return sketch.open_plug(mate)
