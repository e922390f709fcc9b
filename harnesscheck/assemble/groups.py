"""Harnesses of both cars that correspond, straight or round about: each such group comes from one car."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.assemble.owners import Owners
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.index import UnionFind

Node = tuple[str, str]  # donor or shell, harness


@dataclass(frozen=True, slots=True)
class HarnessGroup:
    """A connected component of the harness correspondence, by name and in natural order."""

    donor: tuple[str, ...]
    shell: tuple[str, ...]

    @property
    def id(self) -> str:
        """What the group is called: by the donor's harnesses, else by the shell's."""
        if self.donor:
            return " + ".join(name or "unnamed harness" for name in self.donor)
        return "shell:" + " + ".join(self.shell)


def harness_groups(
    mine: Owners, yours: Owners, pairs: Pairs, ties: Iterable[Sequence[Node]] = ()
) -> tuple[HarnessGroup, ...]:
    """The groups of two cars in natural order. ``ties`` are harnesses that go together for another reason."""
    nodes = [(DONOR, name) for name in mine.harnesses] + [(SHELL, name) for name in yours.harnesses]
    number = {node: at for at, node in enumerate(nodes)}
    sets = UnionFind(len(nodes))
    links = [((DONOR, pair.donor), (SHELL, pair.shell)) for pair in pairs.harnesses]
    for first, *others in (*links, *ties):
        for other in others:
            if first in number and other in number:
                sets.union(number[first], number[other])
    members: dict[int, list[Node]] = {}
    for node, at in number.items():
        members.setdefault(sets.find(at), []).append(node)
    found = [HarnessGroup(_named(one, DONOR), _named(one, SHELL)) for one in members.values()]
    return tuple(sorted(found, key=lambda group: natural_key(group.id)))


def _named(nodes: Iterable[Node], of: str) -> tuple[str, ...]:
    return tuple(sorted((name for car, name in nodes if car == of), key=natural_key))
