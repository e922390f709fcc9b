"""A compare as blocks: the answer, worst first, by plug, and what it all rests on."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from harnesscheck.compare.built import BuiltComparison
from harnesscheck.compare.compare import Comparison
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.finding.sentences import SAFETY
from harnesscheck.compare.jobs import Job, gathered_for_people
from harnesscheck.lists.rungs import next_sentence
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    AnyBlock,
    BriefOrFull,
    Caution,
    Facts,
    Figure,
    FindingCard,
    Folded,
    Listing,
    Paragraph,
    Passage,
    Report,
    Section,
    Table,
    passage,
    present,
    section,
    table,
)
from harnesscheck.report.built import HERE_AND_THERE, built_facts
from harnesscheck.report.cars import car_words
from harnesscheck.report.document import shell_as_typed
from harnesscheck.report.findings import by_plug, finding_card, of_all, severity_section
from harnesscheck.report.pairing import said_first, said_last
from harnesscheck.report.since import Since
from harnesscheck.report.stops import stop_block
from harnesscheck.report.verdict import verdict_for

LAST_WORDS = (
    "Battery off before any plug is opened, negative first. This is an aid, not an approval: the maker's procedure, "
    "local law and inspection rules stand above it."
)
BEFORE = "Before you touch anything: battery off, negative first; restraint and high voltage are out of bounds"


@dataclass(frozen=True, slots=True)
class ComparisonFigures:
    """The drawings of a compare: by the id of the finding that shows them first, the overview, their font.

    ``beside`` names, for a finding drawn together with an earlier one, that finding's id.
    """

    by_finding: Mapping[str, tuple[Figure, ...]] = field(default_factory=dict)
    overview: tuple[Figure, ...] = ()
    beside: Mapping[str, str] = field(default_factory=dict)
    font_css: str = ""


def comparison_report(
    result: Comparison,
    inputs: Mapping[str, Any],
    figures: ComparisonFigures | None = None,
    fuses: Table | None = None,
    *,
    notes: bool = False,
    since: Since | None = None,
) -> Report:
    """The whole report. ``notes`` gives a terminal every note in full; ``fuses`` is the map of all fuses."""
    shown = figures or ComparisonFigures()
    verdict = verdict_for(result)
    built = isinstance(result, BuiltComparison)
    jobs = gathered_for_people([one for one in result.findings if not one.accepted])
    counts = Counter(job.first.severity for job in jobs)
    blocks = present(
        stop_block(result.donor, result.shell),
        Answer(
            verdict.sentence,
            counts=tuple((severity.word, counts[severity]) for severity in Severity),
            accepted=verdict.accepted,
        ),
        passage(Paragraph(HERE_AND_THERE)) if built else None,
        BriefOrFull((), (Folded(BEFORE, (Listing(SAFETY),)),)),
        *said_first(result.pairs),
        _since(since) if since is not None else None,
        BriefOrFull((), (Section("The car", shown.overview),)) if shown.overview else None,
        *(_severity(result, severity, jobs, shown, notes=notes) for severity in Severity),
        _accepted(result, shown),
        BriefOrFull((), (_fuses(fuses),)) if fuses is not None and fuses.rows else None,
        section(
            "How the plugs were paired",
            *said_last(result.pairs, result.donor.vehicle, result.shell.vehicle, result.word),
        ),
        _rests(result),
        section("What would tell more", Paragraph(_next(result))),
        Caution((LAST_WORDS,)),
    )
    title = f"{result.donor.vehicle.name} and {result.shell.vehicle.name}"
    return Report(title, tuple(_about(result)), blocks, inputs, shown.font_css)


def _next(result: Comparison) -> str:
    """What to write down next: before anything else, which plug of one car is which of the other."""
    cars = _cars(result)
    if result.pairs.connectors:
        return next_sentence(cars)
    ours, theirs = (next(iter(study.vehicle.connectors), "") for study in cars.values())
    return (
        "Next that would pay: which plug is which, in a file for --crosswalk: [crosswalk] and under it, say, "
        f'connector = {{ "{ours}" = "{theirs}" }}. `harnesscheck identify` names a plug by its colours. It settles '
        "whether anything can be compared at all."
    )


def _cars(result: Comparison) -> dict[str, Study]:
    """The two files that were typed."""
    return {"donor": result.donor, "shell": shell_as_typed(result)}


def _about(result: Comparison) -> Iterator[tuple[str, str]]:
    yield "donor", car_words(result.donor.vehicle)
    if isinstance(result, BuiltComparison):
        yield from built_facts(result)
    else:
        yield "shell", car_words(result.shell.vehicle)


def _since(since: Since) -> Passage | None:
    gone = [f"gone: {one.get('kind', '')} {one.get('text', '')} [{one.get('id', '')}]" for one in since.gone]
    new = [f"new: {one.donor} {one.kind} [{one.id}]" for one in since.new]
    head = f"Since the older report: {len(since.new)} new, {len(since.gone)} gone, {len(since.unchanged)} unchanged"
    return passage(Listing((*gone, *new), head))


# -- findings


def _severity(
    result: Comparison, severity: Severity, jobs: Sequence[Job], shown: ComparisonFigures, *, notes: bool
) -> AnyBlock:
    """What was found of one severity; a page says as well where it was nothing."""
    of_job = {job.first.id: job for job in jobs if job.first.severity is severity}
    chosen = [job.first for job in of_job.values()]
    if not chosen:
        return BriefOrFull((), (severity_section(severity, Paragraph("None found.")),))
    donor, shell = result.donor.vehicle, result.shell.vehicle
    cards = by_plug(chosen, donor, shell, lambda one: _job_card(result, of_job[one.id], shown), result.pairs)
    if severity is not Severity.NOTE:
        return severity_section(severity, *cards)
    brief = cards if notes else (Listing(tuple(_note_lines(chosen))),)
    return severity_section(severity, BriefOrFull(brief, (_note_table(chosen),)))


def _job_card(result: Comparison, job: Job, shown: ComparisonFigures) -> FindingCard:
    """A finding, or all that one job mends in one card."""
    card = _card(result, job.first, shown)
    return of_all(card, job) if job.others else card


def _card(result: Comparison, finding: Finding, shown: ComparisonFigures) -> FindingCard:
    drawn = shown.by_finding.get(finding.id, ())
    return replace(finding_card(finding, result.word), figures=drawn, beside=shown.beside.get(finding.id, ""))


def _note_lines(findings: Iterable[Finding]) -> Iterator[str]:
    """The places of each kind of note."""
    kinds: dict[str, list[str]] = defaultdict(list)
    for finding in findings:
        place = finding.donor if finding.donor.connector else finding.shell
        where = str(place) if place.connector else finding.shell_component or "-"
        kinds[finding.kind].append(where if place.cavity or not place.circuit else f"{where} {place.circuit}")
    for kind, places in kinds.items():
        yield f"{kind} ({len(places)}): {', '.join(places)}"


def _note_table(findings: Sequence[Finding]) -> Table:
    ordered = sorted(
        findings, key=lambda one: (one.kind, natural_key(one.donor.connector), natural_key(one.donor.cavity))
    )
    rows = [
        (one.kind.replace("-", " "), finding_card(one).where or "-", one.text, one.certainty.word) for one in ordered
    ]
    return table("Notes", ("kind", "where", "what", "certainty"), rows)


def _accepted(result: Comparison, shown: ComparisonFigures) -> Section | None:
    accepted = [one for one in result.findings if one.accepted]
    lines = tuple(f"{one.donor} {one.kind} [{one.id}]: {one.accepted}" for one in accepted)
    cards = tuple(_card(result, one, shown) for one in accepted)
    return section("Accepted", BriefOrFull((Listing(lines),), cards)) if accepted else None


# -- what lies beside them


def _fuses(fuses: Table) -> Section:
    """The fuses that are not the same in the shell; all of them are in the file beside the page."""
    changed = [row for row in fuses.rows if row[4] != "yes" or row[0] != row[2]]
    rows = [
        (slot, f"{rating} A", there or "none", f"{other} A" if other else "", feeds)
        for slot, rating, there, other, _, feeds, *_ in changed
    ]
    differ = table("Fuses that differ", ("donor", "#rating", "shell", "#its rating", "feeds"), rows)
    told = Paragraph(f"{len(changed)} of {len(fuses.rows)} fuses differ; fuse-map.csv has them all.")
    return Section("Which fuse is which", (told, differ) if rows else (told,))


def _rests(result: Comparison) -> Section | None:
    """How much is documented, and what could not be judged."""
    coverage = result.coverage
    rows = tuple(
        (
            word,
            f"{car.documented} of {car.cavities} cavities documented ({car.percent} %), {car.connectors} plug halves, "
            f"{car.components} components",
        )
        for word, car in (("donor", coverage.donor), (result.word, coverage.shell))
    )
    return section(
        "What this rests on",
        Facts(rows),
        Paragraph(
            f"{coverage.connectors_paired} plug halves paired, {coverage.connectors_likely} of them not for certain"
        ),
        Listing(tuple(one.text for one in coverage.unjudged), "Not judged:"),
    )
