"""Cavities that went elsewhere: plugs split or merged, sockets whose terminals were renumbered.

A cavity keeps its name unless there is proof. Proof is, for a plug that was split
or merged, that wires on both of its sides lead to paired plugs; for a component's
socket, that its named terminals and their roles are the same under another
numbering and the wires followed. Two exchanged wires are a fault, never a
re-numbering.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from harnesscheck.align.assign import assigned
from harnesscheck.align.pairs import Pair
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.sides import Study

Hole = tuple[str, str]  # connector, cavity

ENOUGH = 2.0  # wires, both sides counted, that must lead from one plug to another


def moved_cavities(
    donor: Study, shell: Study, pairs: Sequence[Pair], said: Mapping[str, str]
) -> tuple[Mapping[str, str], tuple[Pair, ...]]:
    """Cavities with another place in the shell, as ``"C12:4"`` to ``"D07:9"``; and plugs that went into another."""
    found = _across_plugs(donor, shell, pairs, said)
    given = {pair.donor for pair in pairs}
    into: dict[str, list[str]] = defaultdict(list)
    for (connector, _), (other, _) in found.items():
        if connector not in given:
            into[connector].append(other)
    merged = []
    for connector, others in sorted(into.items(), key=lambda item: natural_key(item[0])):
        best = max(sorted(set(others)), key=others.count)
        sure = round(min(0.99, 1 - 0.5 / len(others)), 3)
        merged.append(Pair(connector, best, sure, f"went into it: {others.count(best)} wires on both sides agree"))
    moved = {f"{a}:{n}": f"{b}:{m}" for (a, n), (b, m) in found.items()}
    return {**moved, **_renumbered_sockets(donor, shell, pairs), **said}, tuple(merged)


class _Left:
    """The holes of one car that the pairs of connectors give no partner, in natural order."""

    def __init__(self, study: Study, partner: Mapping[str, Sequence[str]], other: Study, taken: set[str]) -> None:
        self.study = study
        rows, others = study.vehicle.connectors, other.vehicle.connectors
        looked_at: dict[str, set[str]] = {}
        for id, row in rows.items():
            mates = partner.get(id, ())
            alike = len(mates) == 1 and row.cavities is not None and row.cavities == others[mates[0]].cavities
            if row.component is None and not alike:
                looked_at[id] = {name for mate in mates for name in other.index.cavities(mate)}
        self.looked_at, self.taken = looked_at, taken
        left = (hole for hole in study.index.cavity if self.is_left(hole))
        self.holes = sorted(left, key=lambda hole: (natural_key(hole[0]), natural_key(hole[1])))

    def is_left(self, hole: Hole) -> bool:
        """Whether a cavity, be it empty, has no partner."""
        connector, cavity = hole
        return (
            connector in self.looked_at
            and cavity not in self.looked_at[connector]
            and f"{connector}:{cavity}" not in self.taken
        )

    def cavities(self, connector: str) -> list[Hole]:
        """The cavities of a plug without a partner, the empty ones too, in natural order."""
        names = sorted(self.study.index.cavities(connector), key=natural_key)
        return [(connector, name) for name in names if self.is_left((connector, name))]

    def is_empty(self, hole: Hole) -> bool:
        """Whether nothing is in a cavity."""
        return self.study.index.piece(*hole) is None

    def sides(self, hole: Hole) -> list[int]:
        """The pieces in a hole and in the hole that faces it; -1 where there is none."""
        index, (connector, cavity) = self.study.index, hole
        mate = self.study.vehicle.mate_of.get(connector, "")
        return [-1 if piece is None else piece for piece in (index.piece(*hole), index.piece(mate, cavity))]


def _across_plugs(donor: Study, shell: Study, pairs: Sequence[Pair], said: Mapping[str, str]) -> dict[Hole, Hole]:
    forth: dict[str, list[str]] = defaultdict(list)
    back: dict[str, list[str]] = defaultdict(list)
    for pair in pairs:
        forth[pair.donor].append(pair.shell)
        back[pair.shell].append(pair.donor)
    ours = _Left(donor, forth, shell, set(said))
    theirs = _Left(shell, back, donor, set(said.values()))
    if not ours.holes or not theirs.holes:
        return {}
    votes = _piece_votes(donor, shell, pairs, {piece for hole in ours.holes for piece in ours.sides(hole)})
    scores = {
        (mine, yours): score
        for (mine, yours), score in _scores(ours, theirs, votes).items()
        if mine[0] in forth or yours[0] in back or not _one_shape(donor, shell, mine[0], yours[0])
    }
    proven = _proven(scores)
    return _filled(ours, theirs, proven)


def _one_shape(donor: Study, shell: Study, ours: str, theirs: str) -> bool:
    """Whether two plugs without partners may be one plug with exchanged wires: left alone then.

    They have the same cavities; or they go on parts, whose plugs gain cavities but are not split.
    """
    a, b = donor.vehicle.connectors[ours].cavities, shell.vehicle.connectors[theirs].cavities
    return a == b or (_goes_on_part(donor, ours) and _goes_on_part(shell, theirs))


def _goes_on_part(study: Study, plug: str) -> bool:
    mate = study.vehicle.connectors.get(study.vehicle.mate_of.get(plug, ""))
    return mate is not None and mate.component is not None


def _piece_votes(
    donor: Study, shell: Study, pairs: Sequence[Pair], wanted: set[int]
) -> Mapping[tuple[int, int], float]:
    """How many paired cavities say that two pieces are one, as a share of what is said about either."""
    count: dict[tuple[int, int], int] = defaultdict(int)
    ours: dict[int, int] = defaultdict(int)
    theirs: dict[int, int] = defaultdict(int)
    partners = {pair.donor: pair.shell for pair in pairs}
    for piece in wanted - {-1}:
        for connector, cavity in donor.index.cavities_of[piece]:
            other = shell.index.piece(partners.get(connector, ""), cavity)
            if other is not None:
                count[piece, other] += 1
                ours[piece] += 1
                theirs[other] += 1
    return {(p, q): votes / max(ours[p], theirs[q]) for (p, q), votes in count.items()}


def _scores(ours: _Left, theirs: _Left, votes: Mapping[tuple[int, int], float]) -> dict[tuple[Hole, Hole], float]:
    at: dict[int, list[tuple[Hole, int]]] = defaultdict(list)
    for hole in theirs.holes:
        for side, piece in enumerate(theirs.sides(hole)):
            if piece >= 0:
                at[piece].append((hole, side))
    leads: dict[int, list[tuple[int, float]]] = defaultdict(list)
    for (p, q), share in votes.items():
        leads[p].append((q, share))
    scores: dict[tuple[Hole, Hole], float] = defaultdict(float)
    for hole in ours.holes:
        for side, piece in enumerate(ours.sides(hole)):
            for other, share in leads.get(piece, ()):
                for candidate, there in at.get(other, ()):
                    if side == there:
                        scores[hole, candidate] += share
    return scores


def _proven(scores: Mapping[tuple[Hole, Hole], float]) -> dict[Hole, Hole]:
    """One-to-one, only between plugs that enough wires lead between."""
    between: dict[tuple[str, str], float] = defaultdict(float)
    for (ours, theirs), score in scores.items():
        between[ours[0], theirs[0]] += score
    keys = sorted(key for key in scores if between[key[0][0], key[1][0]] >= ENOUGH)
    rows = {hole: n for n, hole in enumerate(sorted({ours for ours, _ in keys}))}
    columns = {hole: n for n, hole in enumerate(sorted({theirs for _, theirs in keys}))}
    chosen = assigned([(rows[a], columns[b], round(scores[a, b], 9)) for a, b in keys])
    return {keys[number][0]: keys[number][1] for number in chosen}


def _filled(ours: _Left, theirs: _Left, proven: Mapping[Hole, Hole]) -> dict[Hole, Hole]:
    """The proven moves, and those of the same plugs that the same shift of numbers gives.

    A wire that is missing on one side is so told as missing in its cavity. Where
    most of a plug follows one shift, a move that does not is a wire in another
    cavity, not another cavity's number: two exchanged wires stay a fault.
    """
    found = dict(proven)
    for (connector, other), shift in sorted(_shifts(proven).items()):
        there = {hole: (other, str(int(hole[1]) + shift)) for hole in ours.cavities(connector) if hole[1].isdecimal()}
        for hole, new in there.items():
            if found.get(hole, new) != new and found[hole][0] == other and theirs.is_left(new):
                del found[hole]
        free = set(theirs.cavities(other)) - set(found.values())
        for hole, new in there.items():
            if hole not in found and new in free and not (ours.is_empty(hole) and theirs.is_empty(new)):
                found[hole] = new
    return found


def _shifts(proven: Mapping[Hole, Hole]) -> dict[tuple[str, str], int]:
    """By plug and the one it leads to, what half of the moves and more, two at least, add to the cavity's number."""
    added: dict[tuple[str, str], list[int]] = defaultdict(list)
    for (connector, cavity), (other, name) in proven.items():
        if cavity.isdecimal() and name.isdecimal():
            added[connector, other].append(int(name) - int(cavity))
    found = {}
    for plugs, numbers in added.items():
        (shift, count), *others = Counter(sorted(numbers)).most_common(2)
        if 2 <= count >= len(numbers) / 2 and (not others or others[0][1] < count):
            found[plugs] = shift
    return found


def _renumbered_sockets(donor: Study, shell: Study, pairs: Iterable[Pair]) -> dict[str, str]:
    """Moves inside a component's socket, and in the plug on it, where terminals and wires prove them."""
    moves: dict[str, str] = {}
    partners = {pair.donor: pair.shell for pair in pairs}
    for ours, theirs in partners.items():
        if donor.vehicle.connectors[ours].component is None or shell.vehicle.connectors[theirs].component is None:
            continue
        found = _permutation(donor, shell, ours, theirs)
        plug, other = donor.vehicle.mate_of.get(ours, ""), shell.vehicle.mate_of.get(theirs, "")
        if found and partners.get(plug) == other and _wires_followed(donor, shell, (plug, other), found, partners):
            for half, partner in ((ours, theirs), (plug, other)):
                moves |= {f"{half}:{a}": f"{partner}:{b}" for a, b in found.items() if a != b}
    return moves


def _permutation(donor: Study, shell: Study, ours: str, theirs: str) -> dict[str, str]:
    """Cavity by cavity, where every terminal is named once in both sockets and some are numbered otherwise."""
    mine, yours = _terminals(donor, ours), _terminals(shell, theirs)
    if mine is None or yours is None or mine.keys() != yours.keys():
        return {}
    found = {cavity: yours[terminal] for terminal, cavity in mine.items()}
    return found if any(a != b for a, b in found.items()) else {}


def _terminals(study: Study, connector: str) -> dict[tuple[str, str | None], str] | None:
    """Cavity by terminal and role; None where a terminal has several cavities or no name."""
    found: dict[tuple[str, str | None], str] = {}
    for pin in study.vehicle.pins_of.get(connector, ()):
        if pin.terminal is None or pin.cavity is None or (pin.terminal, pin.role) in found:
            return None
        found[pin.terminal, pin.role] = pin.cavity
    return found


def _wires_followed(
    donor: Study, shell: Study, halves: tuple[str, str], found: Mapping[str, str], partners: Mapping[str, str]
) -> bool:
    """Whether more wires of the plug lead to the same plugs under the new numbers than under the old."""
    plug, other = halves
    moved = {a: b for a, b in found.items() if a != b}
    new = sum(_leads_there(donor, shell, (plug, a), (other, b), partners) for a, b in moved.items())
    old = sum(_leads_there(donor, shell, (plug, a), (other, a), partners) for a in moved)
    return new > old


def _leads_there(donor: Study, shell: Study, ours: Hole, theirs: Hole, partners: Mapping[str, str]) -> bool:
    """Whether the wires in two holes end in a cavity of one name of paired plugs."""
    p, q = donor.index.piece(*ours), shell.index.piece(*theirs)
    if p is None or q is None:
        return False
    there = set(shell.index.cavities_of[q]) - {theirs}
    return any(
        (partners.get(connector, ""), cavity) in there
        for connector, cavity in donor.index.cavities_of[p]
        if (connector, cavity) != ours
    )
