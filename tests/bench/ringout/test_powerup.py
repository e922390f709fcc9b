"""First power-up, feeds under load, data bus: the order, and numbers against arithmetic of our own."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

import pytest
from builders.benchcars import study_of
from builders.demo import DEMO, study_at

from harnesscheck.bench.ringout.looms import looms_of
from harnesscheck.bench.ringout.powerup import PowerUp
from harnesscheck.bench.ringout.underload import BusCheck, bus_checks, feed_checks
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.lumping import circuit_of

CAR = """
<circuit id="F"/><circuit id="31" class="ground"/><circuit id="L"/><circuit id="M"/>
<circuit id="H" signal="can" bus="CAN"/>
<circuit id="N" signal="can" bus="CAN"/><harness id="body"/><ground id="G1" at="sill"/>
<component id="battery" kind="battery" ohms="0.01"><connector id="B" cavities="1"><pin cavity="1" terminal="+"
role="source"/></connector><pin terminal="-" to="G1"/></component>
<component id="F1" kind="fuse" rating="10" type="C" at="box"><connector id="FA" cavities="2">
<pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/></connector></component>
<component id="F2" kind="fuse" rating="10" type="C" at="box"><connector id="FB" cavities="2">
<pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/></connector></component>
<component id="lamp" kind="lamp" watts="5" at="roof"><connector id="LA" cavities="2">
<pin cavity="1" terminal="+" role="supply"/><pin cavity="2" terminal="-" role="ground"/></connector></component>
<component id="brain" kind="module" amps="0.2" at="dash"><connector id="M" cavities="4">
<pin cavity="1" terminal="30" role="supply"/><pin cavity="2" terminal="31" role="ground"/>
<pin cavity="3" terminal="H" role="data"/><pin cavity="4" terminal="L" role="data"/></connector>
<inside from="H" to="L" ohms="120"/></component>
<component id="brain2" kind="module" at="rear"><connector id="O" cavities="4">
<pin cavity="2" terminal="31" role="ground"/>
<pin cavity="3" terminal="H" role="data"/><pin cavity="4" terminal="L" role="data"/></connector>
<inside from="H" to="L" ohms="120"/></component>
<connector id="BH" harness="body" cavities="1" mates="B"><pin cavity="1" circuit="F" to="FAH:1" size="6" length="1"/>
</connector>
<connector id="FAH" harness="body" cavities="2" mates="FA">
<pin cavity="1" circuit="F" to="FBH:1" size="6" length="0.1"/>
<pin cavity="2" circuit="L" to="LH:1" size="0.5" length="5"/></connector>
<connector id="FBH" harness="body" cavities="2" mates="FB"><pin cavity="2" circuit="M" to="MH:1" size="0.5" length="2"/>
</connector>
<connector id="LH" harness="body" cavities="2" mates="LA"><pin cavity="2" circuit="31" to="G1" size="0.5" length="1"/>
</connector>
<connector id="MH" harness="body" cavities="4" mates="M"><pin cavity="2" circuit="31" to="G1" size="0.5" length="1"/>
<pin cavity="3" circuit="H" to="OH:3" size="0.5" length="2"/>
<pin cavity="4" circuit="N" to="OH:4" size="0.5" length="2"/>
</connector>
<connector id="OH" harness="body" cavities="4" mates="O"><pin cavity="2" circuit="31" to="G1" size="0.5" length="1"/>
</connector>
"""
ORDER = [
    "prepare", "module plugs", "lamp in series", "fuse by fuse", "volts at module plugs", "modules in", "key on",
    "crank", "leak check", "start", "sleep",
]  # fmt: skip


def power_up(study: Study) -> PowerUp:
    behaviour = Behaviour(study)
    return PowerUp(study, looms_of(study, behaviour.circuit), behaviour)


def buses_of(study: Study) -> tuple[BusCheck, ...]:
    return bus_checks(study, circuit_of(study))


@pytest.fixture(scope="module", params=["donor.xml", "shell.xml"])
def demo(request: pytest.FixtureRequest) -> PowerUp:
    return power_up(study_at(DEMO / request.param))


def test_the_order_is_fixed(demo: PowerUp) -> None:
    """Common practice: nothing is powered before grounds and polarity are known, no fuel before it has cranked."""
    checks = demo.checks()

    assert [step for step, _ in groupby(check.step for check in checks)] == ORDER
    assert [check.number for check in checks] == list(range(1, len(checks) + 1))


def test_cautions_stand_where_they_are_needed(demo: PowerUp) -> None:
    """A named person, restraint left alone, its fuse left out, no fuel while cranking, no sparks at the leak check."""
    text = {step: " ".join(c.do for c in some) for step, some in groupby(demo.checks(), key=lambda check: check.step)}

    assert "negative clamp first" in text["prepare"] and "one person" in text["prepare"]
    assert "airbag-module" in text["prepare"] and "licensed practice" in text["prepare"]
    assert "21 W lamp" in text["lamp in series"]
    assert "Fuel pump's" in text["crank"] and "never bridged" in text["crank"]
    assert "No sparks" in text["leak check"]
    assert len(demo.kept_out) == 1
    (out,) = demo.kept_out
    (line,) = (check for check in demo.checks() if check.step == "fuse by fuse" and check.at == out)
    assert line.do.startswith("Leave it out")


def test_no_check_touches_restraint(demo: PowerUp) -> None:
    special = {name for part in demo.special for name in demo.study.vehicle.connectors_of.get(part, ())}
    plugs = {demo.study.vehicle.mate_of.get(row.id, "") for row in special}
    named = {check.at.partition(":")[0] for check in demo.checks()} | {
        f.at.partition(":")[0] for f in feed_checks(demo.looms, demo.full)
    }

    assert plugs and not named & plugs


def test_every_fuse_has_its_line_from_the_battery_outwards(demo: PowerUp) -> None:
    """A fuse behind a link is fitted after the link."""
    lines = [check.at for check in demo.checks() if check.step == "fuse by fuse"]
    fuses = {branch.name for branch in demo.full.circuit.branches if branch.sort == "fuse"}

    assert sorted(lines) == sorted(fuses)
    assert lines.index("FL1") < lines.index("F1") and lines.index("FL3") < lines.index("F31")


def test_currents_and_volts_by_hand(tmp_path: Path) -> None:
    """A 5 W lamp draws 5/12 = 0.42 A, a module 0.2 A; both together leave the battery (Ohm's law)."""
    checks = power_up(study_of(CAR, tmp_path)).checks()
    amps = {check.at: check.expect for check in checks if check.step == "key on" and check.at}
    fitted = {check.at: check.expect for check in checks if check.step == "fuse by fuse"}
    (volts,) = (check for check in checks if check.step == "volts at module plugs" and check.at)
    lamp, drawn = (check for check in checks if check.step == "modules in" and check.expect)

    assert amps == {"F1": "0.4 A off, 0.4 A run", "F2": "0.2 A off, 0.2 A run"}
    assert fitted["F1"].startswith("0.4 A; lamp glows") and fitted["F2"] == "0 A; lamp dark"
    assert (volts.at, volts.expect) == ("MH:1", "12.0 V, then 12.0 V")
    assert lamp.expect.startswith("lamp glows") and drawn.expect == "0.6 A"


def test_polarity_at_every_module_plug(tmp_path: Path) -> None:
    """Ground contacts read half an ohm at most to the battery, supplies do not."""
    lines = {c.at: c.expect for c in power_up(study_of(CAR, tmp_path)).checks() if c.step == "module plugs"}

    assert lines == {"MH:1": "over 0.5 ohm: no ground", "MH:2": "0.5 ohm or less", "OH:2": "0.5 ohm or less"}


def test_the_drop_of_a_21_w_lamp_by_hand(tmp_path: Path) -> None:
    """1.75 A (21 W / 12 V) through 1.1 m of 6 mm², a fuse and 5 m of 0.5 mm²: 3.14 and 37.1 mΩ/m.

    ISO 6722-1, the most that such wire may have; from memory.
    """
    car = power_up(study_of(CAR, tmp_path))
    (feed,) = (one for one in feed_checks(car.looms, car.full) if one.at == "LH:1")
    wires_ohm = 1.1 * 0.00314 + 5 * 0.0371
    fuse_ohm = 0.0077  # a 10 A blade, makers' data

    assert feed.key == "off" and feed.fuses == ("F1",)
    assert feed.drop_v == pytest.approx(1.75 * (wires_ohm + fuse_ohm), abs=0.015)  # contacts come on top
    assert feed.limit_v > feed.drop_v


def test_two_terminators_read_sixty_ohm(tmp_path: Path, demo: PowerUp) -> None:
    """ISO 11898-2: 120 ohm at each end, 60 ohm across the pair; the diagnostic socket shows both lines."""
    (bus,) = buses_of(study_of(CAR, tmp_path))
    (of_demo,) = bus_checks(demo.study, demo.full.circuit)

    assert bus.ohm == pytest.approx(60) and set(bus.terminators) == {"brain", "brain2"}
    assert of_demo.ohm == pytest.approx(60) and of_demo.at == "OB-A:6 and OB-A:14"


def test_a_bus_with_one_terminator_is_not_called_sixty(tmp_path: Path) -> None:
    (bus,) = buses_of(study_of(CAR.replace('<inside from="H" to="L" ohms="120"/>', "", 1), tmp_path))

    assert bus.ohm == pytest.approx(120) and bus.terminators == ("brain2",)


def test_a_bus_with_an_airbag_module_on_it_is_left_alone(tmp_path: Path) -> None:
    rows = CAR.replace(
        '<component id="brain2" kind="module"', '<component id="brain2" system="restraint" kind="module"'
    )
    (bus,) = buses_of(study_of(rows, tmp_path))

    assert bus.stop and not bus.at


def test_cranking_is_worked_out_with_the_starter_turning(demo: PowerUp) -> None:
    """160 A through some milliohms: under 12 V, and the starter's own state, not one in which nothing turns."""
    (line,) = (check for check in demo.checks() if check.step == "crank" and check.expect)
    volts = float(line.expect.partition(" V")[0])

    assert 9.6 < volts < 11.9


def test_a_car_without_battery_or_parts_still_has_a_list(tmp_path: Path) -> None:
    """What is not known is not invented: no fuse, no volts, no bus."""
    rows = """<harness id="b"/><connector id="P" harness="b" cavities="1"><pin cavity="1" circuit="A" to="Q:1"/>
    </connector><connector id="Q" harness="b" cavities="1"/>"""
    car = power_up(study_of(rows, tmp_path))

    assert next(iter(car.checks())).step == "prepare"
    assert feed_checks(car.looms, car.full) == () and bus_checks(car.study, car.full.circuit) == ()


SHORTED = CAR.replace('circuit="M" to="MH:1"', 'circuit="M" to="G1"')


def test_a_fuse_that_would_blow_is_left_out(tmp_path: Path) -> None:
    """What F2 feeds is on the body: 12 V over its loop, far above twice its 10 A; the other fuse goes in as ever."""
    lines = {one.at: one for one in power_up(study_of(SHORTED, tmp_path)).checks() if one.step == "fuse by fuse"}

    assert lines["F2"].do == "Leave it out" and "a short circuit by the file" in lines["F2"].expect
    assert lines["F1"].do == "Fit it and look at the lamp"


def test_what_burns_is_said_before_anything_is_done(tmp_path: Path) -> None:
    """A line a danger, before the battery is touched; a sound car has none."""
    study = study_of(CAR, tmp_path)
    behaviour = Behaviour(study)
    looms = looms_of(study, behaviour.circuit)

    first, *others = PowerUp(study, looms, behaviour, ["C1:4 feed-to-ground: it burns."]).checks()

    assert (first.number, first.step) == (1, "not yet") and "C1:4" in first.do
    assert "not yet" not in {one.step for one in others}
    assert next(one.step for one in PowerUp(study, looms, behaviour).checks()) == "prepare"


def test_of_many_dangers_the_rest_are_counted(tmp_path: Path) -> None:
    """Six lines, then how many more there are."""
    study = study_of(CAR, tmp_path)
    behaviour = Behaviour(study)
    checks = PowerUp(study, looms_of(study, behaviour.circuit), behaviour, [str(n) for n in range(9)]).checks()

    assert [one.step for one in checks].count("not yet") == 7
    assert "3 more dangers" in checks[6].do
