"""What speaks for a candidate: families of features, each with a worth learnt from the data.

A family compares one thing (the colour in a cavity, the place, the circuit's
name). Agreement on a value counts ln(m/u), disagreement ln((1-m)/(1-u)), where u
is how common the value is and m how often true partners agree [1]_. m is learnt
while the pairs are found [2]_: in a recoloured car the colours soon count for
nothing, and so do names that mislead.

References
----------
.. [1] I. P. Fellegi, A. B. Sunter, "A theory for record linkage", JASA 64, 1969.
.. [2] W. E. Winkler, "Using the EM algorithm for weight computation in the
   Fellegi-Sunter model of record linkage", 1988.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING

from harnesscheck.align.both import Both
from harnesscheck.align.joints import Candidates
from harnesscheck.align.refine import hashed

if TYPE_CHECKING:
    from harnesscheck.align.both import Flags, Floats, Hashes, Ints

MAX_RARITY = 7.0  # nats; one value, however rare, is no proof
RELIABILITY = {  # m before anything is learnt; the project's choice
    "count": 0.95, "half": 0.99, "keyway": 0.9, "housing_colour": 0.9, "at": 0.9, "kind": 0.98, "amps": 0.9,
    "rating": 0.95, "used": 0.9, "colour": 0.85, "size": 0.85, "role": 0.95, "terminal": 0.95, "ring": 0.5,
    "ring 2": 0.25, "id": 0.3, "name": 0.3, "part id": 0.3, "part name": 0.3, "circuit": 0.3, "function": 0.3,
}  # fmt: skip
NAMES = frozenset({"id", "name", "part id", "part name", "circuit", "function"})
RINGS = frozenset({"ring", "ring 2"})
PRIOR_WORTH = 4.0  # comparisons that the reliability before learning counts for


@dataclass(frozen=True)
class Family:
    """Per candidate: agreements, their rarity in nats, disagreements; ``common`` is the mean u."""

    name: str
    agree: Floats
    rarity: Floats
    differ: Floats
    common: float

    def score(self, m: float) -> Floats:
        """The log-likelihood ratio of each candidate, given how often true partners agree."""
        return self.agree * log(m) + self.rarity + self.differ * _against(m, self.common)

    def learnt(self, weights: Floats, before: float) -> float:
        """m from candidates weighted by how likely they are true partners."""
        return _reliability(float((self.agree * weights).sum()), float((self.differ * weights).sum()), before)


@dataclass(frozen=True)
class HoleFamily:
    """The same for each pair of holes that can be compared: ``entry`` numbers pairs of holes."""

    name: str
    entry: Ints
    same: Flags
    rarity: Floats
    common: float

    def score(self, m: float) -> Floats:
        """The log-likelihood ratio of each entry."""
        import numpy as np

        score: Floats = np.where(self.same, log(m) + self.rarity, _against(m, self.common))
        return score

    def learnt(self, weights: Floats, before: float) -> float:
        """m from entries weighted by how likely they belong to true partners."""
        weight = weights[self.entry]
        agree = float(weight[self.same].sum())
        return _reliability(agree, float(weight.sum()) - agree, before)


def _against(m: float, common: float) -> float:
    return min(log((1 - m) / (1 - common)), 0.0)


def _reliability(agree: float, differ: float, before: float) -> float:
    m = (agree + PRIOR_WORTH * before) / (agree + differ + PRIOR_WORTH)
    return min(max(m, 0.02), 0.99)


def _frequency(values: Hashes, group: Ints | None = None) -> Floats:
    """How common each row's value is among the rows (of its group) where it is known."""
    import numpy as np

    known = values != 0
    key = values if group is None else hashed(values, group)
    _, number, count = np.unique(key[known], return_inverse=True, return_counts=True)
    share = np.ones(len(values))
    if group is None:
        share[known] = count[number] / max(1, int(known.sum()))
    else:
        _, of, size = np.unique(group[known], return_inverse=True, return_counts=True)
        share[known] = count[number] / size[of]
    return share


def _compared(values: Hashes, common: Floats, ours: Ints, theirs: Ints) -> tuple[Flags, Flags, Floats, float]:
    """(known in both, same, rarity of what agrees, mean commonness) of rows set side by side."""
    import numpy as np

    a, b = values[ours], values[theirs]
    known = (a != 0) & (b != 0)
    same = (a == b)[known]
    rarity = np.minimum(-np.log(common[ours[known]]), MAX_RARITY)
    held = values != 0
    mean = float(common[held].mean()) if held.any() else 0.5
    return known, same, rarity, min(0.95, mean)


def _family(
    name: str, found: Candidates, entry: tuple[Ints, Ints, Ints], values: Hashes, common: Floats
) -> Family | None:
    """Compare a value (0 not known) over rows that candidates set side by side."""
    import numpy as np

    candidate, ours, theirs = entry
    known, same, rarity, mean = _compared(values, common, ours, theirs)
    if not known.any():
        return None
    candidate = candidate[known]
    return Family(
        name,
        found.total(candidate, same),
        found.total(candidate, np.where(same, rarity, 0.0)),
        found.total(candidate, ~same),
        mean,
    )


def _word(column: Ints) -> Hashes:
    """A column of words as values: 0 is not known."""
    import numpy as np

    return (column + 1).astype(np.uint64)


class _Joined:
    """One value a joint: of the loom's half where it is known there, else of the other half."""

    def __init__(self, found: Candidates) -> None:
        import numpy as np

        self.slots = found.joints.slots
        rows = np.arange(found.count)
        self.entry = (rows, found.donor, found.shell)
        self.group = found.joints.sort

    def of(self, column: Hashes) -> Hashes:
        """The value of each joint from one of each connector."""
        import numpy as np

        first, second = (
            np.where(self.slots[:, slot] >= 0, column[self.slots[:, slot]], np.uint64(0)) for slot in (0, 1)
        )
        return np.where(second != 0, second, first)

    def of_part(self, both: Both, column: Hashes) -> Hashes:
        """The value of each joint from one of each component."""
        import numpy as np

        if not column.size:
            return np.zeros(len(self.slots), dtype=np.uint64)
        return self.of(np.where(both.owner >= 0, column[both.owner], np.uint64(0)))


def families(found: Candidates) -> tuple[Family, ...]:
    """Every family that any candidate has something to compare in."""
    both = found.both
    joined = _Joined(found)
    of_joint = {name: joined.of(_word(both.facts[name])) for name in ("count", "keyway", "housing_colour", "at")}
    of_joint |= {name: joined.of_part(both, _word(both.part_facts[name])) for name in ("kind", "amps", "rating")}
    of_joint |= {name: joined.of(both.names[name]) for name in ("id", "name")}
    of_joint |= {name: joined.of_part(both, both.names[name]) for name in ("part id", "part name")}
    made: list[Family | None] = [_of_joints(name, found, joined, values) for name, values in of_joint.items()]
    half = _word(both.facts["half"])
    made.append(_family("half", found, found.connector_pairs, half, _frequency(half)))
    made.append(_used(found))
    return tuple(family for family in made if family is not None)


def _of_joints(name: str, found: Candidates, joined: _Joined, values: Hashes) -> Family | None:
    return _family(name, found, joined.entry, values, _frequency(values, joined.group))


def hole_families(found: Candidates) -> tuple[HoleFamily, ...]:
    """The families that compare what is in cavities of one name."""
    import numpy as np

    both = found.both
    role, terminal = ends_at_holes(both)
    values = {"role": role, "terminal": terminal, "colour": both.hole_colour, "size": both.hole_size}
    values |= ring_values(both) | {name: both.names[name] for name in ("circuit", "function")}
    made = []
    for name, value in values.items():
        common = _frequency(value, role.astype(np.int64) if name == "terminal" else None)
        known, same, rarity, mean = _compared(value, common, *found.hole_pairs[1:])
        if known.any():
            made.append(HoleFamily(name, np.flatnonzero(known), same, rarity, mean))
    return tuple(made)


def ends_at_holes(both: Both) -> tuple[Hashes, Hashes]:
    """Role and terminal name at the cavities of components."""
    import numpy as np

    owned = both.owner[both.hole_connector] >= 0
    totals = []
    for word in (hashed(_word(both.end_role)), hashed(_word(both.end_terminal), _word(both.end_role))):
        total = np.zeros(both.pieces, dtype=np.uint64)
        np.add.at(total, both.end_piece, word)
        totals.append(np.where(owned, total[both.hole_piece], np.uint64(0)))
    return totals[0], totals[1]


def ring_values(both: Both) -> dict[str, Hashes]:
    """What the wire in a hole leads to, one and two plugs on, by what they look like."""
    import numpy as np

    kind = both.part_facts["kind"]
    mate_owner = np.where(both.mate >= 0, both.owner[both.mate], -1)
    owner = np.where(both.owner >= 0, both.owner, mate_owner)
    look = hashed(both.facts["count"], np.where(owner >= 0, kind[owner], -1) if kind.size else owner, both.owner >= 0)
    found = {}
    for name in ("ring", "ring 2"):
        hole = hashed(both.hole_cavity, look[both.hole_connector])
        total = np.zeros(both.pieces, dtype=np.uint64)
        np.add.at(total, both.hole_piece, hole)
        ends = np.bincount(both.hole_piece, minlength=both.pieces)
        leads = (ends[both.hole_piece] > 1) | (both.ground[both.hole_piece] >= 0)
        grounded = (both.ground >= 0)[both.hole_piece]
        value = hashed(total[both.hole_piece] - hole, grounded)
        found[name] = np.where(leads & (both.owner[both.hole_connector] < 0), value, np.uint64(0))
        around = np.zeros(both.connectors.count, dtype=np.uint64)
        np.add.at(around, both.hole_connector, hashed(both.hole_cavity, value))
        mate = np.where(both.mate >= 0, around[both.mate], np.uint64(0))
        look = hashed(look, around, mate)
    return found


def _used(found: Candidates) -> Family:
    """Cavities that both use against cavities that only one does."""
    import numpy as np

    candidate, ours, theirs = found.connector_pairs
    _, count = found.both.hole_range
    both_use = found.total(found.hole_pairs[0])
    either = found.total(candidate, count[ours] + count[theirs]) - both_use
    fill = 0.65  # the share of cavities that plugs use, about
    return Family("used", both_use, both_use * -np.log(fill), either - both_use, fill)
