"""One version of a car out of a netlist: options, build months, and what goes with a dropped row."""

from __future__ import annotations

from pathlib import Path

from builders.files import good, read_xml

from harnesscheck.model.records import Netlist
from harnesscheck.read import configure


def netlist(folder: Path, body: str, header: str = "") -> Netlist:
    """Rows as a netlist."""
    return good(read_xml(folder, '<harness id="b"/><harness id="r" option="lift"/>' + body, header))


def test_a_row_needs_all_of_its_options(tmp_path: Path) -> None:
    """By default the vehicle has the options the netlist lists."""
    car = netlist(tmp_path, '<option id="abs"/><ground id="A" option="abs"/><ground id="B" option="abs lift"/>')

    assert list(configure(car).grounds) == ["A"]
    assert list(configure(car, options=["abs", "lift"]).grounds) == ["A", "B"]
    assert list(configure(car, options=[]).grounds) == []


def test_a_row_is_absent_with_any_of_the_options_it_is_without(tmp_path: Path) -> None:
    """without= is the opposite."""
    car = netlist(tmp_path, '<option id="abs"/><ground id="A" without="abs lift"/><ground id="B" without="lift"/>')

    assert list(configure(car).grounds) == ["B"]
    assert list(configure(car, options=()).grounds) == ["A", "B"]


def test_the_vehicle_says_which_options_it_has(tmp_path: Path) -> None:
    """Given options replace those of the netlist, in order; a known one keeps its name."""
    car = netlist(tmp_path, '<option id="abs" name="Anti-lock"/>')

    vehicle = configure(car, options=["lift", "abs"])
    assert [(row.id, row.name) for row in vehicle.netlist.options] == [("abs", "Anti-lock"), ("lift", None)]


def test_build_months_decide(tmp_path: Path) -> None:
    """No month in common: dropped. A part of the months: kept, and marked. All of them: kept."""
    body = """<ground id="before" built-to="2013-07"/><ground id="after" built-from="2014-08"/>
<ground id="part" built-from="2014-01"/><ground id="all" built-from="2010-01" built-to="2014-07"/><ground id="open"/>"""
    vehicle = configure(netlist(tmp_path, body, 'built-from="2013-08" built-to="2014-07"'))

    assert {row.id: row.common.partial for row in vehicle.netlist.grounds} == {
        "part": True,
        "all": False,
        "open": False,
    }


def test_months_can_be_given(tmp_path: Path) -> None:
    """A known build month makes more rows certain, and is the vehicle's from then on."""
    body = '<ground id="A" built-from="2014-01"/><ground id="B" built-to="2013-12"/>'
    vehicle = configure(netlist(tmp_path, body, 'built-from="2013-08"'), months=("2014-03", "2014-03"))

    assert {row.id: row.common.partial for row in vehicle.netlist.grounds} == {"A": False}
    assert vehicle.netlist.header.common.built_to == "2014-03"


def test_without_any_dates_a_dated_row_is_partial(tmp_path: Path) -> None:
    """When the vehicle was built is not known."""
    vehicle = configure(netlist(tmp_path, '<ground id="A" built-from="2014-01"/>'))

    assert vehicle.grounds["A"].common.partial


def test_what_belongs_to_a_dropped_row_goes_with_it(tmp_path: Path) -> None:
    """Connectors of a harness or component, their pins, joints inside, splices, wires."""
    body = """<splice id="S" harness="r"/><splice id="T" harness="b"/><ground id="G"/>
<component id="m" option="lift"><connector id="M"><pin cavity="1" terminal="+"/></connector><inside from="+" to="-"/>
<pin terminal="-" to="G"/></component>
<connector id="R" harness="r"><pin cavity="1" to="S"/></connector>
<connector id="B" harness="b"><pin cavity="1"/></connector>
<wire from="S" to="G"/><wire from="T" to="G"/>"""
    vehicle = configure(netlist(tmp_path, body))

    assert list(vehicle.harnesses) == ["b"]
    assert list(vehicle.splices) == ["T"]
    assert list(vehicle.connectors) == ["B"]
    assert vehicle.components == {}
    assert [pin.connector for pin in vehicle.netlist.pins] == ["B"]
    assert vehicle.netlist.insides == ()
    assert [wire.from_ for wire in vehicle.netlist.wires] == ["T"]
    assert len(configure(netlist(tmp_path, body), options=["lift"]).netlist.pins) == 4


def test_what_only_points_to_a_dropped_row_stays(tmp_path: Path) -> None:
    """Its far end, its mate, its order are not known any more."""
    body = """<splice id="S" harness="b" option="lift"/><connector id="X" harness="b" option="lift"/>
<component id="m" after="r b" with="r"/>
<connector id="B" harness="b" mates="X"><pin cavity="1" circuit="F" to="S"/><pin cavity="2" to="X:4"/></connector>"""
    vehicle = configure(netlist(tmp_path, body))

    assert vehicle.connectors["B"].mates is None
    assert [(pin.circuit, pin.to) for pin in vehicle.netlist.pins] == [("F", None), (None, None)]
    assert (vehicle.components["m"].after, vehicle.components["m"].with_) == (("b",), None)


def test_a_lost_wire_that_shares_its_contact_goes(tmp_path: Path) -> None:
    """The contact is in use by the other one; a row without an end beside it would read as the same wire."""
    body = """<splice id="S" harness="b" option="lift"/><ground id="G"/>
<connector id="B" harness="b"><pin cavity="1" size="1" to="S"/><pin cavity="1" size="2" to="G"/></connector>"""

    assert [pin.to for pin in configure(netlist(tmp_path, body)).netlist.pins] == ["G"]


def test_the_far_end_of_a_wire_in_a_contact_with_another(tmp_path: Path) -> None:
    """The second end needs no row of its own; what it says of the contact goes to the other wire's row."""
    body = """<splice id="S" harness="b"/><connector id="A" harness="b"><pin cavity="1" size="1" to="B:2"/></connector>
<connector id="B" harness="b"><pin cavity="2" size="1" to="A:1" contact="2.8"/>
<pin cavity="2" size="2" to="S"/></connector>"""
    pins = configure(netlist(tmp_path, body)).netlist.pins

    assert [(pin.to, pin.contact) for pin in pins] == [("B:2", None), ("S", "2.8")]


def test_a_wire_row_that_has_lost_an_end_goes(tmp_path: Path) -> None:
    """It has nowhere else to be."""
    car = netlist(tmp_path, '<splice id="S" harness="b" option="lift"/><ground id="G"/><wire from="S" to="G"/>')

    assert configure(car).netlist.wires == ()


def test_a_cavity_stays_an_end_when_its_own_row_is_dropped(tmp_path: Path) -> None:
    """A wire may end in a cavity that has no row of its own."""
    body = """<connector id="A" harness="b"><pin cavity="1" to="B:1"/></connector>
<connector id="B" harness="b"><pin cavity="1" option="lift"/></connector>"""

    assert [pin.to for pin in configure(netlist(tmp_path, body)).netlist.pins] == ["B:1"]


def test_a_wire_written_at_both_ends_is_one_wire(tmp_path: Path) -> None:
    """The first row keeps its to and knows what either said; the second is that cavity's row, and goes nowhere."""
    body = """<connector id="A" harness="b"><pin cavity="1" circuit="F" to="B:2" length="2"/></connector>
<connector id="B" harness="b"><pin cavity="2" colour="RD" size="1.5" to="A:1" contact="2.8"/></connector>"""
    first, second = configure(netlist(tmp_path, body)).netlist.pins

    assert (first.to, first.circuit, first.length, first.contact) == ("B:2", "F", 2.0, None)
    assert first.colour is not None and first.colour.text == "RD"
    assert (second.to, second.circuit, second.length, second.contact) == (None, "F", None, "2.8")


def test_a_wire_written_at_both_ends_under_different_conditions(tmp_path: Path) -> None:
    """Only what is there is put together."""
    body = """<connector id="A" harness="b"><pin cavity="1" circuit="F" to="B:2" option="lift"/></connector>
<connector id="B" harness="b"><pin cavity="2" to="A:1"/></connector>"""
    car = netlist(tmp_path, body)

    assert [pin.to for pin in configure(car).netlist.pins] == ["A:1"]
    assert [pin.to for pin in configure(car, options=["lift"]).netlist.pins] == ["B:2", None]


def test_rows_of_one_cavity_that_agree_become_one_when_both_are_there(tmp_path: Path) -> None:
    """A general row, and one for an option that says more."""
    body = """<connector id="A" harness="b"><pin cavity="1" circuit="F"/>
<pin cavity="1" size="2.5" option="lift"/></connector>"""
    car = netlist(tmp_path, body)

    assert len(car.pins) == 2
    assert len(configure(car).netlist.pins) == 1
    merged = configure(car, options=["lift"]).netlist.pins
    assert [(pin.circuit, pin.size.text if pin.size else None) for pin in merged] == [("F", "2.5")]


def test_a_netlist_is_not_changed_by_it(tmp_path: Path) -> None:
    """configure makes another one."""
    car = netlist(tmp_path, '<ground id="A" option="abs"/>')
    configure(car)

    assert [row.id for row in car.grounds] == ["A"]


def test_configuring_twice_is_configuring_once(tmp_path: Path) -> None:
    """A vehicle is the version it is."""
    body = """<option id="abs"/>
<connector id="A" harness="b"><pin cavity="1" circuit="F" to="B:2" option="abs"/></connector>
<connector id="B" harness="b"><pin cavity="2" to="A:1"/></connector>"""
    once = configure(netlist(tmp_path, body))

    assert configure(once.netlist).netlist == once.netlist


def test_a_row_needs_its_options_and_its_months(tmp_path: Path) -> None:
    """Both conditions at once, on every sort of row; wires and pins among them."""
    body = """<splice id="S" harness="b"/><splice id="T" harness="b"/><option id="abs"/>
<connector id="C" harness="b"><pin cavity="1" option="abs" built-from="2014-01"/><pin cavity="2" option="lift"/>
<pin cavity="3" without="abs"/><pin cavity="4" built-to="2013-12" without="lift"/></connector>
<wire from="S" to="T" circuit="A" option="abs" built-from="2014-01"/><wire from="S" to="T" circuit="B" without="abs"/>
<component id="k"><inside from="1" to="2" option="lift"/><inside from="1" to="3" built-to="2013-12"/></component>"""
    car = netlist(tmp_path, body)

    def there(*months: str | None) -> tuple[list[str | None], list[str | None], list[str]]:
        rows = configure(car, months=(months[0], months[1])).netlist
        return (
            [pin.cavity for pin in rows.pins],
            [wire.circuit for wire in rows.wires],
            [inside.to for inside in rows.insides],
        )

    assert there("2014-02", "2014-02") == (["1"], ["A"], [])
    assert there("2013-02", "2013-02") == (["4"], [], ["3"])
    assert there(None, None) == (["1", "4"], ["A"], ["3"])


def test_months_open_on_one_side(tmp_path: Path) -> None:
    """Built before, or from then on: what may have been is kept and marked, what cannot have been is dropped."""
    body = """<ground id="early" built-to="2013-12"/><ground id="late" built-from="2014-01"/>
<ground id="one" built-from="2014-03" built-to="2014-03"/><ground id="open"/>"""
    car = netlist(tmp_path, body)

    def there(first: str | None, last: str | None) -> dict[str, bool]:
        return {row.id: row.common.partial for row in configure(car, months=(first, last)).netlist.grounds}

    assert there("2014-03", None) == {"late": False, "one": True, "open": False}
    assert there(None, "2013-12") == {"early": False, "open": False}
    assert there(None, "2014-01") == {"early": True, "late": True, "open": False}
    assert there("2014-03", "2014-03") == {"late": False, "one": False, "open": False}


def test_knowing_the_month_better_never_adds_a_row(tmp_path: Path) -> None:
    """Rows of a narrower span are among those of the wider one, and what was certain there stays certain."""
    ends = [None, "2013-06", "2013-12", "2014-01", "2014-06"]
    spans = [(a, b) for a in ends for b in ends if a is None or b is None or a <= b]
    rows = "".join(
        f'<ground id="G{n}"{f" built-from={chr(34)}{a}{chr(34)}" if a else ""}'
        f"{f' built-to={chr(34)}{b}{chr(34)}' if b else ''}/>"
        for n, (a, b) in enumerate(spans)
    )
    car = netlist(tmp_path, rows)
    found = {
        span: {row.id: row.common.partial for row in configure(car, months=span).netlist.grounds} for span in spans
    }

    for wide in spans:
        for narrow in spans:
            inside = (wide[0] or "0") <= (narrow[0] or "0") and (narrow[1] or "9") <= (wide[1] or "9")
            if inside:
                assert found[narrow].keys() <= found[wide].keys()
                assert all(not found[narrow][name] for name in found[narrow] if not found[wide][name])


def test_an_option_nobody_wrote_a_row_for_is_an_option(tmp_path: Path) -> None:
    """A vehicle may have what the file never mentions; the rest of the car is the same."""
    car = netlist(tmp_path, '<ground id="A"/><ground id="B" without="roof-rack"/>')

    assert list(configure(car, options=["roof-rack", "unheard-of"]).grounds) == ["A"]
    assert list(configure(car, options=["unheard-of"]).grounds) == ["A", "B"]
