"""The JSON Schema of every report, kinds and words taken from the registry."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from harnesscheck.compare.finding.kinds import KINDS, Certainty, Severity
from harnesscheck.network.hands_off import HAZARDS
from harnesscheck.report.since import FORMAT

Schema = dict[str, Any]

TEXT: Schema = {"type": "string"}
NUMBER: Schema = {"type": "number"}
MAYBE: Schema = {"type": ["number", "null"]}
SAID: Schema = {"type": ["string", "null"]}
SHARE: Schema = {"type": "number", "minimum": 0, "maximum": 1}
COUNT: Schema = {"type": "integer", "minimum": 0}
NUMBERED: Schema = {"type": "integer", "minimum": 1}
HOURS: Schema = {"type": "number", "minimum": 0}


def report_schema() -> Schema:
    """The schema (JSON Schema, draft 2020-12) that every report holds to."""
    finding = _finding()
    common = {
        "format": {"const": FORMAT},
        "command": TEXT,
        "inputs": {"type": "object"},
        "alignment": _alignment(),
        "findings": _list(finding),
        "coverage": {"type": "object"},
        "verdict": _verdict(),
        "hands_off": {"type": "object", "additionalProperties": _hands_off()},
    }
    bodies = {
        **_comparing(),
        **_measuring(),
        **_loads(),
        **_searching(),
        **_ranking(),
        **_pages(),
        "reading": _how_read(),
        "next": _next(),
    }
    decided = _decision(finding)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "harnesscheck report, format 1",
        **_object({**common, **bodies}, optional=tuple(bodies), more=True),
        "if": {"properties": {"command": {"const": "decide"}}},
        "then": {"required": list(decided), "properties": decided},
    }


def _object(properties: Schema, *, optional: Sequence[str] = (), more: bool = False) -> Schema:
    required = [name for name in properties if name not in optional]
    return {"type": "object", "properties": properties, "required": required, "additionalProperties": more}


def _texts(*names: str) -> Schema:
    return dict.fromkeys(names, TEXT)


def _list(item: Schema) -> Schema:
    return {"type": "array", "items": item}


def _each(*values: str) -> Schema:
    """An object with names of the cars' own, each with one of these values."""
    return {"type": "object", "additionalProperties": {"enum": list(values)}}


# -- what every report has


def _finding() -> Schema:
    spot = _object(_texts("connector", "cavity", "circuit"))
    return _object(
        {
            "id": {"type": "string", "pattern": "^[0-9a-f]{10}$"},
            "kind": {"enum": [kind.name for kind in KINDS]},
            "severity": {"enum": [severity.word for severity in Severity]},
            "certainty": {"enum": [certainty.word for certainty in Certainty]},
            "donor": spot,
            "shell": spot,
            "component": _object(_texts("donor", "shell")),
            "text": TEXT,
            "do": TEXT,
            "evidence": {"type": "object"},
            "accepted": TEXT,
        },
        optional=("accepted",),
    )


def _alignment() -> Schema:
    pairs = _list(_object({**_texts("donor", "shell"), "confidence": SHARE, "why": TEXT}))
    ambiguous = {"sort": TEXT, "donor": _list(TEXT), "shell": _list(TEXT), "reason": TEXT, "settle": TEXT}
    return _object(
        {
            "connectors": pairs,
            "components": pairs,
            "circuits": pairs,
            "ambiguous": _list(_object(ambiguous)),
            "contradicted": _list(_object(_texts("sort", "donor", "shell", "why"))),
            "distrusted": _list(_object(_texts("sort", "donor", "shell", "why"))),
        }
    )


def _verdict() -> Schema:
    severities = {severity.word: COUNT for severity in Severity}
    return _object(
        {"worst": {"enum": [*severities, None]}, "counts": _object(severities), "accepted": COUNT, "sentence": TEXT}
    )


def _hands_off() -> Schema:
    """What of one car is never touched from its lists, with the reasons."""
    marks = _list(
        _object({"hazard": {"enum": list(HAZARDS)}, "level": {"enum": ["known", "suspected"]}, "reason": TEXT})
    )
    plug = {"connector": TEXT, "shared": {"type": "boolean"}, "cavities": _list(TEXT), "marks": marks}
    return _object(
        {
            "parts": _list(_object({"component": TEXT, "marks": marks})),
            "plugs": _list(_object(plug)),
            "harnesses": _list(_object({"harness": TEXT, "marks": marks})),
        }
    )


# -- what only some have


def _how_read() -> Schema:
    column = _object({**_texts("file", "sheet", "heading", "field"), "line": COUNT, "column": NUMBERED})
    remark = _object({**_texts("at", "read", "said"), "count": NUMBERED})
    return _object({"columns": _list(column), "remarks": _list(remark)})


def _comparing() -> Schema:
    """An older report beside this one, the car that was built, what a loose plug may be, what words were taken for."""
    origin = _each("donor", "shell", "none")
    seen = _list(_object(_texts("vehicle", "connector", "seen")))
    function = {
        **_texts("function", "place", "look"),
        "rows": NUMBERED,
        "class": SAID,
        "typed": {"type": "boolean"},
        **dict.fromkeys(("may-be", "not-understood", "hazards"), _list(TEXT)),
        "read-as": _list(_list(TEXT)),
    }
    candidate = {**_texts("vehicle", "connector"), "probability": SHARE, "halves": _list(TEXT)}
    netlist = {
        "file": TEXT,
        "answer": _each("applies", "may apply", "does not apply"),
        **dict.fromkeys(("against", "open"), _list(TEXT)),
    }
    telling = {**_texts("connector", "cavity", "at"), "shows": {"type": "object", "additionalProperties": TEXT}}
    return {
        "tell-apart": _list(_object(telling)),
        "warnings": _list(TEXT),
        "since": _object({"new": _list(TEXT), "gone": _list({"type": "object"}), "unchanged": _list(TEXT)}),
        "built": _object({"harness": origin, "parts": origin}),
        "candidates": {"anyOf": [_list(_object(candidate)), _list(_object(netlist))]},
        "functions": _list(_object(function)),
        "look-at": {"anyOf": [{"type": "null"}, _object({"what": TEXT, "seen": seen})]},
    }


def _loads() -> Schema:
    wire = {**_texts("wire", "connector", "cavity", "circuit"), "size": MAYBE, "amps": NUMBER, "allowed": MAYBE}
    fuse = {**_texts("slot", "component"), "rating": MAYBE, "feeds": _list(TEXT), "amps": NUMBER}
    drop = {**_texts("load", "side"), "volts": NUMBER, "limit": NUMBER, "amps": NUMBER}
    return {
        "wires": _list(_object(wire, more=True)),
        "fuses": _list(_object(fuse, more=True)),
        "drops": _list(_object(drop, more=True)),
    }


def _searching() -> Schema:
    """The terms of a question, those that nothing answers, the wires that answer."""
    colour = {"anyOf": [{"type": "null"}, _list(TEXT)]}
    texts = _list(TEXT)
    wire = {
        "car": NUMBERED,
        **_texts("from", "to", "live", "circuit-there"),
        **dict.fromkeys(("circuit", "colour", "size"), SAID),
        **dict.fromkeys(("places", "parts", "other-car", "missed"), texts),
        "likely": {"type": "boolean"},
    }
    return {
        "asked": _list(_object({"text": TEXT, "colour": colour, "size-mm2": MAYBE})),
        "unanswered": texts,
        "found": _list(_object(wire)),
    }


def _ranking() -> Schema:
    """Donors, best first; those only looked at; groups that exchange looms, every way judged; files not read."""
    likeness = {"file": TEXT, "alike": {"type": "number", "minimum": 0}}
    donor = {
        **likeness,
        "hours": MAYBE,
        "proven": {"type": "boolean"},
        **dict.fromkeys(("repairs", "injury", "damage", "dead", "rework"), COUNT),
        "worst": {"anyOf": [{"type": "null"}, _object(_texts("id", "text"))]},
    }
    way = {
        **_texts("from", "into"),
        "goes-in": {"type": "boolean"},
        **dict.fromkeys(("injury", "damage", "dead", "rework", "not-known"), COUNT),
        "worst": donor["worst"],
        "hands_off": _list(TEXT),
    }
    group = {"id": TEXT, "files": _list(TEXT), "certainty": {"enum": ["known", "likely"]}, "not-known": COUNT}
    return {
        "donors": _list(_object(donor)),
        "not-judged": _list(_object(likeness)),
        "groups": _list(_object(group)),
        "exchanges": _list(_object(way)),
        "between": _list(_object({"groups": _list(TEXT), "least": _list(_object(way))})),
        "unread": _list(_object({"file": TEXT, "faults": _list(TEXT)})),
    }


def _pages() -> Schema:
    """Tables of a manual's pages, their rows cell by cell with where each stood, how a typed car differs."""
    column = {"number": NUMBERED, **_texts("heading", "field", "why")}
    table = {"source": TEXT, "plugs": _list(TEXT), "named-by": TEXT, "columns": _list(_object(column)),
             "left-out": _list(_object(_texts("row", "why")))}  # fmt: skip
    box = {"anyOf": [{"type": "null"}, {**_list(NUMBER), "minItems": 4, "maxItems": 4}]}
    cell = {**_texts("text", "written", "why"), "readings": _list(TEXT), "score": SHARE, "box": box}
    row = {**_texts("connector", "source", "hands-off"), "page": COUNT, "line": COUNT, "not-used": {"type": "boolean"},
           "cells": {"type": "object", "additionalProperties": _object(cell)}}  # fmt: skip
    differs = _texts("connector", "cavity", "field", "typed", "typed_at", "read", "read_at")
    contacts = _list(_object(_texts("contact", "place")))
    typed = {"file": TEXT, "disagreements": _list(_object(differs)), "only-read": contacts, "only-typed": contacts,
             "other-plugs": _list(TEXT)}  # fmt: skip
    return {
        "tables": _list(_object(table)),
        "rows": _list(_object(row)),
        "mates": _list(_list(TEXT)),
        "no-table": _list(_object(_texts("place", "why"))),
        "typed": _list(_object(typed)),
    }


def _measuring() -> Schema:
    """Points to put the meter to, readings to take, what explains those that were wrong."""
    point = {"place": TEXT, "connector": SAID, "cavity": SAID, "volts": MAYBE, "key": TEXT, "at": SAID}
    measurement = {"number": NUMBERED, **_texts("from", "to", "expect", "place")}
    cause = _object({"sort": TEXT, "faults": _list(TEXT), "do": TEXT, "weight": NUMBER})
    explained = {
        "lines": _list({"type": "integer"}),
        "exhaustive": {"type": "boolean"},
        "explanations": _list(cause),
    }
    return {
        "points": _list(_object(point, more=True)),
        "measurements": _list(_object(measurement, more=True)),
        "explanations": _list(_object(explained, more=True)),
    }


# -- what to write down next


def _next() -> Schema:
    """The cavities to write down next, each with what it settles."""
    return _list(_object({**_texts("car", "place"), "gain": COUNT, "settles": _list(TEXT)}))


# -- a decision


def _decision(finding: Schema) -> Schema:
    """Plans with their steps, what would turn the answer, and who does what when."""
    origin = _each("donor", "shell")
    plan = _object(
        {
            "harness": origin,
            "steps": _list(_step()),
            "proven": {"type": "boolean"},
            "rests_on": _list(TEXT),
            "hours": _object({"p50": HOURS, "p90": HOURS}),
            "left": _list(finding),
            "not_known": _list(TEXT),
        }
    )
    slot = _object({"step": TEXT, "person": NUMBERED, "from": HOURS, "to": HOURS})
    flip = {"what": TEXT, "now": NUMBER, "from": NUMBER, "answer": TEXT}
    near = {"what": TEXT, "saved": NUMBER, "harness": origin, "left": _list(finding)}
    when = {"people": NUMBERED, "hours": HOURS, "least": HOURS, "critical": _list(TEXT), "slots": _list(slot)}
    return {
        "plan": plan,
        "alternatives": _list(plan),
        "flips": _list(_object(flip, more=True)),
        "near": _list(_object(near)),
        "schedule": _object(when),
        "grounds": _object({"stands": _list(TEXT), "cannot": _list(TEXT), "ask": _list(TEXT)}),
    }


def _step() -> Schema:
    return _object(
        {
            **_texts("id", "do", "connector", "cavity", "to", "circuit", "size", "colour"),
            "length": {"type": ["number", "null"], "minimum": 0},
            **_texts("fuse", "at"),
            "hours": {"type": "array", "items": HOURS, "minItems": 3, "maxItems": 3},
            "after": _list(TEXT),
        }
    )
