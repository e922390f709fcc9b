"""What is new, gone and unchanged against an older report."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from harnesscheck.compare.finding.findings import Finding
from harnesscheck.model.places import InputFault, Place

FORMAT = "harnesscheck-report/1"


@dataclass(frozen=True, slots=True)
class Since:
    """Findings by their fate; the gone ones as the older report told them."""

    new: tuple[Finding, ...]
    gone: tuple[Mapping[str, Any], ...]
    unchanged: tuple[Finding, ...]


def read_report(path: str) -> Mapping[str, Any] | InputFault:
    """An older report, or what is wrong with the file."""
    try:
        report = json.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        return InputFault(Place(path), error.strerror or "nothing", "a readable report")
    except UnicodeDecodeError:
        return InputFault(Place(path), "bytes that are not UTF-8", "a report written by --json")
    except json.JSONDecodeError as error:
        return InputFault(Place(path, error.lineno, error.colno), error.msg, "a report written by --json")
    except RecursionError:
        return InputFault(Place(path), "nesting without end", "a report written by --json")
    if not isinstance(report, dict) or report.get("format") != FORMAT or not isinstance(report.get("findings"), list):
        found = report.get("format") if isinstance(report, dict) else type(report).__name__
        return InputFault(Place(path), str(found), f"a report of format {FORMAT}")
    return report


def since(findings: Sequence[Finding], older: Mapping[str, Any]) -> Since:
    """Sort findings by whether the older report has their id."""
    before = {str(row.get("id")): row for row in older["findings"] if isinstance(row, dict)}
    now = {finding.id for finding in findings}
    return Since(
        tuple(finding for finding in findings if finding.id not in before),
        tuple(row for name, row in before.items() if name not in now),
        tuple(finding for finding in findings if finding.id in before),
    )
