"""Which plug of a car is this loose one? Candidates with probabilities, "none of these" among them.

What a person sees (number of cavities, wire colours, housing, place) is weighed
against every plug: how likely would this be read off that plug, with colours
mistaken, wires torn off, cavities miscounted? Mated halves are one answer. The
likelihood of a set of wires is that of its best matching with the plug's own
[1]_. One temperature, fitted on made-up cars, makes the probabilities honest.

The confusion table and the rates are the project's choice, not measured on
people; nothing here is taken from a standard.

References
----------
.. [1] H. W. Kuhn, "The Hungarian method for the assignment problem", Naval
   Research Logistics Quarterly 2, 1955.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, lgamma, log

from harnesscheck.align.assign import least_cost
from harnesscheck.align.both import natural_key
from harnesscheck.model.records import Connector
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.trade.colours import colour_names

Names = tuple[str, ...]  # a wire's colour: base, then stripes

TEMPERATURE = 1.1  # fitted on the made-up cars of seeds 20 to 31; the benchmark asks about others
ABSENT = 0.1  # prior of "none of these"
MISREAD = 0.08  # a colour is taken for another
ALIKE = 0.7  # of those, for one that looks alike
STRIPE_MISSED, STRIPE_IMAGINED = 0.06, 0.02
TORN = 0.12  # a wire of the plug is not there any more
ADDED = 0.02  # a wire is there that the plug does not have in the file
MISCOUNTED = 0.04  # cavities
HOUSING_WRONG, PLACE_WRONG = 0.08, 0.15
LOOK_ALIKE = (
    ("black", "brown", "dark blue", "dark green", "grey"),
    ("brown", "red", "tan"),
    ("red", "orange", "pink"),
    ("orange", "yellow", "gold", "tan"),
    ("yellow", "white", "natural", "gold"),
    ("white", "natural", "grey", "silver"),
    ("green", "blue", "turquoise", "light green", "dark green"),
    ("blue", "violet", "dark blue", "light blue", "sky blue"),
    ("violet", "pink", "brown"),
    ("light blue", "sky blue", "turquoise", "grey"),
)
TOP = 6  # candidates that the next observation is chosen for


@dataclass(frozen=True, slots=True)
class Question:
    """What is seen of a loose plug. ``wires`` holds each wire's colour names, None for one that cannot be read.

    With ``in_order`` the wires are those of the first cavities, one by one, and an
    empty tuple is an empty cavity.
    """

    wires: tuple[Names | None, ...] = ()
    cavities: int | None = None
    housing_colour: str | None = None
    at: str | None = None
    in_order: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plug that it may be: the halves that are plugged together, the more likely one first."""

    vehicle: str
    connectors: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class Observation:
    """What to look at next, and what would be seen on which candidate."""

    what: str
    seen: Mapping[str, str]  # connector id to what is seen there


@dataclass(frozen=True, slots=True)
class Answer:
    """Candidates by falling probability; ``none`` is the probability that it is none of them."""

    candidates: tuple[Candidate, ...]
    none: float
    look_at: Observation | None


@dataclass(frozen=True, slots=True)
class _Half:
    """One half with wires: its cavities in order, each with the wire's colour, None for not known, () for empty."""

    vehicle: str
    row: Connector
    at: str | None
    cavities: tuple[tuple[str, Names | None], ...]

    @property
    def wires(self) -> tuple[Names | None, ...]:
        """The wires there are."""
        return tuple(names for _, names in self.cavities if names != ())


def identify(vehicles: Sequence[Vehicle], question: Question, temperature: float = TEMPERATURE) -> Answer:
    """Weigh every plug of the vehicles. The probabilities and ``none`` add up to 1."""
    halves = [half for vehicle in vehicles for half in _halves(vehicle)]
    common = _commonness(halves)
    score = {(half.vehicle, half.row.id): _log_likelihood(half, question, common) for half in halves}
    joints = _joints(vehicles, halves)
    prior = log((1 - ABSENT) / max(1, len(joints)))
    logs = [prior + _log_mean([score[key] for key in joint]) / temperature for joint in joints]
    none = log(ABSENT) + _background(question, halves, common) / temperature
    top = max([*logs, none])
    total = sum(exp(value - top) for value in (*logs, none))
    order = sorted(
        range(len(joints)), key=lambda n: (-round(logs[n], 9), joints[n][0][0], natural_key(joints[n][0][1]))
    )
    ranked = [
        Candidate(
            joints[n][0][0],
            tuple(id for _, id in sorted(joints[n], key=lambda key: -score[key])),
            exp(logs[n] - top) / total,
        )
        for n in order
    ]
    return Answer(tuple(ranked), exp(none - top) / total, _next_look(ranked[:TOP], halves, question))


def _log_mean(values: Sequence[float]) -> float:
    top = max(values)
    return top + log(sum(exp(value - top) for value in values) / len(values))


# -- plugs


def _halves(vehicle: Vehicle) -> Iterator[_Half]:
    """Every half that wires end in."""
    colours = _colours_at(vehicle)
    for row in vehicle.netlist.connectors:
        known = colours.get(row.id)
        if row.component is not None or not known:
            continue
        names = tuple(dict.fromkeys([*(row.cavities or ()), *sorted(known, key=natural_key)]))
        at = row.at
        yield _Half(vehicle.name, row, at, tuple((name, known.get(name, ())) for name in names))


def _colours_at(vehicle: Vehicle) -> Mapping[str, dict[str, Names | None]]:
    found: dict[str, dict[str, Names | None]] = defaultdict(dict)
    for pin in vehicle.netlist.pins:
        names = pin.colour.names if pin.colour is not None else None
        if pin.connector is not None:
            found[pin.connector].setdefault(pin.cavity or "", names)
        if pin.to is not None and ":" in pin.to:
            connector, _, cavity = pin.to.partition(":")
            found[connector].setdefault(cavity, names)
    return found


def _joints(vehicles: Sequence[Vehicle], halves: Sequence[_Half]) -> list[list[tuple[str, str]]]:
    """Halves that are plugged into each other, together."""
    mates = {vehicle.name: vehicle.mate_of for vehicle in vehicles}
    known = {(half.vehicle, half.row.id) for half in halves}
    joints = []
    for key in sorted(known, key=lambda key: (key[0], natural_key(key[1]))):
        mate = (key[0], mates[key[0]].get(key[1], ""))
        if mate not in known or natural_key(key[1]) <= natural_key(mate[1]):
            joints.append([key, mate] if mate in known and mate != key else [key])
    return joints


# -- likelihoods


@cache
def _confusion() -> Mapping[tuple[str, str], float]:
    """The probability of reading the second colour where the first is."""
    names = colour_names()
    table: dict[tuple[str, str], float] = {}
    for true in names:
        alike = sorted({other for group in LOOK_ALIKE if true in group for other in group} - {true})
        others = [other for other in names if other != true]
        for seen in others:
            table[true, seen] = MISREAD * (1 - ALIKE) / len(others)
            if seen in alike:
                table[true, seen] += MISREAD * ALIKE / len(alike)
        table[true, true] = 1 - sum(table[true, seen] for seen in others)
    return table


def _commonness(halves: Sequence[_Half]) -> Mapping[Names, float]:
    """How common each colour is among the wires of the cars, with a little for colours not seen there."""
    count = Counter(names for half in halves for names in half.wires if names)
    total = sum(count.values()) + 20
    return {**{names: (number + 0.2) / total for names, number in count.items()}, (): 0.2 / total}


def _common(names: Names, common: Mapping[Names, float]) -> float:
    return common.get(names, common[()])


def _read_as(true: Names | None, seen: Names | None, common: Mapping[Names, float]) -> float:
    """The probability of reading a wire so; what is not known or cannot be read says nothing."""
    if seen is None:
        return 1.0
    if true is None:
        return _common(seen, common)
    table = _confusion()
    chance = table[true[0], seen[0]]
    if len(true) == 1:
        return chance * (1 - STRIPE_IMAGINED if len(seen) == 1 else STRIPE_IMAGINED / 12)
    if len(seen) == 1:
        return chance * STRIPE_MISSED
    return chance * (1 - STRIPE_MISSED) * table[true[1], seen[1]]


def _log_likelihood(half: _Half, question: Question, common: Mapping[Names, float]) -> float:
    row = half.row
    total = _facts(row.housing_colour, question.housing_colour, HOUSING_WRONG, 8)
    total += _place(half.at, question.at)
    if question.cavities is not None:
        total += _counted(len(half.cavities), question.cavities)
    wires = _in_order if question.in_order else _any_order
    return total + wires(half, question.wires, common)


def _facts(true: str | None, seen: str | None, wrong: float, kinds: int) -> float:
    if true is None or seen is None:
        return 0.0 if seen is None else log(1 / kinds)
    return log(1 - wrong) if true.casefold() == seen.casefold() else log(wrong / kinds)


def _place(true: str | None, seen: str | None) -> float:
    """By the words that the two descriptions share."""
    if seen is None:
        return 0.0
    if true is None:
        return log(0.2)
    ours, theirs = (set(text.casefold().replace(",", " ").split()) for text in (true, seen))
    share = len(ours & theirs) / max(1, min(len(ours), len(theirs)))
    return log(PLACE_WRONG * 0.2 + (1 - PLACE_WRONG) * share)


def _counted(true: int, seen: int) -> float:
    if true == seen:
        return log(1 - MISCOUNTED)
    return log(MISCOUNTED * 0.5 ** abs(true - seen))


def _in_order(half: _Half, wires: Sequence[Names | None], common: Mapping[Names, float]) -> float:
    total = 0.0
    for at, seen in enumerate(wires):
        true: Names | None = half.cavities[at][1] if at < len(half.cavities) else ()
        if true == ():
            total += log(1 - ADDED) if seen == () else log(ADDED) + log(_common(seen or (), common))
        elif seen == ():
            total += log(TORN)
        else:
            total += log(1 - TORN) + log(_read_as(true, seen, common))
    return total


def _any_order(half: _Half, wires: Sequence[Names | None], common: Mapping[Names, float]) -> float:
    """The best matching of what is seen with what the plug has; the rest was torn off or added."""
    true = half.wires
    if not wires:
        return 0.0
    added = [-log(ADDED) - (log(_common(seen, common)) if seen is not None else 0.0) for seen in wires]
    torn = -log(TORN)
    # matching a wire saves its having been torn off
    cost = [
        [-log(max(_read_as(mine, seen, common), 1e-12)) - log(1 - TORN) - torn for mine in true]
        + [added[row] if column == row else 60.0 for column in range(len(wires))]
        for row, seen in enumerate(wires)
    ]
    columns = least_cost(cost)
    best = sum(cost[row][column] for row, column in enumerate(columns))
    return -(best + torn * len(true)) - lgamma(len(wires) + 1) + _equal_matchings(true, wires)


def _equal_matchings(true: Sequence[Names | None], seen: Sequence[Names | None]) -> float:
    """The log of how many matchings are as good as the best: wires of one colour may be exchanged."""
    held, shown = Counter(true), Counter(seen)
    total = 0.0
    for names, count in shown.items():
        more, fewer = max(held[names], count), min(held[names], count)
        total += lgamma(more + 1) - lgamma(more - fewer + 1)
    return total


def _background(question: Question, halves: Sequence[_Half], common: Mapping[Names, float]) -> float:
    """The likelihood under a plug of no car given: as common as its size and colours are."""
    total = 0.0
    if question.housing_colour is not None:
        total += log(1 / 8)
    if question.at is not None:
        total += log(0.2)
    if question.cavities is not None:
        sizes = Counter(len(half.cavities) for half in halves)
        total += log((sizes[question.cavities] + 0.5) / (len(halves) + 10))
    seen = [names for names in question.wires if names]
    total += sum(log(_common(names, common)) for names in seen)
    fill = len(seen) / max(1, question.cavities or len(seen))
    return total + (log(0.5) if fill < 1 else log(0.7))


# -- what to look at next


def _next_look(top: Sequence[Candidate], halves: Sequence[_Half], question: Question) -> Observation | None:
    """The one observation that is expected to tell the top candidates apart best."""
    by_id = {(half.vehicle, half.row.id): half for half in halves}
    weighed = [(by_id[one.vehicle, one.connectors[0]], one.probability) for one in top]
    if len(weighed) < 2:
        return None
    looks = [look for look in _looks(weighed, question) if len(set(look.seen.values())) > 1]
    if not looks:
        return None
    weight = {half.row.id: share for half, share in weighed}
    return max(looks, key=lambda look: (round(_gain(look, weight), 9), -looks.index(look)))


def _gain(look: Observation, weight: Mapping[str, float]) -> float:
    """The entropy of what would be seen: the more even the answers, the more one tells."""
    share: dict[str, float] = defaultdict(float)
    for id, seen in look.seen.items():
        share[seen] += weight[id]
    total = sum(share.values()) or 1.0
    return -sum(part / total * log(part / total) for part in share.values() if part > 0)


def _looks(weighed: Sequence[tuple[_Half, float]], question: Question) -> Iterator[Observation]:
    halves = [half for half, _ in weighed]
    if question.housing_colour is None and all(half.row.housing_colour for half in halves):
        yield Observation("the colour of the housing", {h.row.id: h.row.housing_colour or "" for h in halves})
    if all(half.row.half for half in halves):
        yield Observation("whether it holds pins or sockets", {h.row.id: h.row.half or "" for h in halves})
    if question.cavities is None:
        yield Observation("how many cavities it has", {h.row.id: str(len(h.cavities)) for h in halves})
    if all(half.row.keyway for half in halves):
        yield Observation("the coding of the housing", {h.row.id: h.row.keyway or "" for h in halves})
    for at in range(0 if question.in_order else min(len(half.cavities) for half in halves)):
        cells = [(half, *half.cavities[at]) for half in halves]
        if all(names is not None for _, _, names in cells) and len({name for _, name, _ in cells}) == 1:
            seen = {half.row.id: "/".join(names or ()) or "empty" for half, _, names in cells}
            yield Observation(f"the wire in cavity {cells[0][1]}", seen)
    if question.at is None and all(half.at for half in halves):
        yield Observation("where in the car it lies", {half.row.id: half.at or "" for half in halves})
