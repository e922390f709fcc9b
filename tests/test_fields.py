"""Fields, records and tables carry the same names, from one definition."""

from __future__ import annotations

from dataclasses import fields

import pytest

from harnesscheck.fields import COMMON, FIELDS, INSIDES, LISTED, ROW_NAMES, ROWS, Field, Type, fields_of, row_sort
from harnesscheck.model.records import RECORD_OF, TABLE_OF, Common, Netlist

SHORTHAND = {
    "base",
    "on",
    "kind",
    "part",
    "mirror",
    "like",
    "drop",
    *INSIDES,
    *LISTED,
}  # written out by the reader, not kept
PLACE = {"common", "file", "line", "column"}


@pytest.mark.parametrize("row", ROW_NAMES)
def test_records_have_the_slots_of_their_fields(row: str) -> None:
    """A record has one slot a field, in the same words; shorthand alone is missing."""
    kept = {"component": SHORTHAND - {"kind"}, "ground": SHORTHAND - {"on"}}.get(row, SHORTHAND)
    expected = {field.slot for field in fields_of(row) if field.name not in COMMON and field.name not in kept}

    if row == "netlist":
        expected = expected - {"base"} | {"version"}  # what a person chose beside the file is in no file
    assert {slot.name for slot in fields(RECORD_OF[row])} - PLACE == expected


def test_common_holds_what_every_row_may_hold() -> None:
    """The common slots are the common fields, and the reader's own marks."""
    assert {slot.name for slot in fields(Common)} - {"partial", "apart"} == {name.replace("-", "_") for name in COMMON}


def test_every_sort_of_row_has_a_place_in_a_netlist() -> None:
    """A netlist holds one table a sort of row, and the header."""
    assert {slot.name for slot in fields(Netlist)} == {*TABLE_OF.values(), "header", "digest"}
    assert set(TABLE_OF) == set(ROW_NAMES) - {"netlist"}


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.name)
def test_a_field_is_well_formed(field: Field) -> None:
    """Choices come with the choice type, rows exist, help says something."""
    assert (field.type is Type.CHOICE) == bool(field.choices)
    assert set(field.on) <= set(ROW_NAMES)
    assert set(field.required_on) <= set(field.on)
    assert field.help and field.name == field.name.lower()


def test_names_are_unique() -> None:
    """In one sort of row a name means one thing; one table holds one sort of row."""
    for row in ROW_NAMES:
        names = [field.name for field in fields_of(row)]
        assert len(set(names)) == len(names), row
    assert len({row.table for row in ROWS}) == len(ROWS)


def test_an_unknown_sort_is_refused() -> None:
    """Only the rows of the definition exist."""
    with pytest.raises(KeyError):
        row_sort("wheel")
