"""From beliefs to pairs of connectors, each with what it rests on, and to the sets that stay ambiguous."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from harnesscheck.align.assign import assigned
from harnesscheck.align.belief import BeliefState, believed, decided
from harnesscheck.align.both import Both, Rows
from harnesscheck.align.joints import Candidates, candidates, joints_of
from harnesscheck.align.pairs import Ambiguous
from harnesscheck.network.graph.index import UnionFind

if TYPE_CHECKING:
    from harnesscheck.align.both import Flags

AS_GOOD = "look-alikes: exchanging two of them is about as likely, at odds below 19 to 1"
RESIZED = 2  # wires that must speak for a pair of unlike size
HARDLY = 0.1  # belief below which a pair is left open rather than made
EXCHANGE = 2.94  # nats that an exchange may lose and still be as good as possible: odds of 19 to 1


@dataclass(frozen=True, slots=True)
class Match:
    """Two connector rows, how sure, and why."""

    donor: int
    shell: int
    confidence: float
    why: str


def by_belief(both: Both, known: Iterable[Match]) -> tuple[list[Match], list[Ambiguous]]:
    """Pairs beside those known, and the sets in which exchanging members would be about as good."""
    import numpy as np

    joints = joints_of(both)
    pairs = np.array([(match.donor, match.shell) for match in known], dtype=np.int64).reshape(-1, 2)
    way = joints.slot_of[pairs[:, 0]] ^ joints.slot_of[pairs[:, 1]]
    seeds = candidates(both, joints, joints.joint_of[pairs[:, 0]], joints.joint_of[pairs[:, 1]], way)
    state = believed(both, joints, seeds)
    final = decided(state, seeds)
    found = final.found
    entries = list(zip(found.donor.tolist(), found.shell.tolist(), np.round(final.score, 6).tolist(), strict=True))
    chosen = np.zeros(found.count, dtype=bool)
    chosen[assigned(entries)] = True
    chosen &= final.belief > HARDLY
    seeded = set(pairs[:, 0].tolist())
    matches = [match for match in _matches(state, chosen) if match.donor not in seeded]
    return matches + _left_over(found, chosen), _ambiguous(state, chosen)


def _left_over(found: Candidates, chosen: Flags) -> list[Match]:
    """Joints that beliefs left alone, of one look, whose wires lead to the same wires at any cavity.

    Wires exchanged in a plug speak against it cavity by cavity; that must not hide
    the fault by leaving the plug without a partner. A part's plug may have gained or
    lost cavities besides, if two wires and more speak for it.
    """
    joints, both = found.joints, found.both
    leads = _Leads(found, chosen)
    paired = {*found.donor[chosen].tolist(), *found.shell[chosen].tolist()}
    alone = [joint for joint in range(joints.count) if joint not in paired]
    theirs: dict[tuple[int, ...], list[int]] = defaultdict(list)
    for joint in alone:
        if joint >= joints.donors:
            theirs[_look(found, joint)].append(joint)
    entries = []
    for a in (joint for joint in alone if joint < joints.donors):
        for b in theirs.get(_look(found, a), ()):
            shared = leads.shared(a, b)
            if shared and _counts(found, a) == _counts(found, b):
                entries.append((a, b, shared + 0.5))  # of two as good the one of its own size
            elif shared >= RESIZED:
                entries.append((a, b, float(shared)))
    matches = []
    for number in assigned(entries):
        a, b, strength = entries[number]
        shared = int(strength)
        for ours, yours in zip(joints.slots[a].tolist(), joints.slots[b].tolist(), strict=True):
            if ours >= 0 and yours >= 0:
                why = f"{shared} of its wires lead to the same places, from other cavities"
                matches.append(Match(ours, yours, round(1 - 0.5 ** (1 + shared), 3), why))
    return [match for match in matches if (both.owner[match.donor] >= 0) == (both.owner[match.shell] >= 0)]


def _look(found: Candidates, joint: int) -> tuple[int, ...]:
    """Sort of joint and kind of component; for an in-line plug, which may have been split, its number of cavities."""
    joints, both = found.joints, found.both
    owners = [int(both.owner[row]) for row in joints.slots[joint].tolist() if row >= 0 and both.owner[row] >= 0]
    kinds = [int(both.part_facts["kind"][owner]) for owner in owners]
    return int(joints.sort[joint]), *(kinds or _counts(found, joint))


def _counts(found: Candidates, joint: int) -> list[int]:
    """The number of cavities of each half."""
    return [int(found.both.facts["count"][row]) for row in found.joints.slots[joint].tolist() if row >= 0]


class _Leads:
    """Which piece of the shell each piece of the donor is, as far as the chosen pairs say."""

    def __init__(self, found: Candidates, chosen: Flags) -> None:
        both = found.both
        candidate, ours, theirs = found.hole_pairs
        keep = chosen[candidate] & (both.owner[both.hole_connector[ours]] < 0)
        self.found = found
        self.is_one = set(
            zip(both.hole_piece[ours[keep]].tolist(), both.hole_piece[theirs[keep]].tolist(), strict=True)
        )

    def shared(self, a: int, b: int) -> int:
        """How many pieces of the looms' halves of two joints are one."""
        yours = self._pieces(b)
        return sum(any((p, q) in self.is_one for q in yours) for p in self._pieces(a))

    def _pieces(self, joint: int) -> list[int]:
        both = self.found.both
        start, count = both.hole_range
        rows = [row for row in self.found.joints.slots[joint].tolist() if row >= 0 and both.owner[row] < 0]
        return [p for row in rows for p in both.hole_piece[start[row] : start[row] + count[row]].tolist()]


def _matches(state: BeliefState, chosen: Flags) -> list[Match]:
    candidate, ours, theirs = state.found.connector_pairs
    keep = chosen[candidate]
    texts = _Reasons(state.found, chosen)
    return [
        Match(a, b, round(float(state.belief[at]), 4), texts.of(a, b))
        for at, a, b in zip(candidate[keep].tolist(), ours[keep].tolist(), theirs[keep].tolist(), strict=True)
    ]


class _Reasons:
    """What pairs rest on, in words: size, housing, place, and how many wires lead to paired plugs."""

    def __init__(self, found: Candidates, chosen: Flags) -> None:
        import numpy as np

        both = found.both
        candidate, ours, theirs = found.hole_pairs
        keep = chosen[candidate]
        ours, theirs = ours[keep], theirs[keep]
        thing = both.hole_piece[ours] * both.pieces + both.hole_piece[theirs]
        _, number, count = np.unique(thing, return_inverse=True, return_counts=True)
        agree = count[number] > 1
        self.both = both
        self.agree = np.bincount(both.hole_connector[ours], weights=agree, minlength=both.connectors.count)
        self.used = both.hole_range[1]

    def of(self, a: int, b: int) -> str:
        """One line, such as "16-way natural, left kick panel, 14 of 16 wires agree"."""
        both = self.both
        ids = both.connectors.ids
        parts = ["same id"] if ids[a] == ids[b] else []
        said = []
        for name, form in (("count", "{}-way"), ("housing_colour", "{}")):
            word = int(both.facts[name][a])
            if word >= 0 and word == both.facts[name][b]:
                said.append(form.format(both.words[word]))
        parts += [" ".join(said)] if said else []
        at = int(both.facts["at"][a])
        if at >= 0 and at == both.facts["at"][b]:
            parts.append(both.words[at])
        used = max(int(self.used[a]), int(self.used[b]))
        if both.owner[a] < 0 and used:
            parts.append(f"{int(self.agree[a])} of {used} wires agree")
        return ", ".join(parts) or "what is around it"


def _ambiguous(state: BeliefState, chosen: Flags) -> list[Ambiguous]:
    """Sets of joints, each member's partner exchangeable with another's at odds below 19 to 1."""
    found = state.found
    rows = list(zip(found.donor.tolist(), found.shell.tolist(), state.score.tolist(), strict=True))
    score: dict[tuple[int, int], float] = {}
    for a, b, value in rows:
        score[a, b] = max(value, score.get((a, b), value))
    of = {a: b for (a, b, _), taken in zip(rows, chosen.tolist(), strict=True) if taken}
    by = {b: a for a, b in of.items()}
    sets = UnionFind(found.joints.count)
    for (a, b), value in sorted(score.items()):
        if _exchangeable(a, b, value, score, of, by):
            for mine, yours in ((a, of.get(a, b)), (by.get(b, a), b)):
                sets.union(mine, yours)
            sets.union(a, b)
    return _named(found, sets, sorted({*of, *of.values()}))


def _exchangeable(
    a: int, b: int, value: float, score: dict[tuple[int, int], float], of: dict[int, int], by: dict[int, int]
) -> bool:
    """Whether pairing a with b instead of as chosen would lose next to nothing."""
    mine, other = of.get(a), by.get(b)
    if mine == b or (mine is None and other is None):
        return False
    now = (score[a, mine] if mine is not None else 0.0) + (score[other, b] if other is not None else 0.0)
    back = score.get((other, mine)) if other is not None and mine is not None else 0.0
    return back is not None and value + back > now - EXCHANGE


def _named(found: Candidates, sets: UnionFind, members: Sequence[int]) -> list[Ambiguous]:
    joints, both = found.joints, found.both
    groups: dict[int, list[int]] = defaultdict(list)
    for joint in range(joints.count):
        groups[sets.find(joint)].append(joint)
    known = set(members)
    listed = []
    for group in groups.values():
        if len(group) < 3 or not known.intersection(group):
            continue
        for slot in (0, 1):
            rows = [row for row in joints.slots[group, slot].tolist() if row >= 0]
            owners = sorted({int(both.owner[row]) for row in rows if both.owner[row] >= 0})
            settle = settles(both, rows)
            listed.append(_one_set("connector", both.connectors, rows, settle))
            if len(owners) > 2:
                listed.append(_one_set("component", both.components, owners, settle))
    return [one for one in listed if one.donor and one.shell]


def _one_set(sort: str, rows: Rows, members: Sequence[int], settle: str) -> Ambiguous:
    ours = tuple(rows.ids[row] for row in members if row < rows.donors)
    theirs = tuple(rows.ids[row] for row in members if row >= rows.donors)
    return Ambiguous(sort, ours, theirs, AS_GOOD, settle)


def settles(both: Both, rows: Sequence[int]) -> str:
    """What would tell the members apart: first what nobody wrote down, else a wire to follow."""
    missing = [
        word
        for name, word in (("at", "place"), ("housing_colour", "housing colour"))
        if any(both.facts[name][row] < 0 for row in rows)
    ]
    start, count = both.hole_range
    if any((both.hole_colour[start[row] : start[row] + count[row]] == 0).any() for row in rows):
        missing.append("wire colours")
    if missing:
        return f"write down of each: {', '.join(missing)}"
    return "ring out one wire of each to its other end"
