"""Writes out ``ratings``: the fuses behind the cavities of a fuse box's plug.

Each is fed from the terminal that has the box's one role ``supply``, and is
called as the terminal it feeds where that name is free.
"""

from __future__ import annotations

from harnesscheck.fields import fields_of
from harnesscheck.read.listed import entries_of, says_empty
from harnesscheck.read.sketch import Plug, Sketch
from harnesscheck.read.values import Wrong, field_reader

_LIST = "ratings"
_rating = field_reader(next(field for field in fields_of("inside") if field.name == "fuse"))


def expand_ratings(sketch: Sketch, plug: Plug) -> None:
    """A joint with a fuse for every cavity that has a rating; what cannot be told is a fault."""
    half = _half(sketch, plug)
    place, text = plug.origin.place(_LIST), str(plug.values[_LIST])
    if half is None:
        sketch.faults.add(place, text, f"{_LIST}: only on the plug of a component, or with on=")
        return
    component = str(half.values["component"])
    cavities = half.values.get("cavities") or tuple(half.pins)
    entries = entries_of(text)
    if len(entries) != len(cavities):
        sketch.faults.add(place, f"{len(entries)} in {text}", f"{_LIST}: one for each of its {len(cavities)} cavities")
        return
    fuses = [(half.terminal(cavity), entry) for cavity, entry in zip(cavities, entries, strict=True)
             if entry.strip("?") and not says_empty(_LIST, entry)]  # fmt: skip
    supplies = [name for name in sketch.supplies(component) if name not in dict(fuses)]
    if len(supplies) != 1:
        read = ", ".join(supplies) or "no supply"
        sketch.faults.add(
            place, read, f"{_LIST}: a component with one terminal of the role supply; else rows of inside"
        )
        return
    for terminal, entry in fuses:
        rating = _rating(entry)
        if isinstance(rating, Wrong):
            sketch.faults.add(place, entry, f"{_LIST}: {rating.expected}")
            continue
        name = terminal if sketch.is_free_inside(terminal) else None
        values = {"component": component, "from_": supplies[0], "to": terminal, "id": name, "fuse": rating}
        sketch.add_inside(values, plug.origin)


def _half(sketch: Sketch, plug: Plug) -> Plug | None:
    """The component's half: the plug itself, or what it goes on."""
    if plug.values.get("component") is not None:
        return plug
    mate = sketch.mate(plug.id) if plug.values.get("on") is not None else None
    return sketch.open_plug(mate) if mate is not None and sketch.is_connector(mate) else None
