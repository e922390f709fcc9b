"""The answer in one sentence, and the counts behind it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity

if TYPE_CHECKING:  # what has no comparison in its report does without loading it
    from harnesscheck.compare.compare import Comparison

SENTENCE = {
    Severity.INJURY: "Do not join these two cars as they are: something would burn or somebody be hurt.",
    Severity.DAMAGE: "Do not join these two cars as they are: a part would be damaged.",
    Severity.DEAD: "Joined as they are, something stays dead.",
    Severity.REWORK: "Nothing dangerous was found, but it does not just go in: there is work to do.",
    Severity.NOTE: "No difference was found that needs work.",
}
BUILT_SENTENCE = {
    **SENTENCE,
    Severity.INJURY: "Do not build it so: something would burn or somebody be hurt.",
    Severity.DAMAGE: "Do not build it so: a part would be damaged.",
    Severity.DEAD: "Built so, something stays dead.",
    Severity.REWORK: "Nothing dangerous was found, but it does not just go together: there is work to do.",
}
NOT_SURE = " Some contacts are not documented: ring them out before power is on."
NOTHING_WRITTEN = "Nothing could be compared: no cavity of {} says anything yet."
NOTHING_KNOWN = "Nothing could be compared: the two files have no plug in common."


@dataclass(frozen=True, slots=True)
class Verdict:
    """``worst`` counts findings that are not accepted; None where there is none."""

    worst: Severity | None
    counts: dict[str, int]
    accepted: int
    sentence: str


def verdict_for(result: Comparison) -> Verdict:
    """Sum up a comparison, of two cars or of one that is built of both."""
    from harnesscheck.compare.built import BuiltComparison

    sentences = BUILT_SENTENCE if isinstance(result, BuiltComparison) else SENTENCE
    verdict = verdict_of(result.findings, len(result.pairs.connectors), sentences)
    cars = (("donor", result.coverage.donor), ("shell", result.coverage.shell))
    blank = [f"the {name}" for name, car in cars if not car.documented]
    if not blank or (verdict.worst is not None and verdict.worst <= Severity.REWORK):
        return verdict
    return replace(verdict, sentence=NOTHING_WRITTEN.format(" and of ".join(blank)))


def verdict_of(
    findings: Sequence[Finding], paired: int, sentences: Mapping[Severity, str] = MappingProxyType(SENTENCE)
) -> Verdict:
    """Sum up. What is not known is said, and never called fine."""
    counted = [finding for finding in findings if not finding.accepted]
    counts = Counter(finding.severity for finding in counted)
    worst = min(counts, default=None)
    sentence = sentences[worst if worst is not None else Severity.NOTE]
    if not paired:
        sentence = NOTHING_KNOWN if worst is None or worst > Severity.DEAD else sentence
    elif any(finding.certainty is Certainty.NOT_KNOWN and finding.kind == "not-documented" for finding in counted):
        sentence += NOT_SURE
    return Verdict(
        worst, {severity.word: counts[severity] for severity in Severity}, len(findings) - len(counted), sentence
    )
