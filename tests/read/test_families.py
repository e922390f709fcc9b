"""Options of which a vehicle has one at most, and rows that are there with one option or another."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product
from pathlib import Path

import pytest
from builders.files import good, read_xml

from harnesscheck.model.records import Common, Ground
from harnesscheck.read import configure, read_netlist
from harnesscheck.read.conditions import can_meet, is_there
from harnesscheck.read.configure import options_of
from harnesscheck.read.families import tell_apart, with_families
from harnesscheck.read.faults import Faults
from harnesscheck.write.xml import write_xml

OPTIONS = (
    '<option id="ramp" family="rear"/><option id="lift" family="rear" fitted="no"/>'
    '<option id="doors" family="rear" fitted="no"/><option id="lamps" fitted="no"/>'
)
FAMILY = ("ramp", "lift", "doors")
CHOICES = [
    frozenset(choice)
    for count in range(3)
    for choice in combinations((*FAMILY, "lamps"), count)
    if len(set(choice) & set(FAMILY)) < 2
]


def pins(folder: Path, rows: str, options: str = OPTIONS) -> str:
    return f'{options}<harness id="h"/><connector id="C" harness="h">{rows}</connector>'


def test_siblings_may_use_one_cavity_without_naming_each_other(tmp_path: Path) -> None:
    """Two colours in one cavity, one a sibling: no fault, and each vehicle has its own."""
    rows = '<pin cavity="1" colour="RD" option="ramp"/><pin cavity="1" colour="GN" option="lift|doors"/>'
    car = good(read_xml(tmp_path, pins(tmp_path, rows)))

    seen = {
        option: [pin.colour.text for pin in configure(car, [option]).netlist.pins if pin.colour is not None]
        for option in FAMILY
    }
    assert seen == {"ramp": ["RD"], "lift": ["GN"], "doors": ["GN"]}


def test_without_a_family_the_same_rows_are_a_fault(tmp_path: Path) -> None:
    """Two options that both may be there cannot be two colours."""
    rows = '<pin cavity="1" colour="RD" option="ramp"/><pin cavity="1" colour="GN" option="lift|doors"/>'

    found = read_xml(tmp_path, pins(tmp_path, rows, ""))

    assert isinstance(found, list) and "is there twice" in found[0].read


CONDITIONS = [
    Common(option=option, without=without)
    for option, without in product(
        [(), ("ramp",), ("lift",), ("ramp|lift",), ("lift|doors", "lamps"), ("rear",), ("ramp|lamps",)],
        [(), ("doors",), ("rear",), ("lift", "lamps"), FAMILY],
    )
    if not {name for term in option for name in term.split("|")} & {*without}
]


@pytest.mark.parametrize("one", CONDITIONS, ids=str)
def test_two_rows_are_apart_only_where_no_choice_of_options_has_both(tmp_path: Path, one: Common) -> None:
    """Against every choice that the family allows. What is not plainly apart may meet."""
    netlist = good(read_xml(tmp_path, OPTIONS))
    rows = tuple(Ground(id="G", common=common) for common in (one, *CONDITIONS))
    here, *others = (row.common for row in tell_apart(replace(netlist, grounds=rows), Faults()).grounds)
    has = [with_families(choice, netlist.options) for choice in CHOICES]
    single = [common for common in others if all("|" not in term for term in common.option)]

    for other in others:
        both = any(is_there(here, one) and is_there(other, one) for one in has)
        alone = any(is_there(here, one) for one in has) and any(is_there(other, one) for one in has)
        assert can_meet(here, other) >= both
        if alone and other in single and all("|" not in term for term in here.option):
            assert can_meet(here, other) == both, other


def test_a_chosen_option_takes_the_place_of_its_sibling(tmp_path: Path) -> None:
    netlist = good(read_xml(tmp_path, OPTIONS))

    assert options_of(netlist) == {"ramp"}
    assert options_of(netlist, ["lift"]) == {"lift"}
    assert options_of(netlist, ["lamps"]) == {"ramp", "lamps"}
    assert options_of(netlist, ["lamps"], ["rear"]) == {"lamps"}
    assert [row.id for row in configure(netlist).netlist.options] == ["ramp"]
    assert [row.fitted for row in configure(netlist, ["lift"]).netlist.options] == [None]


def test_what_is_written_reads_as_the_same(tmp_path: Path) -> None:
    rows = '<pin cavity="1" circuit="A" option="lift | doors lamps"/><pin cavity="2" circuit="B" without="rear"/>'
    car = good(read_xml(tmp_path, pins(tmp_path, rows)))
    write_xml(car, tmp_path / "again.xml")

    again = good(read_netlist(tmp_path / "again.xml"))

    assert [pin.common for pin in again.pins] == [pin.common for pin in car.pins]
    assert again.pins[0].common.option == ("lift|doors", "lamps")
    assert {row.id: (row.family, row.fitted) for row in again.options} == {
        row.id: (row.family, row.fitted) for row in car.options
    }


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ('<option id="a" family="f"/><option id="b" family="f"/>', 'fitted="no" for all of family f but one (a)'),
        ('<option id="a" family="a"/>', "an option's name that no family has"),
        ('<option id="a|b"/>', "an option's name that no family has, without |"),
        ('<ground id="G" option="a||b"/>', "option: a name on both sides of |"),
        ('<ground id="G" without="a|b"/>', "without: names with white space between"),
        ('<ground id="G" option="a|b" without="b"/>', "options that are not in option= as well"),
    ],
)
def test_what_makes_no_sense_is_a_fault(tmp_path: Path, rows: str, told: str) -> None:
    found = read_xml(tmp_path, rows)

    assert isinstance(found, list) and told in found[0].expected
