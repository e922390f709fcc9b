"""Which row of either car is which of the assembled one.

What was taken over is paired with itself under its new name, for certain. What
was left behind is paired with its partner of the other car, as surely as the
cars' own pairs say, where that partner was taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from harnesscheck.align.pairs import Ambiguous, Pair, Pairs
from harnesscheck.assemble.rename import NewNames
from harnesscheck.model.vehicle import Vehicle

TAKEN_OVER = "taken over from this car"


def turned_round(pairs: Pairs) -> Pairs:
    """The same pairs from shell to donor. Of two donor rows that share one of the shell's, the surer stays."""

    def turned(rows: Iterable[Pair]) -> tuple[Pair, ...]:
        """Each pair seen from the other car; of several for one row the surest."""
        best: dict[str, Pair] = {}
        for pair in rows:
            rival = best.get(pair.shell)
            if rival is None or pair.confidence > rival.confidence:
                best[pair.shell] = replace(pair, donor=pair.shell, shell=pair.donor)
        return tuple(best.values())

    return Pairs(
        connectors=turned(pairs.connectors),
        components=turned(pairs.components),
        circuits=turned(pairs.circuits),
        harnesses=turned(pairs.harnesses),
        grounds=turned(pairs.grounds),
        cavities={shell: donor for donor, shell in pairs.cavities.items()},
        ambiguous=tuple(replace(one, donor=one.shell, shell=one.donor) for one in pairs.ambiguous),
    )


def pairs_into(car: Vehicle, names: NewNames, pairs: Pairs, other: NewNames) -> Pairs:
    """The pairs from a car to the assembled one.

    ``names`` and ``other`` are the new names of this car's and of the other car's
    rows that were taken, ``pairs`` lead from this car to the other.
    """
    circuits = dict.fromkeys([*(pair.donor for pair in pairs.circuits), *names.circuits])
    return Pairs(
        connectors=_pairs(car.connectors, names.wired, pairs.connector, other.wired),
        components=_pairs(car.components, names.wired, pairs.component, other.wired),
        circuits=_as_sure(_pairs(circuits, names.circuits, pairs.circuit, other.circuits), pairs.circuit),
        harnesses=_pairs(car.harnesses, names.harnesses, pairs.harness, other.harnesses),
        grounds=_as_sure(_pairs(car.grounds, names.wired, pairs.ground, other.wired), pairs.ground),
        cavities=dict(_cavities(names, pairs, other)),
        ambiguous=tuple(_ambiguous(names, pairs, other)),
    )


def _pairs(
    ids: Iterable[str], own: Mapping[str, str], partner: Mapping[str, Pair], other: Mapping[str, str]
) -> tuple[Pair, ...]:
    found = []
    for id in ids:
        pair = partner.get(id)
        if id in own:
            found.append(Pair(id, own[id], 1.0, TAKEN_OVER))
        elif pair is not None and pair.shell in other:
            found.append(replace(pair, shell=other[pair.shell]))
    return tuple(found)


def _as_sure(found: tuple[Pair, ...], partner: Mapping[str, Pair]) -> tuple[Pair, ...]:
    """What goes by the name of its partner in the result is that no more surely than the two are paired."""
    told = [(pair, partner.get(pair.donor)) for pair in found]
    return tuple(
        known if known is not None and known.shell == pair.shell != pair.donor else pair for pair, known in told
    )


def _cavities(names: NewNames, pairs: Pairs, other: NewNames) -> Iterator[tuple[str, str]]:
    for here, there in pairs.cavities.items():
        end = other.end(there)
        if here.partition(":")[0] not in names.wired and end is not None:
            yield here, end


def _ambiguous(names: NewNames, pairs: Pairs, other: NewNames) -> Iterator[Ambiguous]:
    """What still cannot be told apart, among the rows that were left behind and their partners that were taken."""
    for one in pairs.ambiguous:
        ours, theirs = (names.circuits, other.circuits) if one.sort == "circuit" else (names.wired, other.wired)
        here = tuple(id for id in one.donor if id.partition(":")[0] not in ours)
        there = tuple(_named(id, theirs) for id in one.shell if id.partition(":")[0] in theirs)
        if here and there and len(here) + len(there) > len(("one", "its partner")):
            yield replace(one, donor=here, shell=there)


def _named(id: str, names: Mapping[str, str]) -> str:
    owner, colon, cavity = id.partition(":")
    return names[owner] + colon + cavity
