"""The registry of kinds: a producer, a near miss, words, a mirror rule, a place in the schema."""

from __future__ import annotations

import ast
from pathlib import Path
from string import Formatter
from typing import get_args

import pytest
from builders.demo import ROOT
from builders.fixtures import DOUBTS, FIXTURES, Doubt, Fixture
from builders.rows import doubted, findings, kinds, spot

from harnesscheck.compare.doubtful import doubts
from harnesscheck.compare.finding.kinds import KIND, KIND_ORDER, KINDS, SERIOUS, KindName, Severity, Trait, kinds_of
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.compare.plugs.facing import FACING, RANK
from harnesscheck.report.document import report_schema

NAMES = [kind.name for kind in KINDS]
ONE_CAR = [name for name in NAMES if name.startswith("doubtful-")]
PLACEHOLDERS = {"own", "was", "was_within", "now", "fuse", "part", "from", "to", "live", "text", "list", "hazard"} | {
    "burns", "state", "why", "before", "volts", "had", "path", "drain", "lost"
}  # fmt: skip


FACING_KINDS = (
    "feed-to-ground", "feed-on-signal", "outputs-joined", "feeds-joined", "signal-grounded", "wrong-feed", "crossed",
    "missing-circuit", "ground-lost", "orphaned", "spare", "extra-circuit", "not-documented",
)  # fmt: skip
WRITTEN_BY = {
    **dict.fromkeys(FACING_KINDS, "compare/plugs/facing.py"),
    **dict.fromkeys(("restraint-altered", "no-mate", "housing-differs", "moved-pin"), "compare/compare.py"),
    **dict.fromkeys(
        ("unfused-feed", "strap-missing", "bus-altered", "coded-part", "mixed-bus"), "compare/plugs/parts.py"
    ),
    "reversed": "compare/works/polarity.py",
    **dict.fromkeys(("thinner-wire", "recoloured", "signal-mismatch"), "compare/plugs/wires.py"),
    **dict.fromkeys(("dead-accessory", "dim-accessory", "relay-hunts"), "compare/works/function.py"),
    **dict.fromkeys(("wrong-key-position", "always-on", "sneak-path"), "compare/works/function.py"),
    **dict.fromkeys(("wire-overloaded", "fuse-too-big", "fuse-too-slow"), "compare/carries/loadfindings.py"),
    **dict.fromkeys(("fuse-too-small", "volt-drop"), "compare/carries/loadfindings.py"),
    **dict.fromkeys(ONE_CAR, "compare/doubtful.py"),
}
"""Which module gives a kind. Whoever adds a kind adds it here, with fixtures, words, schema and mirror rule."""
SHOWN_ELSEWHERE = dict.fromkeys(
    ("wire-overloaded", "fuse-too-big", "fuse-too-slow", "fuse-too-small", "volt-drop"),
    ("tests/compare/carries/test_findings.py", "test_each_kind_and_its_near_miss"),
)
"""Kinds of one car alone: where a test shows them and their near miss."""


def named(one: Fixture | Doubt) -> str:
    return one.kind


def test_every_kind_has_fixtures():
    """A kind without a positive and a near-miss fixture is not finished."""
    assert {one.kind for one in (*FIXTURES, *DOUBTS)} | SHOWN_ELSEWHERE.keys() == set(NAMES)


@pytest.mark.parametrize("kind", SHOWN_ELSEWHERE)
def test_what_is_shown_elsewhere_is_there(kind: str):
    """The test that is named exists and speaks of the kind."""
    path, name = SHOWN_ELSEWHERE[kind]
    text = (ROOT / path).read_text(encoding="utf-8")

    assert f"def {name}(" in text and f'"{kind}' in text


def words_of_code(path: Path) -> set[str]:
    """Every text in a module that stands there as a value."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)}


@pytest.mark.parametrize("kind", NAMES)
def test_every_kind_has_a_producer(kind: str):
    """The module that is said to give it names it."""
    assert kind in words_of_code(ROOT / "harnesscheck" / WRITTEN_BY[kind])


def test_there_are_no_producers_without_a_kind():
    """A kind taken out of the registry goes out of the table too."""
    assert set(WRITTEN_BY) == set(NAMES)


@pytest.mark.parametrize("one", FIXTURES, ids=named)
def test_the_kind_is_found_where_it_is(one: Fixture):
    """The shell gives the kind once at its place, with the severity of the kind."""
    found = [finding for finding in findings(one.donor, one.shell) if finding.kind == one.kind]

    assert [(spot(each), each.severity.word) for each in found if spot(each) == one.at] == [(one.at, one.severity)]


@pytest.mark.parametrize("one", FIXTURES, ids=named)
def test_a_fault_is_told_once(one: Fixture):
    """Nothing else above note is found."""
    assert kinds(one.donor, one.shell, Severity.REWORK) == sorted(filter(None, one.expect))


@pytest.mark.parametrize("one", FIXTURES, ids=named)
def test_a_near_miss_is_not_the_kind(one: Fixture):
    """The near shell differs too, but not in what makes the kind."""
    assert one.kind not in {finding.kind for finding in findings(one.donor, one.near)}


@pytest.mark.parametrize("one", FIXTURES, ids=named)
def test_a_fixture_s_cars_are_themselves(one: Fixture):
    """A car against itself gives nothing above note."""
    for car in (one.donor, one.shell, one.near):
        assert kinds(car, car, Severity.REWORK) == []


@pytest.mark.parametrize("one", DOUBTS, ids=named)
def test_a_doubt_is_found_where_it_is(one: Doubt):
    """One car's doubt is found once at its place, and not in the car without it."""
    found = [finding for finding in doubts(one.car) if finding.kind == one.kind]

    assert [(spot(each), each.severity.word) for each in found] == [(one.at, one.severity)]
    assert f"{one.kind} {one.at}" not in doubted(one.near)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_kind_has_its_words(kind):
    """A sentence, what it means, what to do, how to check; its placeholders are those that are filled."""
    words = SENTENCES[kind.name]

    assert all((words.says, words.means, words.do, words.check))
    assert {field for _, field, _, _ in Formatter().parse(words.says) if field} <= PLACEHOLDERS


def test_there_are_no_words_without_a_kind():
    """The sentences and the registry name the same kinds."""
    assert set(SENTENCES) == set(NAMES)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_kind_has_a_mirror_rule(kind):
    """A kind of two cars says what the exchange of sides may give; one car has no sides."""
    assert bool(kind.mirror) == (kind.name not in ONE_CAR)
    assert set(kind.mirror) <= {*NAMES, ""}


def test_the_schema_knows_every_kind():
    """A report may name the registry's kinds and no others."""
    finding = report_schema()["properties"]["findings"]["items"]

    assert finding["properties"]["kind"]["enum"] == NAMES


def test_the_table_and_the_ranking_use_the_registry_s_kinds():
    """What the facing table may answer is a kind, and has a rank."""
    assert set(FACING.values()) <= {*NAMES, ""}
    assert set(FACING.values()) <= set(RANK)
    assert set(RANK) <= {*NAMES, ""}


def test_the_ranking_never_prefers_a_milder_severity():
    """Of two kinds at one cavity the one that is worse at its usual severity wins; notes are last."""
    severities = [KIND[name].severity if name else Severity.NOTE for name in RANK]

    assert severities == sorted(severities)


def test_kinds_are_told_once_and_in_order():
    """No name twice; the order is the registry's."""
    assert len(set(NAMES)) == len(NAMES)
    assert [KIND_ORDER[name] for name in NAMES] == list(range(len(NAMES)))


def test_the_type_names_every_kind():
    """What the type checker lets through as a kind is the registry, in its order."""
    assert list(get_args(KindName)) == NAMES


@pytest.mark.parametrize("trait", Trait)
def test_every_set_has_kinds(trait: Trait):
    """No rule asks for a set that is empty, and none for one of everything."""
    assert 0 < len(kinds_of(trait)) < len(NAMES)


@pytest.mark.parametrize(
    ("inner", "outer"),
    [
        (Trait.BRIDGING, Trait.SHORTING),
        (Trait.OTHER_FEED, Trait.GAIN),
        (Trait.GAIN, Trait.CUTTING),
        (Trait.SHORTING | SERIOUS, Trait.RELATIVE),
        (Trait.LEFT_OVER, Trait.LACKING),
    ],
)
def test_sets_lie_in_each_other(inner: Trait, outer: Trait):
    """What is joined explains what is dark behind it; what shorts is a difference between the cars; and so on."""
    assert kinds_of(inner) <= kinds_of(outer)


def test_sets_that_have_nothing_in_common():
    """Nothing both gains and loses; what lights up a load says of a load what no plug says."""
    assert not kinds_of(Trait.GAIN) & (kinds_of(Trait.LOSS) | kinds_of(Trait.LACKING))
    assert not kinds_of(Trait.LIGHTING) & (kinds_of(Trait.CUTTING) | kinds_of(Trait.RELATIVE))


def test_serious_kinds_are_dead_or_worse():
    """What is left out only under something as severe is at least dead itself."""
    assert {KIND[name].severity <= Severity.DEAD for name in kinds_of(SERIOUS)} == {True}


def test_one_car_s_doubts_are_in_no_set():
    """The sets are about two cars."""
    assert not any(KIND[name].traits for name in ONE_CAR)
