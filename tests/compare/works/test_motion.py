"""Motors that are driven both ways, loads that have changed places, contacts that are bridged and not crossed."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.rows import FRONT, TWO, bare, findings, half, joined, lamp, named, socket, study, told
from builders.spice import deck, operating_points, program

from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import Choice
from harnesscheck.compare.built import judged_car
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.sides import Study

UP_DOWN = (
    '<component id="hand" kind="switch"><pin terminal="30" to="Q"/><pin terminal="31" to="G1"/>'
    '<pin terminal="a" to="WA"/><pin terminal="b" to="WB"/>'
    '<inside when="up" from="30" to="a"/><inside when="rest down" from="31" to="a"/>'
    '<inside when="down" from="30" to="b"/><inside when="rest up" from="31" to="b"/></component>'
)


def window(a: str, b: str, name: str = "window", more: str = 'amps="8"', extra: str = "") -> Study:
    """A motor between the two legs of an up-and-down switch, which rests with both legs on the body."""
    points = '<splice id="WA"/><splice id="WB"/>'
    return study(points, UP_DOWN, lamp(name, a, b, kind="motor", more=more), extra)


def of(found: tuple[Finding, ...], part: str) -> list[tuple[str, Severity]]:
    """Kind and severity of all that is told of a part, above note."""
    return [(one.kind, one.severity) for one in found if one.donor_component == part and one.severity < Severity.NOTE]


@pytest.mark.parametrize("more", ['amps="8"', 'amps="8" polar="no"', 'amps="8" polar="yes"'])
def test_a_window_that_runs_the_other_way_hurts(more: str) -> None:
    """Its two legs exchanged: up is down, whatever the file says of polarity (current's direction, no source)."""
    found = findings(window("WA", "WB", more=more), window("WB", "WA", more=more))

    assert of(found, "window") == [("reversed", Severity.INJURY)]
    assert found[0].certainty is Certainty.KNOWN
    assert "what should open closes" in found[0].text


def test_what_only_locks_is_dead_when_it_runs_the_other_way() -> None:
    """A door lock and a mirror close on nobody; a name that nobody understands may."""
    for name in ("door-lock-motor", "mirror-motor"):
        assert of(findings(window("WA", "WB", name), window("WB", "WA", name)), name) == [("reversed", Severity.DEAD)]

    assert of(findings(window("WA", "WB", "xyq"), window("WB", "WA", "xyq")), "xyq") == [("reversed", Severity.INJURY)]


@pytest.mark.parametrize(("ours", "theirs"), [("motor", ""), ("", "motor"), ("", "")])
def test_a_window_of_which_a_file_does_not_say_that_it_is_a_motor_hurts(ours: str, theirs: str) -> None:
    """What is driven both ways is taken for one: less knowledge silences no danger."""

    def car(kind: str, *legs: str) -> Study:
        part = lamp("window", *legs, kind="motor", more='amps="8" polar="no"').replace(
            'kind="motor"', kind and f'kind="{kind}"'
        )
        return study('<splice id="WA"/><splice id="WB"/>', UP_DOWN, part)

    assert of(findings(car(ours, "WA", "WB"), car(theirs, "WB", "WA")), "window") == [("reversed", Severity.INJURY)]


def test_a_motor_that_runs_one_way_only_minds_what_its_file_says() -> None:
    """The near miss: a blower of no polarity, turned round, on one feed."""
    donor, shell = (
        study(lamp("blower", *ends, kind="motor", more='amps="8" polar="no"')) for ends in (("P",), ("G1", "P"))
    )

    assert of(findings(donor, shell), "blower") == []


def test_a_window_that_runs_by_itself_hurts(tmp_path: Path) -> None:
    """One leg on a permanent feed instead of its switch: it runs with the key off and nothing touched; volts are
    ngspice's for that state, parts as found.
    """
    donor, shell = window("WA", "WB"), window("WA", "P")

    assert of(findings(donor, shell), "window")[0] == ("always-on", Severity.INJURY)
    program()
    behaviour = Behaviour(shell)
    solution = behaviour.state(Condition("off")).solution
    theirs = operating_points(tmp_path, [deck(solution, "c")])
    (load,) = [one for one in behaviour.circuit.loads if one.component == "window"]
    branch = behaviour.circuit.branches[load.branch]
    volts = [theirs.get(f"cn{node}", 0.0) for node in (branch.a, branch.b)]
    assert volts[0] - volts[1] == pytest.approx(float(solution.volts[branch.a] - solution.volts[branch.b]), abs=1e-6)
    assert volts[0] - volts[1] < -9  # backwards: the leg that should rest on the body is fed


def test_a_leg_joined_to_a_feed_shorts_through_the_switch_at_rest() -> None:
    """The other leg rests on the body; so does this one, and now it is fed too."""
    found = findings(window("WA", "WB"), window("WA", "WB", extra='<wire from="P" to="WB"/>'))

    assert found[0].severity is Severity.INJURY and found[0].kind == "feed-to-ground"


def two_lamps(one: str, other: str, first: str, second: str) -> Study:
    """Two lamps, each behind a switch of its own."""
    switches = "".join(
        f'<splice id="S{x}"/><component id="hand{x}" kind="switch"><pin terminal="1" to="{feed}"/>'
        f'<pin terminal="2" to="S{x}"/><inside when="on" from="1" to="2"/></component>'
        for x, feed in (("1", "P"), ("2", "Q"))
    )
    return study(switches, lamp(first, one, more='watts="21"'), lamp(second, other, more='watts="5"'))


@pytest.mark.parametrize(
    ("first", "second", "law"),
    [
        ("brake-lamp", "tail-lamp", True),
        ("high-beam", "low-beam", True),
        ("indicator-left", "indicator-right", True),
        ("cabin-lamp", "boot-lamp", False),
    ],
)
def test_two_lamps_that_have_changed_places_are_told_as_that(first: str, second: str, law: bool) -> None:
    """One finding for both; for lamps that others on the road see, it defers to local law."""
    found = findings(two_lamps("S1", "S2", first, second), two_lamps("S2", "S1", first, second))
    (one,) = [each for each in found if each.evidence.shown.get("exchanged")]

    assert one.evidence.shown["exchanged"] == [first, second]
    assert "are exchanged" in one.text and ("local law" in one.do) is law
    assert len([each for each in found if each.severity <= Severity.DEAD]) == 1


def test_two_lamps_on_one_feed_have_not_changed_places() -> None:
    """The near miss: both lit by the first switch; only the second lamp is told."""
    found = findings(two_lamps("S1", "S2", "left", "right"), two_lamps("S1", "S1", "left", "right"))

    assert {one.donor_component for one in found if one.severity <= Severity.DEAD} == {"right"}
    assert not [one for one in found if one.evidence.shown.get("exchanged")]


def braked(bridge: str) -> Study:
    """A lamp behind a switch with plugs; a bridge between the two contacts of the switch."""
    points = '<splice id="SI"/><splice id="SO"/><wire from="P" to="SI" circuit="30"/>'
    inside, wires = '<inside when="pressed" from="1" to="2"/>', {"1": "30>SI", "2": "54>SO"}
    hand = socket("hand", "switch", {"1": "1", "2": "2"}, wires, inside=inside)
    return study(points, hand, bridge, lamp("stop", "SO"))


def test_a_bridged_switch_is_told_by_the_lamp_it_leaves_on() -> None:
    """Nothing is crossed: every wire is where it was, and one more joins them."""
    found = findings(braked(""), braked('<wire from="SI" to="SO" circuit="30"/>'))

    assert told(found, Severity.DEAD) == ["always-on stop"]


def test_a_key_s_contact_that_nobody_misses_is_told_by_what_is_fed_otherwise() -> None:
    """The fuse behind it is on a permanent feed: told at the fuse and its radio; nothing calls the key dead."""

    def car(key: str, fuse: str) -> Study:
        inside = '<inside when="run start" from="30" to="15"/>'
        wires = {"1": "30>L"} | ({"2": key} if key else {})
        hand = socket("hand", "switch", {"1": "30", "2": "15"}, wires, 'key="yes"', inside)
        own = socket("F9", "fuse", {"1": "1", "2": "2"}, {"1": fuse, "2": "15F>S9"}, 'rating="10"')
        return study('<splice id="S9"/>', hand, own, lamp("radio", "S9"))

    found = findings(car("15>F9-H:1", "15>hand-H:2"), car("", "30>L"))

    assert told(found, Severity.DEAD) == ["always-on radio", "wrong-feed F9-H:1"]


def loomed(up: str, down: str) -> Study:
    """A window motor on the rear loom, its switch on the front one; which contact of their plug is which leg."""
    terminals = {"1": "30", "2": "31", "3": "a", "4": "b"}
    inside = UP_DOWN[UP_DOWN.index("<inside") : UP_DOWN.index("</component>")]
    wires = {"1": "30P>P", "2": "31>G1", "3": f"WA>X:{up}", "4": f"WB>X:{down}"}
    hand = socket("hand", "switch", terminals, wires, "", inside)
    legs = {"1": f"WA>XR:{up}", "2": f"WB>XR:{down}"}
    motor = socket("window", "motor", TWO, legs, 'amps="8" polar="no"', harness="rear")
    return bare(FRONT, hand, motor, half("X", {}, "front", "XR"), half("XR", {}, "rear"))


def test_a_window_is_turned_in_the_joined_car_as_ngspice_solves_it(tmp_path: Path) -> None:
    """Both looms re-pinned: each by itself sound, mixed the window runs the other way; its volts are ngspice's."""
    donor, shell = loomed("1", "2"), loomed("2", "1")
    pairs = named(donor, shell)
    made = assembly(donor.vehicle, shell.vehicle, pairs, Choice({"front": "donor", "rear": "shell"}))
    (told_of,) = [one for one in judged_car(donor, shell, made).findings if one.severity is Severity.INJURY]
    assert (told_of.kind, told_of.donor_component) == ("reversed", "window")
    plain = joined(donor, shell, pairs)
    assert any(one.severity is Severity.INJURY for one in plain)
    assert any(one.kind == "moved-pin" and one.donor.connector == "X" for one in plain)  # and that mends it

    program()
    volts = []
    for number, study_ in enumerate((donor, Study(made.vehicle))):
        behaviour = Behaviour(study_)
        solution = behaviour.state(Condition("off", (("hand", "up"),))).solution
        theirs = operating_points(tmp_path, [deck(solution, f"c{number}")])
        branch = next(b for b in behaviour.circuit.branches if b.sort == "load" and b.component == "window")
        volts.append(theirs.get(f"c{number}n{branch.a}", 0.0) - theirs.get(f"c{number}n{branch.b}", 0.0))
        assert volts[-1] == pytest.approx(float(solution.volts[branch.a] - solution.volts[branch.b]), abs=1e-6)
    assert volts[0] == pytest.approx(-volts[1], rel=0.01) and abs(volts[0]) > 10
