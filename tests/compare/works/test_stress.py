"""What burns: short circuits of a car's states, and parts that get far more volts than they are made for."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.rows import FRONT, bare, doubted, findings, inline, joined, lamp, named, socket, study, told
from builders.spice import deck, operating_points, program

from harnesscheck.compare.carries.loadfindings import load_findings
from harnesscheck.compare.carries.loads import loads_of
from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.works.stress import new_shorts
from harnesscheck.network.behaviour.shorts import short_circuits
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.sides import Study

SWITCH = (
    '<splice id="Y"/><component id="hand" kind="switch"><pin terminal="1" to="P"/><pin terminal="2" to="Y"/>'
    '<inside when="on" from="1" to="2"/></component>'
)


def relay(plus: str, minus: str) -> Study:
    """A relay whose coil has a suppression diode from 85 to 86; which terminal is fed is the question."""
    part = f'<component id="relay" kind="relay" ohms="85"><pin terminal="{plus}" to="Y"/>'
    part += f'<pin terminal="{minus}" to="G1"/><inside diode="yes" from="85" to="86"/></component>'
    return study(SWITCH, part)


def test_a_suppression_diode_turned_forward_is_a_short() -> None:
    """Fed at 86 it blocks; fed at 85 it conducts and the coil's 0.14 A are lost beside it."""
    assert short_circuits(Behaviour(relay("86", "85"))) == ()

    (short,) = short_circuits(Behaviour(relay("85", "86")))

    assert [one.name for one in short.fuses] == ["link", "F1"]
    assert short.suppressor is not None and short.suppressor.component == "relay"


def test_the_short_s_current_is_ngspice_s(tmp_path: Path) -> None:
    """The state with the diode forwards, solved by ngspice with the parts as found: node volts within 1 µV."""
    program()
    behaviour = Behaviour(relay("85", "86"))
    (short,) = short_circuits(behaviour)
    solution = behaviour.state(short.condition).solution

    theirs = operating_points(tmp_path, [deck(solution, "c")])

    volts = [(float(solution.volts[node]), theirs.get(f"cn{node}", 0.0)) for node in short.nodes]
    assert max(abs(ours - other) for ours, other in volts) <= 1e-6
    assert short.amps > 50


def test_the_turned_diode_is_damage_at_its_part() -> None:
    """Named as what it is: the relay's diode conducts, fuse F1 blows."""
    found = [one for one in findings(relay("86", "85"), relay("85", "86")) if one.severity <= Severity.DAMAGE]

    assert [(one.kind, one.shell_component) for one in found] == [("reversed", "relay")]
    assert "F1 10 A" in found[0].text


DIODE = '<component id="diode" kind="diode"><pin terminal="A" to="{}"/><pin terminal="K" to="{}"/></component>'


def carrier(feed: str, hand: str) -> Study:
    """A horn relay on a sub-loom with a loose diode across its coil; which cavity carries the feed is the question."""
    coil = socket("coil", "relay", {"1": "86", "2": "85"}, {"1": "30H>SF", "2": "HB>SH"}, 'ohms="85"', harness="rear")
    diode = socket("diode", "diode", {"1": "A", "2": "K"}, {"1": "HB>SH", "2": "30H>SF"}, harness="rear")
    press = '<inside when="pressed" from="1" to="2"/>'
    button = socket("button", "switch", {"1": "1", "2": "2"}, {"1": f"HB>C1:{hand}", "2": "31>G1"}, inside=press)
    return bare(FRONT, inline({feed: "30H>P"}, {feed: "30H>SF", hand: "HB>SH"}), coil, diode, button)


def burning(donor: Study, shell: Study) -> list[tuple[str, tuple[str, ...] | None]]:
    """Kind and fuses of every short that only the other car has."""
    return [(one.kind, one.evidence.fuse) for one in new_shorts(Context(donor, shell, named(donor, shell)))]


def test_a_loose_diode_on_an_exchanged_plug_is_damage_not_injury() -> None:
    """The feed meets the diode's anode: with the button pressed its fuse blows, and the diode is gone."""
    found = joined(carrier("1", "2"), carrier("2", "1"))

    burnt = [one for one in found if one.severity <= Severity.DAMAGE]
    assert {(one.kind, one.severity, one.donor.connector) for one in burnt} == {("reversed", Severity.DAMAGE, "C1")}


def test_a_short_behind_a_diode_that_parts_two_feeds_is_a_short() -> None:
    """A diode in the way of the current suppresses nothing: what lies behind it burns as without it."""
    behind = '<splice id="D"/>' + DIODE.format("P", "D")
    sound = study(behind, lamp("one", "D"))
    tied = study(behind, lamp("one", "D"), '<wire from="D" to="G1"/>')

    (found,) = (one for one in findings(sound, tied) if one.severity <= Severity.DAMAGE)
    assert (found.kind, found.severity) == ("feed-to-ground", Severity.INJURY)


def test_a_short_the_file_has_already_hides_no_other() -> None:
    """F2 is tied to the body in both; only the other car ties F1 through a switch."""
    known = lamp("two", "Q") + '<wire from="Q" to="G1"/>'
    other = SWITCH + known + lamp("one", "P")
    tied = other + '<wire from="Y" to="G1"/>'

    assert burning(study(other), study(tied)) == [("feed-to-ground", ("link", "F1"))]
    assert burning(study(tied), study(tied)) == []


BATTERY = '<ground id="G1"/><splice id="B"/><component id="battery" kind="battery">'
BATTERY += '<pin terminal="+" to="B"/><pin terminal="-" to="G1"/></component>'


def test_a_battery_tied_to_the_body_is_told_by_one_car_alone() -> None:
    """By the file's doubts and by its loads: a short, not a thin wire."""
    tied = bare(BATTERY, '<wire from="B" to="G1" size="1.5" length="1"/>', lamp("one", "B"))

    assert "feed-to-ground battery" in doubted(tied)
    told = load_findings(loads_of(Behaviour(tied)))
    assert [one.kind for one in told if one.severity <= Severity.DAMAGE] == ["feed-to-ground"]

    sound = bare(BATTERY, lamp("one", "B"))
    assert "feed-to-ground battery" not in doubted(sound)


@pytest.mark.parametrize(("there", "burns"), [("12", False), ("24", True)])
def test_a_lamp_of_12_volts_on_24(there: str, burns: bool) -> None:
    """ISO 16750-2 tests 12 V systems with 18 V for an hour, 24 V ones with 36 V (from memory, not read)."""
    one = bare(BATTERY, lamp("one", "B", more='watts="21"'))
    other = bare(
        BATTERY.replace('kind="battery"', f'kind="battery" volts="{there}"'), lamp("one", "B", more='watts="21"')
    )

    found = [each for each in findings(one, other) if each.severity <= Severity.DAMAGE]

    assert [(each.kind, each.donor_component) for each in found] == ([("wrong-feed", "one")] if burns else [])


def alternator(excited: str) -> Study:
    """An alternator whose D+ is on the ignition or on a feed that is always live, and a lamp both cars have."""
    part = '<component id="alternator" kind="alternator"><pin terminal="B+" to="L"/>'
    part += f'<pin terminal="D+" to="{excited}"/><pin terminal="B-" to="G1"/></component>'
    return study(part, lamp("one", "P"))


def test_a_field_on_a_permanent_feed_drains_day_and_night() -> None:
    """Standing, 10 Ω on 12 V is 1.2 A by Ohm's law, less 1 % for battery, fuse and wire."""
    (found,) = (one for one in findings(alternator("R"), alternator("P")) if one.kind == "always-on")

    assert found.donor_component == "alternator"
    assert found.evidence.shown["drain_ma"] == pytest.approx(1200, rel=0.02)
    assert not [one for one in findings(alternator("R"), alternator("R")) if one.severity <= Severity.DEAD]


def test_the_field_s_current_is_ngspice_s(tmp_path: Path) -> None:
    """Volts at D+ with the key off, solved by ngspice: within 1 µV."""
    program()
    behaviour = Behaviour(alternator("P"))
    solution = behaviour.state(Condition("off")).solution
    node = behaviour.circuit.node_of[behaviour.study.index.terminal["alternator", "D+"]]

    theirs = operating_points(tmp_path, [deck(solution, "c")])

    assert theirs[f"cn{node}"] == pytest.approx(float(solution.volts[node]), abs=1e-6)


def coil_on(volts: str) -> Study:
    """A relay for 12 V on a battery of some volts."""
    battery = BATTERY.replace('kind="battery"', f'kind="battery" volts="{volts}"')
    part = '<component id="relay" kind="relay" ohms="85"><pin terminal="86" to="B"/><pin terminal="85" to="G1"/>'
    return bare(battery, part + "</component>", lamp("one", "B", kind="heater", more='ohms="100" volts="24"'))


def test_a_relay_s_coil_of_12_volts_on_24_is_damage_with_its_own_advice() -> None:
    """85 Ω that are made for 12 V take (24/12)² = 4 times their heat: by Joule's law 6.8 W instead of 1.7 W."""
    (found,) = (one for one in findings(coil_on("12"), coil_on("24")) if one.donor_component == "relay")

    assert (found.kind, found.severity) == ("wrong-feed", Severity.DAMAGE)
    assert "made for 12 V" in found.text
    assert "right volts" in found.do
    assert not [one for one in findings(coil_on("12"), coil_on("14")) if one.donor_component == "relay"]


def test_a_part_of_24_volts_on_12_is_not_the_wiring_s_fault() -> None:
    """Dim, and told to fit the part of the right volts."""
    heater = lamp("one", "B", kind="heater", more='ohms="5" volts="24"')
    full, half = (bare(BATTERY.replace('kind="battery"', f'kind="battery" volts="{v}"'), heater) for v in ("24", "12"))

    (found,) = (one for one in findings(full, half) if one.severity <= Severity.DEAD)

    assert found.kind == "dim-accessory"
    assert "right volts" in found.do


def test_a_car_of_positive_earth_is_no_short() -> None:
    """Its battery's plus is on the body and its minus feeds; both on the body is one."""
    turned = BATTERY.replace('"+" to="B"', '"+" to="G1"').replace('"-" to="G1"', '"-" to="B"')
    both = turned.replace('"-" to="B"', '"-" to="G1"')

    assert "feed-to-ground battery" not in doubted(bare(turned, lamp("one", "B")))
    assert "feed-to-ground battery" in doubted(bare(both, lamp("one", "B")))


@pytest.mark.parametrize("word", ["rest", "off", "released"])
def test_a_switch_that_rests_closed_lights_the_lamp_untouched(word: str) -> None:
    """A brake lamp's switch of the other car closes when the pedal is let go."""
    rows = SWITCH + lamp("stop", "Y", more='watts="21"')
    donor, shell = (
        study(rows.replace('when="on"', 'when="pressed"')),
        study(rows.replace('when="on"', f'when="{word}"')),
    )

    assert "always-on stop" in told(findings(donor, shell))
