"""Plans of measurements followed on cars that have the fault: they end at it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from builders.demo import demo_vehicle
from builders.rows import inline, socket, study
from builders.tracing import demo, traced, walked

from harnesscheck.assemble.apply import apply
from harnesscheck.bench.symptoms import SYMPTOMS
from harnesscheck.bench.symptoms.breaks import FEED_LOST_V, GROUND_LOST_V
from harnesscheck.bench.symptoms.drains import SLEEP_LIMIT_A, fuse_draws
from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterQuestion, questions, verdicts
from harnesscheck.bench.symptoms.symptoms import NoPlan, plan_for
from harnesscheck.bench.trace.spots import Spots
from harnesscheck.bench.trace.trace import Trace
from harnesscheck.model.edits import Cut
from harnesscheck.model.records import Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.terminal import block_lines
from harnesscheck.report.plan_text import letters, marks_of, plan_section
from harnesscheck.trade.fuses import fuse

Meter = Callable[[MeterQuestion], int]  # which of a question's answers is read


def followed(plan: MeasurementPlan, meter: Meter) -> tuple[Diagnosis, int]:
    """Where a plan ends with these readings, and after how many."""
    node: MeterQuestion | Diagnosis = plan.root
    count = 0
    while isinstance(node, MeterQuestion):
        node = node.answers[meter(node)].next
        count += 1
    return node, count


def volts_at(behaviour: Behaviour, condition: Condition, place: str) -> float:
    """What a meter shows at a place; nothing joined shows 0 V."""
    node = Spots(behaviour.study, behaviour.circuit).node(place)
    assert node is not None, place
    volts = float(behaviour.state(condition).solution.volts[node])
    return 0.0 if volts != volts else volts


def by_volts(broken: Behaviour, whole: Trace) -> Meter:
    """Reads the broken car: the answer whose own volts are nearest."""

    def read(question: MeterQuestion) -> int:
        volts = volts_at(broken, whole.condition, question.place)
        said = [float(answer.reading.replace(",", "").split(" V")[0].split()[-1]) for answer in question.answers]
        return min(range(len(said)), key=lambda number: abs(said[number] - volts))

    return read


def broken_cars(whole: Trace) -> Iterator[tuple[str, Behaviour]]:
    """The car with every contact, fuse and wire of a chain broken in turn, and what the plan must call it."""
    for hop in whole.hops:
        if hop.sort == "contact":
            yield f"the contact {hop.element.name} in", Behaviour(whole.study, (hop.element.name,))
        elif hop.sort == "fuse":
            yield f"fuse {hop.element.name} ", Behaviour(whole.study, (hop.element.name,))
        elif hop.sort == "wire" and ":" in hop.element.name.split(" - ")[0]:
            first, _, second = hop.element.name.partition(" - ")
            yield f"from {first} to {second}", Behaviour(Study(apply(demo_vehicle(), [Cut(first, second)])))


@pytest.mark.parametrize("name", ["reading-lamp-1", "fuel-pump", "starter"])
def test_dead_ends_at_every_break(name: str) -> None:
    """Each contact, fuse and wire of the chain broken for real, by a cut or by the solver: the plan names it."""
    whole = traced(demo(), name)
    plan = plan_for(whole, "dead")
    checked = 0
    for words, broken in broken_cars(whole):
        verdict, count = followed(plan, by_volts(broken, whole))
        assert words in verdict.text, (words, verdict.text)
        assert count <= len(questions(plan))
        checked += 1
    assert checked > 5


def test_the_cut_of_the_example_is_found() -> None:
    """The swap sheet's cut at C21H:4: five measurements at most, and the verdict is that one wire."""
    whole = traced(demo(), "reading-lamp-1")
    cut = Behaviour(Study(apply(demo_vehicle(), [Cut("C21H:4")])))

    verdict, count = followed(plan_for(whole, "dead"), by_volts(cut, whole))

    assert verdict.places == ("C21H:4", "RE-SH:1")
    assert "RD/PK" in verdict.text
    assert count <= 6


@pytest.mark.parametrize("name", ["reading-lamp-1", "washer-pump-front"])
def test_dim_ends_at_every_bad_contact(name: str) -> None:
    """A contact of a third of the load's resistance: read under load the plan ends at it."""
    whole = traced(demo(), name)
    circuit = whole.behaviour.circuit
    plan = plan_for(whole, "dim")
    load_ohm = whole.hops[whole.load].element.ohm
    checked = 0
    for hop in whole.hops:
        if hop.sort != "contact" or abs(whole.hops.index(hop) - whole.load) == 1:
            continue
        branches = list(circuit.branches)
        branches[hop.branch] = replace(circuit.branches[hop.branch], ohm=load_ohm / 3)
        bad = Behaviour(whole.study)
        bad.__dict__["circuit"] = replace(circuit, branches=tuple(branches))
        verdict, _ = followed(plan, dim_meter(bad, whole))
        assert f"the contact {hop.element.name} in" in verdict.text, (hop.element.name, verdict.text)
        checked += 1
    assert checked > 5


def dim_meter(bad: Behaviour, whole: Trace) -> Meter:
    """Good within the limits over what a sound car reads; the good answer stands first."""

    def read(question: MeterQuestion) -> int:
        volts = volts_at(bad, whole.condition, question.place)
        sound = volts_at(whole.behaviour, whole.condition, question.place)
        on_feed = sound > 6
        good = volts >= sound - FEED_LOST_V if on_feed else volts <= sound + GROUND_LOST_V
        return 0 if good else 1

    return read


# -- always on


LAMP = socket("LAMP", "lamp", {"1": "+ supply", "2": "- ground"}, {}, 'watts="5"', harness="rear")


def switch_car() -> Behaviour:
    """A lamp behind an in-line plug of its own ground and a switch with a plug."""
    rows = (
        '<splice id="S" harness="front"/><splice id="S2" harness="front"/>',
        inline({"1": "LP>S2"}, {"1": "LP>LAMP-H:1"}, "C1"),
        socket("LAMP", "lamp", {"1": "+ supply", "2": "- ground"}, {"2": "LG>G1"}, 'watts="5"', harness="rear"),
        socket("SW", "switch", {"1": "1", "2": "2"}, {"1": "F>P", "2": "LP>S2"}, inside=""),
    )
    return Behaviour(study(*rows))


def test_always_on_tells_the_switch_from_the_wire() -> None:
    """Goes out with the switch unplugged: the switch; stays on with the in-line plug apart: the wire to the lamp."""
    whole = traced(switch_car(), "LAMP")
    plan = plan_for(whole, "always-on")
    at = {question.place.partition(":")[0] for question in questions(plan)}

    stuck, _ = walked(plan, {question.place: "goes out" for question in questions(plan)})
    wire, _ = walked(plan, {question.place: "stays on" for question in questions(plan)})

    assert at == {"C1", "SW-H"}
    assert "SW" in stuck.text and "bridges" in stuck.text
    assert "LAMP-H:1" in wire.text and "touches a live wire" in wire.text


@pytest.mark.parametrize(("fault", "words"), [("switch", "reading-switch"), ("wire", "S45 touches a live wire")])
def test_always_on_ends_at_the_fault_put_in(fault: str, words: str) -> None:
    """The switch bridged, or a wire behind it joined to a live one: unplugging is solved, the lamp on or off."""
    whole = traced(demo(), "reading-lamp-1")
    plan = plan_for(whole, "always-on")
    vehicle = demo_vehicle()
    live = Wire(from_="S45", to="S30", harness="rear", ohms=0.01)
    wires = (*vehicle.netlist.wires, live) if fault == "wire" else vehicle.netlist.wires
    condition = whole.condition if fault == "switch" else Condition(whole.condition.stage)
    study_ = Study(Vehicle(replace(vehicle.netlist, wires=wires)))
    load = next(n for n, one in enumerate(demo().circuit.loads) if one.component == "reading-lamp-1")
    assert Behaviour(study_).state(condition).load_volts[load] > 6

    def meter(question: MeterQuestion) -> int:
        plug = question.how.split()[1]
        return 0 if Behaviour(study_, (plug,)).state(condition).load_volts[load] < 1 else 1

    verdict, count = followed(plan, meter)

    assert count > 0
    assert words in verdict.text, verdict.text


def test_always_on_of_what_no_switch_parts() -> None:
    """A load that the file wires straight to its fuse is meant to be on."""
    whole = traced(
        Behaviour(study(LAMP + inline({"1": "LP>P", "2": "LG>G1"}, {"1": "LP>LAMP-H:1", "2": "LG>LAMP-H:2"}))), "LAMP"
    )
    plan = plan_for(whole, "always-on")

    assert isinstance(plan.root, Diagnosis)
    assert "meant to be on" in plan.root.text


def test_always_on_never_blames_an_interlock_by_bridging() -> None:
    """The inertia switch is closed in a sound car: the pump's relay is asked about, not the interlock."""
    texts = [verdict.text for verdict in verdicts(plan_for(traced(demo(), "fuel-pump"), "always-on"))]

    assert any("fuel-pump-relay" in text for text in texts)
    assert not any("inertia-switch" in text for text in texts)


# -- blows its fuse


def shorted(point: str) -> Behaviour:
    """The example with a place joined to the body by 20 cm of thin wire."""
    vehicle = demo_vehicle()
    wire = Wire(from_=point, to="G1", harness="rear", ohms=0.01)
    return Behaviour(Study(Vehicle(replace(vehicle.netlist, wires=(*vehicle.netlist.wires, wire)))))


@pytest.mark.parametrize(
    ("point", "words"),
    [
        ("S45", "to S45"),
        ("RE-SH:1", "from C21H:4 to RE-SH:1"),
        ("FB-BH:6", "from C21:4 to FB-BH:6"),
        ("C21:4", "from C21:4 to FB-BH:6"),
        ("RE3-AH:1", "RE3-AH:1 to S45"),
    ],
)
def test_blows_fuse_ends_at_the_short(point: str, words: str) -> None:
    """A short to the body put into the car: what is unplugged or switched off tells whether the fuse still sees it."""
    whole = traced(demo(), "reading-lamp-1")
    plan = plan_for(whole, "blows-fuse")
    bad = shorted(point)
    apart: list[str] = []
    condition = whole.condition

    def meter(question: MeterQuestion) -> int:
        nonlocal condition
        if question.how.startswith("unplug"):
            tried, at = [*apart, question.place], condition
        else:
            tried, at = apart, Condition(condition.stage)
        state = Behaviour(bad.study, tuple(tried)).state(at)
        amps = max(
            abs(float(flow))
            for branch, flow in zip(state.solution.network.circuit.branches, state.solution.branch_amps, strict=True)
            if branch.name == "F8"
        )
        if amps < 10:
            return 0
        apart[:], condition = tried, at
        return 1

    verdict, _ = followed(plan, meter)

    assert words in verdict.text, verdict.text


# -- drains


def test_drains_are_amperes_times_the_published_resistance() -> None:
    """ISO 8820-3 type C, 10 A: 7.7 mΩ in fuse makers' millivolt charts; 50 mA across it shows 0.385 mV."""
    draws = {one.name: one for one in fuse_draws(demo())}
    published = fuse("C", 10.0)

    assert published is not None and published.cold_resistance_ohm == pytest.approx(0.0077)
    assert draws["F8"].limit_mv == pytest.approx(1000 * SLEEP_LIMIT_A * 0.0077, abs=0.001)
    assert draws["F8"].published
    for one in draws.values():
        ohm = one.limit_mv / 1000 / SLEEP_LIMIT_A
        assert one.millivolts == pytest.approx(1000 * one.amps * ohm, rel=0.02, abs=0.01)


def test_drains_list_every_fuse_that_is_live_with_the_key_off() -> None:
    """Against the car's reach, which knows no volts: the same fuses."""
    study_ = demo().study
    wanted = {
        element.name
        for element in study_.reach.elements
        if element.sort == "fuse" and {element.a, element.b} & set(study_.reach.feed_sure[0].ways)
    }

    assert {one.name for one in fuse_draws(demo())} == wanted
    assert all(study_.vehicle.components[name].kind in FUSES for name in wanted if name in study_.vehicle.components)


def test_the_drains_plan_waits_for_sleep() -> None:
    """First the whole draw after the wait, then millivolts without pulling a fuse."""
    plan = plan_for(traced(demo(), "reading-lamp-1"), "drains")

    assert "20 to 40 minutes" in " ".join(plan.intro)
    assert isinstance(plan.root, MeterQuestion) and plan.root.place == "battery"
    assert any(line.strip().startswith("F8 ") and "0.39 mV" in line for line in plan.notes)


# -- charge


def test_charge_reads_the_solved_volts() -> None:
    """14.2 V at B+ running; D+ standing hangs between charge lamp and field: a divider."""
    plan = plan_for(traced(demo(), "alternator.D+"), "charge")
    said = {question.place: question.answers[0].reading for question in questions(plan)}

    assert "13.8 to 14.6 V" in said["battery"]
    assert "14.2 V" in said["alternator.B+"]
    lost, _ = walked(plan, {"battery": "bad: under", "alternator.B+": "bad", "alternator.D+": "bad"})
    assert "excitation does not arrive" in lost.text


def test_charge_needs_an_alternator() -> None:
    """A car whose file has none is told so."""
    car = Behaviour(study(LAMP))

    with pytest.raises(NoPlan, match="none in its file"):
        plan_for(traced(car, "LAMP.+"), "charge")


# -- all of them


def test_a_chain_that_is_not_whole_has_no_plan() -> None:
    """Where the file shows no way there is nothing to halve."""
    with pytest.raises(NoPlan, match="no whole way"):
        plan_for(traced(demo(), "TPS"), "dead")


def test_restraint_has_no_plan() -> None:
    """Nothing is measured there, whatever is the matter with it."""
    for symptom in SYMPTOMS:
        with pytest.raises(NoPlan):
            plan_for(traced(demo(), "driver-squib"), symptom)


@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_every_plan_is_a_tree_that_can_be_printed(symptom: str) -> None:
    """Every answer leads to a number or a letter that is printed, in 80 columns."""
    plan = plan_for(traced(demo(), "alternator.D+" if symptom == "charge" else "reading-lamp-1"), symptom)
    marks = marks_of(plan)
    lines = block_lines([plan_section(plan)])

    assert all(len(line) <= 80 for line in lines)
    for question in questions(plan):
        assert len(question.answers) > 1
        for answer in question.answers:
            assert any(line.startswith(f"{marks[id(answer.next)]:>2}  ") for line in lines)


def test_letters() -> None:
    """A to Z, then AA."""
    assert [letters(number) for number in (0, 1, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip
