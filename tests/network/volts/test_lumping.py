"""From a file to a circuit: what becomes a resistance, a source, a switch, and what is assumed."""

from __future__ import annotations

import pytest
from builders.rows import bare

from harnesscheck.network.volts.circuit import OHMS_ASSUMED, DcCircuit
from harnesscheck.network.volts.lumping import circuit_of
from harnesscheck.network.volts.solve import Network, Solution

np = pytest.importorskip("numpy")

OHM_PER_M = {0.5: 0.0371, 1: 0.0185, 1.5: 0.0127, 2.5: 0.0076, 16: 0.00116}  # ISO 6722-1, at most, from memory
BATTERY = (
    '<ground id="G1"/><splice id="B" harness="h"/><harness id="h"/>'
    '<component id="battery" kind="battery" ohms="0.006"><pin terminal="+" to="B" size="16" length="0.5"/>'
    '<pin terminal="-" to="G1" size="16" length="0.4"/></component>'
)


def circuit(*rows: str, opened: tuple[str, ...] = ()) -> DcCircuit:
    """The circuit of a car of these rows."""
    return circuit_of(bare(*rows), opened)


def state(made: DcCircuit, *closed: str, running: bool = False, key: str = "off") -> Solution:
    """Standing or running, with these positions taken (``switch=on``, ``module.Q=on``)."""
    held = dict(text.split("=") for text in closed)
    ports = []
    for number, port in enumerate(made.ports):
        if port.sort == "key":
            yes = key in port.words
        elif port.control:
            yes = held.get(port.control, "rest") in port.words
        elif port.sort in ("battery", "field"):
            yes = not running
        else:
            yes = port.sort == "diode" or (running and port.sort in ("discharge", "alternator"))
        ports += [number] if yes else []
    return Network(made).settle(ports)


def load_volts(solved: Solution, component: str, name: str = "") -> float:
    """The volts across a load."""
    return float(solved.load_volts[solved.network.circuit.load_of[component, name]])


def test_first_circuit_by_hand():
    """A headlamp bulb behind a fuse, worked out with pencil and paper.

    battery 0.006 Ω; 0.5 m of 16 mm² 0.00058 Ω; fuse 15 A form C 0.0048 Ω (maker's
    data) on 2 m of 2.5 mm² 0.0152 Ω, bolted to the bar 0.0001 Ω; 3 m of 1.5 mm² 0.0381 Ω; bulb 12² / 55 =
    2.618182 Ω; 1 m of 1.5 mm² 0.0127 Ω to the body; 0.4 m of 16 mm² 0.000464 Ω.
    """
    made = circuit(
        BATTERY,
        '<component id="F1" kind="fuse" rating="15" type="C"><pin terminal="1" to="B" size="2.5" length="2"/>'
        '<pin terminal="2" to="S"/></component><splice id="S" harness="h"/>'
        '<component id="bulb" kind="lamp" watts="55"><pin terminal="+" to="S" size="1.5" length="3"/>'
        '<pin terminal="-" to="G1" size="1.5" length="1"/></component>',
    )
    wires = (0.5 + 0.4) * OHM_PER_M[16] + 2 * OHM_PER_M[2.5] + (3 + 1) * OHM_PER_M[1.5]
    total = 0.006 + 0.0048 + 0.0001 + wires + 144 / 55

    solved = state(made)

    assert wires == pytest.approx(0.067044, abs=5e-7)
    assert total == pytest.approx(2.696126, abs=5e-7)
    assert load_volts(solved, "bulb") == pytest.approx(12 / total * 144 / 55, abs=1e-6)
    assert load_volts(solved, "bulb") == pytest.approx(11.653, abs=1e-3)
    assert -solved.port_amps[0] == pytest.approx(4.4508, abs=1e-3)
    assert made.assumptions == (OHMS_ASSUMED,)  # every wire by its size


def test_second_circuit_by_hand():
    """A pump behind a relay: two circuits that share the battery's cables.

    Coil: 85 Ω behind 1 m of 0.5 mm² 0.0371 Ω and a switch 0.001 Ω. Pump: 12 / 7.5
    = 1.6 Ω behind 2 m of 1.5 mm² 0.0254 Ω, the relay's contact 0.001 Ω, a mated
    contact 0.001 / 1.5 = 0.000667 Ω, 2 m more 0.0254 Ω, 1 m of ground 0.0127 Ω, and
    two terminals bolted on, 0.0001 Ω each. Coil: three such. Common: 0.006 + 0.00058 + 0.000464 = 0.007044 Ω.
    """
    made = circuit(
        BATTERY,
        '<component id="K" kind="relay" ohms="85"><pin terminal="30" to="B" size="1.5" length="2"/>'
        '<pin terminal="86" to="B" size="0.5" length="1"/><pin terminal="85" to="W" />'
        '<pin terminal="87" to="J"/></component><splice id="W" harness="h"/>'
        '<component id="button" kind="switch"><pin terminal="1" to="W"/><pin terminal="2" to="G1"/>'
        '<inside from="1" to="2" when="on"/></component>'
        '<connector id="C1" harness="h" cavities="1" mates="C2"><pin cavity="1" to="J" size="1.5" length="1"/>'
        '</connector><splice id="J" harness="h"/>'
        '<connector id="C2" harness="h" cavities="1"><pin cavity="1" to="P" size="1.5" length="1"/></connector>'
        '<splice id="P" harness="h"/>'
        '<component id="pump" kind="motor" amps="7.5"><pin terminal="+" to="P"/>'
        '<pin terminal="-" to="G1" size="1.5" length="1"/></component>',
    )
    pump = OHM_PER_M[1.5] * (2 + 1 + 1 + 1) + 0.001 + 0.001 / 1.5 + 2 * 0.0001 + 1.6
    coil = OHM_PER_M[0.5] + 0.001 + 3 * 0.0001 + 85
    common = 0.006 + OHM_PER_M[16] * 0.9
    parallel = 1 / (1 / pump + 1 / coil)
    amps = 12 / (common + parallel)

    solved = state(made, "button=on")

    assert solved.energised == {"K"}
    assert load_volts(solved, "pump") == pytest.approx(amps * parallel / pump * 1.6, abs=1e-6)
    assert load_volts(solved, "pump") == pytest.approx(11.479, abs=1e-3)
    assert load_volts(state(made), "pump") == 0.0


def test_what_is_not_written_is_assumed_and_named():
    """Length, size, load, battery: each assumption in words, and how often it was made."""
    made = circuit(
        '<ground id="G1"/><splice id="B"/><component id="bat" kind="battery"><pin terminal="+" to="B"/></component>'
        '<component id="lamp" kind="lamp"><pin terminal="1" to="B" length="1"/>'
        '<pin terminal="2" to="G1" size="1"/></component>'
    )

    assert made.assumptions == (
        OHMS_ASSUMED,
        "battery negative taken to be on the body",
        "battery resistance not written: 0.01 Ω assumed",
        "load not written: 1 A assumed",
        "wire length not written: 1.5 m assumed",
        "wire size not written: 10 mm² assumed",
    )
    assert load_volts(state(made), "lamp") == pytest.approx(12.0, abs=0.1)


def test_wires_take_their_length_from_the_places():
    """The shortest way along the loom between the places of their ends."""
    made = circuit(
        '<place from="battery tray" to="bulkhead" length="1.2"/><place from="bulkhead" to="tail" length="3"/>'
        '<harness id="h"/><splice id="A" harness="h" at="battery tray"/><splice id="Z" harness="h" at="tail"/>'
        '<wire harness="h" from="A" to="Z" size="1"/>'
    )

    assert made.branches[0].ohm == pytest.approx(4.2 * OHM_PER_M[1])
    assert made.branches[0].why == ""


def test_a_warm_wire_resists_more():
    """0.393 % per kelvin from 20 °C (IEC 60028), by the ambient of the harness."""
    made = circuit(
        '<harness id="h" ambient="70"/><splice id="A" harness="h"/><splice id="Z" harness="h"/>'
        '<wire harness="h" from="A" to="Z" size="1" length="1"/>'
    )

    assert made.branches[0].ohm == pytest.approx(OHM_PER_M[1] * (1 + 0.00393 * 50))


def test_metal_parts_are_joined_by_straps_only():
    """An engine without its strap is no ground, whatever the file calls it."""
    rows = (
        BATTERY,
        '<ground id="G2" on="engine"/><component id="L" kind="lamp" watts="21"><pin terminal="+" to="B"/>'
        '<pin terminal="-" to="G2"/></component>',
    )
    strap = '<wire from="G2" to="G1" size="16" length="0.4"/>'

    assert load_volts(state(circuit(*rows)), "L") == 0.0
    assert load_volts(state(circuit(*rows, strap)), "L") > 11.8


def test_a_ground_point_a_fuse_or_a_plug_can_be_taken_out():
    """``opened`` names what is rusty, blown or unplugged."""
    rows = (
        BATTERY,
        '<component id="F1" kind="fuse" rating="10"><pin terminal="1" to="B"/><pin terminal="2" to="C1:1"/></component>'
        '<connector id="C1" harness="h" cavities="2" mates="C2"><pin cavity="2" to="G2"/></connector><ground id="G2"/>'
        '<connector id="C2" harness="h" cavities="2"><pin cavity="1" to="P"/></connector><splice id="P" harness="h"/>'
        '<component id="L" kind="lamp" watts="21"><pin terminal="+" to="P"/><pin terminal="-" to="C2:2"/></component>',
    )

    lit = {what: load_volts(state(circuit(*rows, opened=(what,))), "L") > 1 for what in ("", "F1", "G2", "C2", "C1:2")}

    assert lit == {"": True, "F1": False, "G2": False, "C2": False, "C1:2": False}


def test_pins_of_one_circuit_without_a_far_end_are_joined_likely():
    """As in the index: the same rule, and the branch says that it is likely."""
    made = circuit(
        '<harness id="h"/><connector id="C1" harness="h" cavities="1"><pin cavity="1" circuit="X"/></connector>'
        '<connector id="C2" harness="h" cavities="1"><pin cavity="1" circuit="X"/></connector>'
    )

    assert [(one.name, one.likely) for one in made.branches] == [("C2:1 - C1:1", True)]


MODULE = (
    '<component id="M" kind="module"><pin terminal="30" role="supply" to="{supply}"/>'
    '<pin terminal="31" role="ground" to="G1"/><pin terminal="Q" role="output-{side}" to="Q"/></component>'
    '<splice id="Q" harness="h"/><splice id="X" harness="h"/>'
    '<component id="L" kind="lamp" watts="5"><pin terminal="1" to="Q"/><pin terminal="2" to="{other}"/></component>'
)


@pytest.mark.parametrize(("side", "other"), [("low", "B"), ("high", "G1")])
def test_an_output_drives_when_commanded_and_its_module_is_awake(side: str, other: str):
    """Low side joins ground, high side the supply; a module without volts drives nothing."""
    fed = circuit(BATTERY, MODULE.format(side=side, other=other, supply="B"))
    unfed = circuit(BATTERY, MODULE.format(side=side, other=other, supply="X"))

    assert fed.controls == {"M.Q": ("on",)}
    assert load_volts(state(fed), "L") == 0.0
    assert abs(load_volts(state(fed, "M.Q=on"), "L")) > 11.5
    assert load_volts(state(unfed, "M.Q=on"), "L") == 0.0


CHARGING = (
    BATTERY,
    '<component id="alt" kind="alternator" running-volts="14.2"><pin terminal="B+" to="B"/>'
    '<pin terminal="D+" to="D"/></component><splice id="D" harness="h"/>'
    '<component id="K" kind="switch" key="yes"><pin terminal="30" to="B"/><pin terminal="15" to="I"/>'
    '<inside when="run" from="30" to="15"/></component><splice id="I" harness="h"/>'
    '<component id="charge" kind="lamp" watts="3"><pin terminal="1" to="I"/><pin terminal="2" to="D"/></component>',
)


def test_the_charge_lamp_is_on_with_the_key_on_and_the_engine_standing():
    """Common practice, no source: lit through the standing alternator's field, out when it charges."""
    made = circuit(*CHARGING)

    assert load_volts(state(made), "charge") == 0.0
    assert load_volts(state(made, key="run"), "charge") == pytest.approx(12 * 48 / 58, abs=0.1)
    assert abs(load_volts(state(made, key="run", running=True), "charge")) < 0.5


def test_a_battery_beside_a_running_alternator_takes_nothing():
    """Charging is not judged: the alternator feeds the loads, the battery only helps out below its own volts."""
    solved = state(circuit(*CHARGING), key="run", running=True)
    sorts = {port.sort: amps for port, amps in zip(solved.network.circuit.ports, solved.port_amps, strict=True)}

    assert sorts["battery"] == sorts["discharge"] == 0.0


def test_a_21_watt_lamp_in_series_with_the_battery():
    """Common practice, no source: it glows fully at a short circuit, hardly at a 5 W lamp."""
    rows = '<ground id="G1"/><splice id="B"/><splice id="P"/><component id="bat" kind="battery" ohms="0.006">'
    rows += '<pin terminal="+" to="P"/><pin terminal="-" to="G1"/></component>'
    rows += (
        '<component id="test" kind="lamp" watts="21"><pin terminal="1" to="P"/><pin terminal="2" to="B"/></component>'
    )
    lamp = '<component id="L" kind="lamp" watts="5"><pin terminal="1" to="B"/><pin terminal="2" to="G1"/></component>'
    short = '<wire from="B" to="G1" size="1" length="1"/>'

    assert load_volts(state(circuit(rows, lamp)), "test") == pytest.approx(12 * 5 / 26, abs=0.05)
    assert load_volts(state(circuit(rows, lamp, short)), "test") > 11.8


def test_a_socket_is_a_load_when_something_is_plugged_in():
    """A power socket with amps draws nothing by itself."""
    made = circuit(
        BATTERY,
        '<component id="P" kind="connector-only" amps="10"><pin terminal="+" role="supply" to="B"/>'
        '<pin terminal="-" role="ground" to="G1"/></component>',
    )

    assert load_volts(state(made), "P") == 0.0
    assert load_volts(state(made, "P=plugged"), "P") > 11.5


def test_sixty_ohms_across_a_terminated_data_bus():
    """Two terminators of 120 Ω in parallel (common practice, no source; ISO 11898-2 names 120 Ω each)."""
    made = circuit(
        BATTERY,
        '<splice id="H" harness="h"/><splice id="L" harness="h"/>'
        '<component id="E" kind="module"><pin terminal="H" role="data" to="H"/><pin terminal="L" role="data" to="L"/>'
        '<inside from="H" to="L" ohms="120"/></component>'
        '<component id="T" kind="resistor" ohms="120"><pin terminal="1" to="H"/><pin terminal="2" to="L"/></component>'
        '<component id="meter" kind="switch"><pin terminal="1" to="H"/><pin terminal="2" to="L"/></component>',
    )
    port = next(n for n, one in enumerate(made.ports) if one.component == "meter")

    assert Network(made).z[port, port] == pytest.approx(60.0, abs=0.05)


def test_a_relay_without_a_documented_coil_is_worked_by_hand():
    """Nothing says what pulls it in: it is a control, and the assumption is named."""
    made = circuit(
        BATTERY,
        '<component id="K" kind="relay"><pin terminal="30" to="B"/><pin terminal="87" to="P"/></component>'
        '<splice id="P" harness="h"/><component id="L" kind="lamp" watts="5"><pin terminal="1" to="P"/>'
        '<pin terminal="2" to="G1"/></component>',
    )

    assert made.controls == {"K": ("pulled",)}
    assert load_volts(state(made, "K=pulled"), "L") > 11.5
    assert "relay without a documented coil: taken as worked by hand" in made.assumptions


def test_a_ground_with_a_colour_is_a_wire_and_one_with_nothing_said_the_case():
    """Common practice, no source: a bare case has no colour, a wire has."""
    grounded, coloured = (
        circuit(f'<component id="L" kind="lamp" watts="21"><pin terminal="-" to="G1"{said}/></component>', BATTERY)
        for said in ("", ' colour="BN"')
    )
    (case,), (wire,) = ([one for one in made.branches if "L.-" in one.name] for made in (grounded, coloured))

    assert case.ohm < 0.001 and not case.why
    assert "length not written" in wire.why and "size not written" in wire.why


def test_a_battery_of_two_nameless_posts_asks_which_is_plus():
    """Nobody guesses a battery's plus."""
    posts = '<ground id="G1"/><splice id="B"/><component id="battery" kind="battery"><pin terminal="a" to="B"/>'
    made = circuit(posts + '<pin terminal="b" to="G1"/></component>')

    ((part, why),) = made.unjudged
    assert part == "battery"
    assert "(a, b) is +?" in why
    assert not [port for port in made.ports if port.sort == "battery"]
