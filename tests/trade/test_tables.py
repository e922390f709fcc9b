"""Every shipped fact says where it comes from and how well it is known."""

import csv
from importlib.resources import files

import pytest

from harnesscheck.trade.tables import number, rows

TABLES = sorted(
    entry.name.removesuffix(".csv")
    for entry in files("harnesscheck.trade").joinpath("data").iterdir()
    if entry.name.endswith(".csv")
)


def test_the_tables_are_shipped():
    assert {"colours", "terminals", "wire_jis", "fuses", "ampacity", "part_pins"} <= set(TABLES)


@pytest.mark.parametrize("table", TABLES)
def test_every_row_is_whole_and_names_its_source_and_status(table):
    for row in rows(table):
        assert None not in row  # a cell too many
        assert None not in row.values()  # a cell too few
        assert row["source"].strip()
        assert row["status"].startswith(("verified", "from memory", "common practice", "derived"))


@pytest.mark.parametrize("table", TABLES)
def test_no_row_stands_twice(table):
    text = files("harnesscheck.trade").joinpath("data", f"{table}.csv").read_text(encoding="utf-8")
    lines = [tuple(line) for line in csv.reader(text.splitlines())]

    assert len(set(lines)) == len(lines)


def test_an_empty_cell_is_not_known_and_not_nought():
    assert number("") is None
    assert number("0") == 0


def test_a_table_that_is_not_shipped_is_refused():
    with pytest.raises(FileNotFoundError):
        rows("nothing")
