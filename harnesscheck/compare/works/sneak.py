"""How a load comes to be on where the donor's is off: by another feed, by another ground, through another load.

The patterns are those of classic sneak-circuit analysis, from memory: a *power
dome* has two feeds over one ground, a *ground dome* one feed over two grounds, an
*H* two of each with the load in the bar between them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import SOURCES, Branch, Port
from harnesscheck.network.volts.paths import CONDUCTORS, Hop, Key, Way
from harnesscheck.network.volts.ratings import rating_of
from harnesscheck.trade.sizes import with_unit

CONSUMERS = frozenset({"load", "coil", "resistor"})


@dataclass(frozen=True)
class KnownWays:
    """The elements of the donor's ways of one load, and all the donor has, in the other car's words."""

    used: frozenset[Key]
    every: frozenset[Key]
    parts: frozenset[tuple[str, str]]  # sort and component of what is used

    def is_new(self, hop: Hop) -> bool:
        """Whether an element is in none of the donor's ways; one the donor names otherwise goes by its part."""
        element = hop.element
        if element.sort in CONDUCTORS or element.sort in SOURCES:
            return False
        if element.key in self.every:
            return element.key not in self.used
        return (element.sort, element.component) not in self.parts


def known(used: Iterable[Branch | Port], every: frozenset[Key], names: Mapping[str, str]) -> KnownWays:
    """What of the donor's circuit, ``every`` of its elements, a load's ways use, in the other car's words."""
    mine = keys_of(used, names)
    return KnownWays(mine, every, frozenset((sort, component) for sort, component, _ in mine))


def keys_of(elements: Iterable[Branch | Port], names: Mapping[str, str]) -> frozenset[Key]:
    """What tells the donor's elements from others, in the other car's words."""
    return frozenset(_mapped(element, names) for element in elements)


def _mapped(element: Branch | Port, names: Mapping[str, str]) -> Key:
    component = names.get(element.component, element.component)
    name = component if element.name == element.component else element.name
    return element.sort, component, name


@dataclass(frozen=True, slots=True)
class Sneak:
    """What is new on a load's way."""

    feed: bool
    ground: bool
    through: bool  # another load

    @property
    def any(self) -> bool:
        """Whether anything is."""
        return self.feed or self.ground

    @property
    def pattern(self) -> str:
        """The classic pattern it is."""
        if self.feed and self.ground:
            return "H"
        return "power dome" if self.feed else "ground dome" if self.ground else ""


def sneak(way: Way, before: KnownWays) -> Sneak:
    """What of a way is in none of the donor's."""
    feed = [hop for hop in way.feed if before.is_new(hop)]
    ground = [hop for hop in way.ground if before.is_new(hop)]
    return Sneak(bool(feed), bool(ground), any(hop.element.sort in CONSUMERS for hop in (*feed, *ground)))


def overloaded(study: Study, way: Way) -> str:
    """The first fuse or wire of a way that carries more than it may, in words; nothing where all is well."""
    for hop in way.hops():
        element = hop.element
        if not isinstance(element, Branch):
            continue
        if element.rating_a and hop.amps > element.rating_a:
            return f"{hop.amps:.1f} A through {element.name}, {element.rating_a:g} A"
        if element.sort != "wire" or not isinstance(element.row, Pin | Wire) or element.row.size is None:
            continue
        allowed_a = rating_of(study, element.row).amps
        if allowed_a is not None and hop.amps > allowed_a:
            size = with_unit(element.row.size.text)
            return f"{hop.amps:.1f} A in a wire of {size}, good for {allowed_a:.0f} A"
    return ""
