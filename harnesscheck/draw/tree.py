"""Picked links as trees that hang from the rails: every link once, current running downwards.

From a rail the tree follows growing distance from the feed; past what uses
current it follows shrinking distance to ground. A link whose far end is drawn
already ends in a reference. What no rail feeds stands on its ground points
instead, root at the bottom; what has neither starts at an output.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from harnesscheck.draw.links import GROUND, PLAIN, RAILS, USING, Link, Links
from harnesscheck.draw.pick import Picked
from harnesscheck.network.graph.wiring import NOWHERE, TERMINAL, End

_DRIVING_ROLES = ("source", "output", "output-high", "reference")
_STARTING_ROLES = ("source", "output", "output-high", "output-low", "reference", "supply")


@dataclass(slots=True)
class Node:
    """An end, the link that leads to it, what follows; a reference is an end drawn elsewhere."""

    end: End
    via: Link | None = None
    children: list[Node] = field(default_factory=list)
    reference: bool = False


@dataclass(frozen=True, slots=True)
class DrawnTree:
    """A tree of ends. ``rail`` is the rail its root hangs on; ``upward`` says that its root is at the bottom."""

    root: Node
    rail: str = ""
    upward: bool = False


def references(root: Node) -> Iterator[End]:
    """The ends of a tree that are drawn elsewhere."""
    stack = [root]
    while stack:
        node = stack.pop()
        if node.reference:
            yield node.end
        stack += node.children


def trees_of(car: Links, picked: Picked) -> list[DrawnTree]:
    """The trees of a sheet: fed ones first in the rails' order, then those on ground, then the rest."""
    return _Forest(car, picked).trees()


class _Forest:
    def __init__(self, car: Links, picked: Picked) -> None:
        self.car = car
        self.picked = picked
        self.at: dict[End, list[Link]] = defaultdict(list)
        for link in picked.links:
            for end in (link.a, link.b):
                if not car.is_ground(end):
                    self.at[end].append(link)
        self.drawn: set[Link] = set()
        self.visited: set[End] = set()

    def trees(self) -> list[DrawnTree]:
        """See ``trees_of``."""
        found = [DrawnTree(self._grow(end, flow), self.picked.rails.get(end, "")) for end, flow in self._fed()]
        found += [DrawnTree(self._grow_from(link, flow), upward=True) for link, flow in self._grounded()]
        found += [DrawnTree(self._grow(end, flow)) for end, flow in self._others()]
        return found

    def _fed(self) -> Iterator[tuple[End, _TreeFlow]]:
        """What hangs on a rail, then what something else drives."""
        roots = [end for end in self.picked.rails if end in self.at]
        roots.sort(key=lambda end: RAILS.index(self.picked.rails[end]))
        fed = self._flow(roots, self.car.depth).used
        roots += [end for end in self.at if fed.get(end, 1) > 0 and self._drives(end)]
        flow = self._flow(roots, self.car.depth)
        for root in roots:
            if self._undrawn(root):
                yield root, flow

    def _drives(self, end: End) -> bool:
        """Whether current comes out of an end: an output, or what feeds a load that is grounded on its other side."""
        if end in self.picked.stops:
            return all(link.sort in USING and self.car.level(link.other(end)) == GROUND for link in self.at[end])
        pin = self.car.study.roles.get((end.owner, end.name)) if end.sort == TERMINAL else None
        return pin is not None and pin.role in _DRIVING_ROLES and all(link.sort in PLAIN for link in self.at[end])

    def _grounded(self) -> Iterator[tuple[Link, _TreeFlow]]:
        """Links to a ground point in what no rail feeds."""
        left = [link for link in self.picked.links if link not in self.drawn and self._ground_end(link)]
        starts = [link.other(end) for link in left if (end := self._ground_end(link)) is not None]
        flow = self._flow(starts, lambda _: 0)
        for link in left:
            if link not in self.drawn:
                yield link, flow

    def _others(self) -> Iterator[tuple[End, None]]:
        """What is left has no up and down: it hangs from an end as it comes."""
        while True:
            left = [link for link in self.picked.links if link not in self.drawn]
            if not left:
                return
            yield self._start(left), None

    def _undrawn(self, end: End) -> bool:
        return any(link not in self.drawn for link in self.at[end])

    def _ground_end(self, link: Link) -> End | None:
        return next((end for end in (link.a, link.b) if self.car.is_ground(end)), None)

    def _start(self, links: list[Link]) -> End:
        """Where what is neither fed nor grounded begins: an end that is drawn already, else an output."""
        ends = list(dict.fromkeys(end for link in links for end in (link.a, link.b) if end in self.at))
        for end in ends:
            if end in self.visited:
                return end
        roles = self.car.study.roles

        def rank(end: End) -> int:
            """Where a circuit is best begun: at what feeds it, then at parts, splices, loose ends."""
            pin = roles.get((end.owner, end.name)) if end.sort == TERMINAL else None
            role = pin.role if pin is not None else None
            last = len(_STARTING_ROLES)
            if role in _STARTING_ROLES:
                return _STARTING_ROLES.index(role or "")
            return last + (2 if end.sort == NOWHERE else 0 if end.sort == TERMINAL else 1)

        alone = [end for end in ends if len(self.at[end]) == 1] or ends
        return min(alone, key=rank)

    def _flow(self, roots: Iterable[End], depth: Callable[[End], int]) -> _TreeFlow:
        return _TreeFlow(depth, self.at, list(roots), self._to_ground)

    def _to_ground(self, end: End) -> bool:
        """Whether current leaves the drawing here: into a ground point, or where it stops."""
        if end in self.picked.stops or any(self._ground_end(link) is not None for link in self.at[end]):
            return True
        return len(self.at[end]) == 1 and self.at[end][0].sort not in USING

    def _grow(self, root: End, flow: _TreeFlow | None) -> Node:
        node = Node(root, reference=root in self.visited)
        self.visited.add(root)
        self._extend(node, flow)
        return node

    def _grow_from(self, link: Link, flow: _TreeFlow) -> Node:
        """A tree whose root is a ground point of which only this link is drawn here."""
        ground = self._ground_end(link)
        root = Node(ground or link.b)
        self.drawn.add(link)
        far = link.other(root.end)
        child = Node(far, link, reference=far in self.visited)
        root.children.append(child)
        if not child.reference:
            self.visited.add(far)
            self._extend(child, flow)
        return root

    def _extend(self, start: Node, flow: _TreeFlow | None) -> None:
        """Depth first, without recursion: a loom may be longer than Python's stack."""
        stack: list[tuple[Node, Iterator[Link]]] = [(start, iter(list(self.at[start.end])))]
        while stack:
            node, links = stack[-1]
            link = next(links, None)
            if link is None:
                stack.pop()
                continue
            if link in self.drawn or (flow is not None and not flow.down(link, node.end)):
                continue
            self.drawn.add(link)
            far = link.other(node.end)
            ground = self.car.is_ground(far)
            child = Node(far, link, reference=not ground and far in self.visited)
            node.children.append(child)
            if not ground and not child.reference:
                self.visited.add(far)
                stack.append((child, iter(list(self.at[far]))))


class _TreeFlow:
    """Which way down is, from the roots: how much was used on the way, how far from the feed, how far to ground."""

    def __init__(
        self,
        depth: Callable[[End], int],
        at: Mapping[End, list[Link]],
        roots: list[End],
        sink: Callable[[End], bool],
    ) -> None:
        self.at = at
        self.used = self._used(roots)
        self.depth = {end: depth(end) for end, used in self.used.items() if used == 0}
        self.along = self._along(roots)
        below = [end for end, used in self.used.items() if used > 0]
        self.to_go = self._distance([end for end in below if sink(end)])
        self.above = self._upstream(below)

    def _used(self, roots: list[End]) -> dict[End, int]:
        """How many loads current passed to get to an end, at least."""
        used = dict.fromkeys(roots, 0)
        queue = deque(roots)
        while queue:
            end = queue.popleft()
            for link in self.at[end]:
                far, cost = link.other(end), used[end] + (link.sort in USING)
                if far in self.at and cost < used.get(far, 1 << 30):
                    used[far] = cost
                    (queue.append if link.sort in USING else queue.appendleft)(far)
        return used

    def _along(self, roots: list[End]) -> dict[End, int]:
        """Within ends of one depth: how far from where the feed comes in."""
        found: dict[End, int] = {}
        for end in sorted(self.depth, key=lambda each: self.depth[each]):
            entered = end in roots or any(self.depth.get(far, 1 << 30) < self.depth[end] for far in self._plain(end))
            if entered and end not in found:
                self._spread(end, found)
        return found

    def _spread(self, start: End, found: dict[End, int]) -> None:
        found[start] = 0
        queue = deque([start])
        while queue:
            end = queue.popleft()
            for far in self._plain(end):
                if far not in found and self.depth.get(far) == self.depth[start]:
                    found[far] = found[end] + 1
                    queue.append(far)

    def _plain(self, end: End) -> Iterator[End]:
        """The ends joined to one by what uses nothing."""
        return (link.other(end) for link in self.at[end] if link.sort not in USING)

    def _distance(self, starts: list[End]) -> dict[End, int]:
        """How far it is to where current leaves, by what uses nothing, below the first load."""
        found = dict.fromkeys(starts, 0)
        queue = deque(starts)
        while queue:
            end = queue.popleft()
            for far in self._plain(end):
                if far in self.at and far not in found and self.used.get(far, 0) > 0:
                    found[far] = found[end] + 1
                    queue.append(far)
        return found

    def _upstream(self, below: list[End]) -> set[End]:
        """Ends between what uses current and where it leaves: drawn from above, not from their neighbours."""
        above = {
            end
            for end in below
            for link in self.at[end]
            if link.sort in USING and self.used.get(link.other(end), 0) < self.used[end]
        }
        queue = deque(sorted(above))
        while queue:
            end = queue.popleft()
            for far in self._plain(end):
                if far not in above and self._nearer(far, end):
                    above.add(far)
                    queue.append(far)
        return above

    def _nearer(self, far: End, end: End) -> bool:
        return far in self.to_go and end in self.to_go and self.to_go[far] < self.to_go[end]

    def down(self, link: Link, end: End) -> bool:
        """Whether a link is drawn downwards from one of its ends."""
        far = link.other(end)
        if far not in self.at:
            return True  # a ground point
        used, beyond = self.used.get(end, 0), self.used.get(far, 0)
        if link.sort in USING:
            return beyond >= used
        if used:
            return not (far in self.above and self._nearer(end, far))
        if self.depth.get(far, 0) != self.depth.get(end, 0):
            return self.depth.get(far, 0) > self.depth.get(end, 0)
        return self.along.get(far, 0) >= self.along.get(end, 0) and self.along.get(far) != 0
