"""Which candidates to look at: joints that share rare features, and joints that paired wires lead to.

Joints become sets of tokens; tokens too common to tell anything are left out,
and the best of each row and column are kept. What surroundings say comes later,
through ``along_wires``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from harnesscheck.align.both import Both, scramble
from harnesscheck.align.evidence import ends_at_holes, ring_values
from harnesscheck.align.joints import Candidates, Joints, candidates, may_be_one
from harnesscheck.align.refine import hashed

if TYPE_CHECKING:
    from harnesscheck.align.both import Flags, Floats, Hashes, Ints

BEST = 8  # candidates kept a row and a column
SMALL = 4_000_000  # joint pairs up to which common tokens may be compared too
PAIRS_OF_A_TOKEN = 60_000  # pairs a token may make in a small car
PAIRS_OF_A_TOKEN_LARGE = 400
ENDS_OF_A_PIECE = 14  # a wire with more ends leads anywhere


def _tokens(both: Both, joints: Joints) -> tuple[Ints, Hashes]:
    """(joint, token) of every joint: facts of its halves, and what is in which cavity."""
    import numpy as np

    sort = joints.sort[joints.joint_of]
    found: list[tuple[Ints, Hashes]] = []
    for number, name in enumerate(("count", "keyway", "housing_colour", "at")):
        column = both.facts[name]
        held = column >= 0
        found.append((joints.joint_of[held], hashed(column[held], sort[held], np.full(int(held.sum()), number))))
    if both.components.count:
        for number, name in enumerate(("kind", "amps"), start=10):
            column = np.where(both.owner >= 0, both.part_facts[name][both.owner], -1)
            held = column >= 0
            found.append((joints.joint_of[held], hashed(column[held], np.full(int(held.sum()), number))))
    ids = {"id": both.names["id"]}
    if both.components.count:
        ids["part id"] = np.where(both.owner >= 0, both.names["part id"][both.owner], np.uint64(0))
    found += [(joints.joint_of[value != 0], scramble(value[value != 0])) for value in ids.values()]
    at_hole = joints.joint_of[both.hole_connector]
    _, terminal = ends_at_holes(both)
    rings = ring_values(both)
    for number, value in enumerate((both.hole_colour, terminal, *rings.values()), start=20):
        held = value != 0
        token = hashed(value[held], both.hole_cavity[held], np.full(int(held.sum()), number))
        found.append((at_hole[held], token))
    return np.concatenate([a for a, _ in found]), np.concatenate([b for _, b in found])


def by_features(both: Both, joints: Joints, open_rows: Flags) -> Candidates:
    """The best candidates of every joint that is open (a boolean column) by the tokens they share."""
    import numpy as np

    joint, token = _tokens(both, joints)
    keep = open_rows[joint]
    joint, token = joint[keep], token[keep]
    pair = np.unique(np.stack([token, joint.astype(np.uint64)], axis=1), axis=0)
    token, joint = pair[:, 0], pair[:, 1].astype(np.int64)
    ours = joint < joints.donors
    a_token, a_joint = token[ours], joint[ours]
    b_token, b_joint = token[~ours], joint[~ours]
    donors, shells = joints.donors, joints.count - joints.donors
    small = int(open_rows[:donors].sum()) * int(open_rows[donors:].sum()) <= SMALL
    first = np.searchsorted(b_token, a_token, side="left")
    many = np.searchsorted(b_token, a_token, side="right") - first
    group = np.searchsorted(a_token, a_token, side="right") - np.searchsorted(a_token, a_token, side="left")
    cap = PAIRS_OF_A_TOKEN if small else PAIRS_OF_A_TOKEN_LARGE
    much = np.where(many * group <= cap, many, 0)
    entry = np.repeat(np.arange(len(a_joint)), much)
    at = np.repeat(first - np.cumsum(much) + much, much) + np.arange(int(much.sum()))
    weight = np.log(shells / many[entry])
    return _best(both, joints, a_joint[entry], b_joint[at], weight)


def _best(both: Both, joints: Joints, donor: Ints, shell: Ints, weight: Floats) -> Candidates:
    """Sum weights by pair; keep the best of each row and column; both ways round."""
    import numpy as np

    key, number = np.unique(donor * joints.count + shell, return_inverse=True)
    score = np.bincount(number, weights=weight, minlength=len(key)).astype(np.float64)
    donor, shell = key // joints.count, key % joints.count
    zero = np.zeros(len(key), dtype=np.int64)
    fits = may_be_one(joints, donor, shell, zero)
    donor, shell, score = donor[fits], shell[fits], np.round(score[fits], 6)
    keep = (rank_within(donor, score, shell) < BEST) | (rank_within(shell, score, donor) < BEST)
    donor, shell = donor[keep], shell[keep]
    return candidates(
        both,
        joints,
        np.concatenate([donor, donor]),
        np.concatenate([shell, shell]),
        np.repeat([0, 1], len(donor)),
    )


def rank_within(group: Ints, score: Floats, tie: Ints) -> Ints:
    """The rank of each entry in its group by falling score, ties by a rising second column."""
    import numpy as np

    order = np.lexsort((tie, -score, group))
    sorted_group = group[order]
    start = np.searchsorted(sorted_group, sorted_group, side="left")
    rank = np.empty(len(group), dtype=np.int64)
    rank[order] = np.arange(len(group)) - start
    return rank


def along_wires(both: Both, joints: Joints, ours: Ints, theirs: Ints, open_rows: Flags) -> tuple[Ints, Ints, Ints]:
    """Candidates (donor, shell, way) at the same cavity names of paired pieces, where both joints are open."""
    import numpy as np

    order = np.argsort(both.hole_piece, kind="stable")
    ends = np.bincount(both.hole_piece, minlength=both.pieces)
    start = np.cumsum(ends) - ends
    few = (ends[ours] <= ENDS_OF_A_PIECE) & (ends[theirs] <= ENDS_OF_A_PIECE)
    ours, theirs = ours[few], theirs[few]
    much = ends[ours] * ends[theirs]
    entry = np.repeat(np.arange(len(ours)), much)
    within = np.arange(int(much.sum())) - np.repeat(np.cumsum(much) - much, much)
    a = order[start[ours[entry]] + within // ends[theirs[entry]]]
    b = order[start[theirs[entry]] + within % ends[theirs[entry]]]
    here, there = both.hole_connector[a], both.hole_connector[b]
    donor, shell = joints.joint_of[here], joints.joint_of[there]
    same = (both.hole_cavity[a] == both.hole_cavity[b]) & open_rows[donor] & open_rows[shell]
    same &= (both.owner[here] >= 0) == (both.owner[there] >= 0)
    way = joints.slot_of[here] ^ joints.slot_of[there]
    return donor[same], shell[same], way[same]
