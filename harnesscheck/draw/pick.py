"""What a circuit sheet shows: a circuit's wires, and the way from them up to the feed and down to ground.

The target's own wires are all in, each once. Of the rest only ways are taken:
from the feed (through a fuse where there is one) and to a ground point. Where
the drawing stops short of them it says in words what lies beyond.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from harnesscheck.draw.links import (
    BREAKS,
    COIL,
    CONTACT,
    DIODE,
    FEED,
    FUSE,
    GROUND,
    MAKES,
    PASSING,
    PLAIN,
    USING,
    WIRE,
    Link,
    Links,
)
from harnesscheck.network.graph.wiring import TERMINAL, DrawnWire, End

T = TypeVar("T")

LOW = PASSING - {FUSE}  # what may lie between a part and ground

MOST_ONWARD = 3  # parts behind a circuit that are followed to ground; more are only named
MOST_TERMINALS = 12  # a component with more is drawn without the nets behind it
MOST_BEHIND = 24  # wires of a net that are drawn because a component switches it


@dataclass(frozen=True, slots=True)
class Picked:
    """Links to draw, in the order they were found; ends that hang on a rail; ends where the drawing stops.

    ``left`` are terminals of a component with many of which nothing is drawn.
    """

    links: tuple[Link, ...]
    own: frozenset[DrawnWire]
    rails: Mapping[End, str]
    stops: Mapping[End, str]
    left: tuple[End, ...] = ()


def pick_wires(car: Links, wires: Iterable[DrawnWire]) -> Picked:
    """The sheet of these wires."""
    picker = _Picker(car, dict.fromkeys(wires))
    for wire in picker.own:
        if not car.is_ground(wire.a):
            picker.net(wire.a)
        elif not car.is_ground(wire.b):
            picker.net(wire.b)
        else:
            picker.add(Link(WIRE, wire.a, wire.b, wire))
    picker.coils()
    return picker.picked()


def pick_component(car: Links, component: str) -> Picked:
    """The sheet of one component: what is inside it, and of every terminal the way up, down, or its whole net."""
    picker = _Picker(car, {})
    ends = [End(TERMINAL, component, name) for name in car.terminals.get(component, ())]
    for link in car.inner(component):
        picker.add(link)
    for end in ends:
        picker.terminal(end, component, whole=len(ends) <= MOST_TERMINALS)
    picker.coils()
    return picker.picked()


def wires_of_net(car: Links, start: End, most: int | None = None) -> list[DrawnWire]:
    """The wires joined to an end by wires, crimps and mated contacts; nearest first, at most so many."""
    found: dict[DrawnWire, None] = {}
    seen, queue = {start}, deque([start])
    while queue:
        end = queue.popleft()
        for link in car.at(end):
            if link.sort not in PLAIN or (most is not None and len(found) >= most):
                continue
            if link.wire is not None:
                found[link.wire] = None
            far = link.other(end)
            if far not in seen and not car.is_ground(far):
                seen.add(far)
                queue.append(far)
    return list(found)


class _Picker:
    def __init__(self, car: Links, own: dict[DrawnWire, None]) -> None:
        self.car = car
        self.own = own
        self.links: dict[Link, None] = {}
        self.rails: dict[End, str] = {}
        self.stops: dict[End, str] = {}
        self.done: set[End] = set()

    def picked(self) -> Picked:
        """What was found."""
        ends = {end for link in self.links for end in (link.a, link.b)}
        joined = {end for link in self.links if link.sort in PLAIN for end in (link.a, link.b)}
        stops = {
            end: words
            for end, words in self.stops.items()
            if end in ends and end not in self.rails and (end.sort != TERMINAL or end not in joined)
        }
        left = tuple(end for end in self.stops if end not in ends)
        return Picked(tuple(self.links), frozenset(self.own), self.rails, stops, left)

    def add(self, link: Link) -> None:
        """Draw a link."""
        self.links[link] = None

    # -- nets whose wires are the target's

    def net(self, start: End) -> None:
        """Everything of the target's that is joined to an end, the way up, and what hangs on it."""
        if start in self.done:
            return
        ends = self._grown(start)
        self._feed(ends)
        self._ground(ends)
        self._hangers(ends)

    def _grown(self, start: End) -> list[End]:
        ends, queue = [start], deque([start])
        self.done.add(start)
        while queue:
            end = queue.popleft()
            if self.car.is_ground(end) and end != start:
                continue
            for link in self.car.at(end):
                if link.sort not in PLAIN or (link.wire is not None and link.wire not in self.own):
                    continue
                self.add(link)
                far = link.other(end)
                if far not in self.done:
                    self.done.add(far)
                    ends.append(far)
                    queue.append(far)
        for end in ends:
            if self._goes_on(end):
                self.stops[end] = f"goes on as {self._circuits(end)}"
        return ends

    def _goes_on(self, end: End) -> bool:
        """Whether wires of another circuit, and none of the target's, leave from a crossing."""
        wires = self.car.wiring.at.get(end, ())
        drawn = any(link.sort == CONTACT and end in (link.a, link.b) for link in self.car.at(end))
        return drawn and bool(wires) and not any(wire in self.own for wire in wires)

    def _feed(self, ends: list[End]) -> None:
        post = next((end for end in ends if self.car.is_post(end, "+")), None)
        if post is not None:
            self.rails[post] = "30"
        else:
            self.way_up(ends)

    def _ground(self, ends: list[End]) -> None:
        if not any(self.car.is_ground(end) for end in ends) and self.car.level(ends[0]) == GROUND:
            self.way_down(ends)

    def _hangers(self, ends: list[End]) -> None:
        """The parts that hang on a net: those that use current, and those that pass it on."""
        inside = dict.fromkeys(ends)
        hanging = [(end, link) for end in ends for link in self._inner_at(end) if link not in self.links]
        using = [(end, link) for end, link in hanging if link.sort in USING]
        passing = [(end, link) for end, link in hanging if link.sort in PASSING]
        for end, link in using:
            self.add(link)
            if link.other(end) not in inside:
                few = len(using) <= MOST_ONWARD and self.car.level(end) != GROUND
                self._beyond(end, link.other(end), follow=few)
        for end, link in passing:
            self.add(link)
            if link.other(end) not in inside:
                self._onward(link.other(end), inside, follow=len(passing) <= MOST_ONWARD)

    def _beyond(self, near: End, far: End, *, follow: bool) -> None:
        """The far side of a part that uses current: the opposite of the near side, where that can be."""
        level = self.car.level(far)
        if self.car.level(near) == FEED and self.car.can_be(far, GROUND):
            level = GROUND
        elif self.car.level(near) == GROUND and self.car.can_be(far, FEED):
            level = FEED
        if level == GROUND:
            self.way_down([far])
        elif level != FEED:
            self._to_driver(far)
        elif follow:
            self.way_up([far])
        else:
            self.stops[far] = f"fed by {self._circuits(far)}"

    def _onward(self, far: End, inside: Mapping[End, None], *, follow: bool) -> None:
        """The far side of a fuse, switch or contact that is not on the way up."""
        rail = self.car.rail(far)
        pieces = {self.car.piece(end) for end in inside}
        way = self.car.way(self.car.piece(far))
        if rail is not None and not any(step[0] in pieces for step in way):
            self.rails[far] = rail
            return
        user = self._path([far], self._uses, PASSING, inside.__contains__) if follow else None
        if user is None:
            grounded = any(self.car.level(end) == GROUND for end in inside)
            self.stops[far] = f"{'goes on as' if grounded else 'feeds'} {self._circuits(far)}"
            return
        last = self._take([far], user)
        for link in self._inner_at(last):
            if link.sort in USING and link not in self.links:
                self.add(link)
                self._beyond(last, link.other(last), follow=False)

    def _uses(self, end: End) -> bool:
        return any(link.sort in USING for link in self._inner_at(end))

    def _inner_at(self, end: End) -> list[Link]:
        """What lies behind a terminal inside its component."""
        inner = self.car.inner(end.owner) if end.sort == TERMINAL else ()
        return [link for link in inner if end in (link.a, link.b)]

    # -- ways

    def terminal(self, end: End, component: str, *, whole: bool) -> None:
        """One terminal of a component that is the target; ``whole``: with everything the component feeds."""
        if end in self.done:
            return
        level = self.car.level(end)
        if self.car.is_post(end, "+") or self.car.is_post(end, "-"):
            self.own.update(dict.fromkeys(wires_of_net(self.car, end, MOST_BEHIND)))
            self.net(end)
        elif level == FEED and not self._fed_through(end, component):
            self.way_up([end])
            self._turning(end)
        elif level == GROUND:
            self.way_down([end])
        elif not whole:
            self.stops[end] = f"goes on as {self._circuits(end)}"
        else:
            self.own.update(dict.fromkeys(wires_of_net(self.car, end, MOST_BEHIND)))
            self.net(end)

    def _turning(self, end: End) -> None:
        """The way to ground of an end that is fed or grounded by one and the same switch, as of a window motor."""
        path = self._path([end], self.car.is_ground, LOW, self._live)
        if path is not None and sum(1 for link in path if link.sort not in PLAIN) == 1:
            self._take([end], path)

    def _fed_through(self, end: End, component: str) -> bool:
        """Whether an end is fed through the component itself: then what it feeds is wanted, not what feeds it."""
        elements = self.car.study.reach.elements
        first = next((edge for _, edge in self.car.way(self.car.piece(end)) if edge >= 0), None)
        return first is not None and elements[first].component == component

    def way_up(self, starts: list[End]) -> None:
        """Draw the way to the feed: through a fuse to a rail, else to the battery."""
        piece = next((found for end in starts if (found := self.car.piece(end)) is not None), None)
        way = self.car.way(piece)
        if not way:
            rail = self.car.rail(starts[0])
            if rail is not None and any(self.car.is_post(end, "+") for end in starts):
                self.rails[starts[0]] = rail
            return
        allowed = {piece, *(step[0] for step in way)}
        joined = {end for link in self.links for end in (link.a, link.b)}.difference(starts)
        path = self._fused_path(starts, allowed, joined)
        if path:
            end = self._take(starts, path)
            if end not in joined:
                self.rails[end] = self.car.rail(end) or "30"

    def _fused_path(self, starts: list[End], allowed: set[int | None], joined: set[End]) -> list[Link]:
        """The shortest way through allowed pieces to the battery, to a live end past a fuse, or to ``joined``."""
        state = [(end, False) for end in starts]
        came: dict[tuple[End, bool], tuple[tuple[End, bool], Link] | None] = dict.fromkeys(state)
        queue = deque(state)
        while queue:
            here = queue.popleft()
            end, fused = here
            if end in joined or self.car.is_post(end, "+") or (fused and self.car.rail(end) is not None):
                return _unwound(came, here)
            for link in self.car.at(end):
                far = link.other(end)
                if link.sort not in PASSING or self.car.is_ground(far) or self.car.piece(far) not in allowed:
                    continue
                if link.sort == DIODE and end != link.b:
                    continue
                then = (far, fused or link.sort == FUSE)
                if then not in came:
                    came[then] = (here, link)
                    queue.append(then)
        return []

    def way_down(self, starts: list[End]) -> None:
        """Draw the way to a ground point: by wire alone where there is one, else through switches and contacts."""
        for sorts in (PLAIN, LOW):
            path = self._path(starts, self.car.is_ground, sorts, self._live)
            if path is not None:
                self._take(starts, path)
                return
        self._to_driver(starts[0])

    def _live(self, end: End) -> bool:
        """Whether an end is fed whatever the switches do; no way to ground leads through it."""
        return self.car.rail(end) is not None

    def _to_driver(self, start: End) -> None:
        """Draw the way to a part whose inside is not known, a module mostly; else say what is there."""

        def driver(end: End) -> bool:
            """Whether an end is a part's terminal from outside that may drive the circuit."""
            return end.sort == TERMINAL and end != start and not self._inner_at(end)

        path = self._path([start], driver, PLAIN, self._live)
        if path is None:
            self.stops[start] = f"goes on as {self._circuits(start)}"
        else:
            self._take([start], path)

    def _path(
        self,
        starts: list[End],
        goal: Callable[[End], bool],
        sorts: frozenset[str],
        shut: Callable[[End], bool],
    ) -> list[Link] | None:
        """The shortest way by such links to an end that is a goal, keeping out of some; None: there is none."""
        came: dict[End, tuple[End, Link] | None] = dict.fromkeys(starts)
        queue = deque(starts)
        while queue:
            end = queue.popleft()
            if goal(end):
                return _unwound(came, end)
            if self.car.is_ground(end) or self.car.is_post(end, "+"):
                continue
            for link in self.car.at(end):
                far = link.other(end)
                if link.sort not in sorts or far in came or shut(far):
                    continue
                if link.sort != DIODE or end == link.a:
                    came[far] = (end, link)
                    queue.append(far)
        return None

    def _take(self, starts: list[End], path: list[Link]) -> End:
        """Draw a path and return the end it leads to."""
        if not path:
            return starts[0]
        end = path[0].a if path[0].a in starts else path[0].b
        for link in path:
            self.add(link)
            end = link.other(end)
        return end

    def coils(self) -> None:
        """The coil of every relay whose contact is drawn, with its ways up and down."""
        for link in list(self.links):
            if link.sort not in (MAKES, BREAKS):
                continue
            for coil in self.car.inner(link.component):
                if coil.sort == COIL and coil not in self.links:
                    self.add(coil)
                    self._beyond(coil.b, coil.a, follow=True)
                    self._beyond(coil.a, coil.b, follow=True)

    # -- what an end is

    def _circuits(self, end: End) -> str:
        """What an end is part of, in a few words."""
        piece = self.car.piece(end)
        index = self.car.study.index
        names = index.circuits_of[piece] if piece is not None else ()
        if not names and piece is not None:
            names = tuple(
                dict.fromkeys(name for part in index.pieces_of[index.net_of[piece]] for name in index.circuits_of[part])
            )
        if not names:
            return f"what is on {end}"
        return (
            f"circuit {names[0]}"
            if len(names) == 1
            else "circuits " + ", ".join(names[:3]) + (" and more" if len(names) > 3 else "")
        )


def _unwound(came: Mapping[T, tuple[T, Link] | None], end: T) -> list[Link]:
    """The links from the start of a search to its end."""
    links: list[Link] = []
    step = came[end]
    while step is not None:
        links.append(step[1])
        step = came[step[0]]
    return links[::-1]
