"""Which load of the donor is which of the other car, and which way round it sits there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from harnesscheck.align.pairs import Pair
from harnesscheck.model.records import Inside
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import DcCircuit, Load


@dataclass(frozen=True, slots=True)
class LoadPair:
    """A load by its number in both circuits. ``turned``: its ends sit the other way round; None: nobody can tell."""

    donor: int
    shell: int
    sure: bool
    turned: bool | None


@dataclass(frozen=True, slots=True)
class LoadPairs:
    """The loads both cars have."""

    pairs: tuple[LoadPair, ...]


class _Ends:
    """The two terminals of every load of a car."""

    def __init__(self, study: Study, circuit: DcCircuit) -> None:
        self.circuit = circuit
        self.names: dict[tuple[str, int], list[str]] = {}
        for (component, name), node in study.index.terminal.items():
            self.names.setdefault((component, circuit.node_of[node]), []).append(name)

    def of(self, load: Load) -> tuple[str, str] | None:
        """The terminals of a load, its ``a`` end first; None where its ends are not one terminal each."""
        branch = self.circuit.branches[load.branch]
        if isinstance(branch.row, Inside):
            return branch.row.from_, branch.row.to
        a, b = (self.names.get((load.component, node), []) for node in (branch.a, branch.b))
        return (a[0], b[0]) if len(a) == 1 and len(b) == 1 else None


def load_pairs(donor: Study, ours: DcCircuit, shell: Study, theirs: DcCircuit, parts: Mapping[str, Pair]) -> LoadPairs:
    """Pair the loads of aligned parts: by the load's name inside the part, else by its two terminals."""
    our_ends, their_ends = _Ends(donor, ours), _Ends(shell, theirs)
    named = {(parts[load.component].shell, load.name) for load in ours.loads if load.component in parts}
    free: dict[tuple[str, frozenset[str]], list[int]] = {}
    for number, load in enumerate(theirs.loads):
        if load.key not in named:
            free.setdefault((load.component, frozenset(their_ends.of(load) or ())), []).append(number)
    found: list[LoadPair] = []
    for number, load in enumerate(ours.loads):
        pair = parts.get(load.component)
        if pair is None:
            continue
        ends = our_ends.of(load)
        other = theirs.load_of.get((pair.shell, load.name))
        if other is None and ends is not None:
            same = free.get((pair.shell, frozenset(ends)), [])
            other = same[0] if len(same) == 1 else None
        if other is not None:
            turned = _turned(load, theirs.loads[other], ends, their_ends.of(theirs.loads[other]))
            found.append(LoadPair(number, other, pair.sure, turned))
    return LoadPairs(tuple(found))


def _turned(
    ours: Load, theirs: Load, our_ends: tuple[str, str] | None, their_ends: tuple[str, str] | None
) -> bool | None:
    if our_ends is not None and their_ends is not None and set(our_ends) == set(their_ends):
        return our_ends != their_ends
    return False if ours.directed and theirs.directed else None
