"""How many rows a car of some sixty plugs takes, the short way and in full; both are the same car."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.files import good
from builders.shortway import Rows, at_components_rung, full_rows, short_rows
from cars import make_car, netlist_of

from harnesscheck.align.byname import pairs_by_name
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.fields import row_sort
from harnesscheck.model.records import Netlist
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist
from harnesscheck.write.tables import columns_in_use, csv_text

SEEDS = range(4)
HALVES = 75  # asked of the generator, which then draws 62 to 70


def written(folder: Path, rows: Rows) -> Netlist:
    """Rows as a folder of tables, read back."""
    folder.mkdir()
    for sort, some in rows.items():
        if some:
            text = csv_text(columns_in_use(sort, some), some)
            (folder / f"{row_sort(sort).table}.csv").write_text(text, encoding="utf-8")
    return good(read_netlist(folder))


def count(rows: Rows) -> int:
    """All rows of all tables."""
    return sum(map(len, rows.values()))


def cars() -> list[Netlist]:
    """Cars of sixty to seventy plug halves, as far as the rung of components."""
    return [at_components_rung(netlist_of(make_car(seed, HALVES))) for seed in SEEDS]


def test_a_car_of_sixty_plugs_is_a_seventh_of_the_rows(capsys: pytest.CaptureFixture[str]) -> None:
    """At most 15 % of the rows of the full tables, over the cars together."""
    counted = [(len(one.connectors), count(short_rows(one)), count(full_rows(one))) for one in cars()]
    with capsys.disabled():
        for halves, short, full in counted:
            print(f"\n{halves} plug halves: {short} rows for {full}, {short / full:.1%}", end="")

    assert sum(short for _, short, _ in counted) <= 0.15 * sum(full for *_, full in counted)


@pytest.mark.parametrize("seed", SEEDS)
def test_both_are_the_same_car(tmp_path: Path, seed: int) -> None:
    """Nothing is found between them but what was noted, either way round."""
    full = cars()[seed]
    first, second = Study(configure(full)), Study(configure(written(tmp_path / "short", short_rows(full))))
    for one, other in ((first, second), (second, first)):
        found = compare(one, other, pairs_by_name(one.vehicle, other.vehicle)).findings
        assert [(item.kind, str(item.donor), item.text) for item in found if item.severity < Severity.NOTE] == []
