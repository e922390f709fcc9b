"""What follows once connectors are paired: components, harnesses, circuits, ground points.

Each sort takes its pairs from votes of what is paired already; a pair a person
gave, or one of equal ids, stands unless every vote speaks against it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence

from harnesscheck.align.assign import assigned
from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.circuitnames import functions_of, told_apart
from harnesscheck.align.names import MANY
from harnesscheck.align.pairs import Pair
from harnesscheck.model.records import Pin
from harnesscheck.network.graph.sides import Study
from harnesscheck.trade.lexicon import Sameness

Votes = Mapping[tuple[str, str], float]

ONE_CAVITY = 1.0  # what a cavity is worth where neither functions nor the wires' looks say more
ONE_FUNCTION = 1.0  # what it is worth beside that both circuits are for the same
AGAINST = 2.0  # votes that all speak for another partner before an equal id is overruled


def elected(
    votes: Votes, known: Sequence[Pair], why: str, sure: Votes | None = None, enough: float = 0.0
) -> tuple[Pair, ...]:
    """Known pairs, then those that together gather most votes.

    The confidence is the share of both rows' votes, times how sure the voters are
    (``sure``), or where that is not given what their number is worth: a single vote
    is as good as tossing a coin, each further one a tenth of the doubt. Votes up to ``enough``
    contradict no equal id.
    """
    ours: dict[str, float] = defaultdict(float)
    theirs: dict[str, float] = defaultdict(float)
    for (a, b), strength in votes.items():
        ours[a] += strength
        theirs[b] += strength
    pairs = _trusted(known, votes, ours, theirs, enough)
    taken, given = {pair.shell for pair in pairs}, {pair.donor for pair in pairs}
    for a, b in _best(votes, given, taken):
        share = votes[a, b] / max(ours[a], theirs[b])
        worth = sure[a, b] if sure is not None else 1 - 5 * 0.1 ** max(1.0, votes[a, b])
        pairs.append(Pair(a, b, min(0.999, round(share * worth, 4)), why))
    return tuple(pairs)


def _best(votes: Votes, given: Collection[str], taken: Collection[str]) -> list[tuple[str, str]]:
    """The pairs of rows not yet paired that gather most votes together."""
    keys = sorted(key for key in votes if key[0] not in given and key[1] not in taken)
    donors = {id: n for n, id in enumerate(sorted({a for a, _ in keys}, key=_short_first))}
    shells = {id: n for n, id in enumerate(sorted({b for _, b in keys}, key=_short_first))}
    keys.sort(key=lambda key: (donors[key[0]], shells[key[1]]))
    chosen = assigned([(donors[a], shells[b], round(votes[a, b], 9)) for a, b in keys])
    return [keys[number] for number in chosen]


def _short_first(id: str) -> tuple[int, str]:
    """C2 before C10, as good as natural order for what is decided here."""
    return len(id), id


def _trusted(
    known: Sequence[Pair],
    votes: Votes,
    ours: Mapping[str, float],
    theirs: Mapping[str, float],
    enough: float,
) -> list[Pair]:
    """The known pairs that stand: an equal id falls where every vote about it goes elsewhere.

    One vote is not enough for that, unless the votes contradict so many equal ids
    that ids of this sort are worth nothing.
    """

    def against(pair: Pair) -> float:
        """What speaks for another partner than the one of the same name; nothing where a vote is for it."""
        if pair.why != SAME_NAME or votes.get((pair.donor, pair.shell), 0.0) > 0:
            return 0.0
        return ours.get(pair.donor, 0.0)

    same = [pair for pair in known if pair.why == SAME_NAME and pair.donor in ours]
    contradicted = sum(against(pair) > enough for pair in same)
    if contradicted > MANY * len(same):
        return [pair for pair in known if against(pair) == 0 and (pair.why != SAME_NAME or pair.donor in ours)]
    return [pair for pair in known if against(pair) < AGAINST or theirs.get(pair.shell, 0.0) < AGAINST]


def component_votes(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """One vote a cavity of each pair of sockets."""
    votes: Counter[tuple[str, str]] = Counter()
    for pair in connectors:
        a, b = donor.vehicle.connectors[pair.donor], shell.vehicle.connectors[pair.shell]
        if a.component is not None and b.component is not None:
            votes[a.component, b.component] += max(1, min(len(a.cavities or ()), len(b.cavities or ())))
    return {key: float(count) for key, count in votes.items()}


def component_sureness(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """How sure the surest pair of sockets of two components is."""
    sure: dict[tuple[str, str], float] = defaultdict(float)
    for pair in connectors:
        a, b = donor.vehicle.connectors[pair.donor], shell.vehicle.connectors[pair.shell]
        if a.component is not None and b.component is not None:
            key = a.component, b.component
            sure[key] = max(sure[key], pair.confidence)
    return sure


def harness_votes(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """One vote a pair of plugs."""
    votes: Counter[tuple[str, str]] = Counter()
    for pair in connectors:
        a, b = donor.vehicle.connectors[pair.donor], shell.vehicle.connectors[pair.shell]
        if a.harness is not None and b.harness is not None:
            votes[a.harness, b.harness] += 1
    return {key: float(count) for key, count in votes.items()}


def circuit_votes(donor: Study, shell: Study, connectors: Iterable[Pair], cavities: Mapping[str, str]) -> Votes:
    """One vote a cavity: the circuits named on the wires in both; more where the wires look alike or are for the same.

    The cavities of two halves that are plugged together are one. Circuits that are
    known to be for different things get no vote, whatever cavity they share.
    """
    ours, theirs = functions_of(donor), functions_of(shell)
    votes: dict[tuple[str, str], float] = defaultdict(float)
    there = _circuit_pins(shell)
    moved = {_end(ours): _end(theirs) for ours, theirs in cavities.items()}
    partner = {pair.donor: pair.shell for pair in connectors}
    counted: set[tuple[str, str, str, str]] = set()
    for (connector, cavity), pins in _circuit_pins(donor).items():
        place = min(connector, donor.vehicle.mate_of.get(connector, connector))
        at = moved.get((connector, cavity), (partner.get(connector, ""), cavity))
        for pin in there.get(at, ()):
            for mine in pins:
                a, b = mine.circuit or "", pin.circuit or ""
                answer = told_apart(ours.get(a, ()), theirs.get(b, ()))
                if answer is not Sameness.DIFFERENT and (place, cavity, a, b) not in counted:
                    counted.add((place, cavity, a, b))
                    votes[a, b] += ONE_CAVITY + 0.5 * _look_alike(mine, pin)
                    votes[a, b] += ONE_FUNCTION * (answer is Sameness.SAME)
            if not any(_look_alike(mine, pin) for mine in pins for pin in there.get(at, ())):
                for name in _kept_looks(pins, there, at[0]):
                    votes[name, name] += ONE_CAVITY + 0.5
    return votes


def _kept_looks(pins: Iterable[Pin], there: Mapping[tuple[str, str], list[Pin]], plug: str) -> set[str]:
    """The circuits of some wires whose name and looks the same plug of the other car has together, in any cavity."""
    beside = [pin for (connector, _), found in there.items() if connector == plug for pin in found]
    return {pin.circuit for pin in beside if pin.circuit and any(_is_kept(mine, pin) for mine in pins)}


def _is_kept(mine: Pin, pin: Pin) -> bool:
    return mine.circuit == pin.circuit and _look_alike(mine, pin)


def _end(text: str) -> tuple[str, str]:
    connector, _, cavity = text.partition(":")
    return connector, cavity


def _look_alike(a: Pin, b: Pin) -> bool:
    """Whether two wires are known to have one colour and size."""
    if a.colour is None or a.size is None or b.colour is None or b.size is None:
        return False
    return a.colour.names == b.colour.names and a.size.area_mm2 == b.size.area_mm2


def _circuit_pins(study: Study) -> Mapping[tuple[str, str], list[Pin]]:
    """The wires that name a circuit, by the cavities they end in."""
    found: dict[tuple[str, str], list[Pin]] = defaultdict(list)
    for pin in study.vehicle.netlist.pins:
        if pin.circuit is None:
            continue
        if pin.connector is not None:
            found[pin.connector, pin.cavity or ""].append(pin)
        if pin.to is not None and ":" in pin.to:
            found[_end(pin.to)].append(pin)
    return found


def ground_pairs(donor: Study, shell: Study, connectors: Iterable[Pair], known: Sequence[Pair]) -> tuple[Pair, ...]:
    """A stud is its place; where that does not decide, an equal id, then what is on it."""
    here, there = _studs_by_place(donor), _studs_by_place(shell)
    by_id = {(pair.donor, pair.shell): pair for pair in known}
    placed = [
        by_id.get((id, there[place]), Pair(id, there[place], 0.999, "the same place"))
        for place, id in here.items()
        if place in there
    ]
    given, taken = {pair.donor for pair in placed}, {pair.shell for pair in placed}
    rest = [pair for pair in known if pair.donor not in given and pair.shell not in taken]
    if len(given) == len(donor.vehicle.grounds) or len(taken) == len(shell.vehicle.grounds):
        return tuple(placed)
    votes = {
        (a, b): strength
        for (a, b), strength in _stud_votes(donor, shell, connectors).items()
        if a not in given and b not in taken
    }
    return (*placed, *elected(votes, rest, "what is on it"))


def _studs_by_place(study: Study) -> Mapping[tuple[str, str], str]:
    """Ground points that are alone at their place on their metal part."""
    at: dict[tuple[str, str], list[str]] = defaultdict(list)
    for row in study.vehicle.netlist.grounds:
        if row.at is not None:
            at[row.on or "body", row.at].append(row.id)
    return {place: ids[0] for place, ids in at.items() if len(ids) == 1}


def _stud_votes(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """One vote a wire that ends on the stud itself, shared among the studs of a piece otherwise."""
    votes: dict[tuple[str, str], float] = defaultdict(float)
    here, there = _Studs(donor), _Studs(shell)
    partner = {pair.donor: pair.shell for pair in connectors}
    for piece in here.on:
        for connector, cavity in donor.index.cavities_of[piece]:
            if connector in partner:
                mine, yours = here.of(connector, cavity), there.of(partner[connector], cavity)
                for a in mine:
                    for b in yours:
                        votes[a, b] += 1 / max(len(mine), len(yours))
    return votes


class _Studs:
    """The ground points that the wire in a cavity ends on, directly or through splices."""

    def __init__(self, study: Study) -> None:
        self.index = study.index
        points = {row.id for row in study.vehicle.netlist.grounds}
        self.direct = {
            (pin.connector, pin.cavity): pin.to
            for pin in study.vehicle.netlist.pins
            if pin.connector is not None and pin.to in points
        }
        self.on: dict[int, list[str]] = defaultdict(list)
        for row in study.vehicle.netlist.grounds:
            self.on[study.index.piece_of[study.index.point[row.id]]].append(row.id)

    def of(self, connector: str, cavity: str) -> list[str]:
        """Their ids; none for a wire that is not grounded."""
        straight = self.direct.get((connector, cavity))
        if straight is not None:
            return [straight]
        piece = self.index.piece(connector, cavity)
        return [] if piece is None else self.on.get(piece, [])
