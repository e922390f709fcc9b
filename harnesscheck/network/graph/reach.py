"""Reach: in which key positions a piece is joined to battery + or to ground, and through what.

Breadth-first search from the sources over closed elements and mated contacts,
once per key position for what is sure and once for what a control could close.
The search trees are kept: a piece whose branch does not pass through a contact
keeps its reach with that contact open, so only the rest is searched again.

What a control could close is closed one position at a time: no way asks one switch
to stand in two positions, nor one relay to be pulled in and let go. A piece keeps
the ``KEPT`` first ways to it of which none asks for all that another asks for.

Relay contacts follow their coils by rounds: what is sure grows and what may be
shrinks until nothing changes. This is logic, not volts: a coil counts as
energised when one end is fed and the other grounded.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass, field, replace

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

KEPT = 4  # ways to one piece
ROUNDS = 12  # relays in series; every round settles at least one
BITS = tuple(1 << bit for bit in range(4))

_Step = tuple[int, int]  # neighbour piece, edge: element number, or -1 - mate number
_ELEMENT = -1  # instead of a contact's number

Contact = tuple[tuple[str, str], str | None]
"""One contact of a plug, or all of them: the two halves as the index names their meeting place, and the cavity."""
_NONE: frozenset[int] = frozenset()

Asks = tuple[tuple[str, frozenset[str]], ...]
"""What a way asks for: by switch or relay the positions it may stand in, in order of the name."""

_Back = tuple[int, int, Asks, int]
"""A step against a search's direction: neighbour piece, edge, what it asks for, and its contact's number."""


@dataclass(frozen=True, slots=True)
class ReachWay:
    """One way from a piece to a source: its last step back, the way from there, what it asks for, contacts crossed."""

    step: _Step | None = None
    on: ReachWay | None = None
    asks: Asks = ()
    crossed: tuple[int, ...] = ()

    def steps(self) -> list[_Step]:
        """The steps from the piece to its source."""
        found: list[_Step] = []
        way: ReachWay | None = self
        while way is not None and way.step is not None:
            found.append(way.step)
            way = way.on
        return found


@dataclass(frozen=True, slots=True)
class _Rule:
    """What a search may take: mated contacts and, unless it goes by wire alone, elements closed in a key position."""

    elements: tuple[Element, ...]
    bit: int = NEVER  # by wire alone
    sure: bool = True
    feed: bool = True

    def closed(self, edge: int, piece: int) -> bool:
        """Whether the search may take an edge out of a piece; diodes pass one way only."""
        if edge < 0:
            return True
        element = self.elements[edge]
        if element.sort == "diode" and (element.a == piece) != self.feed:
            return False
        return bool((element.sure if self.sure else element.maybe) & self.bit)

    def answer(self, number: int) -> tuple[bool, bool]:
        """Whether an element is closed for sure, and whether it may be where that counts."""
        element = self.elements[number]
        return bool(element.sure & self.bit), not self.sure and bool(element.maybe & self.bit)

    def asks(self, edge: int) -> Asks:
        """What an edge asks for where it may be closed."""
        if edge < 0 or self.sure:
            return ()
        element = self.elements[edge]
        return () if element.sure & self.bit or not element.positions else ((element.component, element.positions),)


@dataclass(frozen=True, slots=True)
class ReachTree:
    """A search tree: the ways to every piece reached, the shortest first; without a step at a source.

    ``ends`` holds the pieces that the search reached but did not go on from.
    """

    ways: dict[int, tuple[ReachWay, ...]]
    ends: frozenset[int]
    rule: _Rule
    back: dict[int, list[_Back]] = field(default_factory=dict, compare=False)  # by piece, once it was asked for
    lost: dict[frozenset[int], set[int]] = field(default_factory=dict, compare=False)  # by the contacts that are open

    def path(self, piece: int) -> list[_Step]:
        """The steps from a piece to its source."""
        return self.ways[piece][0].steps()

    def would_be(self, rule: _Rule, unsteady: Iterable[int]) -> bool:
        """Whether a search by another rule would come to the same; ``unsteady`` are the elements that may differ."""
        for number in unsteady:
            element = rule.elements[number]
            if rule.answer(number) != self.rule.answer(number) and any(
                piece in self.ways and piece not in self.ends for piece in (element.a, element.b)
            ):
                return False
        return True


def together(one: Asks, other: Asks) -> Asks | None:
    """What two ways ask for at once; None where one switch would have to stand in two positions.

    >>> together((("a", frozenset({"on"})),), (("a", frozenset({"off"})),)) is None
    True
    """
    if not other or not one:
        return one or other
    both = dict(one)
    for control, positions in other:
        both[control] = both.get(control, positions) & positions
        if not both[control]:
            return None
    return tuple(sorted(both.items(), key=lambda item: item[0]))


def _is_covered(asks: Asks, known: Iterable[ReachWay]) -> bool:
    """Whether a known way asks for no more than a new one."""
    wanted = dict(asks)
    for way in known:
        for control, words in way.asks:
            if control not in wanted or not wanted[control] <= words:
                break
        else:
            return True
    return False


@dataclass(frozen=True, slots=True)
class Reached:
    """What a piece is joined to: masks of key positions, sure and maybe."""

    feed_sure: int
    feed_maybe: int
    ground_sure: int
    ground_maybe: int
    grounded: bool  # by wire and contacts alone
    feed_asks: tuple[Asks, ...] = ()  # of what may be: what its ways ask of switches and relays
    ground_asks: tuple[Asks, ...] = ()


class Reach:
    """The reach of every piece of one car. Build it with ``reach_of``."""

    feed_sure: list[ReachTree]  # one a key position, as the others
    feed_maybe: list[ReachTree]
    ground_sure: list[ReachTree]
    ground_maybe: list[ReachTree]

    def __init__(self, index: Index, elements: tuple[Element, ...]) -> None:
        self.index = index
        self.elements = elements
        self.steps = _steps(index, elements)
        contacts: list[Contact] = [(mate.place, mate.cavity) for mate in index.mates]
        self.contact_number = {contact: number for number, contact in enumerate(dict.fromkeys(contacts))}
        self.mate_contact = [self.contact_number[contact] for contact in contacts]
        plugs: dict[tuple[str, str], set[int]] = {}
        for contact, number in self.contact_number.items():
            plugs.setdefault(contact[0], set()).add(number)
        self._plugs = {place: frozenset(numbers) for place, numbers in plugs.items()}
        self.sources = _sources(index)
        self.grounds = _grounds(index)
        # A feed does not travel on from what is the body by wire and contacts, nor a ground from the battery's net.
        by_wire = _Rule(elements)
        self.grounded = self._tree(self.grounds, by_wire, self.sources)
        self._body = frozenset(self.grounded.ways)
        self._live = frozenset(self._tree(self.sources, by_wire, self.grounds).ways)
        self._search(None)

    def again(self, elements: tuple[Element, ...]) -> Reach:
        """The reach with other relay contacts closed; a search that meets none of these is not repeated."""
        found = copy(self)
        found.elements = elements
        found._search(self)
        return found

    def _search(self, before: Reach | None) -> None:
        known: list[list[ReachTree]] = [[], [], [], []]
        if before is not None:
            known = [before.feed_sure, before.feed_maybe, before.ground_sure, before.ground_maybe]
        self.feed_sure = self._trees(known[0], sure=True, feed=True)
        self.feed_maybe = self._trees(known[1], sure=False, feed=True)
        self.ground_sure = self._trees(known[2], sure=True, feed=False)
        self.ground_maybe = self._trees(known[3], sure=False, feed=False)
        self._ever: dict[bool, ReachTree] = {}
        self._cut: dict[tuple[int, frozenset[int], bool], bool] = {}

    def _ever_reached(self, *, feed: bool) -> ReachTree:
        """All that may be fed, else grounded, in some key position: only asked for once the relays are settled."""
        if feed not in self._ever:
            every = tuple(replace(one, sure=ALWAYS if one.maybe else NEVER) for one in self.elements)
            roots, ends = (self.sources, self._body) if feed else (self.grounds, self._live)
            self._ever[feed] = self._tree(roots, _Rule(every, ALWAYS, feed=feed), ends)
        return self._ever[feed]

    def _trees(self, known: Iterable[ReachTree], *, sure: bool, feed: bool) -> list[ReachTree]:
        """One tree a key position; a known one where nothing that its search met would be otherwise."""
        unsteady = [n for n, one in enumerate(self.elements) if one.sort in ("make", "break") or one.is_keyed]
        roots, ends = (self.sources, self._body) if feed else (self.grounds, self._live)
        found = list(known)
        for bit in BITS:
            rule = _Rule(self.elements, bit, sure, feed)
            alike = (one for one in found if one.would_be(rule, unsteady))
            found.append(next(alike, None) or self._tree(roots, rule, ends))
        return found[-len(BITS) :]

    def _tree(self, roots: Iterable[int], rule: _Rule, ends: frozenset[int]) -> ReachTree:
        """All pieces that closed edges join to some roots."""
        ways: dict[int, list[ReachWay]] = {root: [ReachWay()] for root in sorted(roots)}
        mate_contact = self.mate_contact
        queue = deque((piece, ways[piece][0]) for piece in ways)
        while queue:
            piece, way = queue.popleft()
            if piece in ends and way.step is not None:
                continue
            for other, edge in self.steps[piece]:
                known = ways.get(other)
                if (known is not None and (len(known) == KEPT or not known[0].asks)) or not rule.closed(edge, piece):
                    continue
                asks = together(way.asks, rule.asks(edge))
                if asks is None or (known is not None and _is_covered(asks, known)):
                    continue
                crossed = way.crossed if edge >= 0 else (*way.crossed, mate_contact[-1 - edge])
                found = ReachWay((piece, edge), way, asks, crossed)
                ways.setdefault(other, []).append(found)
                queue.append((other, found))
        reached = {piece: tuple(some) for piece, some in ways.items()}
        return ReachTree(reached, frozenset(p for p in ends if p in ways and ways[p][0].step is not None), rule)

    def reached(self, piece: int, apart: Contact | None = None) -> Reached:
        """What a piece is joined to, with one contact open (None: as built)."""
        opened = self._open(apart)
        feed_maybe, feed_asks = self._mask(piece, self.feed_maybe, opened)
        ground_maybe, ground_asks = self._mask(piece, self.ground_maybe, opened)
        return Reached(
            self._mask(piece, self.feed_sure, opened)[0],
            feed_maybe,
            self._mask(piece, self.ground_sure, opened)[0],
            ground_maybe,
            self._joined(piece, self.grounded, opened) is not None,
            feed_asks,
            ground_asks,
        )

    def _mask(self, piece: int, trees: list[ReachTree], opened: frozenset[int]) -> tuple[int, tuple[Asks, ...]]:
        """The key positions in which a piece is joined, and what its ways ask for."""
        mask, last = NEVER, NEVER
        asks: list[Asks] = []
        asked: ReachTree | None = None
        for bit, tree in zip(BITS, trees, strict=True):
            if tree is not asked:  # positions that share a tree mostly follow each other
                found = self._asked(piece, tree, opened)
                last, asked = (ALWAYS if found else NEVER), tree
                asks += found
            mask |= last & bit
        return mask, tuple(dict.fromkeys(asks)) if asks else ()

    def _asked(self, piece: int, tree: ReachTree, opened: frozenset[int]) -> list[Asks]:
        """What the ways from a piece to a source ask for, with contacts open; nothing where there is no way."""
        known = tree.ways.get(piece)
        if known is None:
            return []
        ways = [way.asks for way in known if opened.isdisjoint(way.crossed)]
        if ways:
            return ways
        found = None if self._is_cut(piece, opened, tree.rule) else self._joined(piece, tree, opened)
        return [] if found is None else [found[1]]

    def _is_cut(self, piece: int, opened: frozenset[int], rule: _Rule) -> bool:
        """Whether nothing could join a piece, whatever is closed in any key position: asked once for all of them."""
        key = piece, opened, rule.feed
        if key not in self._cut:
            self._cut[key] = self._joined(piece, self._ever_reached(feed=rule.feed), opened) is None
        return self._cut[key]

    def _joined(self, piece: int, tree: ReachTree, opened: frozenset[int]) -> tuple[list[_Step], Asks] | None:
        """The way from a piece to a source of the tree with contacts open, and what it asks for; None: there is none.

        Searches outwards only over pieces whose own branches need the contacts. What is
        found to be cut off is remembered, where no switch could be asked for two positions.
        """
        lost = tree.lost.get(opened, _NONE)
        if piece not in tree.ways or piece in lost:
            return None
        came: dict[int, list[ReachWay]] = {piece: [ReachWay()]}
        queue = deque([(piece, came[piece][0])])
        while queue:
            here, way = queue.popleft()
            for beyond in tree.ways[here]:
                asks = together(way.asks, beyond.asks) if opened.isdisjoint(beyond.crossed) else None
                if asks is not None:
                    return _unwound(way, here) + beyond.steps(), asks
            for other, edge, asked, contact in tree.back.get(here) or self._back(tree, here):
                if contact in opened or other in lost:
                    continue
                known = came.get(other)
                asks = together(way.asks, asked) if asked else way.asks
                if asks is None or (known is not None and (len(known) == KEPT or _is_covered(asks, known))):
                    continue
                found = ReachWay((here, edge), way, asks)
                came.setdefault(other, []).append(found)
                queue.append((other, found))
        if tree.rule.sure:
            tree.lost.setdefault(opened, set()).update(came)
        return None

    def _back(self, tree: ReachTree, here: int) -> list[_Back]:
        """The steps that a search from a piece may take against the tree's direction."""
        rule = tree.rule
        found = tree.back[here] = [
            (other, edge, rule.asks(edge), _ELEMENT if edge >= 0 else self.mate_contact[-1 - edge])
            for other, edge in self.steps[here]
            if other in tree.ways and other not in tree.ends and rule.closed(edge, other)
        ]
        return found

    def _open(self, apart: Contact | None) -> frozenset[int]:
        """The numbers of the contacts that are open."""
        if apart is None:
            return _NONE
        if apart[1] is None:
            return self._plugs.get(apart[0], _NONE)
        number = self.contact_number.get(apart)
        return _NONE if number is None else frozenset((number,))

    def way_to_feed(self, piece: int, apart: Contact | None = None) -> list[_Step]:
        """The steps from a piece to battery + in the first position it is live in, sure before maybe."""
        opened = self._open(apart)
        if self._is_cut(piece, opened, self.feed_sure[0].rule):
            return []
        for tree in (*self.feed_sure, *self.feed_maybe):
            way = self._joined(piece, tree, opened)
            if way is not None:
                return way[0]
        return []

    def fuses_towards_feed(self, piece: int, apart: Contact | None = None) -> tuple[str, ...]:
        """The fuses between a piece and battery +, nearest first; empty where there is none."""
        elements = self.elements
        way = self.way_to_feed(piece, apart)
        return tuple(elements[edge].name for _, edge in way if edge >= 0 and elements[edge].sort == "fuse")


def _unwound(way: ReachWay, end: int) -> list[_Step]:
    """The steps from the start of a search to ``end``."""
    steps: list[_Step] = []
    here: int = end
    while way.step is not None and way.on is not None:
        steps.append((here, way.step[1]))
        here, way = way.step[0], way.on
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
        reach = reach.again(elements)
    return reach
