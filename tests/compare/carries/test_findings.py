"""Findings of one car: every kind where it is, near misses silent, what is not known listed and never fine."""

from __future__ import annotations

import pytest
from builders.oneload import circuit, drop, judged, wire
from builders.rows import lamp, study

from harnesscheck.compare.carries.loadfindings import load_findings
from harnesscheck.report.blocks.terminal import terminal_text
from harnesscheck.report.loads import loads_report, not_judged, told

FUSE = 'rating="{}" type="C"'


def kinds(car) -> list[str]:
    return sorted(finding.kind for finding in load_findings(judged(car)))


@pytest.mark.parametrize(
    ("feed", "load", "fuse", "expected"),
    [
        ('size="2.5" length="2"', 'kind="heater" amps="10"', 15, []),
        ('size="1.5" length="2" bundle="7"', 'kind="heater" amps="11"', 15, ["wire-overloaded"]),
        ('size="2.5" length="2" bundle="7"', 'kind="heater" amps="11"', 15, []),
        ('size="1" length="2"', 'kind="heater" amps="5"', 30, ["fuse-too-big"]),
        ('size="1" length="2"', 'kind="heater" amps="5"', 15, []),
        ('size="1" length="2"', 'kind="heater" amps="7"', 7.5, ["fuse-too-small"]),
        ('size="1" length="2"', 'kind="heater" amps="7"', 10, []),
        ('size="0.75" length="30"', 'kind="lamp" watts="5"', 10, ["fuse-too-slow"]),
        ('size="0.75" length="20"', 'kind="lamp" watts="5"', 10, []),
        ('size="1" length="25"', 'kind="lamp" watts="21"', 10, ["volt-drop"]),
        ('size="1" length="15"', 'kind="lamp" watts="21"', 10, []),
    ],
)
def test_each_kind_and_its_near_miss(feed, load, fuse, expected):
    """One circuit, one fault; the same a little better, none."""
    assert kinds(circuit(feed, load, fuse=FUSE.format(fuse))) == expected


def test_a_wire_of_unknown_size_is_not_judged_and_listed():
    """It is never fine: it stands under what is not judged, and its share is not known."""
    loads = judged(circuit('length="2"', 'kind="heater" amps="50"', fuse=FUSE.format(10)))

    assert wire(loads, "P - S").share is None
    assert any("size not written" in text and "P - S" in text for text in not_judged(loads))
    assert "wire-overloaded" not in {finding.kind for finding in load_findings(loads)}


def test_a_fuse_of_unknown_rating_is_not_judged_and_listed():
    """Neither too small nor too big can be said."""
    loads = judged(circuit('size="0.5" length="2"', 'kind="heater" amps="9"', fuse=""))

    assert any("without a rating: F1" in text for text in not_judged(loads))
    assert not {"fuse-too-small", "fuse-too-big"} & {finding.kind for finding in load_findings(loads)}


def test_a_load_of_short_duty_may_fill_a_wire_for_half_a_minute():
    """9 A through 0.5 mm², good for 10.1 A for hours, and 60 A through 1.5 mm² for a moment only if short."""
    short = circuit('size="2.5" length="1"', 'kind="motor" amps="36" duty="short"', fuse='rating="40" type="E"')
    lasting = circuit('size="2.5" length="1"', 'kind="motor" amps="36"', fuse='rating="40" type="E"')

    assert "wire-overloaded" not in kinds(short)
    assert "wire-overloaded" in kinds(lasting)


def test_findings_carry_path_volts_and_amperes():
    """What a person would measure, and where it was read."""
    car = circuit('size="1" length="25"', 'kind="lamp" watts="21"')
    (finding,) = load_findings(judged(car))

    assert finding.donor_component == "load"
    assert finding.evidence.shown["volts"] > finding.evidence.shown["limit_volts"] == 0.7
    assert finding.evidence.shown["amps"] == pytest.approx(21 / 12, rel=0.1)
    assert {"F1", "P - S"} <= {row["at"] for row in finding.evidence.shown["path"]}
    assert finding.evidence.read_at


def test_assumed_lengths_make_a_finding_likely_and_are_named():
    """A wire of no length is taken as 1.5 m; thin enough, even that loses too much."""
    written, assumed = (circuit(f'size="0.1" {more}', 'kind="lamp" watts="35"') for more in ('length="1.5"', ""))
    by_length = next(one for one in load_findings(judged(written)) if one.kind == "volt-drop")
    by_default = next(one for one in load_findings(judged(assumed)) if one.kind == "volt-drop")

    assert by_length.certainty.word == "known"
    assert by_default.certainty.word == "likely"
    assert any("1.5 m assumed" in text for text in by_default.evidence.assumed)


def test_parallel_wires_share_what_they_carry():
    """Two wires of 1 mm² between the same ends carry half each, and stand a fuse of 30 A together, not alone."""
    one = circuit('size="1" length="2"', 'kind="heater" amps="20"', fuse='rating="30" type="C"')
    both = study(
        '<splice id="S"/>',
        '<component id="F9" kind="fuse" rating="30" type="C"><pin terminal="1" to="L"/>'
        '<pin terminal="2" to="T"/></component>',
        '<splice id="T"/><wire from="T" to="S" size="1" length="2"/><wire from="T" to="S" size="1" length="2"/>',
        lamp("load", "S", kind="heater", more='amps="20"'),
    )
    loads = judged(both)

    assert {"wire-overloaded", "fuse-too-big"} <= set(kinds(one))
    assert [wire_.steady_a for wire_ in loads.wires if loads.branch(wire_.wire).name == "T - S"] == pytest.approx(
        [wire(loads, "T - S").steady_a] * 2
    )
    assert "fuse-too-big" not in kinds(both)
    assert "wire-overloaded" not in kinds(both)


def test_what_a_short_cannot_overload_needs_no_smaller_fuse():
    """Behind 10 Ω a dead short passes 1.2 A: a fuse of 20 A is not too big for 0.5 mm² there."""
    resistor = (
        '<component id="RX" kind="resistor" ohms="10"><pin terminal="1" to="S"/><pin terminal="2" to="T"/></component>'
    )
    rest = '<splice id="S"/><splice id="T"/><splice id="U"/><wire from="P" to="S" size="2.5" length="1"/>'
    rest += '<wire from="T" to="U" size="0.5" length="1"/>' + resistor
    loads = judged(study(rest, lamp("load", "U", kind="heater", more='watts="1"')))
    fuse = next(one for one in loads.fuses if one.name == "F1")

    assert {loads.branch(one.guard.wire).name for one in fuse.shorts} >= {"P - S", "T - U"}
    assert fuse.thinnest is None or loads.branch(loads.wires[fuse.thinnest[0]].wire).name != "T - U"


def test_a_switch_is_in_one_position_at_a_time():
    """A wire that only two positions of one switch at once would feed is not guarded by that fuse."""
    points = "".join(f'<splice id="{name}"/>' for name in ("X", "Y", "Z"))
    wires = '<wire from="P" to="X" size="1" length="1"/><wire from="Q" to="Y" size="1" length="1"/>'
    wires += '<wire from="Z" to="E" size="1" length="1"/><splice id="E"/>'
    switch = (
        '<component id="sw" kind="switch">'
        '<pin terminal="1" to="X"/><pin terminal="2" to="Y"/><pin terminal="3" to="Z"/>'
        '<inside when="left" from="1" to="3"/><inside when="right" from="2" to="3"/></component>'
    )
    loads = judged(study(points, wires, switch, lamp("load", "E", more='watts="5"')))
    guarded = {
        fuse.name: {loads.branch(one.guard.wire).name for one in fuse.shorts} for fuse in loads.fuses if fuse.shorts
    }

    assert "Z - E" in guarded["F1"] & guarded["F2"]
    assert "Q - Y" not in guarded["F1"]
    assert "P - X" not in guarded["F2"]


def test_restraint_wiring_is_left_to_its_maker():
    """A finding there says stop, not what to lay."""
    car = study(
        '<circuit id="a" class="restraint"/><splice id="S"/><wire from="P" to="S" circuit="a" size="0.5" length="12"/>',
        lamp("module", "S", kind="heater", more='amps="5" system="restraint"'),
    )
    found = load_findings(judged(car))

    assert found
    assert all(finding.do.startswith("STOP") for finding in found)


def test_the_text_fits_eighty_columns_and_names_what_it_rests_on():
    """Worst first; assumptions and what is not judged at the end."""
    loads = judged(circuit('size="1" length="25"', 'kind="lamp" watts="21"', fuse=""))
    text = terminal_text(loads_report(told(loads, load_findings(loads)), {}))

    assert max(map(len, text.splitlines())) <= 80
    assert "Assumed:" in text
    assert "PVC insulation for 80 °C" in text
    assert "Not judged:" in text


def test_the_form_of_a_fuse_is_assumed_and_said():
    """Melting times are those of the medium blade where only the rating is written; links have none."""
    loads = judged(circuit('size="1" length="2"', 'kind="heater" amps="5"', fuse='rating="10"'))
    link = judged(circuit('size="1" length="2"', 'kind="heater" amps="5"', fuse='rating="10" type="slow tube"'))

    assert (loads.fuses[0].form, loads.fuses[0].form_assumed) == ("C", True)
    assert "form not written, so the blade made in that rating: F1" in " ".join(
        terminal_text(loads_report(told(loads, ()), {})).split()
    )
    assert link.fuses[0].form is None
    assert any("no melting times" in text for text in not_judged(link))


def test_a_side_through_a_resistor_is_not_read():
    """A dropping resistor loses volts on purpose."""
    resistor = (
        '<component id="RX" kind="resistor" ohms="1"><pin terminal="1" to="P"/><pin terminal="2" to="S"/></component>'
    )
    loads = judged(study('<splice id="S"/>', resistor, lamp("load", "S", kind="motor", more='amps="5"')))

    assert [one for one in loads.drops if one.load >= 0] == []


def test_a_ground_through_a_switch_may_lose_what_a_feed_may():
    """0.2 V are for a single ground, not for a driver and its wire."""

    def car(way: str):
        switch = '<component id="sw" kind="switch"><pin terminal="1" to="S"/><pin terminal="2" to="G1"/></component>'
        minus = "S" if way == "switched" else "G1"
        return study('<splice id="S"/>', switch, lamp("load", "P", minus, kind="motor", more='amps="2"'))

    assert drop(judged(car("switched")), "ground").limit_v == 0.8
    plain = drop(judged(circuit('size="1"', 'kind="motor" amps="2"', ground='size="1" length="1"')), "ground")
    assert plain.limit_v == 0.2
