"""The JSON report and its schema, from one place."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.compare.built import BuiltComparison
from harnesscheck.compare.compare import Comparison
from harnesscheck.compare.findings import Finding, Spot
from harnesscheck.compare.kinds import KINDS, Certainty, Severity
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.sides import Study
from harnesscheck.report.since import FORMAT, Since
from harnesscheck.report.verdict import Verdict, verdict_for, verdict_of


def json_text(document: Any) -> str:
    """JSON as it is written to files: UTF-8, two blanks a level, keys in the order given, one line end."""
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


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
        "evidence": dict(finding.evidence),
    }
    if finding.accepted:
        row["accepted"] = finding.accepted
    return row


def input_document(vehicle: Vehicle, digest: str) -> dict[str, Any]:
    """Which car, from which file; ``digest`` is over the file's bytes."""
    header = vehicle.netlist.header
    return {"vehicle": header.vehicle, "model-year": header.model_year, "file": header.file.path, "digest": digest}


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
    }


def verdict_document(verdict: Verdict) -> dict[str, Any]:
    """The answer in one sentence and its counts."""
    return {
        "worst": verdict.worst.word if verdict.worst is not None else None,
        "counts": verdict.counts,
        "accepted": verdict.accepted,
        "sentence": verdict.sentence,
    }


def comparison_document(result: Comparison, digests: Sequence[str], since: Since | None = None) -> dict[str, Any]:
    """The report of a compare. ``digests`` are the donor's and the shell's, and the swap sheet's of a built car."""
    document: dict[str, Any] = {
        "format": FORMAT,
        "command": "compare",
        "inputs": {
            "donor": input_document(result.donor.vehicle, digests[0]),
            "shell": input_document(_shell_of(result).vehicle, digests[1]),
        },
        "alignment": alignment_document(result.pairs),
        "findings": [finding_document(finding) for finding in result.findings],
        "coverage": asdict(result.coverage),
        "verdict": verdict_document(verdict_for(result)),
    }
    if isinstance(result, BuiltComparison):
        document["inputs"]["swap"] = {"file": result.sheet.path, "digest": digests[2]}
        document["built"] = {"harness": dict(result.harness), "parts": dict(result.parts)}
    if since is not None:
        document["since"] = {
            "new": [finding.id for finding in since.new],
            "gone": [dict(row) for row in since.gone],
            "unchanged": [finding.id for finding in since.unchanged],
        }
    return document


def _shell_of(result: Comparison) -> Study:
    return result.base if isinstance(result, BuiltComparison) else result.shell


def validation_document(vehicle: Vehicle, findings: Sequence[Finding], digest: str) -> dict[str, Any]:
    """The report of a validate: one vehicle, so only donor places are filled."""
    return {
        "format": FORMAT,
        "command": "validate",
        "inputs": {"donor": input_document(vehicle, digest)},
        "alignment": alignment_document(Pairs()),
        "findings": [finding_document(finding) for finding in findings],
        "coverage": {},
        "verdict": verdict_document(verdict_of(findings, 1)),
    }


def _object(properties: dict[str, Any], *, optional: Sequence[str] = (), more: bool = False) -> dict[str, Any]:
    required = [name for name in properties if name not in optional]
    return {"type": "object", "properties": properties, "required": required, "additionalProperties": more}


def report_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of every report, kinds and words taken from the registry."""
    text: dict[str, Any] = {"type": "string"}
    texts = {"type": "array", "items": text}
    spot = _object({"connector": text, "cavity": text, "circuit": text})
    pair = _object(
        {"donor": text, "shell": text, "confidence": {"type": "number", "minimum": 0, "maximum": 1}, "why": text}
    )
    pairs = {"type": "array", "items": pair}
    finding = _object(
        {
            "id": {"type": "string", "pattern": "^[0-9a-f]{10}$"},
            "kind": {"enum": [kind.name for kind in KINDS]},
            "severity": {"enum": [severity.word for severity in Severity]},
            "certainty": {"enum": [certainty.word for certainty in Certainty]},
            "donor": spot,
            "shell": spot,
            "component": _object({"donor": text, "shell": text}),
            "text": text,
            "do": text,
            "evidence": {"type": "object"},
            "accepted": text,
        },
        optional=("accepted",),
    )
    ambiguous = _object({"sort": text, "donor": texts, "shell": texts, "reason": text, "settle": text})
    contradicted = _object({"sort": text, "donor": text, "shell": text, "why": text})
    alignment = _object(
        {
            "connectors": pairs,
            "components": pairs,
            "circuits": pairs,
            "ambiguous": {"type": "array", "items": ambiguous},
            "contradicted": {"type": "array", "items": contradicted},
        }
    )
    severities = {severity.word: {"type": "integer", "minimum": 0} for severity in Severity}
    verdict = _object(
        {
            "worst": {"enum": [*severities, None]},
            "counts": _object(severities),
            "accepted": {"type": "integer", "minimum": 0},
            "sentence": text,
        }
    )
    since = _object({"new": texts, "gone": {"type": "array", "items": {"type": "object"}}, "unchanged": texts})
    chance = {"type": "number", "minimum": 0, "maximum": 1}
    candidate = _object({"vehicle": text, "connector": text, "probability": chance, "halves": texts})
    seen = {"type": "array", "items": _object({"vehicle": text, "connector": text, "seen": text})}
    number, maybe = {"type": "number"}, {"type": ["number", "null"]}
    wire = _object(
        {
            "wire": text,
            "connector": text,
            "cavity": text,
            "circuit": text,
            "size": maybe,
            "amps": number,
            "allowed": maybe,
        },
        more=True,
    )
    fuse = _object({"slot": text, "component": text, "rating": maybe, "feeds": texts, "amps": number}, more=True)
    drop = _object({"load": text, "side": text, "volts": number, "limit": number, "amps": number}, more=True)
    said = {"type": ["string", "null"]}
    point = _object(
        {"place": text, "connector": said, "cavity": said, "volts": maybe, "key": text, "at": said}, more=True
    )
    measurement = _object(
        {"number": {"type": "integer", "minimum": 1}, "from": text, "to": text, "expect": text, "place": text},
        more=True,
    )
    cause = _object({"sort": text, "faults": texts, "do": text, "weight": number})
    explained = _object(
        {
            "lines": {"type": "array", "items": {"type": "integer"}},
            "exhaustive": {"type": "boolean"},
            "explanations": {"type": "array", "items": cause},
        },
        more=True,
    )
    origin = {"type": "object", "additionalProperties": {"enum": ["donor", "shell", "none"]}}
    properties = {
        "format": {"const": FORMAT},
        "command": text,
        "inputs": {"type": "object"},
        "alignment": alignment,
        "findings": {"type": "array", "items": finding},
        "coverage": {"type": "object"},
        "verdict": verdict,
        "since": since,
        "built": _object({"harness": origin, "parts": origin}),
        "candidates": {"type": "array", "items": candidate},
        "wires": {"type": "array", "items": wire},
        "fuses": {"type": "array", "items": fuse},
        "drops": {"type": "array", "items": drop},
        "points": {"type": "array", "items": point},
        "measurements": {"type": "array", "items": measurement},
        "explanations": {"type": "array", "items": explained},
        "look-at": {"anyOf": [{"type": "null"}, _object({"what": text, "seen": seen})]},
    }
    schema = _object(
        properties,
        optional=(
            "since",
            "built",
            "candidates",
            "wires",
            "fuses",
            "drops",
            "points",
            "measurements",
            "explanations",
            "look-at",
        ),
        more=True,
    )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "harnesscheck report, format 1",
        **schema,
        "if": {"properties": {"command": {"const": "decide"}}},
        "then": {"required": list(DECIDED), "properties": _decision_schemas(finding)},
    }


DECIDED = ("plan", "alternatives", "flips", "near", "schedule")
"""What the report of a decision has beside what all have."""


def _decision_schemas(finding: dict[str, Any]) -> dict[str, Any]:
    """Plans with their steps, the figures that would turn the answer, and who does what when."""
    text, number = {"type": "string"}, {"type": "number"}
    texts = {"type": "array", "items": text}
    hours = {"type": "number", "minimum": 0}
    step = _object(
        {
            **dict.fromkeys(("id", "do", "connector", "cavity", "to", "circuit", "size", "colour"), text),
            "length": {"type": ["number", "null"], "minimum": 0},
            "fuse": text,
            "at": text,
            "hours": {"type": "array", "items": hours, "minItems": 3, "maxItems": 3},
            "after": texts,
        }
    )
    plan = _object(
        {
            "harness": {"type": "object", "additionalProperties": {"enum": ["donor", "shell"]}},
            "steps": {"type": "array", "items": step},
            "proven": {"type": "boolean"},
            "rests_on": texts,
            "hours": _object({"p50": hours, "p90": hours}),
            "left": {"type": "array", "items": finding},
            "not_known": texts,
        }
    )
    slot = _object({"step": text, "person": {"type": "integer", "minimum": 1}, "from": hours, "to": hours})
    return {
        "plan": plan,
        "alternatives": {"type": "array", "items": plan},
        "flips": {
            "type": "array",
            "items": _object({"what": text, "now": number, "from": number, "answer": text}, more=True),
        },
        "near": {
            "type": "array",
            "items": _object({"what": text, "saved": number, "harness": {"type": "object"}, "left": {"type": "array"}}),
        },
        "schedule": _object(
            {
                "people": {"type": "integer", "minimum": 1},
                "hours": hours,
                "least": hours,
                "critical": texts,
                "slots": {"type": "array", "items": slot},
            }
        ),
    }
