"""Reach: in which key positions a piece is joined to battery + or to ground, and through what.

Breadth-first search from the sources over closed elements and mated contacts,
once per key position for what is sure and once for what a control could close.
The search trees are kept: a piece whose branch does not pass through a plug
keeps its reach with that plug apart, so only the rest is searched again.

Relay contacts follow their coils by rounds: what is sure grows and what may be
shrinks until nothing changes. This is logic, not volts: a coil counts as
energised when one end is fed and the other grounded.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.elements import (
    ALWAYS,
    NEVER,
    CoilElement,
    Element,
    coils_of,
    elements_of,
    with_relays,
)
from harnesscheck.network.graph.index import Index, build_index

ROUNDS = 12  # relays in series; every round settles at least one
BITS = tuple(1 << bit for bit in range(4))

_Step = tuple[int, int]  # neighbour piece, edge: element number, or -1 - mate number


@dataclass(frozen=True, slots=True)
class ReachTree:
    """A search tree: the step towards the source for every piece reached, None at a source.

    ``crossed`` holds the numbers of the meeting places between a piece and its source;
    ``ends`` the pieces that the search reached but did not go on from.
    """

    towards: dict[int, _Step | None]
    crossed: dict[int, tuple[int, ...]]
    ends: frozenset[int]

    def path(self, piece: int) -> list[_Step]:
        """The steps from a piece to its source."""
        steps: list[_Step] = []
        step = self.towards[piece]
        while step is not None:
            steps.append(step)
            step = self.towards[step[0]]
        return steps


@dataclass(frozen=True, slots=True)
class Reached:
    """What a piece is joined to: masks of key positions, sure and maybe."""

    feed_sure: int
    feed_maybe: int
    ground_sure: int
    ground_maybe: int
    grounded: bool  # by wire and contacts alone


class Reach:
    """The reach of every piece of one car. Build it with ``reach_of``."""

    def __init__(self, index: Index, elements: tuple[Element, ...]) -> None:
        self.index = index
        self.elements = elements
        self.steps = _steps(index, elements)
        self.place_number = {place: number for number, place in enumerate(dict.fromkeys(m.place for m in index.mates))}
        self.mate_place = [self.place_number[mate.place] for mate in index.mates]
        self.sources = _sources(index)
        self.grounds = _grounds(index)
        # A feed does not travel on from what is the body by wire and contacts, nor a ground from the battery's net.
        self.grounded = self._tree(self.grounds, lambda edge, _: edge < 0, self.sources)
        body = frozenset(self.grounded.towards)
        live = frozenset(self._tree(self.sources, lambda edge, _: edge < 0, self.grounds).towards)
        self.feed_sure = [self._tree(self.sources, self._closed(bit, True, feed=True), body) for bit in BITS]
        self.feed_maybe = [self._tree(self.sources, self._closed(bit, False, feed=True), body) for bit in BITS]
        self.ground_sure = [self._tree(self.grounds, self._closed(bit, True, feed=False), live) for bit in BITS]
        self.ground_maybe = [self._tree(self.grounds, self._closed(bit, False, feed=False), live) for bit in BITS]

    def _closed(self, bit: int, sure: bool, *, feed: bool) -> Callable[[int, int], bool]:
        """Whether the search may take an edge out of a piece; diodes pass one way only."""
        elements = self.elements

        def closed(edge: int, piece: int) -> bool:
            if edge < 0:
                return True
            element = elements[edge]
            if element.sort == "diode" and (element.a == piece) != feed:
                return False
            return bool((element.sure if sure else element.maybe) & bit)

        return closed

    def _tree(self, roots: Iterable[int], closed: Callable[[int, int], bool], ends: frozenset[int]) -> ReachTree:
        towards: dict[int, _Step | None] = dict.fromkeys(sorted(roots))
        crossed: dict[int, tuple[int, ...]] = dict.fromkeys(towards, ())
        mate_place = self.mate_place
        queue = deque(towards)
        while queue:
            piece = queue.popleft()
            if piece in ends and towards[piece] is not None:
                continue
            for other, edge in self.steps[piece]:
                if other not in towards and closed(edge, piece):
                    towards[other] = (piece, edge)
                    crossed[other] = crossed[piece] if edge >= 0 else (*crossed[piece], mate_place[-1 - edge])
                    queue.append(other)
        return ReachTree(towards, crossed, frozenset(p for p in ends if towards.get(p) is not None))

    def reached(self, piece: int, apart: tuple[str, str] | None = None) -> Reached:
        """What a piece is joined to, with the plug at one meeting place apart (None: as built)."""
        return Reached(
            self._mask(piece, self.feed_sure, apart, True, feed=True),
            self._mask(piece, self.feed_maybe, apart, False, feed=True),
            self._mask(piece, self.ground_sure, apart, True, feed=False),
            self._mask(piece, self.ground_maybe, apart, False, feed=False),
            self._joined(piece, self.grounded, apart, lambda edge, _: edge < 0) is not None,
        )

    def _mask(
        self, piece: int, trees: list[ReachTree], apart: tuple[str, str] | None, sure: bool, *, feed: bool
    ) -> int:
        mask = NEVER
        place = self._number(apart)
        for bit, tree in zip(BITS, trees, strict=True):
            if piece in tree.towards and (
                place not in tree.crossed[piece]
                or self._joined(piece, tree, apart, self._closed(bit, sure, feed=feed)) is not None
            ):
                mask |= bit
        return mask

    def _joined(
        self, piece: int, tree: ReachTree, apart: tuple[str, str] | None, closed: Callable[[int, int], bool]
    ) -> list[_Step] | None:
        """The way from a piece to a source of the tree with one plug apart, or None.

        Searches outwards only over pieces whose own branch needs the plug.
        """
        if piece not in tree.towards:
            return None
        place = self._number(apart)
        came: dict[int, _Step | None] = {piece: None}
        queue = deque([piece])
        while queue:
            here = queue.popleft()
            if place not in tree.crossed[here]:
                return _unwound(came, here) + tree.path(here)
            for other, edge in self.steps[here]:
                if other in came or other not in tree.towards or other in tree.ends:
                    continue
                if edge < 0 and self.mate_place[-1 - edge] == place:
                    continue
                if closed(edge, other):  # walked against the search's direction
                    came[other] = (here, edge)
                    queue.append(other)
        return None

    def _number(self, apart: tuple[str, str] | None) -> int:
        """The number of a meeting place; -1, which no branch crosses, for none."""
        return -1 if apart is None else self.place_number.get(apart, -1)

    def way_to_feed(self, piece: int, apart: tuple[str, str] | None = None) -> list[_Step]:
        """The steps from a piece to battery + in the first position it is live in, sure before maybe."""
        for sure, trees in ((True, self.feed_sure), (False, self.feed_maybe)):
            for bit, tree in zip(BITS, trees, strict=True):
                way = self._joined(piece, tree, apart, self._closed(bit, sure, feed=True))
                if way is not None:
                    return way
        return []

    def fuses_towards_feed(self, piece: int, apart: tuple[str, str] | None = None) -> tuple[str, ...]:
        """The fuses between a piece and battery +, nearest first; empty where there is none."""
        elements = self.elements
        way = self.way_to_feed(piece, apart)
        return tuple(elements[edge].name for _, edge in way if edge >= 0 and elements[edge].sort == "fuse")


def _unwound(came: dict[int, _Step | None], end: int) -> list[_Step]:
    """The steps from the start of a search to ``end``."""
    steps: list[_Step] = []
    here = end
    while (step := came[here]) is not None:
        steps.append((here, step[1]))
        here = step[0]
    return steps[::-1]


def _steps(index: Index, elements: tuple[Element, ...]) -> list[list[_Step]]:
    steps: list[list[_Step]] = [[] for _ in index.nodes_of]
    for number, mate in enumerate(index.mates):
        if mate.a != mate.b:
            steps[mate.a].append((mate.b, -1 - number))
            steps[mate.b].append((mate.a, -1 - number))
    for number, element in enumerate(elements):
        steps[element.a].append((element.b, number))
        steps[element.b].append((element.a, number))
    return steps


def _sources(index: Index) -> frozenset[int]:
    return frozenset(
        index.piece_of[node]
        for (component, terminal), node in index.terminal.items()
        if terminal == "+" and index.vehicle.components[component].kind == "battery"
    )


def _grounds(index: Index) -> frozenset[int]:
    battery = (
        index.piece_of[node]
        for (component, terminal), node in index.terminal.items()
        if terminal == "-" and index.vehicle.components[component].kind == "battery"
    )
    return frozenset(battery) | frozenset(index.ground_pieces)


def _energised(reach: Reach, coils: Iterable[CoilElement]) -> tuple[dict[str, int], dict[str, int]]:
    """When each coil is energised, for sure and maybe; an undocumented end may be anything."""
    sure: dict[str, int] = {}
    maybe: dict[str, int] = {}
    opened = reach.index.open_at
    for coil in coils:
        a, b = reach.reached(coil.a), reach.reached(coil.b)
        sure[coil.component] = (a.feed_sure & b.ground_sure) | (b.feed_sure & a.ground_sure)
        unclear = any(piece in opened for piece in (coil.a, coil.b)) or _driven(reach, coil)
        could = (a.feed_maybe & b.ground_maybe) | (b.feed_maybe & a.ground_maybe)
        maybe[coil.component] = ALWAYS if unclear else could
    return sure, maybe


def _driven(reach: Reach, coil: CoilElement) -> bool:
    """Whether something other than switches and relays (a module's output) is on one of the coil's nets."""
    index = reach.index
    for piece in (coil.a, coil.b):
        for other in index.pieces_of[index.net_of[piece]]:
            for component, _ in index.terminals_of[other]:
                if index.vehicle.components[component].kind in (None, "module", "other", "connector-only"):
                    return True
    return False


def reach_of(vehicle: Vehicle, index: Index | None = None) -> Reach:
    """The reach of a car, its relays settled."""
    index = index if index is not None else build_index(vehicle)
    bare = elements_of(index)
    coils = coils_of(index)
    elements = with_relays(bare, {}, {})
    reach = Reach(index, elements)
    for _ in range(ROUNDS if coils else 0):
        settled = with_relays(bare, *_energised(reach, coils))
        if settled == elements:
            break
        elements = settled
        reach = Reach(index, elements)
    return reach
