"""Severities that depend on more than the kind, and the exceptions of each rule."""

from __future__ import annotations

import pytest
from builders.fixtures import (
    FUSED,
    GOOD,
    MODULE,
    PART,
    STRAIGHT,
    TURNED,
    branch,
    fuse,
    module,
    part,
    sized,
    squib,
    two_outputs,
    wire,
)
from builders.rows import findings, half, inline, kinds, lamp, named, socket, spot, study, told

from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.network.graph.sides import Study


def severities(donor: Study, shell: Study, kind: str) -> dict[str, str]:
    """Severity by place of the findings of one kind."""
    return {spot(one): one.severity.word for one in findings(donor, shell) if one.kind == kind}


def test_a_feed_on_an_input_that_expects_it_is_dead_not_damage():
    """An input whose level is the feed's volts stands the feed; one of 5 V does not."""
    for level, severity in (("12", "dead"), ("24", "dead"), ("5", "damage"), ("", "damage")):
        donor, shell = module(MODULE, level), module(MODULE | {"3": "p>P"}, level)

        assert severities(donor, shell, "feed-on-signal") == {"mod-H:3": severity}, level


def test_a_grounded_output_is_damage():
    """An input tied to the body loses its value; a high-side output burns."""
    assert severities(module(MODULE), module(MODULE | {"3": "g>G1"}), "signal-grounded") == {"mod-H:3": "dead"}
    assert severities(module(MODULE), module(MODULE | {"4": "g>G1"}), "signal-grounded") == {"mod-H:4": "damage"}


@pytest.mark.parametrize(
    ("kind", "severity"), [("motor", "dead"), ("module", "damage"), ("sensor", "damage"), ("lamp", ""), ("heater", "")]
)
def test_what_is_fed_backwards(kind: str, severity: str):
    """A motor turns backwards, electronics burn, a filament does not mind (common practice, no source)."""
    expected = {"part-H:1": severity, "part-H:2": severity} if severity else {}

    assert severities(part(PART, kind), part(TURNED, kind), "reversed") == expected
    assert kinds(part(PART, kind), part(TURNED, kind), Severity.REWORK) == [f"reversed {place}" for place in expected]


def test_polar_is_what_the_file_says():
    """``polar`` stands above the kind of part."""
    assert severities(part(PART, "lamp", 'polar="yes"'), part(TURNED, "lamp", 'polar="yes"'), "reversed") == {
        "part-H:1": "dead",
        "part-H:2": "dead",
    }
    assert kinds(part(PART, "motor", 'polar="no"'), part(TURNED, "motor", 'polar="no"')) == []


def test_a_module_with_more_contacts_is_reversed_too():
    """Supply and ground of a module with inputs and outputs exchanged: damage."""
    shell = module(MODULE | {"1": "g>G1", "2": "p>P"})

    assert severities(module(MODULE), shell, "reversed") == {"mod-H:1": "damage", "mod-H:2": "damage"}


def test_a_feed_on_one_of_two_grounds_is_a_short():
    """The ground contacts of one part are one inside it (common practice, no source)."""
    pins = {"1": "30 supply", "2": "31 ground", "3": "31b ground"}
    good = study(socket("mod", "module", pins, {"1": "p>P", "2": "g>G1", "3": "h>G1"}))
    fed = study(socket("mod", "module", pins, {"1": "q>Q", "2": "g>G1", "3": "p>P"}))

    assert severities(good, fed, "feed-to-ground") == {"mod-H:3": "injury"}


def test_thinner_wire_is_a_note_where_fuse_and_load_suit_it():
    """0.75 mm² carries the 10 A of its fuse and the 2 A of its lamp; 0.35 mm² does not carry the fuse's."""
    assert severities(sized("2.5"), sized("0.75"), "thinner-wire") == {"C1:1": "note"}
    assert severities(sized("2.5"), sized("0.35"), "thinner-wire") == {"C1:1": "rework"}


def test_thinner_wire_counts_from_a_fifth_of_resistance():
    """1.2 and 1 mm² differ by exactly 20 %; less than that is the same wire under another name."""
    assert "thinner-wire C1:1" in kinds(sized("1.2"), sized("1"))
    assert kinds(sized("1.19"), sized("1")) == []
    assert kinds(sized("1"), sized("2.5")) == []


UNFUSED_BY_RIGHT = {
    "from the battery to its first fuse": '<splice id="S2"/><wire from="B" to="S2"/>' + fuse("F9", "S2", "S1"),
    "to a fusible link": '<splice id="S2"/><wire from="B" to="S2"/>'
    '<component id="FL" kind="fusible-link"><pin terminal="1" to="S2"/><pin terminal="2" to="S1"/></component>',
    "to the starter's contact": FUSED
    + '<component id="starter" kind="motor"><pin terminal="30" to="B"/><pin terminal="50" to="K15"/></component>',
    "to the alternator": FUSED + '<component id="gen" kind="alternator"><pin terminal="B+" to="B"/></component>',
}


@pytest.mark.parametrize("way", UNFUSED_BY_RIGHT.values(), ids=UNFUSED_BY_RIGHT.keys())
def test_what_may_be_unfused(way: str):
    """Battery to first fuse, link, starter contact and alternator are left out (design of the finding)."""
    assert kinds(branch(FUSED), branch(way), Severity.REWORK) == []


def test_unfused_in_both_cars_is_no_difference():
    """Compare tells what the shell makes worse; ``validate`` judges one car."""
    assert kinds(branch(STRAIGHT), branch(STRAIGHT)) == []


def test_a_load_s_return_to_a_low_side_driver_is_no_feed():
    """The lamp's other end is fed, but through the lamp: a driver that pulls it down is what belongs there."""
    pins = {"1": "31 ground", "2": "out output-low"}
    point = '<splice id="SR"/>' + lamp("light", "P", "SR")
    donor = study(point, socket("mod", "module", pins, {"1": "g>G1", "2": "r>SR"}))
    shell = study(point, socket("mod", "module", pins, {"1": "g>G1", "2": "x>SR"}))
    fed = study('<splice id="SR"/>', lamp("light", "P", "SR"), socket("mod", "module", pins, {"1": "g>G1", "2": "p>P"}))

    assert kinds(donor, shell) == []
    assert severities(donor, fed, "feed-on-signal") == {"mod-H:2": "damage"}


def test_an_output_on_the_opposite_rail():
    """A driver of both rails is destroyed by either; a high-side one only by the body."""
    pins = {"1": "30 supply", "2": "31 ground", "3": "out output"}
    point = '<splice id="SO"/>' + lamp("light", "SO", kind="motor")
    good = study(point, socket("mod", "module", pins, {"1": "p>P", "2": "g>G1", "3": "o>SO"}))
    for rail in ("P", "G1"):
        shell = study(point, socket("mod", "module", pins, {"1": "p>P", "2": "g>G1", "3": f"o>{rail}"}))

        assert severities(good, shell, "outputs-joined") == {"mod-H:3": "damage"}, rail


def test_joined_outputs_name_the_later_contact():
    """Two contacts of one plug joined behind it: one finding, at the later."""
    assert kinds(two_outputs("SX", "SY"), two_outputs("SX", "SX"), Severity.REWORK) == ["outputs-joined mod-H:4"]


def test_accepted_stays_shown_and_never_for_injury():
    """A reason is kept beside a finding; an injury cannot be lived with."""
    donor, shell = part(PART), part(TURNED)
    reversed_ = findings(donor, shell)[0]
    again = compare(donor, shell, named(donor, shell), {reversed_.id: "turned round on purpose"}).findings
    squibs = squib("YE/BK"), squib("YE/RD")
    injuries = findings(*squibs)
    still = compare(*squibs, named(*squibs), {one.id: "never mind" for one in injuries}).findings

    assert [one.accepted for one in again if one.id == reversed_.id] == ["turned round on purpose"]
    assert told(again) == told(findings(donor, shell))
    assert [one.accepted for one in still] == [""] * len(injuries)


def test_a_live_loose_end_says_so():
    """What is live with the key off comes first, and is told apart from what the key makes live."""
    live = {}
    for front in ("a>P", "a>R"):
        donor, shell = wire(front), wire(front, "")
        (orphaned,) = (one for one in findings(donor, shell) if one.kind == "orphaned")
        live[front] = orphaned.evidence.live, orphaned.evidence.live_key_off

    assert live == {"a>P": (True, True), "a>R": (True, False)}


def test_a_short_names_its_fuse():
    """Which fuse blows, or that none does."""

    def car(front: str, rear: str, more: str = "") -> Study:
        before = '<splice id="SG"/>' + lamp("before", "P", "SG")
        return study(more, before, lamp("behind", "S1" if rear else ""), inline({"1": front}, {"1": rear or "g>G1"}))

    fused = findings(car("a>P", "a>S1"), car("g>SG", ""))
    bare = findings(car("a>B", "a>S1"), car("g>SG", ""))

    assert [(one.evidence.fuse, "fuse F1 10 A blows" in one.text) for one in fused if one.kind == "feed-to-ground"] == [
        (("F1",), True)
    ]
    assert ["no fuse on the way" in one.text for one in bare if one.kind == "feed-to-ground"] == [True]


@pytest.mark.parametrize("named", ['id="FA"', ""])
def test_fuses_of_one_box_are_separate_without_names(named: str):
    """Two feeds of one box, each behind its own fuse: joined they are two supplies, each told with its rating."""

    def car(second: str) -> Study:
        fuses = f'<inside from="30" to="a" fuse="10" {named}/><inside from="30" to="b" fuse="25"/>'
        had = {"1": "30", "2": "a", "3": "b"}
        wires = {"1": "l>L", "2": "x>SX", "3": f"y>{second}"}
        loads = '<splice id="SX"/><splice id="SY"/>' + lamp("one", "SX", kind="motor") + lamp("two", "SY", kind="motor")
        return study(loads, socket("box", "fuse", had, wires, inside=fuses))

    (joined,) = (one for one in findings(car("SY"), car("SX")) if one.kind == "feeds-joined")

    assert joined.severity is Severity.DAMAGE
    assert "25 A" in joined.text and "10 A" in joined.text


ONE_FUSE = '<inside from="30" to="a" fuse="10" id="FA"/><inside from="a" to="b"/>'
INSIDE_THERE = {
    "feeds-joined": (
        "damage",
        '<inside from="30" to="a" fuse="10" id="FA"/><inside from="30" to="b" fuse="10" id="FB"/>',
    ),
    "feed-to-ground": ("injury", '<inside from="30" to="a" fuse="10" id="FA"/><inside from="31" to="b"/>'),
}


@pytest.mark.parametrize("kind", INSIDE_THERE)
def test_a_kept_wire_on_two_contacts_joins_what_it_meets(kind: str):
    """One wire of the loom sits in two cavities of a box; the shell's box has there what must stay apart."""
    severity, there = INSIDE_THERE[kind]

    def car(inside: str) -> Study:
        own = half("box-B", {"1": ' terminal="30"', "2": ' terminal="31"'}, cavities="2")
        load = '<splice id="SX"/>' + lamp("one", "SX", kind="motor")
        supply = half("box-G", {"1": "l>L", "2": "g>G1"}, "rear", "box-B", "2")
        outputs = socket("box", "other", {"1": "a", "2": "b"}, {"1": "x>SX", "2": "x>SX"}, inside=own + inside)
        return study(load, outputs, supply)

    told = severities(car(ONE_FUSE), car(there), kind)
    assert told["box-H:2"] == severity
    assert set(told.values()) == {severity} and told.keys() <= {"box-G:1", "box-H:2"}  # a short has two ends


@pytest.mark.parametrize(("position", "told"), [("", True), ('when="run"', True), ('when="off"', False)])
def test_a_part_of_the_shell_that_ties_a_feed_to_the_body(position: str, told: bool):
    """The loom is the same; inside the shell's switch the fed contact is joined with the grounded one, key on."""

    def car(inside: str) -> Study:
        had, wires = {"1": "in", "2": "out", "3": "31"}, {"1": "r>R", "2": "x>SX", "3": "g>G1"}
        load = '<splice id="SX"/>' + lamp("one", "SX", kind="motor")
        feed = '<inside from="in" to="out"/>'
        return study(load, socket("box", "switch", had, wires, more='key="yes"', inside=feed + inside))

    there = car(f'<inside from="out" to="31" {position}/>')
    found = [one for one in findings(car(""), there) if one.kind == "feed-to-ground"]

    assert {one.severity.word for one in found} == ({"injury"} if told else set())
    assert all("F3 10 A blows" in one.text for one in found)
    assert [one for one in findings(there, there) if one.severity < Severity.NOTE] == []


def test_a_missing_wire_is_no_injury():
    """The mildest case: a wire that is not there."""
    assert told(findings(GOOD, wire("")), Severity.DAMAGE) == []


def spare_feed(*more: str) -> Study:
    """A lamp fed through cavity 1 of an in-line plug; ``more`` wires of the front half."""
    front = {"1": "a>P"} | dict(zip(("2",), more, strict=False))
    return study(lamp("lamp", "S1", more='watts="21"'), inline(front, {"1": "a>S1"}))


def test_a_live_end_that_only_one_car_has_is_left_over_in_either():
    """Whichever is the donor: a fed contact with nothing behind it, live with the key off."""
    for donor, shell in ((spare_feed(), spare_feed("b>P")), (spare_feed("b>P"), spare_feed())):
        (one,) = (each for each in findings(donor, shell) if each.severity < Severity.NOTE)

        assert (one.kind, str(one.donor), one.evidence.live_key_off) == ("orphaned", "C1:2", True)

    assert kinds(spare_feed("b>P"), spare_feed("b>P")) == []


def trailer_plug(to: str) -> Study:
    """A module's output, or the body, at a plug whose other half is in no file; the circuit is called the same."""
    part = socket(
        "tow", "module", {"1": "30 supply", "2": "31 ground", "3": "T output-high"}, {"1": "p>P", "2": "g>G1"}
    )
    end = f'<pin cavity="1" circuit="tail" to="{to}"/>'
    return study(part, f'<connector id="T" harness="front" cavities="1">{end}</connector>')


def test_a_driven_output_where_the_other_car_has_the_body_is_damage_whatever_the_names():
    """At a plug with no other half written: the output is named by its role, the body by reach."""
    found = findings(trailer_plug("tow-H:3"), trailer_plug("G1"))

    assert ("signal-grounded", "T:1", Severity.DAMAGE) in [(one.kind, spot(one), one.severity) for one in found]
    assert kinds(trailer_plug("tow-H:3"), trailer_plug("tow-H:3"), Severity.REWORK) == []
