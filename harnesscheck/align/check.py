"""What speaks against a person's crosswalk. It wins all the same; the person should know."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from harnesscheck.align.byname import Crosswalk
from harnesscheck.align.engine import align
from harnesscheck.align.pairs import Contradiction, Pairs
from harnesscheck.network.graph.index import EMPTY
from harnesscheck.network.graph.sides import Study


def align_checked(donor: Study, shell: Study, said: Crosswalk | None) -> Pairs:
    """Pair the rows of two cars as a person says, and keep beside it what speaks against that."""
    pairs = align(donor, shell, said)
    return pairs if said is None else replace(pairs, against=contradictions(donor, shell, said))


def contradictions(donor: Study, shell: Study, said: Crosswalk) -> tuple[Contradiction, ...]:
    """Entries that name nothing, that cannot be, or that the wiring surely says otherwise about."""
    found = [*_unknown(donor, shell, said), *_impossible(donor, shell, said), *_twice(said)]
    named = {(one.sort, one.donor) for one in found}
    others = [one for one in _wiring(donor, shell, said) if (one.sort, one.donor) not in named]
    return (*found, *others)


def _unknown(donor: Study, shell: Study, said: Crosswalk) -> Iterator[Contradiction]:
    a, b = donor.vehicle, shell.vehicle
    circuits = [{name for names in study.index.circuits_of for name in names} for study in (donor, shell)]
    known = {
        "component": (said.component, a.components.keys(), b.components.keys()),
        "circuit": (said.circuit, a.circuits.keys() | circuits[0], b.circuits.keys() | circuits[1]),
        "connector": (said.connectors, a.connectors.keys(), b.connectors.keys()),
    }
    for sort, (entries, ours, theirs) in known.items():
        for mine, yours in entries.items():
            if mine not in ours:
                yield Contradiction(sort, mine, yours, f"the donor has no {sort} {mine}")
            elif yours not in theirs:
                yield Contradiction(sort, mine, yours, f"the shell has no {sort} {yours}")
    for mine, yours in said.cavities.items():
        for whose, study, end in (("donor", donor, mine), ("shell", shell, yours)):
            connector, _, cavity = end.partition(":")
            if connector in study.vehicle.connectors and cavity not in study.index.cavities(connector):
                yield Contradiction("connector", mine, yours, f"the {whose}'s {connector} has no cavity {cavity}")


def _impossible(donor: Study, shell: Study, said: Crosswalk) -> Iterator[Contradiction]:
    for mine, yours in said.connectors.items():
        a, b = donor.vehicle.connectors.get(mine), shell.vehicle.connectors.get(yours)
        if a is None or b is None:
            continue
        if (a.component and b.harness) or (a.harness and b.component):
            yield Contradiction("connector", mine, yours, "one is a component's half, the other a harness's")
        elif a.component and b.component and said.component.get(a.component, b.component) != b.component:
            why = f"its component {a.component} is said to be {said.component[a.component]}, not {b.component}"
            yield Contradiction("connector", mine, yours, why)
    for mine, yours in said.component.items():
        part, other = donor.vehicle.components.get(mine), shell.vehicle.components.get(yours)
        if part is not None and other is not None and part.kind and other.kind and part.kind != other.kind:
            yield Contradiction("component", mine, yours, f"one is a {part.kind}, the other a {other.kind}")
    for mine, yours in said.cavities.items():
        states = [study.index.state(*end.partition(":")[::2]) for study, end in ((donor, mine), (shell, yours))]
        if states.count(EMPTY) == 1:
            which = mine if states[0] == EMPTY else yours
            yield Contradiction("connector", mine, yours, f"{which} is empty, the other is not")


def _twice(said: Crosswalk) -> Iterator[Contradiction]:
    """Two plugs may have become one; two cavities, components or circuits may not."""
    for sort, entries in (("connector", said.cavities), ("component", said.component), ("circuit", said.circuit)):
        by: dict[str, list[str]] = defaultdict(list)
        for mine, yours in entries.items():
            by[yours].append(mine)
        for yours, several in by.items():
            for mine in several[1:]:
                yield Contradiction(sort, mine, yours, f"{several[0]} is said to be {yours} as well")


def _wiring(donor: Study, shell: Study, said: Crosswalk) -> Iterator[Contradiction]:
    """Where the cars themselves, without the crosswalk, surely say something else."""
    if not (said.connectors or said.component):
        return
    found = align(donor, shell)
    for sort, entries, pairs in (
        ("connector", said.connectors, found.connector),
        ("component", said.component, found.component),
    ):
        for mine, yours in entries.items():
            pair = pairs.get(mine)
            if pair is not None and pair.sure and pair.shell != yours:
                yield Contradiction(sort, mine, yours, f"its wiring says {pair.shell} ({pair.why})")
