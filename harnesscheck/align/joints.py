"""What is matched: joints, and the candidates for being one joint in both cars.

A *joint* is a mated pair of connectors, or a connector whose mate is not known.
It has two slots; of a component's plug the first holds the component's half. A
*candidate* is a joint of the donor with one of the shell and a way round (in-line
halves may lie either way). A candidate stands for one or two pairs of connectors
and for as many pairs of holes as these have cavity names in common.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from harnesscheck.align.both import Both

if TYPE_CHECKING:
    from harnesscheck.align.both import Flags, Floats, Ints

FEW_MATES = 0.5  # of the other car's share of mated connectors
SOCKET, INLINE, PART_ALONE, LOOM_ALONE = range(4)
# which sorts of joint may be one, and whether the halves may lie the other way round
_MAY_BE = {
    (SOCKET, SOCKET): (0,),
    (INLINE, INLINE): (0, 1),
    (PART_ALONE, PART_ALONE): (0,),
    (LOOM_ALONE, LOOM_ALONE): (0,),
    (SOCKET, PART_ALONE): (0,),
    (PART_ALONE, SOCKET): (0,),
    (SOCKET, LOOM_ALONE): (0,),
    (LOOM_ALONE, SOCKET): (0,),
    (INLINE, LOOM_ALONE): (0, 1),
    (LOOM_ALONE, INLINE): (0, 1),
}


@dataclass(frozen=True)
class Joints:
    """The joints of both cars, the donor's first. ``slots`` holds connector rows, -1 for none."""

    slots: Ints  # joints × 2
    sort: Ints
    donors: int
    joint_of: Ints  # per connector
    slot_of: Ints

    @property
    def count(self) -> int:
        """Joints of both cars."""
        return len(self.sort)


def joints_of(both: Both) -> Joints:
    """Group connectors into joints, in the order of their first half."""
    import numpy as np

    rows = np.arange(both.connectors.count)
    mate = np.where((both.mate >= 0) & _both_tell_mates(both), both.mate, rows)
    mutual = (mate != rows) & (mate[mate] == rows)
    owned = both.owner >= 0
    first = ~mutual | (owned & ~owned[mate]) | ((owned == owned[mate]) & (rows < mate))
    heads = rows[first]
    other = np.where(mutual[heads], mate[heads], -1)
    alone = (other < 0) & ~owned[heads]
    slots = np.stack([np.where(alone, -1, heads), np.where(alone, heads, other)], axis=1)
    sort = np.where(other < 0, np.where(owned[heads], PART_ALONE, LOOM_ALONE), np.where(owned[heads], SOCKET, INLINE))
    joint_of = np.full(len(rows), -1)
    slot_of = np.zeros(len(rows), dtype=np.int64)
    for slot in (0, 1):
        held = slots[:, slot] >= 0
        joint_of[slots[held, slot]] = np.flatnonzero(held)
        slot_of[slots[held, slot]] = slot
    return Joints(slots, sort, int((heads < both.connectors.donors).sum()), joint_of, slot_of)


def _both_tell_mates(both: Both) -> bool:
    """Whether mates are written in both cars; where one leaves them out, halves are matched one by one."""
    n = both.connectors.donors
    ours, theirs = ((part >= 0).mean() if part.size else 0.0 for part in (both.mate[:n], both.mate[n:]))
    return bool(min(ours, theirs) >= FEW_MATES * max(ours, theirs))


def may_be_one(joints: Joints, donor: Ints, shell: Ints, way: Ints) -> Flags:
    """Which of the candidates are of sorts that can be one joint, that way round; a boolean column."""
    import numpy as np

    table = np.zeros((4, 4, 2), dtype=bool)
    for (a, b), ways in _MAY_BE.items():
        for one in ways:
            table[a, b, one] = True
    flags: Flags = table[joints.sort[donor], joints.sort[shell], way]
    return flags


@dataclass(frozen=True)
class Candidates:
    """Candidates, sorted by donor joint, shell joint, way round, and the pairs they stand for."""

    both: Both
    joints: Joints
    donor: Ints
    shell: Ints
    way: Ints

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.donor)

    @cached_property
    def connector_pairs(self) -> tuple[Ints, Ints, Ints]:
        """(candidate, donor connector, shell connector), one entry a pair of halves."""
        import numpy as np

        rows = np.arange(self.count)
        slots = self.joints.slots
        found = []
        for slot in (0, 1):
            ours = slots[self.donor, slot]
            theirs = slots[self.shell, slot ^ self.way]
            held = (ours >= 0) & (theirs >= 0)
            found.append((rows[held], ours[held], theirs[held]))
        a, b, c = (np.concatenate([part[n] for part in found]) for n in range(3))
        return a, b, c

    @cached_property
    def hole_pairs(self) -> tuple[Ints, Ints, Ints]:
        """(candidate, donor hole, shell hole) for every cavity name that both halves use."""
        import numpy as np

        both = self.both
        candidate, ours, theirs = self.connector_pairs
        start, count = both.hole_range
        much = count[ours]
        entry = np.repeat(np.arange(len(ours)), much)
        hole = np.repeat(start[ours] - np.cumsum(much) + much, much) + np.arange(int(much.sum()))
        at = both.hole_at(theirs[entry], both.hole_cavity[hole])
        held = at >= 0
        return candidate[entry[held]], hole[held], at[held]

    def total(self, candidate: Ints, weights: Floats | Ints | Flags | None = None) -> Floats:
        """Totals by candidate, of weights or of entries."""
        import numpy as np

        return np.bincount(candidate, weights=weights, minlength=self.count).astype(np.float64)


def candidates(both: Both, joints: Joints, donor: Ints, shell: Ints, way: Ints) -> Candidates:
    """Candidates without repeats and without what cannot be one joint, sorted."""
    import numpy as np

    key = np.unique((donor * joints.count + shell) * 2 + way)
    donor, shell, way = key // 2 // joints.count, key // 2 % joints.count, key % 2
    keep = may_be_one(joints, donor, shell, way)
    return Candidates(both, joints, donor[keep], shell[keep], way[keep])
