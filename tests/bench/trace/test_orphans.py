"""Wires that lead nowhere, and what is never measured."""

from __future__ import annotations

import pytest
from builders.demo import demo_vehicle
from builders.rows import bare, half, inline, lamp, study
from builders.tracing import demo, only, traced

from harnesscheck.assemble.apply import apply
from harnesscheck.bench.symptoms.plans import questions
from harnesscheck.bench.symptoms.symptoms import plan_for
from harnesscheck.bench.trace.orphans import functions, liveness, once_fed
from harnesscheck.bench.trace.trace import Trace, index_nodes, nets_of
from harnesscheck.lists.looseends import LooseEnd, loose_ends
from harnesscheck.model.edits import Cut
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.terminal import terminal_text
from harnesscheck.report.trace import live_words, trace_report
from harnesscheck.report.traced import Traced
from harnesscheck.report.tracing import told

MATED = {"1": "FEED>P", "2": "IGN>R", "3": "SPARE>X"}


def sheet_of(traced_: Traced) -> str:
    """A trace as a terminal has it."""
    return terminal_text(trace_report(traced_, {}))


def car(*rows: str) -> Behaviour:
    return Behaviour(study('<splice id="X"/>', *rows))


def ends(found: Trace) -> list[tuple[str, str, bool]]:
    return [(one.place, one.why, one.certain) for one in loose_ends(found.study, nets_of(found))]


def test_an_empty_cavity_on_the_other_half() -> None:
    """The other half is fully written and has nothing there: known."""
    found = traced(car(inline(MATED, {"2": "IGN>Y", "3": "SPARE>Z"})), "C1:1")

    assert ends(found) == [("C1:1", "the other half C1R has this cavity empty", True)]


def test_a_plug_without_a_mate_and_one_not_documented() -> None:
    """What the file does not say is not known to be empty."""
    alone = traced(car(half("C1", MATED, "front")), "C1:1")
    blind = traced(car(half("C1", MATED, "front", "C2"), '<connector id="C2" harness="rear" cavities="4"/>'), "C1:1")

    assert ends(alone) == [("C1:1", "plug with no other half in the file", False)]
    assert ends(blind) == [("C1:1", "the other half C2 is not documented here", False)]


def test_a_cut_wire_ends_twice() -> None:
    """Both new ends are named, one on either side of the cut."""
    cut = Behaviour(Study(apply(demo_vehicle(), [Cut("C21H:4")])))
    stub, far = traced(cut, "C21:4"), traced(cut, "RE-SH:1")

    assert ends(stub) == [("C21H.4.stub", "cut: a stub of wire is left in the contact", True)]
    assert ends(far) == [("C21H.4.cut", "cut: this end leads nowhere", True)]
    assert not stub.complete and not far.complete


def test_a_wire_whose_far_end_nobody_wrote() -> None:
    """One pin with a circuit and no far end."""
    found = traced(car(half("C1", {"1": "LONE"}, "front")), "C1:1")

    assert [one[1] for one in ends(found)] == ["nobody wrote where its wire goes"]


@pytest.mark.parametrize(
    ("cavity", "sure"), [("1", ("off", "accessory", "run", "start")), ("2", ("run", "start")), ("3", ())]
)
def test_live_in_which_key_position(cavity: str, sure: tuple[str, ...]) -> None:
    """A permanent feed, an ignition feed, a wire that hangs on nothing."""
    behaviour = car(half("C1", MATED, "front"))
    live = liveness(behaviour, index_nodes(behaviour.study, only(behaviour, f"C1:{cavity}")))

    assert live.sure == sure
    assert live.maybe == ()
    assert ("KEY OFF" in live_words(live)) == ("off" in sure)


def test_what_is_not_documented_is_never_called_dead() -> None:
    """One plug and no car: not known, taken for live; what the file calls a feed is said."""
    alone = Behaviour(bare('<harness id="front"/>', half("C1", {"1": 'F function="permanent feed"'}, "front")))
    live = liveness(alone, index_nodes(alone.study, only(alone, "C1:1")))
    words = live_words(live)

    assert not live.sure and not live.known and live.suspect
    assert "NOT KNOWN" in words and "permanent feed" in words and "Dead" not in words
    assert told(traced(alone, "C1:1"), "vehicle").alarms


def test_a_plug_whose_mate_is_not_in_the_file_may_be_fed_from_there() -> None:
    """A spare with no other half: nothing in the file feeds it, and nothing says that nothing does."""
    behaviour = car(half("C1", {"1": "SPARE>X"}, "front"))
    live = liveness(behaviour, index_nodes(behaviour.study, only(behaviour, "C1:1")))

    assert not live.sure and not live.known
    assert "NOT KNOWN" in live_words(live)


def test_a_wire_behind_a_switch_could_be_live() -> None:
    """Dead at rest in every key position, and yet a switch would make it live."""
    switch = '<component id="W" kind="switch"><pin terminal="1" to="P"/><pin terminal="2" to="X"/></component>'
    behaviour = car(switch, half("C1", {"1": "SW>X"}, "front"))
    live = liveness(behaviour, index_nodes(behaviour.study, only(behaviour, "C1:1")))

    assert live.sure == ()
    assert live.maybe == ("off", "accessory", "run", "start")
    assert "could make it live" in live_words(live)


def test_a_dead_load_is_followed_to_the_loose_end_of_its_feed() -> None:
    """Through the switch that is open at rest, to the plug whose other half has nothing there."""
    switch = '<component id="W" kind="switch"><pin terminal="1" to="V"/><pin terminal="2" to="Y"/></component>'
    plug = inline({"2": "F>P"}, {"1": "F>V", "2": "X>Q9"})
    found = traced(car(switch, plug, '<splice id="Y" harness="rear"/>', lamp("bulb", "Y")), "bulb")

    assert found.to_ground and not found.to_feed
    assert [step.spot.place for step in found.up][-1] == "C1R:1"
    assert ends(found) == [("C1R:1", "the other half C1 has this cavity empty", True)]


def test_a_dead_load_behind_a_relay_that_nothing_pulls_in() -> None:
    """The way is shown all the same, and the relay is named as what has to work first."""
    relay = (
        '<component id="K" kind="relay" ohms="85"><pin terminal="30" to="P"/><pin terminal="87" to="X"/>'
        '<pin terminal="86" to="Y"/><pin terminal="85" to="G1"/></component>'
    )
    found = traced(car('<splice id="Y"/>', relay, lamp("bulb", "X")), "bulb")
    text = " ".join(sheet_of(told(found, "vehicle")).split())

    assert not found.to_feed
    assert "battery.+" in [step.spot.place for step in found.steps]
    assert "Open in every state known: K." in text


def test_a_ground_on_metal_that_nothing_straps() -> None:
    """The lamp comes to a stud of the hatch, and the hatch to nothing: said by its name; with a strap it is whole."""
    hatch = '<ground id="G9" on="hatch"/>'
    lost = traced(car(hatch, lamp("bulb", "P", "G9")), "bulb")
    strapped = traced(car(hatch, lamp("bulb", "P", "G9"), '<wire from="G9" to="G1" size="4"/>'), "bulb")
    text = " ".join(sheet_of(told(lost, "vehicle")).split())

    assert lost.steps[-1].spot.place == "G9" and not lost.to_ground
    assert "G9 is on hatch, and by the file no strap joins that" in text
    assert strapped.complete and strapped.steps[-1].spot.place == "G1"


def test_a_short_is_said_before_anything_else() -> None:
    """A feed joined to the body by a wire: hundreds of amperes, do not power it up."""
    short = '<wire from="B" to="G1" size="25" length="0.5"/>'
    sound, shorted = (traced(car(lamp("bulb", "P"), more), "bulb") for more in ("", short))
    text = sheet_of(told(shorted, "vehicle"))

    assert not told(sound, "vehicle").alarms
    assert "SHORT" in text and "Do not power this car up" in " ".join(text.split())
    assert text.index("SHORT") < text.index("State:")


def test_what_it_once_fed_is_read_off_the_other_car() -> None:
    """The same circuit in the other car, by its name, or by what the swap sheet says it is called there."""
    ours = car(half("C1", {"1": "FEED>P"}, "front"), '<circuit id="FEED" function="step lamp feed"/>')
    theirs = study('<splice id="X"/>', half("C1", {"1": "FEED>X"}, "front"), lamp("step-lamp", "X"))
    renamed = study('<splice id="X"/>', half("C1", {"1": "SL>X"}, "front"), lamp("step-lamp", "X"))
    nets = nets_of(traced(ours, "C1:1"))

    assert once_fed(ours.study, nets, theirs, {}) == ("step-lamp.+",)
    assert once_fed(ours.study, nets, renamed, {}) == ()
    assert once_fed(ours.study, nets, renamed, {"FEED": "SL"}) == ("step-lamp.+",)
    assert once_fed(ours.study, nets, None, {}) == ()
    assert functions(ours.study, nets) == ("FEED (step lamp feed)",)


def test_an_orphan_is_told_with_what_to_do() -> None:
    """The report has the end, whether it is live, and no chain that is whole."""
    traced_ = told(traced(car(inline(MATED, {"2": "IGN>Y", "3": "SPARE>Z"})), "C1:1"), "vehicle")

    assert [one.place for one in traced_.ends] == ["C1:1"]
    assert isinstance(traced_.ends[0], LooseEnd)
    assert traced_.live is not None and traced_.live.sure[0] == "off"


@pytest.mark.parametrize(
    "text", ["driver-squib", "driver-squib.1", "DS1", "C19:2", "pretensioner-left", "airbag-module.31", "ABF"]
)
def test_restraint_is_never_traced(text: str) -> None:
    """Part, terminal, circuit, cavity, feed of the module: a stop, and not one spot to probe."""
    found = traced(demo(), text)

    assert found.stop
    assert found.steps == ()
    assert "maker's procedure" in " ".join(found.stop.split())


def test_high_voltage_is_never_traced() -> None:
    """Orange cables are out of bounds, as are parts of that system."""
    row = '<circuit id="HV" function="traction" system="high-voltage"/>'
    behaviour = car(row, half("C1", {"1": "HV>P"}, "front"))
    found = traced(behaviour, "C1:1")

    assert found.stop.startswith("STOP. High voltage")
    assert found.steps == ()


def shared_plug() -> Behaviour:
    """A lamp and a squib's wire through one in-line plug, the lamp behind a switch."""
    rows = (
        '<splice id="S" harness="front"/><circuit id="SQ" class="restraint" system="restraint"/>',
        '<component id="SW" kind="switch"><pin terminal="1" to="P"/><pin terminal="2" to="S"/></component>',
        inline({"1": "LP>S", "2": "LG>G1", "3": "SQ>X"}, {"1": "LP>Y", "2": "LG>Z", "3": "SQ>W"}),
        lamp("bulb", "Y", "Z"),
    )
    return car(*rows)


def test_a_plug_shared_with_restraint_is_named_and_never_opened() -> None:
    """Its other cavities may be probed from behind; no plan says to unplug it."""
    found = traced(shared_plug(), "bulb")
    (caution,) = told(found, "vehicle").notes

    assert found.complete and not found.stop
    assert "C1 holds restraint" in caution and "(cavity 3)" in caution and "only by a licensed person" in caution
    for symptom in ("always-on", "blows-fuse"):
        hows = [question.how for question in questions(plan_for(found, symptom))]
        assert not any("C1" in how for how in hows), hows


def test_fuel_is_cautioned() -> None:
    """The pump's way says so, the lamp's does not."""
    assert any("Fuel" in note for note in told(traced(demo(), "fuel-pump"), "vehicle").notes)
    assert not told(traced(demo(), "reading-lamp-1"), "vehicle").notes


def test_of_a_signal_no_volts_are_claimed() -> None:
    """A sender's wire: what it reads is up to the module on it."""
    found = traced(demo(), "TG")

    assert {step.volts for step in found.steps if step.spot.sort != "ground"} == {None}
    assert any("Signal or data line" in note for note in told(found, "vehicle").notes)


def test_a_signal_s_whole_net_is_listed_with_its_wires() -> None:
    """The bus of the example: every plug it is in, every wire with its colour, and the 60 ohm check."""
    found = told(traced(demo(), "CANH"), "vehicle")
    text = " ".join(sheet_of(found).split())

    assert {spot.place for spot in found.net} >= {"EC-AH:24", "BM-AH:5", "IC-AH:13", "OB-AH:6", "S23", "S33"}
    assert {hop.element.name for hop in found.net_wires} == {
        branch.name
        for branch in demo().circuit.branches
        if branch.sort == "wire" and branch.row is not None and getattr(branch.row, "circuit", None) == "CANH"
    }
    assert "60 Ω" in text and "Volts are over" not in text


def test_a_ground_shared_with_restraint_may_be_traced() -> None:
    """The stud is the body's: other parts on it are traced as usual."""
    found = traced(demo(), "G7")

    assert not found.stop and found.complete
