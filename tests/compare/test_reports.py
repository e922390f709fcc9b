"""The JSON report: the shipped schema, names that outlive edits of the files, what is new, accepted, failed on."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from builders.demo import RICH, study_at
from builders.fixtures import DOUBTS, FIXTURES, PART, TURNED, Doubt, Fixture, part
from builders.rows import findings, named

from harnesscheck.align import align
from harnesscheck.api.reading import Reading
from harnesscheck.cli.asked import Asked
from harnesscheck.cli.shared import FOUND
from harnesscheck.compare.compare import compare
from harnesscheck.compare.doubtful import doubts
from harnesscheck.compare.finding.findings import Evidence, Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.report.document import comparison_document, envelope, json_text, report_schema
from harnesscheck.report.since import since


@cache
def schema() -> jsonschema.Draft202012Validator:
    """The schema as it ships, itself a valid one."""
    jsonschema.Draft202012Validator.check_schema(report_schema())
    return jsonschema.Draft202012Validator(report_schema())


def kind_of(one: Fixture | Doubt) -> str:
    return one.kind


def written(document: dict[str, Any]) -> dict[str, Any]:
    """A report as it comes back from its file."""
    return json.loads(json_text(document))


@pytest.mark.parametrize("one", FIXTURES, ids=kind_of)
def test_every_fixture_s_report_holds_to_the_schema(one: Fixture):
    """JSON Schema draft 2020-12; no two findings of one name."""
    report = written(comparison_document(compare(one.donor, one.shell, named(one.donor, one.shell))))

    schema().validate(report)
    assert len({row["id"] for row in report["findings"]}) == len(report["findings"])


@pytest.mark.parametrize("one", DOUBTS, ids=kind_of)
def test_every_doubt_s_report_holds_to_the_schema(one: Doubt):
    """Commands on one vehicle fill the donor's places only."""
    report = written(envelope("validate", {}, {"donor": one.car}, findings=doubts(one.car)))

    schema().validate(report)
    assert {row["shell"]["connector"] for row in report["findings"]} == {""}


def test_the_schema_is_no_blank_cheque():
    """A kind nobody knows, a finding without a place, a word for a number: each is refused."""
    good = written(comparison_document(compare(part(PART), part(TURNED), named(part(PART), part(TURNED)))))
    for change in (
        lambda row: row.update(kind="melted"),
        lambda row: row.pop("donor"),
        lambda row: row.update(id="C12:4"),
        lambda row: row.update(severity=1),
    ):
        bad = json.loads(json.dumps(good))
        change(bad["findings"][0])
        assert not schema().is_valid(bad)
    assert schema().is_valid(good)


# -- names of findings


def moved_lines(text: str) -> str:
    """The same file with empty lines and remarks between its rows."""
    return text.replace("<pin ", "\n<!-- seen on the car -->\n\n  <pin ").replace("<component ", "\n\n<component ")


def same(text: str) -> str:
    return text


@pytest.mark.parametrize("change", [moved_lines, same])
def test_a_finding_s_name_outlives_moved_lines_and_renamed_files(change: Callable[[str], str], tmp_path: Path):
    """The id is a digest of kind, places and circuit: no line, no path."""
    cars = [study_at(RICH / name) for name in ("rich-donor.xml", "rich-shell.xml")]
    again = []
    for name, new in (("rich-donor.xml", "left.xml"), ("rich-shell.xml", "right über.xml")):
        (tmp_path / "another folder").mkdir(exist_ok=True)
        target = tmp_path / "another folder" / new
        target.write_text(change((RICH / name).read_text(encoding="utf-8")), encoding="utf-8")
        again.append(study_at(target))

    before, after = (compare(a, b, align(a, b)).findings for a, b in (cars, again))

    assert [(one.id, one.text) for one in after] == [(one.id, one.text) for one in before]
    assert len(before) > 20


def test_a_finding_s_name_is_its_own():
    """Another kind, place or circuit is another name; another sentence or evidence is not."""
    one = findings(part(PART), part(TURNED))[0]
    base = {name: getattr(one, name) for name in ("kind", "severity", "certainty", "donor", "shell")}

    assert Finding(**base, text="other words", evidence=Evidence(shown={"volts": 3})).id == one.id
    assert Finding(**base | {"kind": "crossed"}).id != one.id
    assert Finding(**base | {"donor": one.shell, "shell": one.shell.__class__("X", "1", "")}).id != one.id


# -- against an older report


@pytest.mark.parametrize("one", FIXTURES, ids=kind_of)
def test_new_gone_and_unchanged_are_everything(one: Fixture):
    """From the near miss to the fault: what is told now is new or unchanged, what was told is unchanged or gone."""
    old = compare(one.donor, one.near, named(one.donor, one.near))
    now = findings(one.donor, one.shell)
    report = written(comparison_document(old))
    changes = since(now, report)
    names = [{getattr(row, "id", None) or row["id"] for row in some} for some in (changes.new, changes.unchanged)]
    gone = {row["id"] for row in changes.gone}

    assert names[0] | names[1] == {row.id for row in now} and not names[0] & names[1]
    assert names[1] | gone == {row["id"] for row in report["findings"]} and not names[1] & gone
    assert any(row.kind == one.kind for row in changes.new)
    assert since(old.findings, report).new == () and since(old.findings, report).gone == ()


def test_what_is_only_worded_otherwise_is_unchanged():
    """An older program's sentence does not make an old finding new."""
    now = findings(part(PART), part(TURNED))
    pairs = named(part(PART), part(TURNED))
    report = written(comparison_document(compare(part(PART), part(TURNED), pairs)))
    for row in report["findings"]:
        row["text"] = "as it was said last year"

    assert since(now, report).unchanged == tuple(now)


# -- accepted, and failing


@pytest.mark.parametrize("one", FIXTURES, ids=kind_of)
def test_accepted_is_kept_and_never_for_injury(one: Fixture):
    """Everything accepted: all is still told; --fail-on then fails for injuries only."""
    pairs = named(one.donor, one.shell)
    before = compare(one.donor, one.shell, pairs).findings
    after = compare(one.donor, one.shell, pairs, {row.id: "seen" for row in before}).findings

    assert [row.id for row in after] == [row.id for row in before]
    assert [row.accepted for row in after] == ["" if row.severity is Severity.INJURY else "seen" for row in before]
    assert fails(after, "note") == any(row.severity is Severity.INJURY for row in before)


@pytest.mark.parametrize("one", FIXTURES, ids=kind_of)
def test_fail_on_is_a_bar(one: Fixture):
    """Status 1 for anything that bad or worse, 0 else."""
    found = findings(one.donor, one.shell)
    worst = min(row.severity for row in found)

    for severity in Severity:
        assert fails(found, severity.word) == (worst <= severity)


def fails(found: tuple[Finding, ...], bar: str) -> bool:
    """Whether a command with these findings would leave with status 1."""
    try:
        Asked(Reading(), fail_on=bar).leave(found)
    except SystemExit as left:
        assert left.code == FOUND
        return True
    return False
