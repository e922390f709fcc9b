"""Writes shorthand out, so that everything after it sees plain rows only.

In this order: ``like`` (what is not written here, from another connector),
``on`` (the component a plug goes on, and its half), ``part`` (a shipped generic
part), ``mirror`` (the mate's circuits). What a row says itself always stands;
``?`` keeps a field empty. Rows written out here carry the place of the row that
asked for them.

Ends of wires are never taken over: a wire that goes somewhere from one plug goes
somewhere else from another, and its length with it.
"""

from __future__ import annotations

from harnesscheck.fields import INSIDES
from harnesscheck.read.boxes import expand_insides
from harnesscheck.read.build import Builder
from harnesscheck.read.names import close_to
from harnesscheck.read.parts import (
    BOTH_HALVES,
    MIRRORED,
    OTHER_HALF,
    expand_component_part,
    expand_connector_part,
    expand_on,
    give_contact,
)
from harnesscheck.read.pool import PIN_SLOTS
from harnesscheck.read.sketch import CONDITIONS, Plug, Sketch, only

_LIKE_CONNECTOR = (
    "cavities", "half", "keyway", "housing_colour", "part_number", "contact", "sealed", "complete",
)  # fmt: skip
_LIKE_PIN = tuple(slot for slot in PIN_SLOTS if slot not in ("connector", "component", "cavity", "to", "length"))


def expand(builder: Builder) -> None:
    """Replace the builder's shorthand by the rows it stands for; what cannot be done is a fault."""
    if not builder.short_connectors and not builder.short_components:
        return
    sketch = Sketch(builder)
    _expand_like(sketch)
    for plug in list(sketch.plugs.values()):
        expand_on(sketch, plug)
    for row in sketch.components():
        expand_component_part(sketch, row)
    for plug in list(sketch.plugs.values()):
        expand_connector_part(sketch, plug)
    for plug in sketch.plugs.values():
        if plug.values.get("mirror"):
            _expand_mirror(sketch, plug)
    sketch.name_terminals()
    for plug in list(sketch.plugs.values()):
        expand_insides(sketch, plug)
    sketch.write()


def _expand_like(sketch: Sketch) -> None:
    """Fill each plug from the one it is like, after that one has been filled itself."""
    done: set[str] = set()
    for start in list(sketch.plugs):
        chain = [start]
        while (other := _liked(sketch, chain[-1])) is not None and other not in done and other not in chain:
            chain.append(other)
        if other is not None and other in chain:
            plug = sketch.plugs[chain[-1]]
            expected = "like: a connector that is not like this one in turn"
            sketch.faults.add(plug.origin.place("like"), " like ".join((*chain, other)), expected)
            done.update(chain)
            chain = []
        for name in reversed(chain):
            if name not in done and name in sketch.plugs:
                _fill_like(sketch, sketch.plugs[name])
            done.add(name)


def _liked(sketch: Sketch, name: str) -> str | None:
    plug = sketch.plugs.get(name)
    return plug.values.get("like") if plug is not None else None


def _fill_like(sketch: Sketch, plug: Plug) -> None:
    other = plug.values.get("like")
    if other is None:
        return
    if not sketch.is_connector(other):
        expected = f"like: the id of a connector{close_to(other, [*sketch.plugs, *sketch.connectors])}"
        sketch.faults.add(plug.origin.place("like"), other, expected)
        return
    known = sketch.values(other)
    plug.give(only(known, _LIKE_CONNECTOR))
    if plug.values.get("on") is not None:
        plug.give(only(known, ("kind", "part", *INSIDES)))
    if plug.values.keys().isdisjoint(("harness", "component")):
        plug.give(only(known, ("harness",)))
    if plug.values.keys().isdisjoint(("harness", "component")):
        expected = "a connector inside its component, or with harness= (? where it is not known)"
        sketch.faults.add(plug.origin.place(), f"{plug.id} with neither component nor harness", expected)
    for values in sketch.contents(other):
        plug.give_pin(values["cavity"], only(values, _LIKE_PIN), only(values, CONDITIONS))


def _expand_mirror(sketch: Sketch, plug: Plug) -> None:
    """Every cavity carries what the mate's carries; colours, sizes and ends are not known.

    A component's own half has a terminal behind each; one nobody named is called by its cavity.
    A component has contacts that no wire need be in: of its half only the
    circuits that are written there are mirrored, and the rest is not known.
    """
    mate = sketch.mate(plug.id)
    if mate is None or not sketch.is_connector(mate):
        sketch.faults.add(plug.origin.place("mirror"), plug.id, "mirror: only where the mate is known")
        return
    known = sketch.values(mate)
    if known.get("mirror"):
        expected = f"mirror: on one of two mates only ({mate} mirrors as well)"
        sketch.faults.add(plug.origin.place("mirror"), plug.id, expected)
        return
    of_component = known.get("component") is not None
    plug.names_terminals |= plug.values.get("component") is not None
    plug.give(only(known, BOTH_HALVES) | ({"complete": False} if of_component else {}))
    if known.get("half") is not None:
        plug.give({"half": OTHER_HALF[known["half"]]})
    for values in sketch.contents(mate):
        if plug.names_terminals:
            give_contact(plug, values)
        elif not of_component or values.get("circuit") is not None:
            plug.give_pin(values["cavity"], only(values, MIRRORED), only(values, CONDITIONS))
