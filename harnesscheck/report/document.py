"""The JSON report. Its schema stands in ``report.schema``."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.compare.finding.cautions import hands_off_document
from harnesscheck.compare.finding.findings import Finding, Spot
from harnesscheck.model.escapes import escaped_json
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.schema import report_schema as report_schema
from harnesscheck.report.since import FORMAT, Since
from harnesscheck.report.verdict import Verdict, verdict_for, verdict_of

if TYPE_CHECKING:  # a search for wires does without the comparison, which takes a while to load
    from harnesscheck.compare.built import BuiltComparison
    from harnesscheck.compare.compare import Comparison


def json_text(document: Any) -> str:
    """JSON as it is written to files: UTF-8, two blanks a level, keys in the order given, one line end."""
    return escaped_json(json.dumps(document, ensure_ascii=False, indent=2)) + "\n"


def _spot(spot: Spot) -> dict[str, str]:
    return {"connector": spot.connector, "cavity": spot.cavity, "circuit": spot.circuit}


def finding_document(finding: Finding) -> dict[str, Any]:
    """One finding as the report writes it."""
    row: dict[str, Any] = {
        "id": finding.id,
        "kind": finding.kind,
        "severity": finding.severity.word,
        "certainty": finding.certainty.word,
        "donor": _spot(finding.donor),
        "shell": _spot(finding.shell),
        "component": {"donor": finding.donor_component, "shell": finding.shell_component},
        "text": finding.text,
        "do": finding.do,
        "evidence": finding.evidence.to_json(),
    }
    if finding.accepted:
        row["accepted"] = finding.accepted
    return row


def input_document(vehicle: Vehicle) -> dict[str, Any]:
    """Which car, from which file, with the digest of what was read."""
    header, digest = vehicle.netlist.header, vehicle.netlist.digest
    said = {"vehicle": header.vehicle, "model-year": header.model_year, "file": header.file.path, "digest": digest}
    return said | ({"version": header.version} if header.version else {})


def sheet_document(sheet: SwapSheet) -> dict[str, Any]:
    """Which swap sheet, with its digest."""
    return {"file": sheet.path, "digest": sheet.digest}


def _pair(pair: Pair) -> dict[str, Any]:
    return {"donor": pair.donor, "shell": pair.shell, "confidence": round(pair.confidence, 6), "why": pair.why}


def alignment_document(pairs: Pairs) -> dict[str, Any]:
    """The crosswalk a report rests on."""
    return {
        "connectors": [_pair(pair) for pair in pairs.connectors],
        "components": [_pair(pair) for pair in pairs.components],
        "circuits": [_pair(pair) for pair in pairs.circuits],
        "ambiguous": [
            {
                "sort": one.sort,
                "donor": list(one.donor),
                "shell": list(one.shell),
                "reason": one.reason,
                "settle": one.settle,
            }
            for one in pairs.ambiguous
        ],
        "contradicted": [
            {"sort": one.sort, "donor": one.donor, "shell": one.shell, "why": one.why} for one in pairs.against
        ],
        "distrusted": [
            {"sort": one.sort, "donor": one.donor, "shell": one.shell, "why": one.why} for one in pairs.distrusted
        ],
    }


def verdict_document(verdict: Verdict) -> dict[str, Any]:
    """The answer in one sentence and its counts."""
    return {
        "worst": verdict.worst.word if verdict.worst is not None else None,
        "counts": verdict.counts,
        "accepted": verdict.accepted,
        "sentence": verdict.sentence,
    }


def envelope(
    command: str,
    inputs: Mapping[str, Any],
    cars: Mapping[str, Study],
    *,
    pairs: Pairs | None = None,
    findings: Sequence[Finding] = (),
    coverage: Mapping[str, Any] | None = None,
    verdict: Verdict | None = None,
) -> dict[str, Any]:
    """What every report has, in its order; a command adds its own body to it.

    ``cars`` are those it tells of, by the word that their places go by: one car alone is the donor.
    """
    return {
        "format": FORMAT,
        "command": command,
        "inputs": dict(inputs),
        "alignment": alignment_document(pairs or Pairs()),
        "findings": [finding_document(finding) for finding in findings],
        "coverage": dict(coverage or {}),
        "verdict": verdict_document(verdict or verdict_of(findings, 1)),
        "hands_off": {word: found for word, car in cars.items() if (found := hands_off_document(car))},
    }


def comparison_inputs(result: Comparison) -> dict[str, Any]:
    """The files of a compare, the swap sheet of a built car among them."""
    inputs: dict[str, Any] = {
        "donor": input_document(result.donor.vehicle),
        "shell": input_document(shell_as_typed(result).vehicle),
    }
    if (built := _built(result)) is not None:
        inputs["swap"] = sheet_document(built.sheet)
    return inputs


def comparison_document(result: Comparison, since: Since | None = None) -> dict[str, Any]:
    """The report of a compare."""
    inputs = comparison_inputs(result)
    document = envelope(
        "compare",
        inputs,
        {"donor": result.donor, "shell": result.shell},
        pairs=result.pairs,
        findings=result.findings,
        coverage=asdict(result.coverage) | {"unjudged": [one.text for one in result.coverage.unjudged]},
        verdict=verdict_for(result),
    )
    if (built := _built(result)) is not None:
        document["built"] = {"harness": dict(built.harness), "parts": dict(built.parts)}
    if since is not None:
        document["since"] = {
            "new": [finding.id for finding in since.new],
            "gone": [dict(row) for row in since.gone],
            "unchanged": [finding.id for finding in since.unchanged],
        }
    return document


def shell_as_typed(result: Comparison) -> Study:
    """The shell of the file, also where a car that is put together stands for it."""
    built = _built(result)
    return built.base if built is not None else result.shell


def _built(result: Comparison) -> BuiltComparison | None:
    """The comparison with a car that is put together; None where it is of two cars."""
    from harnesscheck.compare.built import BuiltComparison

    return result if isinstance(result, BuiltComparison) else None
