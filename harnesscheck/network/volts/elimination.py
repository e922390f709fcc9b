"""Voltages that unit currents make in a network of resistances, island by island.

``responses`` solves G·x = rhs for many right-hand sides at once. G is the nodal
matrix of resistances alone; each connected island has one node held at 0 V.
A harness is nearly a tree, so nodes with at most two neighbours are eliminated
first, by star-mesh transformation [1]_: every step adds and multiplies positive
conductances and never subtracts, so a milliohm beside a kilohm costs no digits.
What is left (nodes of degree three and more, and their meshes) is solved as a
dense matrix, above a few hundred nodes as a sparse one.

Conductances are in S, resistances in Ω; a right-hand side is in A into the node.

References
----------
.. [1] A. Rosen, "A new network theorem", 1924: a star of conductances g_i is the
   mesh of g_i·g_k / Σg.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any

from harnesscheck.network.graph.index import UnionFind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

DENSE_UP_TO = 300  # nodes left after elimination

Edge = tuple[int, int, float]  # two nodes and the conductance between them, S


def islands_of(count: int, edges: Iterable[Edge]) -> list[int]:
    """The number of each node's island, counted in order of first member."""
    sets = UnionFind(count)
    for a, b, _ in edges:
        sets.union(a, b)
    return sets.numbered()


class _Mesh:
    """The network while nodes are eliminated: neighbours with their conductance, and each node's way to 0 V."""

    def __init__(self, count: int, edges: Sequence[Edge], held: set[int]) -> None:
        self.neighbours: list[dict[int, float]] = [{} for _ in range(count)]
        self.leak = [0.0] * count
        self.held = held
        for a, b, siemens in edges:
            self.join(a, b, siemens)
        self.gone: list[tuple[int, float, list[tuple[int, float]]]] = []

    def join(self, a: int, b: int, siemens: float) -> None:
        """Put a conductance between two nodes; one held at 0 V takes it as a way to 0 V."""
        if a == b:
            return
        if a in self.held or b in self.held:
            if a not in self.held:
                self.leak[a] += siemens
            if b not in self.held:
                self.leak[b] += siemens
            return
        one, other = self.neighbours[a], self.neighbours[b]
        one[b] = other[a] = one.get(b, 0.0) + siemens

    def reduce(self) -> None:
        """Eliminate nodes with at most two neighbours until none is left."""
        ready = [node for node, near in enumerate(self.neighbours) if len(near) <= 2 and node not in self.held]
        done = [node in self.held for node in range(len(self.neighbours))]
        while ready:
            node = ready.pop()
            near = self.neighbours[node]
            if done[node] or len(near) > 2:
                continue
            done[node] = True
            ends = list(near.items())
            total = self.leak[node] + sum(siemens for _, siemens in ends)
            self.gone.append((node, total, ends))
            for other, siemens in ends:
                del self.neighbours[other][node]
                self.leak[other] += siemens * self.leak[node] / total
            if len(ends) == 2:
                (a, ga), (b, gb) = ends
                self.join(a, b, ga * gb / total)
            ready.extend(other for other, _ in ends if len(self.neighbours[other]) <= 2)


def responses(count: int, edges: Sequence[Edge], held: set[int], rhs: Array) -> Array:
    """Node voltages (nodes × columns) for currents put into the nodes (the same shape), held nodes at 0 V.

    Every island must have a held node. ``rhs`` is overwritten.
    """
    mesh = _Mesh(count, edges, held)
    mesh.reduce()
    gone = {node for node, _, _ in mesh.gone}
    for node, total, ends in mesh.gone:
        here = rhs[node]
        if here.any():
            for other, siemens in ends:
                rhs[other] += here * (siemens / total)
    left = [node for node in range(count) if node not in gone and node not in held]
    for node in held:
        rhs[node] = 0.0
    if left:
        rhs[left] = _solve_left(mesh, left, rhs[left])
    for node, total, ends in reversed(mesh.gone):
        here = rhs[node]
        for other, siemens in ends:
            here += rhs[other] * siemens
        here /= total
    return rhs


def _solve_left(mesh: _Mesh, left: list[int], rhs: Array) -> Array:
    """The nodes that could not be eliminated one by one."""
    import numpy as np

    at = {node: number for number, node in enumerate(left)}
    rows = [at[node] for node in left for _ in mesh.neighbours[node]]
    columns = [at[other] for node in left for other in mesh.neighbours[node]]
    siemens = [value for node in left for value in mesh.neighbours[node].values()]
    diagonal = [mesh.leak[node] + sum(mesh.neighbours[node].values()) for node in left]
    if len(left) > DENSE_UP_TO:
        sparse: Any = import_module("scipy.sparse")
        linalg: Any = import_module("scipy.sparse.linalg")
        size, own = len(left), list(range(len(left)))
        values = np.concatenate([-np.array(siemens), np.array(diagonal)])
        matrix = sparse.csc_array((values, (rows + own, columns + own)), shape=(size, size))
        solved: Array = linalg.splu(matrix, permc_spec="MMD_AT_PLUS_A").solve(rhs)
        return solved
    dense = np.diag(np.array(diagonal))
    dense[rows, columns] = -np.array(siemens)
    return np.asarray(np.linalg.solve(dense, rhs), dtype=np.float64)
