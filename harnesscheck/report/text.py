"""The terminal report: worst first, by meeting place, 80 columns, no colour needed."""

from __future__ import annotations

import textwrap
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.built import BuiltComparison
from harnesscheck.compare.compare import Comparison
from harnesscheck.compare.finding.findings import Finding, Spot
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.report.built import built_lines
from harnesscheck.report.pairing import PLAIN, Shown, said_first, said_last
from harnesscheck.report.paragraphs import WIDTH, wrapped
from harnesscheck.report.since import Since
from harnesscheck.report.stops import stop_lines
from harnesscheck.report.verdict import verdict_for

_HEADS = {
    Severity.INJURY: "INJURY - can burn or hurt",
    Severity.DAMAGE: "DAMAGE - something is destroyed",
    Severity.DEAD: "DEAD - something does not work",
    Severity.REWORK: "REWORK - goes in after some work",
    Severity.NOTE: "NOTES",
}


def comparison_text(result: Comparison, *, notes: bool = False, since: Since | None = None) -> str:
    """The whole report. ``notes`` prints every note in full instead of a list by kind."""
    donor, shell = result.donor.vehicle, result.shell.vehicle
    verdict = verdict_for(result)
    built = built_lines(result) if isinstance(result, BuiltComparison) else None
    lines = [_car("donor", donor)]
    lines += [_car("shell", shell)] if built is None else [line for text in built for line in wrapped(text)]
    lines += ["", *stop_lines(result.donor, result.shell)]
    lines += wrapped(verdict.sentence)
    lines += [counts_line(verdict.counts, verdict.accepted), ""]
    lines += _shown(said_first(result.pairs))
    if since is not None:
        lines += _since_lines(since)
    for severity in Severity:
        chosen = [finding for finding in result.findings if finding.severity is severity and not finding.accepted]
        if not chosen:
            continue
        lines += [_HEADS[severity], "=" * len(_HEADS[severity])]
        if severity is Severity.NOTE and not notes:
            lines += [*_note_lines(chosen), ""]
        else:
            lines += list(_by_place(chosen, donor, shell, result.pairs))
    accepted = [finding for finding in result.findings if finding.accepted]
    if accepted:
        lines += ["ACCEPTED", "========"]
        for finding in accepted:
            lines += wrapped(f"{finding.donor} {finding.kind} [{finding.id}]: {finding.accepted}", "  ")
        lines.append("")
    lines += ["HOW THE PLUGS WERE PAIRED", "========================="]
    lines += _shown(said_last(result.pairs, donor, shell, result.word))
    lines += coverage_lines(result)
    return "\n".join(lines) + "\n"


def _car(word: str, vehicle: Vehicle) -> str:
    path = vehicle.netlist.header.file.path
    return f"{word}: {vehicle.name}" + (f" ({path})" if path and path != vehicle.name else "")


def counts_line(counts: Mapping[str, int], accepted: int) -> str:
    """``2 injury, 1 damage, 4 dead, 9 rework, 12 note``."""
    text = ", ".join(f"{number} {word}" for word, number in counts.items())
    return text + (f"; {accepted} accepted" if accepted else "")


def _shown(groups: Iterable[Shown]) -> list[str]:
    """A heading, its lines, how many more there are, a blank line."""
    lines: list[str] = []
    for group in groups:
        lines += wrapped(group.head)
        for text in group.lines:
            lines += textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)
        lines += [f"  and {group.left} more (harnesscheck crosswalk lists them all)"] if group.left else []
        lines.append("")
    return lines


def _since_lines(since: Since) -> list[str]:
    lines = [f"Since the older report: {len(since.new)} new, {len(since.gone)} gone, {len(since.unchanged)} unchanged"]
    for gone in since.gone:
        lines += wrapped(f"gone: {gone.get('kind', '')} {gone.get('text', '')} [{gone.get('id', '')}]", "  ")
    for finding in since.new:
        lines += wrapped(f"new: {finding.donor} {finding.kind} [{finding.id}]", "  ")
    return [*lines, ""]


def _by_place(findings: Sequence[Finding], donor: Vehicle, shell: Vehicle, pairs: Pairs | None = None) -> Iterator[str]:
    places: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in findings:
        places[finding.donor.connector, "" if finding.donor.connector else finding.shell.connector].append(finding)
    for (connector, other), group in places.items():
        yield from wrapped(_place_head(connector, other, group, donor, shell))
        pair = pairs.connector.get(connector) if pairs is not None else None
        if pair is not None and pair.why not in PLAIN:
            yield from wrapped(f"Paired with {pair.shell}, {pair.confidence * 100:.0f} %: {pair.why}.", "  ")
        for finding in group:
            yield from _finding_lines(finding)
        yield ""


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


def _circuits(donor: Spot, shell: Spot) -> str:
    if donor.circuit == shell.circuit:
        return donor.circuit
    return f"{donor.circuit or 'nothing'} / {shell.circuit or 'nothing'}"


def _finding_lines(finding: Finding) -> Iterator[str]:
    place = finding.donor if finding.donor.connector else finding.shell
    doubt = "" if finding.certainty is Certainty.KNOWN else f" ({finding.certainty.word})"
    circuits = _circuits(finding.donor, finding.shell)
    head = "  ".join(part for part in (place.cavity, finding.kind + doubt, circuits) if part)
    yield f"  {head}  [{finding.id}]"
    yield from wrapped(finding.text, "     ")
    yield from wrapped(f"Do: {finding.do}", "     ")


def _note_lines(findings: Iterable[Finding]) -> Iterator[str]:
    kinds: dict[str, list[str]] = defaultdict(list)
    for finding in findings:
        place = finding.donor if finding.donor.connector else finding.shell
        where = str(place) if place.connector else finding.shell_component or "-"
        kinds[finding.kind].append(where if place.cavity or not place.circuit else f"{where} {place.circuit}")
    for kind, places in kinds.items():
        yield from textwrap.wrap(
            f"{kind} ({len(places)}): {', '.join(places)}",
            WIDTH,
            initial_indent="  ",
            subsequent_indent="    ",
            break_long_words=False,
            break_on_hyphens=False,
        )


def coverage_lines(result: Comparison) -> list[str]:
    """How much is documented, what could not be judged, and the caution that stands under everything."""
    lines = ["WHAT THIS RESTS ON", "=================="]
    for word, car in (("donor", result.coverage.donor), (result.word, result.coverage.shell)):
        lines += wrapped(
            f"{word}: {car.documented} of {car.cavities} cavities documented ({car.percent} %), "
            f"{car.connectors} plug halves, {car.components} components",
            "  ",
        )
    count = result.coverage.connectors_paired
    lines += wrapped(f"{count} plug halves paired, {result.coverage.connectors_likely} of them not for certain", "  ")
    lines.append("Not judged:")
    for one in result.coverage.unjudged:
        lines += textwrap.wrap(one.text, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    lines += [""]
    lines += wrapped(
        "Battery off before any plug is opened, negative first. This is an aid, not an approval: the maker's "
        "procedure, local law and inspection rules stand above it."
    )
    return lines
