"""Which cars of a folder may exchange their looms: promising pairs judged each way, groups of what is interchangeable.

Only a pair of which one is among the likest of the other is judged. A group holds
cars that are joined by pairs which exchange both ways; where every two of it were
judged, every contact known, that is known, else it is likely. No two of one
group were judged and found not to exchange.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import permutations, product
from pathlib import Path

from harnesscheck.model.progress import Told, silent
from harnesscheck.yard.cache import NO_CACHE, Cache
from harnesscheck.yard.cars import PLAINLY, HowToRead
from harnesscheck.yard.fingerprint import packed
from harnesscheck.yard.judge import Outcome, Task, with_key
from harnesscheck.yard.prints import Prints, Unread, prints_of
from harnesscheck.yard.running import Judge, run
from harnesscheck.yard.shortlist import Library


@dataclass(frozen=True, slots=True)
class PairsQuestion:
    """The cars by file, how many of its likest each is judged with, and how."""

    cars: tuple[str, ...]
    best: int = 3
    how: HowToRead = PLAINLY
    cache: Cache = NO_CACHE
    processes: int = 1


@dataclass(frozen=True, slots=True)
class ExchangeGroup:
    """Cars whose looms may be exchanged, by file name.

    ``judged`` is whether every two of them were, ``unknown`` how many contacts of two of them are not known at most.
    """

    cars: tuple[str, ...]
    judged: bool
    unknown: int

    @property
    def known(self) -> bool:
        """Whether it is more than likely."""
        return self.judged and not self.unknown


@dataclass(frozen=True, slots=True)
class Way:
    """One car's looms in another's place, by file name, and what that does."""

    giver: str
    taker: str
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class GroupEdge:
    """Two groups, by number from 0, and what differs least of all their pairs judged: there and back."""

    a: int
    b: int
    there: Way
    back: Way

    @property
    def least(self) -> Outcome:
        """The smaller of both ways."""
        return min(self.there.outcome, self.back.outcome, key=difference)


@dataclass(frozen=True, slots=True)
class AllPairs:
    """Every way judged, the groups and what lies between them, the files that could not be read.

    ``digest`` is of everything that was read, twelve hexadecimal digits.
    """

    cars: tuple[str, ...]
    ways: tuple[Way, ...]
    groups: tuple[ExchangeGroup, ...]
    edges: tuple[GroupEdge, ...]
    unread: tuple[Unread, ...]
    digest: str


def difference(outcome: Outcome) -> tuple[int, ...]:
    """How much an exchange does, for ordering: what is grave first."""
    return (outcome.injury, outcome.damage, outcome.dead, outcome.rework, outcome.doubtful, outcome.unknown)


def goes_in(outcome: Outcome) -> bool:
    """Whether nothing was found of an exchange that wants work; likely so where some contacts are not known."""
    return not outcome.repairs and not outcome.doubtful


def all_pairs(question: PairsQuestion, told: Told = silent, judge: Judge | None = None) -> AllPairs:
    """Judge the promising pairs of some cars both ways. Bad files are listed and stop nothing."""
    yard = prints_of(question.cars, question.how, question.cache, told)
    paths = list(yard.read)
    promising = sorted(_promising(Library(list(yard.read.values())).alike(question.best)))
    tasks = [
        _task(question, paths[giver], paths[taker], yard.contents)
        for pair in promising
        for giver, taker in (pair, pair[::-1])
    ]
    ways, unread = [], {one.path: one for one in yard.unread}
    for at, outcome in run(tasks, question.processes, told, judge):
        if isinstance(outcome, Outcome):
            ways.append(Way(outcome.name, Path(tasks[at].shell).name, outcome))
        else:  # it was there when it was fingerprinted
            name = Path(tasks[at].donor).name
            unread[name] = Unread(name, tuple(outcome))
    cars = tuple(name for path in paths if (name := Path(path).name) not in unread)
    ways.sort(key=lambda one: (cars.index(one.giver), cars.index(one.taker)))
    groups = tuple(_groups(cars, ways))
    edges, faults = tuple(_edges(groups, ways)), tuple(unread[one] for one in sorted(unread))
    return AllPairs(cars, tuple(ways), groups, edges, faults, _digest(yard))


def _digest(yard: Prints) -> str:
    made = sha256()
    for path, one in yard.read.items():
        made.update(Path(path).name.encode() + packed(one))
    return made.hexdigest()[:12]


def _promising(alike: Sequence[Sequence[int]]) -> set[tuple[int, int]]:
    """The pairs of which one is among the likest of the other, each once."""
    return {(min(one, other), max(one, other)) for one, likest in enumerate(alike) for other in likest}


def _task(question: PairsQuestion, giver: str, taker: str, contents: dict[str, str | None]) -> Task:
    both = (contents[giver], contents[taker])
    return with_key(Task(giver, taker, question.how, exchange=True, contents=both, cache=question.cache))


def _groups(cars: Sequence[str], ways: Sequence[Way]) -> Iterator[ExchangeGroup]:
    """The groups, by their first car; two are one unless a pair of them was judged and does not exchange."""
    outcomes = {(one.giver, one.taker): one.outcome for one in ways}
    free = {pair: goes_in(outcome) for pair, outcome in outcomes.items()}
    group = {car: [car] for car in cars}
    for a, b in free:
        ours, theirs = group[a], group[b]
        if ours is theirs or not (free[a, b] and free.get((b, a))):
            continue
        if all(free.get(one, True) for x, y in product(ours, theirs) for one in ((x, y), (y, x))):
            ours += theirs
            group |= dict.fromkeys(theirs, ours)
    at = {car: number for number, car in enumerate(cars)}
    for members in {id(one): one for one in group.values()}.values():
        members.sort(key=at.__getitem__)
        among = [pair for pair in permutations(members, 2) if pair in outcomes]
        unknown = max((outcomes[pair].unknown for pair in among), default=0)
        yield ExchangeGroup(tuple(members), len(among) == len(members) * (len(members) - 1), unknown)


def _edges(groups: Sequence[ExchangeGroup], ways: Iterable[Way]) -> Iterator[GroupEdge]:
    """For each two groups of which a pair was judged, the least that was found each way."""
    at = {car: number for number, group in enumerate(groups) for car in group.cars}
    least: dict[tuple[int, int], Way] = {}
    for one in ways:
        pair = at[one.giver], at[one.taker]
        if pair not in least or difference(one.outcome) < difference(least[pair].outcome):
            least[pair] = one
    for a, b in sorted(pair for pair in least if pair[0] < pair[1]):
        if (b, a) in least:
            yield GroupEdge(a, b, least[a, b], least[b, a])


def nearest(groups: int, edges: Sequence[GroupEdge]) -> list[GroupEdge]:
    """The edges worth drawing: those that are free one way, and the least that keep together what is joined at all.

    The latter are a minimum spanning forest (J. B. Kruskal, Proc. AMS 7, 1956).
    """
    tree = list(range(groups))

    def root(one: int) -> int:
        """The group that stands for all that are joined to one."""
        while tree[one] != one:
            one = tree[one] = tree[tree[one]]
        return one

    kept = set()
    for edge in sorted(edges, key=lambda one: (difference(one.least), one.a, one.b)):
        a, b = root(edge.a), root(edge.b)
        if a != b or goes_in(edge.least):
            kept.add((edge.a, edge.b))
            tree[max(a, b)] = min(a, b)
    return [one for one in edges if (one.a, one.b) in kept]
