"""What works in one car and not in the other: kinds, severities, what they rest on, what is told once."""

from __future__ import annotations

import pytest
from builders.fixtures import behind, keyed, shared, stud, switch, switched
from builders.rows import POWER, bare, findings, inline, kinds, lamp, named, socket, study, told
from cars import Mix, make_car, mutate, rename, vehicle_of

from harnesscheck.align import align
from harnesscheck.compare.compare import compare
from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.works.function import functions
from harnesscheck.network.behaviour import states
from harnesscheck.network.graph.sides import Study

MOTOR = 'amps="7.5" system="fuel"'


def only(donor: Study, shell: Study, kind: str) -> Finding:
    """The one finding of a kind."""
    (found,) = [one for one in findings(donor, shell) if one.kind == kind]
    return found


def pump(feed: str, more: str = MOTOR) -> Study:
    """A pump on one of the feeds, without a plug."""
    return study(lamp("pump", feed, kind="motor", more=more))


def test_a_dead_load_says_state_volts_and_what_it_lacks():
    """Ground moved to metal that no strap joins: 0 V by Kirchhoff, for no current flows."""
    found = only(stud("G1"), stud("G9"), "dead-accessory")

    assert "it has no ground" in found.text
    assert found.evidence.shown["state"] == "key off"
    assert found.evidence.shown["volts"] == 0
    assert found.evidence.shown["path"] == ["battery", "link 80 A", "F1 10 A", "lamp", "body"]


def test_a_dim_load_has_the_volts_of_a_divider():
    """55 W at 12 V are 2.618 Ω; behind 2 Ω it gets 12 · 2.618 / 4.618 = 6.80 V, less the feed's 25 mV (Ohm's law)."""
    found = only(behind("0.01"), behind("2"), "dim-accessory")

    assert found.evidence.shown["volts"] == pytest.approx(12 * 2.618 / 4.618, abs=0.05)


def test_a_load_that_is_always_on_drains_the_battery():
    """5 W at 12 V are 0.417 A, key off."""
    found = only(switched("SA"), switched("P"), "always-on")

    assert found.evidence.shown["drain_ma"] == pytest.approx(5 / 12 * 1000, rel=0.002)
    assert found.severity is Severity.DEAD


def test_a_pump_that_runs_with_the_key_off_hurts():
    """Fuel, starter, ignition: injury; the same motor without that system is dead."""
    assert only(pump("R"), pump("P"), "always-on").severity is Severity.INJURY
    assert only(pump("R"), pump("P", 'amps="7.5"'), "always-on").severity is Severity.INJURY  # what the donor says
    assert only(pump("R", 'amps="7.5"'), pump("P"), "always-on").severity is Severity.DEAD


def test_a_load_beyond_its_fuse_is_damage():
    """A heater of 12 A, 1 Ω, behind about 20 mΩ on the 10 A fuse of the feed it is now on: 12 / 1.02 A."""
    found = only(keyed_load("R", "5"), keyed_load("P", "12"), "always-on")

    assert found.severity is Severity.DAMAGE
    assert found.evidence.shown["overload"] == "11.8 A through F1, 10 A"


def keyed_load(feed: str, amps: str) -> Study:
    """A heater of some amperes on a feed."""
    return study(lamp("heater", feed, kind="heater", more=f'amps="{amps}"'))


def test_key_positions_are_named_on_both_sides():
    """On with the run feed here, with the accessory feed there."""
    found = only(keyed("R"), keyed("A"), "wrong-key-position")

    assert "run, start" in found.text
    assert found.evidence.shown["state"] == "key accessory"
    assert found.evidence.shown["lost"] == ["key start"]


def test_a_sneak_path_is_named_element_by_element():
    """The lost ground of two lamps: one lights the other backwards, and a third through it; 5 W each, 4 V each."""
    found = only_at(findings(shared("G1"), shared("")), "sneak-path", "right")

    assert found.evidence.shown["path"][-4:] == ["left", "right backwards", "third", "body"]
    assert found.evidence.shown["pattern"] == "H"
    assert found.evidence.shown["volts"] == pytest.approx(-4.0, abs=0.02)


def only_at(found: tuple[Finding, ...], kind: str, component: str) -> Finding:
    """The one finding of a kind about a component."""
    (one,) = [one for one in found if one.kind == kind and one.donor_component == component]
    return one


def test_two_feeds_over_one_ground_are_a_power_dome():
    """A lamp lit by another switch's feed through a bridge between the two lamps' feeds."""

    def car(bridge: str) -> Study:
        points = '<splice id="SA"/><splice id="SB"/>'
        lamps = lamp("left", "SA", more='watts="5"') + lamp("right", "SB", more='watts="5"')
        return study(points, switch("one", "P", "SA"), switch("two", "Q", "SB"), lamps, bridge)

    told_ = functions_of(car(""), car('<wire from="SA" to="SB"/>'))
    by_part = {one.donor_component: one for one in told_}

    assert {one.kind for one in told_} == {"sneak-path"}
    assert by_part["left"].evidence.shown["pattern"] == by_part["right"].evidence.shown["pattern"] == "power dome"


def test_one_feed_over_two_grounds_is_a_ground_dome():
    """Two lamps switched on their ground side; a bridge there lets either switch light both."""

    def car(bridge: str) -> Study:
        points = '<splice id="NA"/><splice id="NB"/>'
        lamps = lamp("left", "P", "NA", more='watts="5"') + lamp("right", "Q", "NB", more='watts="5"')
        return study(points, switch("one", "NA", "G1"), switch("two", "NB", "G1"), lamps, bridge)

    told_ = functions_of(car(""), car('<wire from="NA" to="NB"/>'))

    assert {(one.kind, one.evidence.shown["pattern"]) for one in told_} == {("sneak-path", "ground dome")}
    assert {one.donor_component for one in told_} == {"left", "right"}


def functions_of(donor: Study, shell: Study, dead: tuple[str, ...] = ()):
    """What is found of functions when nothing at a plug explains it."""
    return functions(Context(donor, shell, named(donor, shell)), [], dead).changes


def test_a_motor_fed_backwards_is_reversed():
    """The fan's two wires exchanged: -12 V."""
    (found,) = functions_of(study(lamp("fan", "P", kind="motor")), study(lamp("fan", "G1", "P", kind="motor")))

    assert found.kind == "reversed"
    assert found.evidence.shown["volts"] == pytest.approx(-12, abs=0.1)
    assert found.severity is Severity.DEAD


def test_electronics_fed_backwards_are_damaged():
    """A module does not survive it."""

    def car(plus: str, minus: str) -> Study:
        pins = f'<pin terminal="a" role="supply" to="{plus}"/><pin terminal="b" role="ground" to="{minus}"/>'
        return study(f'<component id="box" kind="module">{pins}</component>')

    (found,) = functions_of(car("P", "G1"), car("G1", "P"))

    assert (found.kind, found.severity) == ("reversed", Severity.DAMAGE)


def test_a_lamp_does_not_mind_its_direction():
    """Exchanged, it is as bright."""
    assert functions_of(study(lamp("bulb", "P")), study(lamp("bulb", "G1", "P"))) == ()


def test_a_relay_that_holds_itself_keeps_its_load_on():
    """A button pulls the relay in; in the other car the relay feeds its own coil from then on."""

    def car(coil: str) -> Study:
        points = '<splice id="SB"/><splice id="SL"/><splice id="SC"/>'
        ends = {"30": "P", "87": "SL", "86": "SC", "85": "G1"}
        pins = "".join(f'<pin terminal="{name}" to="{to}"/>' for name, to in ends.items())
        relay = f'<component id="K" kind="relay" ohms="85">{pins}</component>'
        return study(points, switch("button", "Q", "SC"), relay, lamp("lamp", "SL"), coil)

    (found,) = functions_of(car(""), car('<wire from="SL" to="SC"/>'))

    assert (found.kind, found.donor_component) == ("always-on", "lamp")
    assert found.evidence.shown["state"] == "key off, button=on, let go again"
    assert found.evidence.shown["held"] == ["K"]


def test_another_key_position_s_feed_does_not_explain_what_nothing_lights():
    """The plug brings another feed, and the ground is on metal without a strap: both are told."""

    def car(feed: str, ground: str) -> Study:
        wires = {"1": f"p>{feed}", "2": f"g>{ground}"}
        return study('<ground id="G9" on="frame"/>', socket("lamp", "lamp", {"1": "+", "2": "-"}, wires))

    assert told(findings(car("R", "G1"), car("A", "G9")), Severity.DEAD) == [
        "dead-accessory lamp-H",
        "wrong-feed lamp-H:1",
    ]
    assert told(findings(car("R", "G1"), car("A", "G1")), Severity.DEAD) == ["wrong-feed lamp-H:1"]


def test_what_was_dead_already_says_so():
    """The swap sheet's ``[before]``."""
    (plain,) = functions_of(stud("G1"), stud("G9"))
    (before,) = functions_of(stud("G1"), stud("G9"), ("lamp",))

    assert "before" not in plain.evidence.shown
    assert before.evidence.shown["before"] == "was dead already"
    assert before.words["before"]


def test_a_finding_at_the_plug_tells_it_once_and_names_the_load():
    """The feed is missing at the plug: the lamp behind it is in that finding's evidence."""
    shell = study(lamp("lamp", "S1"), inline({"4": "z>Q"}, {"1": "a>S1", "4": "z>S4"}), lamp("other", "S4"))
    donor = study(lamp("lamp", "S1"), inline({"1": "a>P", "4": "z>Q"}, {"1": "a>S1", "4": "z>S4"}), lamp("other", "S4"))

    assert kinds(donor, shell, Severity.DEAD) == ["missing-circuit C1:1"]
    assert only(donor, shell, "missing-circuit").evidence.loads == ("lamp: dead-accessory, key off",)


def test_a_plug_s_finding_does_not_hide_what_is_worse():
    """A fuel pump on a permanent feed at its own plug: the plug's finding is dead, the pump's is injury."""

    def car(feed: str) -> Study:
        return study(
            socket("pump", "motor", {"1": "+ supply", "2": "- ground"}, {"1": f"p>{feed}", "2": "g>G1"}, MOTOR)
        )

    assert told(findings(car("R"), car("P")), Severity.DEAD) == ["always-on pump-H", "wrong-feed pump-H:1"]


def test_what_nothing_turns_on_is_listed_and_never_equal():
    """A load on a wire from nowhere in the donor."""
    car = study('<splice id="X"/>', lamp("lost", "X"))

    result = compare(car, car, named(car, car))

    assert any("not exercised: lost" in one.text for one in result.coverage.unjudged)


def test_what_the_other_car_has_no_control_for_is_listed():
    """The donor's switch has no partner: its lamp cannot be turned on in both cars."""
    donor = study('<splice id="SA"/>', switch("light", "P", "SA"), lamp("lamp", "SA"))
    shell = study('<splice id="SA"/>', switch("other", "P", "SA"), lamp("lamp", "SA"))

    result = compare(donor, shell, named(donor, shell))

    assert [one.kind for one in result.findings if one.donor_component == "lamp"] == []
    assert any(
        "worked by what the shell's file has not, not exercised: lamp" in one.text for one in result.coverage.unjudged
    )


def test_an_unwritten_end_makes_a_dead_load_likely():
    """The lamp's wire in the other car has no far end in the file: it may well go to the feed."""
    donor = study(socket("lamp", "lamp", {"1": "+", "2": "-"}, {"1": "a>P", "2": "g>G1"}))
    shell = study(socket("lamp", "lamp", {"1": "+", "2": "-"}, {"1": "a>", "2": "g>G1"}))
    found = functions_of(donor, shell)

    assert [(one.kind, one.sure) for one in found] == [("dead-accessory", False)]


def test_an_assumed_length_makes_a_dim_load_likely():
    """What a wire of unknown length takes is not known; with all sizes and lengths it is."""
    assert only(behind("0.01"), behind("2"), "dim-accessory").certainty is Certainty.LIKELY


def test_a_pin_table_gets_no_function_findings_and_says_so():
    """No battery, no components: nothing is known of what works."""
    table = bare(inline({"1": "a>P", "2": "b>P"}, {"1": "a>S1"}) + '<splice id="P"/>')

    result = compare(table, table, named(table, table))

    assert any(one.sort == "untried" for one in result.coverage.unjudged)


def test_a_car_too_large_to_try_every_state_is_said(monkeypatch: pytest.MonkeyPatch):
    """No hours of work, no silence: what could not be judged says so."""
    monkeypatch.setattr(states, "TOO_MANY", 10)
    donor, shell = Study(switched("SA").vehicle), Study(switched("P").vehicle)

    result = compare(donor, shell, named(donor, shell))

    assert not [one for one in result.findings if "state" in one.evidence.shown]
    assert any(one.text.startswith("what works: too large") for one in result.coverage.unjudged)


def test_volts_near_a_threshold_are_called_close():
    """90 % of a lamp's reference, to one part in a thousand: R/(R+r) = 0.9 at r = R/9."""
    ohms = (12 * 12 / 55 + 0.02) / 9  # battery, link and fuse have 20 mΩ

    near = only(behind("0.0001"), behind(f"{ohms * 1.004:.4f}"), "dim-accessory")
    far = only(behind("0.0001"), behind(f"{ohms * 1.3:.4f}"), "dim-accessory")

    assert near.evidence.shown.get("close") is True
    assert "close" not in far.evidence.shown


def test_an_alternator_that_charges_less_is_not_every_load_s_fault():
    """No alternator in the other car: 12 V instead of 14.2 V with the engine running dims nothing."""
    charged = '<component id="alt" kind="alternator"><pin terminal="B+" to="B"/></component>'

    assert functions_of(study(lamp("lamp", "P"), charged), study(lamp("lamp", "P"))) == ()


def test_a_load_that_changed_its_name_inside_the_part_is_found_by_its_terminals():
    """One file names the load, the other only its terminals."""

    def car(name: str, to: str) -> Study:
        pins = f'<pin terminal="1" to="{to}"/><pin terminal="2" to="G1"/>'
        inside = f'<inside from="1" to="2" watts="5" {name}/>'
        return study('<splice id="X"/>', f'<component id="box" kind="other">{pins}{inside}</component>')

    assert [one.kind for one in functions_of(car('load="beam"', "P"), car("", "X"))] == ["dead-accessory"]


@pytest.mark.parametrize("seed", range(6))
def test_a_car_against_itself_renamed_is_silent(seed: int):
    """Everything renamed, half of it misleadingly: by the true pairs nothing works otherwise."""
    car = make_car(seed, 60)
    other, _ = rename(car, seed)
    donor, shell = Study(vehicle_of(car)), Study(vehicle_of(other))
    pairs = align(donor, shell)

    found = functions(Context(donor, shell, pairs), compare(donor, shell, pairs, electrical=False).findings)

    assert [one for one in found.changes if one.sure] == []


@pytest.mark.parametrize("seed", range(12))
def test_every_difference_of_function_is_told_somewhere(seed: int):
    """In edited cars: a load that differs for sure has a finding of its own or is named in another's evidence."""
    donor, shell = (
        Study(vehicle_of(one)) for one in mutate(make_car(seed, 80), seed + 1, Mix(edits=0.15, renamed=False))[:2]
    )
    pairs = align(donor, shell)
    alone = functions(Context(donor, shell, pairs), []).changes

    result = compare(donor, shell, pairs)

    named_ = {one.donor_component for one in result.findings if "state" in one.evidence.shown}
    for one in result.findings:
        named_ |= {text.split(":")[0].split(" ")[0] for text in one.evidence.loads}
    special = {one.donor_component for one in result.findings if one.kind == "restraint-altered"}
    assert {one.donor_component for one in alone if one.donor_component} <= named_ | special


def test_a_pump_that_stands_still_while_cranking_is_dead_not_injury() -> None:
    """The key lets 15 go in start: nothing runs that should not."""
    drops = POWER.replace('when="run start"', 'when="run"')
    rows = lamp("fuel-pump", "R", kind="motor", more='amps="7" system="fuel"')

    (one,) = (each for each in findings(study(rows), bare(drops, rows)) if each.donor_component == "fuel-pump")

    assert (one.kind, one.severity) == ("wrong-key-position", Severity.DEAD)


def tails(ground: str) -> Study:
    """Two tail lamps and two brake lamps; those of the left share a splice that ``ground`` ties to the body or not."""
    rows = '<splice id="SA"/><splice id="SB"/><splice id="J"/>'
    rows += "".join(
        f'<component id="{name}-switch" kind="switch"><pin terminal="1" to="{feed}"/><pin terminal="2" to="{to}"/>'
        '<inside when="on" from="1" to="2"/></component>'
        for name, feed, to in (("light", "P", "SA"), ("brake", "Q", "SB"))
    )
    lamps = (("tail-left", "SA", "J", 5), ("brake-left", "SB", "J", 21), ("tail-right", "SA", "G1", 5))
    rows += "".join(lamp(name, plus, minus, more=f'watts="{w}"') for name, plus, minus, w in lamps)
    return study(rows + lamp("brake-right", "SB", "G1", more='watts="21"') + ground)


def test_a_shared_ground_wire_that_is_lost_is_told_once_by_its_name() -> None:
    """What each lamp then does by another's switch stands under the wire."""
    wire = '<wire from="J" to="G1" circuit="31L" size="1.5"/>'

    (found,) = (one for one in findings(tails(wire), tails("")) if one.severity <= Severity.DEAD)

    assert (found.kind, found.severity) == ("ground-lost", Severity.DEAD)
    assert "J to G1 (31L, 1.5 mm²)" in found.text
    assert {text.partition(":")[0] for text in found.evidence.loads} >= {"tail-left", "brake-left", "tail-right"}


def test_a_load_that_a_thin_wire_makes_slow_is_told_as_volts_lost_in_the_wire() -> None:
    """30 m of 2.5 mm² have 0.24 Ω (IEC 60228 class 5, 7.98 Ω/km): of 12 V, 1.2 Ω of blower keep 10.0 V, 83 %."""
    thin, thick = (
        '<splice id="M"/>' + lamp("blower", "M", kind="motor", more='ohms="1.2"') + f'<wire from="Q" to="M" {more}/>'
        for more in ('size="2.5" length="30"', 'size="16" length="1"')
    )

    found = [one for one in findings(study(thick), study(thin)) if one.donor_component == "blower"]

    assert [one.kind for one in found] == ["volt-drop"]
    assert "Q to M" in found[0].text
