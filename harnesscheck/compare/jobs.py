"""Findings that one job mends: contacts of one plug that are each in another cavity are re-pinned together.

A person takes the plug apart once. So what is only in the wrong cavity is one finding a
plug, with every contact's place in its evidence; and whatever meets something
else for that reason names the cavity that its contact belongs in. What meets what stays one finding a
contact, for each may burn by itself; a report for people gathers those as well (``gathered_for_people``).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.finding.findings import Evidence, Finding, Spot, in_order, least, make_finding
from harnesscheck.compare.finding.sentences import SENTENCES

_Place = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Job:
    """Findings that a report tells as one, the first for all; ``words`` is the work that mends them all."""

    first: Finding
    others: tuple[Finding, ...] = ()
    words: str = ""

    @property
    def all(self) -> tuple[Finding, ...]:
        """Every finding of it."""
        return (self.first, *self.others)


def with_jobs(findings: Iterable[Finding], pairs: Pairs, word: str = "shell") -> list[Finding]:
    """Findings in order, moved contacts gathered by plug, and what moves told where it belongs.

    ``word`` is what the other car is called.
    """
    found = list(findings)
    goals = {(one.donor.connector, one.donor.cavity): one.shell for one in found if one.kind == "moved-pin"}
    plugs: dict[_Place, list[Finding]] = defaultdict(list)
    kept: list[Finding] = []
    for one in found:
        if one.kind == "moved-pin" and _is_in_its_plug(one, pairs):
            plugs[one.donor.connector, one.shell.connector].append(one)
        else:
            kept.append(_with_goal(one, goals))
    return in_order([*kept, *(_gathered(in_order(group), word) for group in plugs.values())])


def _is_in_its_plug(one: Finding, pairs: Pairs) -> bool:
    """Whether a contact only changes its cavity in the plug that its own is paired with."""
    pair = pairs.connector.get(one.donor.connector)
    in_plug = pair is not None and pair.shell == one.shell.connector
    return in_plug and bool(one.donor.cavity and one.shell.cavity) and not one.evidence.as_found


def _with_goal(one: Finding, goals: Mapping[_Place, Spot]) -> Finding:
    """A finding that says "move the contact", with the cavity to move it to."""
    words = SENTENCES[one.kind]
    goal = goals.get((one.donor.connector, one.donor.cavity))
    if goal is None or not words.move:
        return one
    return replace(one, do=one.do.replace(words.do, words.move.format(to=goal), 1))


def _gathered(moved: Sequence[Finding], word: str) -> Finding:
    """One finding for the contacts of one plug that moved within it."""
    first = moved[0]
    do = first.do.replace(SENTENCES["moved-pin"].do, _do(moved, word), 1)
    if len(moved) == 1:
        return replace(first, do=do)
    evidence = Evidence(
        hybrid=first.evidence.hybrid,
        differences=tuple(one.text for one in moved),
        places=tuple((one.donor, one.shell) for one in moved),
        read_at=tuple(dict.fromkeys(at for one in moved for at in one.evidence.read_at or ())),
        repinned_together=all(one.evidence.repinned_together for one in moved),
        hands_off=first.evidence.hands_off,
    )
    parts = (first.donor_component, first.shell_component)
    return make_finding(
        "moved-pin",
        least(*(one.certainty for one in moved)),
        Spot(first.donor.connector),
        Spot(first.shell.connector),
        parts=parts if all((one.donor_component, one.shell_component) == parts for one in moved) else ("", ""),
        evidence=evidence,
        text=f"{len(moved)} contacts have their circuits in other cavities there: {_said(moved)}.",
        do=do,
    )


def _said(moved: Sequence[Finding]) -> str:
    """The same as a fact; in a plug that only a licensed person opens no work is named before who does it."""
    if not moved[0].evidence.hands_off:
        return _words(moved)
    places = (f"{one.donor.cavity} in {one.shell.cavity}" for one in moved)
    return f"those of {moved[0].donor.connector}, {', '.join(places)}"


def _words(moved: Sequence[Finding]) -> str:
    """The work on the donor's plug: ``re-pin C15: 3 to 4, 4 to 5, 5 to 3``."""
    return _repin(moved[0].donor.connector, [(one.donor.cavity, one.shell.cavity) for one in moved])


def _do(moved: Sequence[Finding], word: str) -> str:
    """The work on either of the two plugs; one of them is enough."""
    ours, theirs = _words(moved), [(one.shell.cavity, one.donor.cavity) for one in moved]
    other = _repin(moved[0].shell.connector, theirs)
    return f"On the donor's plug, {ours}; or instead, on the {word}'s, {other}."


def _repin(plug: str, moves: Iterable[_Place]) -> str:
    return f"re-pin {plug}: {', '.join(f'{here} to {to}' for here, to in moves)}"


# -- for people


def moves_in(finding: Finding) -> tuple[tuple[Spot, Spot], ...]:
    """Of a finding about moved contacts, each one's place in the donor and in the shell; () for any other finding."""
    if finding.kind != "moved-pin":
        return ()
    return finding.evidence.places or ((finding.donor, finding.shell),)


def gathered_for_people(findings: Sequence[Finding]) -> list[Job]:
    """Findings as a person wants them: what one re-pinning of a plug mends stands in one line.

    Contacts that are crossed, and nothing worse, are told together where one job moves
    them all; the job is not told again where nothing else needs it.
    """
    jobs = {one.donor.connector: one for one in findings if len(moves_in(one)) > 1 and not one.accepted}
    crossed: dict[tuple[str, int], list[Finding]] = defaultdict(list)
    for one in findings:
        job = jobs.get(one.donor.connector)
        if one.kind == "crossed" and not one.accepted and job is not None and _moves(job, one.donor):
            crossed[one.donor.connector, one.certainty].append(one)
    several = {key: group for key, group in crossed.items() if len(group) > 1}
    gathered = {id(group[0]): group for group in several.values()}
    told = {id(one) for group in several.values() for one in group[1:]}
    at = {(one.donor.connector, one.donor.cavity) for group in several.values() for one in group}
    told |= {id(job) for plug, job in jobs.items() if all((plug, here.cavity) in at for here, _ in moves_in(job))}
    return [
        Job(one, tuple(gathered[id(one)][1:]), jobs[one.donor.connector].do) if id(one) in gathered else Job(one)
        for one in findings
        if id(one) not in told
    ]


def _moves(job: Finding, spot: Spot) -> bool:
    return any(here.cavity == spot.cavity for here, _ in moves_in(job))
