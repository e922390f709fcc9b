"""What lets current pass inside components, as edges between pieces.

An element is closed for *sure* in some key positions and *maybe* (a control
could close it) in more; both are four-bit masks over ``KEY_POSITIONS``. Loads
are no elements: a feed that went through a lamp is no feed.

How parts conduct stands in ``network.graph.conduction``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.records import Component
from harnesscheck.network.graph.conduction import Conduction
from harnesscheck.network.graph.index import Index

OFF, ACCESSORY, RUN, START = (1 << bit for bit in range(4))
ALWAYS = OFF | ACCESSORY | RUN | START
NEVER = 0
_BIT = dict(zip(KEY_POSITIONS, (OFF, ACCESSORY, RUN, START), strict=True))


ElementSort = Literal["joint", "fuse", "contact", "make", "break", "resistor", "diode"]


@dataclass(frozen=True, slots=True)
class Element:
    """One passable joint inside a component, between two pieces.

    A diode passes from ``a`` to ``b`` only. ``name`` is what a person calls it. ``positions``
    are those of its switch or relay that close it; empty where it has none of its own.
    """

    sort: ElementSort
    component: str
    name: str
    a: int
    b: int
    sure: int
    maybe: int
    rating_a: float | None = None
    positions: frozenset[str] = frozenset()

    @property
    def is_keyed(self) -> bool:
        """Whether it is not the same in all key positions."""
        return not {self.sure, self.maybe} <= {NEVER, ALWAYS}


def key_mask(words: tuple[str, ...]) -> int:
    """The key positions among the words of a ``when``, as a mask."""
    mask = NEVER
    for word in words:
        mask |= _BIT.get(word, NEVER)
    return mask


def _element(component: Component, way: Conduction, at: dict[str, int]) -> Element | None:
    """A way through a part as an element; None for what a feed does not go through."""
    if way.sort == "load" or way.sort == "coil" or way.sort == "sender":
        return None
    row = way.row
    name = row.id or component.id if row is not None else component.id
    rating_a = None
    if way.sort == "fuse":
        rating_a = row.fuse if row is not None else component.rating
        if row is not None and row.id is None:  # one of many in a box is known by its two contacts
            name = f"{component.id}.{row.from_}-{row.to}"
    sort: ElementSort = "contact" if way.sort == "switch" else way.sort
    return Element(
        sort, component.id, name, at[way.a], at[way.b], *_masks(component, way), rating_a, _positions(component, way)
    )


def _positions(component: Component, way: Conduction) -> frozenset[str]:
    """The positions of a switch, or the state of a relay, that close a way; a key's are the key positions."""
    if way.sort in ("make", "break"):
        return frozenset({way.sort})
    return frozenset() if component.key and way.row is not None else frozenset(way.words)


def _masks(component: Component, way: Conduction) -> tuple[int, int]:
    """The key positions a way is closed in for sure, and maybe."""
    if way.sort in ("make", "break"):
        return NEVER, ALWAYS
    sure = maybe = ALWAYS
    if way.words and component.key and way.row is not None:
        sure = maybe = key_mask(way.words)
    elif way.words:
        sure = NEVER
    return (NEVER if way.sort == "resistor" else sure), maybe


def elements_of(index: Index) -> tuple[Element, ...]:
    """Every element of the car, relay contacts still undecided."""
    components = index.vehicle.components
    found: list[Element] = []
    for id_, ways in index.conductions_of.items():
        for way in ways:
            at = {end: index.piece_of[index.terminal[id_, end]] for end in (way.a, way.b)}
            element = _element(components[id_], way, at)
            if element is not None and element.a != element.b:
                found.append(element)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class CoilElement:
    """The two ends of a relay's coil, as pieces."""

    component: str
    a: int
    b: int


def coils_of(index: Index) -> tuple[CoilElement, ...]:
    """The coils of all relays with both coil terminals in the file."""
    return tuple(
        CoilElement(id_, *(index.piece_of[index.terminal[id_, end]] for end in (way.a, way.b)))
        for id_, ways in index.conductions_of.items()
        for way in ways
        if way.sort == "coil"
    )


def with_relays(elements: tuple[Element, ...], sure: dict[str, int], maybe: dict[str, int]) -> tuple[Element, ...]:
    """The elements with every relay contact set from when its coil is (sure, maybe) energised.

    A coil whose ends are not both documented may do anything.
    """

    def settled(element: Element) -> Element:
        """The element with the positions in which it is closed for sure, and may be."""
        on, could = sure.get(element.component, NEVER), maybe.get(element.component, ALWAYS)
        if element.sort == "make":
            return replace(element, sure=on, maybe=could)
        if element.sort == "break":
            return replace(element, sure=ALWAYS & ~could, maybe=ALWAYS & ~on)
        return element

    return tuple(settled(element) for element in elements)
