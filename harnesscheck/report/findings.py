"""Findings as blocks: a card each, under the plug they are at, the worst section first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.compare.finding.findings import Finding, Spot
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.compare.jobs import Job
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.report.blocks.vocabulary import AnyBlock, FindingCard, Paragraph, Passage, Section

PLAIN = frozenset({SAME_NAME, TAKEN_OVER})  # pairs that go without saying
SEVERITY_SAYS = {
    Severity.INJURY: "burns or hurts somebody",
    Severity.DAMAGE: "destroys a part",
    Severity.DEAD: "does not work",
    Severity.REWORK: "goes in after some work",
    Severity.NOTE: "worth knowing",
}
MakeCard = Callable[[Finding], FindingCard]


def severity_section(severity: Severity, *blocks: AnyBlock) -> Section:
    """What was found of one severity."""
    return Section(severity.word.capitalize(), blocks, SEVERITY_SAYS[severity], severity.word)


def finding_card(finding: Finding, second: str = "") -> FindingCard:
    """A finding under the head of its plug. ``second`` is what the other car is called, where there are two."""
    place = finding.donor if finding.donor.connector else finding.shell
    where = str(place) if place.connector else finding.donor_component or finding.shell_component
    sentences = SENTENCES[finding.kind]
    spots = (("Donor here", finding.donor), (f"{second.capitalize()} there", finding.shell)) if second else ()
    facts = (
        *((word, _spot_words(spot)) for word, spot in spots),
        ("What this means", sentences.means),
        ("How to check", sentences.check),
        *_evidence(finding),
    )
    return FindingCard(
        id=finding.id,
        severity=finding.severity.word,
        kind=finding.kind,
        mark=place.cavity,
        where=where,
        text=finding.text,
        do=finding.do,
        doubt="" if finding.certainty is Certainty.KNOWN else finding.certainty.word,
        circuits=_circuits(finding.donor, finding.shell) if second else finding.donor.circuit,
        facts=tuple(fact for fact in facts if fact[1]),
    )


def of_all(card: FindingCard, job: Job) -> FindingCard:
    """The card of the first finding of a job, telling of all of them; ``also`` has the others' ids."""
    spots = [one.donor for one in job.all]
    cavities = ", ".join(spot.cavity for spot in spots)
    each = " ".join(f"{one.donor.cavity}: {one.text}" for one in job.all)
    return replace(
        card,
        mark=cavities,
        where=f"{spots[0].connector}:{cavities}",
        text=f"{len(job.all)} contacts are in other cavities there. {each}",
        do=job.words,
        circuits="",
        facts=tuple(fact for fact in card.facts if fact[0] in ("What this means", "How to check")),
        also=tuple(one.id for one in job.others),
    )


def _circuits(donor: Spot, shell: Spot) -> str:
    if donor.circuit == shell.circuit:
        return donor.circuit
    return f"{donor.circuit or 'nothing'} / {shell.circuit or 'nothing'}"


def _spot_words(spot: Spot) -> str:
    place = f"{spot.connector} cavity {spot.cavity}" if spot.cavity else spot.connector
    return ", ".join(filter(None, (place, f"circuit {spot.circuit}" if place and spot.circuit else spot.circuit)))


def _evidence(finding: Finding) -> Iterator[tuple[str, str]]:
    evidence = finding.evidence
    if evidence.judged_for:
        yield "Judged for", evidence.judged_for
    if evidence.differences:
        yield "What differs", "; ".join(evidence.differences)
    if evidence.live:
        yield "Live", "with the key off" if evidence.live_key_off else "with the key on"
    if evidence.read_at:
        yield "Read at", ", ".join(evidence.read_at)
    yield "Accepted", finding.accepted


# -- by place


def by_plug(
    findings: Sequence[Finding], donor: Vehicle, shell: Vehicle, make: MakeCard, pairs: Pairs | None = None
) -> tuple[Passage, ...]:
    """Findings under the plug they are at, in their own order; what a doubtful pair of plugs rests on is said there."""
    places: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in findings:
        places[finding.donor.connector, "" if finding.donor.connector else finding.shell.connector].append(finding)
    passages = []
    for (connector, other), group in places.items():
        head = _place_head(connector, other, group, donor, shell)
        passages.append(Passage((*_paired(connector, pairs), *map(make, group)), head))
    return tuple(passages)


def _paired(connector: str, pairs: Pairs | None) -> Iterator[Paragraph]:
    pair = pairs.connector.get(connector) if pairs is not None else None
    if pair is not None and pair.why not in PLAIN:
        yield Paragraph(f"Paired with {pair.shell}, {pair.confidence * 100:.0f} %: {pair.why}.")


def _place_head(connector: str, other: str, group: Sequence[Finding], donor: Vehicle, shell: Vehicle) -> str:
    row = donor.connectors.get(connector) or shell.connectors.get(other)
    head = connector or (f"shell's {other}" if other else "Whole car")
    partner = next((finding.shell.connector for finding in group if finding.shell.connector), "")
    if connector and partner and partner != connector:
        head += f" (shell: {partner})"
    mate = donor.mate_of.get(connector)
    if mate is not None:
        owner = donor.components.get(donor.connectors[mate].component or "")
        head += f" into {owner.name or owner.id}" if owner is not None else f" into {mate}"
    return head + (f", {row.at}" if row is not None and row.at else "")
