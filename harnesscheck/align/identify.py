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
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Connector
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.trade.colours import colour_names

ColourNames = tuple[str, ...]  # a wire's colour: base, then stripes

TEMPERATURE = 1.1  # fitted on the made-up cars of seeds 20 to 31; the benchmark asks about others
ABSENT = 0.1  # prior of "none of these"
MISREAD = 0.08  # a colour is taken for another
ALIKE = 0.7  # of those, for one that looks alike
STRIPE_MISSED, STRIPE_IMAGINED = 0.06, 0.02
TORN = 0.12  # a wire of the plug is not there any more
ADDED = 0.02  # a wire is there that the plug does not have in the file
MISCOUNTED, MISCOUNTED_MORE = 0.04, 0.2  # cavities, by one; by each further one
HOUSING_WRONG, PLACE_WRONG, HALF_WRONG = 0.08, 0.15, 0.03
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
_OTHER_HALF = {"pins": "sockets", "sockets": "pins"}
MOST_EXACT = 40  # pairs of wires left over up to which their matching is solved exactly
TOP = 6  # candidates that the next observation is chosen for


@dataclass(frozen=True, slots=True)
class PlugQuestion:
    """What is seen of a loose plug. ``wires`` holds each wire's colour names, None for one that cannot be read.

    With ``in_order`` the wires are those of the first cavities, one by one, and an
    empty tuple is an empty cavity.
    """

    wires: tuple[ColourNames | None, ...] = ()
    cavities: int | None = None
    housing_colour: str | None = None
    at: str | None = None
    in_order: bool = False
    half: str | None = None  # pins | sockets


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plug that it may be: the halves that are plugged together, the more likely one first.

    ``number`` is the place of the vehicle among those given, from 0.
    """

    number: int
    vehicle: str
    connectors: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class Observation:
    """What to look at next; ``seen`` is what would be seen on each of the first candidates, in their order."""

    what: str
    seen: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlugAnswer:
    """Candidates by falling probability; ``none`` is the probability that it is none of them."""

    candidates: tuple[Candidate, ...]
    none: float
    look_at: Observation | None


@dataclass(frozen=True, slots=True)
class _Half:
    """One half with wires: its cavities in order, each with the wire's colour, None for not known, () for empty."""

    number: int
    row: Connector
    half: str | None  # the row's, else the other sort than its mate's
    cavities: tuple[tuple[str, ColourNames | None], ...]

    @property
    def wires(self) -> tuple[ColourNames | None, ...]:
        """The wires there are."""
        return tuple(names for _, names in self.cavities if names != ())


def identify(vehicles: Sequence[Vehicle], question: PlugQuestion, temperature: float = TEMPERATURE) -> PlugAnswer:
    """Weigh every plug of the vehicles. The probabilities and ``none`` add up to 1."""
    halves = [half for number, vehicle in enumerate(vehicles) for half in _halves(number, vehicle)]
    common = _commonness(halves)
    score = {(half.number, half.row.id): _log_likelihood(half, question, common) for half in halves}
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
            vehicles[joints[n][0][0]].name,
            tuple(id for _, id in sorted(joints[n], key=lambda key: -score[key])),
            exp(logs[n] - top) / total,
        )
        for n in order
    ]
    return PlugAnswer(tuple(ranked), exp(none - top) / total, _next_look(ranked[:TOP], halves, question))


def _log_mean(values: Sequence[float]) -> float:
    top = max(values)
    return top + log(sum(exp(value - top) for value in values) / len(values))


# -- plugs


def _halves(number: int, vehicle: Vehicle) -> Iterator[_Half]:
    """Every half that wires end in."""
    colours = _colours_at(vehicle)
    for row in vehicle.netlist.connectors:
        known = colours.get(row.id)
        if row.component is not None or not known:
            continue
        names = tuple(dict.fromkeys([*(row.cavities or ()), *sorted(known, key=natural_key)]))
        mate = vehicle.connectors.get(vehicle.mate_of.get(row.id, ""))
        half = row.half or (_OTHER_HALF.get(mate.half or "") if mate is not None else None)
        yield _Half(number, row, half, tuple((name, known.get(name, ())) for name in names))


def _colours_at(vehicle: Vehicle) -> Mapping[str, dict[str, ColourNames | None]]:
    found: dict[str, dict[str, ColourNames | None]] = defaultdict(dict)
    for pin in vehicle.netlist.pins:
        names = pin.colour.names if pin.colour is not None else None
        if pin.connector is not None:
            found[pin.connector].setdefault(pin.cavity or "", names)
        if pin.to is not None and ":" in pin.to:
            connector, _, cavity = pin.to.partition(":")
            found[connector].setdefault(cavity, names)
    return found


def _joints(vehicles: Sequence[Vehicle], halves: Sequence[_Half]) -> list[list[tuple[int, str]]]:
    """Halves that are plugged into each other, together."""
    mates = [vehicle.mate_of for vehicle in vehicles]
    known = {(half.number, half.row.id) for half in halves}
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


def _commonness(halves: Sequence[_Half]) -> Mapping[ColourNames, float]:
    """How common each colour is among the wires of the cars, with a little for colours not seen there."""
    count = Counter(names for half in halves for names in half.wires if names)
    total = sum(count.values()) + 20
    return {**{names: (number + 0.2) / total for names, number in count.items()}, (): 0.2 / total}


def _common(names: ColourNames, common: Mapping[ColourNames, float]) -> float:
    return common.get(names, common[()])


def _read_as(true: ColourNames | None, seen: ColourNames | None, common: Mapping[ColourNames, float]) -> float:
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


def _log_likelihood(half: _Half, question: PlugQuestion, common: Mapping[ColourNames, float]) -> float:
    row = half.row
    total = _facts(row.housing_colour, question.housing_colour, HOUSING_WRONG, 8)
    total += _facts(half.half, question.half, HALF_WRONG, 2)
    total += _place(half.row.at, question.at)
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
    return log(MISCOUNTED / 2) + (abs(true - seen) - 1) * log(MISCOUNTED_MORE)


def _in_order(half: _Half, wires: Sequence[ColourNames | None], common: Mapping[ColourNames, float]) -> float:
    total = 0.0
    for at, seen in enumerate(wires):
        true: ColourNames | None = half.cavities[at][1] if at < len(half.cavities) else ()
        if true == ():
            total += log(1 - ADDED) if seen == () else log(ADDED) + log(_common(seen or (), common))
        elif seen == ():
            total += log(TORN)
        else:
            total += log(1 - TORN) + log(_read_as(true, seen, common))
    return total


def _any_order(half: _Half, wires: Sequence[ColourNames | None], common: Mapping[ColourNames, float]) -> float:
    """The best matching of what is seen with what the plug has; the rest was torn off or added.

    Wires of one colour are matched first; only what is left is a question.
    """
    if not wires:
        return 0.0
    true, torn = half.wires, log(TORN)
    equal = Counter(true) & Counter(wires)
    total = sum(count * (log(1 - TORN) + log(_read_as(names, names, common))) for names, count in equal.items())
    mine, seen = (list((Counter(all_) - equal).elements()) for all_ in (true, wires))
    added = [log(ADDED) + (log(_common(names, common)) if names is not None else 0.0) for names in seen]
    # matching a wire saves its having been torn off
    gain = [[log(max(_read_as(own, names, common), 1e-12)) + log(1 - TORN) - torn for own in mine] for names in seen]
    total += torn * len(mine) + (_greedy if len(mine) * len(seen) > MOST_EXACT else _best)(gain, added)
    return total - lgamma(len(wires) + 1) + _equal_matchings(true, wires)


def _best(gain: Sequence[Sequence[float]], added: Sequence[float]) -> float:
    """The most that the wires left can gain together, each matched or said to be added [1]_."""
    never = 60.0  # nats; a column is another wire's own for being added
    cost = [
        [-one for one in row] + [-added[n] if n == own else never for n in range(len(added))]
        for own, row in enumerate(gain)
    ]
    return -sum(cost[row][column] for row, column in enumerate(least_cost(cost)))


def _greedy(gain: Sequence[Sequence[float]], added: Sequence[float]) -> float:
    """The same, wire by wire: for plugs so unlike what is seen that it does not matter how unlike."""
    free = set(range(len(gain[0])))
    total = 0.0
    for row, alone in zip(gain, added, strict=True):
        best = max(sorted(free), key=lambda column: row[column], default=None)
        if best is not None and row[best] > alone:
            free.discard(best)
            total += row[best]
        else:
            total += alone
    return total


def _equal_matchings(true: Sequence[ColourNames | None], seen: Sequence[ColourNames | None]) -> float:
    """The log of how many matchings are as good as the best: wires of one colour may be exchanged."""
    held, shown = Counter(true), Counter(seen)
    total = 0.0
    for names, count in shown.items():
        more, fewer = max(held[names], count), min(held[names], count)
        total += lgamma(more + 1) - lgamma(more - fewer + 1)
    return total


def _background(question: PlugQuestion, halves: Sequence[_Half], common: Mapping[ColourNames, float]) -> float:
    """The likelihood under a plug of no car given: as common as its size and colours are."""
    total = 0.0
    if question.housing_colour is not None:
        total += log(1 / 8)
    if question.half is not None:
        total += log(1 / 2)
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


def _next_look(top: Sequence[Candidate], halves: Sequence[_Half], question: PlugQuestion) -> Observation | None:
    """The one observation that is expected to tell the top candidates apart best."""
    by_id = {(half.number, half.row.id): half for half in halves}
    weighed = [(by_id[one.number, one.connectors[0]], one.probability) for one in top]
    if len(weighed) < 2:
        return None
    top_halves = [half for half, _ in weighed]
    weight = [share for _, share in weighed]
    single = all(len(one.connectors) == 1 for one in top)
    looks = [look for look in _looks(top_halves, question, single=single) if len(set(look.seen)) > 1]
    return max(looks, key=lambda look: round(_gain(look, weight), 9), default=None)


def _gain(look: Observation, weight: Sequence[float]) -> float:
    """The entropy of what would be seen: the more even the answers, the more one tells."""
    share: dict[str, float] = defaultdict(float)
    for seen, part in zip(look.seen, weight, strict=True):
        share[seen] += part
    total = sum(share.values()) or 1.0
    return -sum(part / total * log(part / total) for part in share.values() if part > 0)


def _looks(halves: Sequence[_Half], question: PlugQuestion, *, single: bool) -> Iterator[Observation]:
    """What could be looked at: facts that all the halves have written down and nobody asked about yet.

    Pins or sockets tells plugs apart only where every answer is a ``single`` half: a mated pair has both.
    """
    facts: dict[str, list[str | None]] = {
        "the colour of the housing": [half.row.housing_colour for half in halves],
        "whether it holds pins or sockets": [
            half.half if single and question.half is None else None for half in halves
        ],
        "how many cavities it has": [str(len(half.cavities)) for half in halves],
        "the coding of the housing": [half.row.keyway for half in halves],
    }
    if not single or question.half is not None:
        del facts["whether it holds pins or sockets"]
    if question.housing_colour is not None:
        del facts["the colour of the housing"]
    if question.cavities is not None:
        del facts["how many cavities it has"]
    yield from (_observation(what, seen) for what, seen in facts.items() if None not in seen)
    for at in range(0 if question.in_order else min(len(half.cavities) for half in halves)):
        cells = [half.cavities[at] for half in halves]
        if len({name for name, _ in cells}) == 1 and all(names is not None for _, names in cells):
            yield _observation(
                f"the wire in cavity {cells[0][0]}", ["/".join(names or ()) or "empty" for _, names in cells]
            )
    places = [half.row.at for half in halves]
    if question.at is None and None not in places:
        yield _observation("where in the car it lies", places)


def _observation(what: str, seen: Sequence[str | None]) -> Observation:
    return Observation(what, tuple(one or "" for one in seen))
