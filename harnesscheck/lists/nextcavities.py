"""Which few cavities, written down next, settle most open questions.

A cavity that nobody wrote down leaves questions open: what is in it, what the contact
that it meets leads to, which parts that circuit reaches, and what a compare with another
car could not say there. A few cavities are chosen one after the other, each the one
that settles most of what is still open. Questions settled by a set of cavities are a weighted
coverage, monotone and submodular, so the greedy choice of k settles at least 1 - 1/e (63 %) of
what the best k would [1]_.

References
----------
.. [1] G. L. Nemhauser, L. A. Wolsey, M. L. Fisher, "An analysis of approximations for
   maximizing submodular set functions I", Mathematical Programming 14 (1978), 265-294.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.compare.coverage import cavities_of_plug, is_documented
from harnesscheck.compare.finding.cavitywords import end_words
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.model.order import natural_key
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.sides import FEEDS, Label, Study

MOST = 8  # cavities asked for
MOST_REASONS = 4
_RAILS = FEEDS | {Label.GROUND}
Spot = tuple[str, str, str]  # car, connector, cavity
Question = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NextCavity:
    """A cavity to write down: of which car, what it settles that nothing before it does, and how much that counts."""

    car: str
    place: str
    gain: int
    settles: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """One line for a person."""
        return f"{self.place}: {shortened(self.settles, MOST_REASONS, '; ')}"


def next_cavities(
    cars: Mapping[str, Study], findings: Sequence[Finding] = (), most: int = MOST
) -> tuple[NextCavity, ...]:
    """The cavities of some cars that settle most, in the order in which to write them down.

    ``findings`` are those of a compare of the cars ``donor`` and ``shell``.
    """
    open_at = {
        (word, connector, cavity): dict(_questions(study, connector, cavity))
        for word, study in cars.items()
        for connector, cavity in _unwritten(study)
    }
    for finding in findings:
        for spot in _spots(cars, finding):
            if spot in open_at:
                open_at[spot][_of_finding(finding)] = _words_of(finding)
    weights = {one: _weight(one) for questions in open_at.values() for one in questions}
    chosen = greedy_cover({spot: frozenset(questions) for spot, questions in open_at.items()}, weights, most)
    return tuple(
        NextCavity(spot[0], f"{spot[1]}:{spot[2]}", gain, _told(open_at[spot], new)) for spot, new, gain in chosen
    )


def greedy_cover(
    sets: Mapping[Spot, frozenset[Question]], weights: Mapping[Question, int], most: int
) -> list[tuple[Spot, frozenset[Question], int]]:
    """At most ``most`` sets, each the one that adds most weight to those before it; ties by natural order.

    With each: what it adds, and the weight of that. A set that adds nothing is not chosen.
    """
    found: list[tuple[Spot, frozenset[Question], int]] = []
    left = dict(sorted(sets.items(), key=lambda one: tuple(natural_key(part) for part in one[0])))
    settled: frozenset[Question] = frozenset()
    while left and len(found) < most:
        gains = {spot: sum(weights[one] for one in questions - settled) for spot, questions in left.items()}
        best = max(gains, key=lambda spot: gains[spot])
        if not gains[best]:
            break
        found.append((best, left.pop(best) - settled, gains[best]))
        settled |= sets[best]
    return found


# -- what is open


def _unwritten(study: Study) -> Iterator[tuple[str, str]]:
    """The cavities of which nobody wrote down what is in them; never those of restraint and high-voltage plugs."""
    for connector in study.vehicle.connectors:
        if study.hands_off.plug(connector):
            continue
        for cavity in cavities_of_plug(study, connector):
            if not is_documented(study, connector, cavity):
                yield connector, cavity


def _questions(study: Study, connector: str, cavity: str) -> Iterator[tuple[Question, str]]:
    """What is not known for want of one cavity, each with words for a person."""
    mate = study.vehicle.mate_of.get(connector)
    yield ("in", min(connector, mate or connector), cavity), "what is in it"
    facing = study.index.piece(mate, cavity) if mate is not None else None
    if mate is None or facing is None:
        return
    side = study.piece_side(facing, None)
    names = ", ".join(side.circuits[:1] or side.functions[:1])
    called = f" ({names})" if names else ""
    rail = "rail" if side.label in _RAILS else "wire"
    if rail == "rail":
        words = f"what {side.label.value}{called} at {mate}:{cavity} meets: it may burn"
    else:
        words = f"where the wire at {mate}:{cavity}{called} goes on"
    yield (rail, mate, cavity), words
    ends = sorted({(end.component, end.name) for end in side.terminals}, key=lambda one: tuple(map(natural_key, one)))
    reached = end_words(study, side)
    for component, name in ends:
        yield ("part", component, name), f"what works or feeds {reached}"


def _spots(cars: Mapping[str, Study], finding: Finding) -> Iterator[Spot]:
    """The cavities of both cars that a finding which is not certain hangs on, both halves of the plug."""
    if finding.certainty is Certainty.KNOWN or not finding.donor.cavity:
        return
    for word, spot in (("donor", finding.donor), ("shell", finding.shell)):
        study = cars.get(word)
        if study is not None and spot.connector:
            for half in (spot.connector, study.vehicle.mate_of.get(spot.connector, "")):
                yield word, half, spot.cavity


def _of_finding(finding: Finding) -> Question:
    return "finding", finding.id, finding.severity.word, finding.kind


def _words_of(finding: Finding) -> str:
    if finding.kind == "not-documented":
        return f"what {finding.donor} would face in the other car [{finding.id}]"
    return f"whether {finding.donor} is {finding.kind} ({finding.severity.word}) for certain [{finding.id}]"


def _weight(question: Question) -> int:
    """How much a question counts: what may burn before what may be dead before what is only not known."""
    if question[0] == "finding":
        return {Severity.INJURY.word: 8, Severity.DAMAGE.word: 6, Severity.DEAD.word: 4}.get(question[2], 3)
    return {"in": 1, "rail": 3, "wire": 2, "part": 1}[question[0]]


def _told(words: Mapping[Question, str], new: Iterable[Question]) -> tuple[str, ...]:
    """The reasons, the weightiest first, each once."""
    ordered = sorted(new, key=lambda one: (-_weight(one), one))
    return tuple(dict.fromkeys(words[one] for one in ordered))
