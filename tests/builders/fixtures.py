"""One little pair of cars for every kind of finding, and one that comes near it without being it.

All invented. A fixture's ``shell`` gives its kind at ``at``; its ``near`` shell
differs from the donor too, but not in what makes the kind. ``expect`` is
everything above note that the pair gives, so that a fault is seen to be told once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from builders.rows import half, inline, lamp, socket, study
from harnesscheck.network.graph.sides import Study

Wires = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Fixture:
    """``donor`` against ``shell`` gives ``kind`` at ``at``; against ``near`` it does not."""

    kind: str
    severity: str
    at: str
    donor: Study
    shell: Study
    near: Study
    expect: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Doubt:
    """One car with a doubt of ``kind`` at ``at``, and one without."""

    kind: str
    severity: str
    at: str
    car: Study
    near: Study


LAMP = lamp("lamp", "S1", more='watts="21"')


def wire(front: str, rear: str = "a>S1", more: str = LAMP, plug: str = "") -> Study:
    """A lamp on cavity 1 of an in-line plug whose cavity 4 has always carried the feed Q to another."""
    other = lamp("other", "S4") + ("" if rear else '<splice id="S1"/>')
    ours = ({"1": front} if front else {}) | {"4": "z>Q"}
    theirs = ({"1": rear} if rear else {}) | {"4": "z>S4"}
    return study(other, more, inline(ours, theirs, more=plug))


def grounded(front: str, rear: str) -> Study:
    """Cavity 1 carries the feed of a lamp behind it to the rear, or the ground of one before it from there."""
    before = '<splice id="SG"/>' + lamp("before", "P", "SG" if "SG" in front else "G1")
    return study(
        before, lamp("behind", "S1" if "S1" in rear else "", more='watts="21"'), inline({"1": front}, {"1": rear})
    )


def two_wires(one: str, two: str) -> Study:
    """Two lamps on cavities 1 and 2 of an in-line plug, each behind a switch of its own."""
    points = '<splice id="SA"/><splice id="SB"/>'
    switches = "".join(
        f'<component id="switch{x}" kind="switch"><pin terminal="in" to="P"/><pin terminal="out" to="S{x}"/>'
        f'<inside when="on" from="in" to="out"/></component>'
        for x in "AB"
    )
    lamps = LAMP + lamp("lamp2", "S2", more='watts="5"')
    return study(points, switches, lamps, inline({"1": one, "2": two}, {"1": "a>S1", "2": "b>S2"}))


def module(wires: Wires, level: str = "") -> Study:
    """A module with supply, ground, an input, an output and a data line, and what hangs on them."""
    had = {"1": "30 supply", "2": "31 ground", "3": "in input", "4": "out output-high", "5": "bus data"}
    had |= {"3": f'in input" level="{level}'} if level else {}
    rest = '<splice id="SI"/><splice id="SO"/><splice id="SD"/>' + lamp("button", "SI", kind="switch")
    rest += lamp("light", "SO")
    rest += '<component id="peer" kind="module"><pin terminal="bus" role="data" to="SD"/></component>'
    return study(rest, socket("mod", "module", had, wires))


MODULE = {"1": "p>P", "2": "g>G1", "3": "i>SI", "4": "o>SO", "5": "d>SD"}


def without(wires: Wires, *cavities: str) -> Wires:
    """A plug's wires but for some cavities."""
    return {cavity: text for cavity, text in wires.items() if cavity not in cavities}


def relay(wires: Wires, inside: str = "") -> Study:
    """A relay that switches one lamp on and another off, its coil on the run feed."""
    pins = {"1": "30", "2": "85", "3": "86", "4": "87", "5": "87a"}
    rest = '<splice id="SL"/><splice id="SM"/>' + lamp("lamp", "SL", more='watts="55"') + lamp("dim", "SM")
    return study(rest, socket("relay", "relay", pins, wires, inside=inside))


RELAY = {"1": "f>P", "2": "g>G1", "3": "c>R", "4": "l>SL", "5": "m>SM"}


def part(wires: Wires, kind: str = "motor", more: str = "") -> Study:
    """A two-terminal part on a plug of its own."""
    return study(socket("part", kind, {"1": "+ supply", "2": "- ground"}, wires, more=more))


PART = {"1": "p>P", "2": "g>G1"}
TURNED = {"1": "g>G1", "2": "p>P"}


def sender(curve: str) -> Study:
    """A fuel sender and its gauge."""
    gauge = '<splice id="SI"/><component id="gauge" kind="module"><pin terminal="G" role="input" to="SI"/></component>'
    pins, wires = {"1": "S output", "2": "31 ground"}, {"1": "s>SI", "2": "g>G1"}
    return study(gauge, socket("sender", "sensor", pins, wires, more=f'curve="{curve}"'))


def bus(*terminated: str) -> Study:
    """Three modules on a two-wire bus; the named ones hold a terminating resistor."""
    pins = {"1": "h data", "2": "l data", "3": "30 supply", "4": "31 ground"}
    wires = {"1": "hi>H", "2": "lo>N", "3": "p>P", "4": "g>G1"}
    rows = ['<circuit id="hi" class="data" signal="can"/><circuit id="lo" class="data" signal="can"/>']
    rows.append('<splice id="H"/><splice id="N"/>')
    for name in "abc":
        inside = '<inside from="h" to="l" ohms="120"/>' if name in terminated else ""
        rows.append(socket(name, "module", pins, wires, inside=inside))
    return study(*rows)


def lone_data(peer: str) -> Study:
    """A data line between a module and, where ``peer`` names one, another."""
    other = (
        f'<component id="{peer}" kind="module"><pin terminal="bus" role="data" to="SD"/></component>' if peer else ""
    )
    return study(
        '<splice id="SD"/>',
        other,
        socket("mod", "module", {"1": "30 supply", "2": "bus data"}, {"1": "p>P", "2": "d>SD"}),
    )


def hatch(strap: str) -> Study:
    """A lamp grounded on the hatch, and the strap that joins the hatch to the body."""
    return study('<ground id="GH" on="hatch"/><ground id="G9"/>', lamp("lamp", "P", "GH"), strap)


def coded(computer: str, immobiliser: str) -> Study:
    """An engine computer and an immobiliser with the tags of their coded sets."""
    rows = []
    for id_, tag in (("computer", computer), ("immobiliser", immobiliser)):
        rows.append(lamp(id_, "P", kind="module", more=f'coded="{tag}"' if tag else ""))
    return study(*rows)


def squib(colour: str, system: str = "restraint") -> Study:
    """A module and its squib; ``colour`` is that of one of the two wires between them."""
    pins = {"1": "S+ output", "2": "S- output", "3": "15 supply", "4": "31 ground"}
    wires = {"1": f'sp>squib-H:1 colour="{colour}"', "2": 'sn>squib-H:2 colour="YE"', "3": "r>R", "4": "g>G1"}
    return study(
        socket("airbag", "module", pins, wires, more=f'system="{system}"'),
        socket("squib", "other", {"1": "+", "2": "-"}, {}, more=f'system="{system}" ohms="2"'),
    )


def radio(wires: Wires) -> Study:
    """A module with a permanent and a switched supply."""
    return study(socket("radio", "module", {"1": "30 supply", "2": "75 supply", "3": "31 ground"}, wires))


RADIO = {"1": "p>P", "2": "a>A", "3": "g>G1"}


def branch(way: str) -> Study:
    """A lamp behind something that leads from the battery's own post."""
    return study('<splice id="S1"/>', way, socket("lamp", "lamp", {"1": "+", "2": "-"}, {"1": "a>S1", "2": "g>G1"}))


def fuse(id_: str, live: str, to: str, rating: str = "5") -> str:
    """A fuse wired without a plug."""
    pins = f'<pin terminal="1" to="{live}"/><pin terminal="2" to="{to}"/>'
    return f'<component id="{id_}" kind="fuse" rating="{rating}">{pins}</component>'


STRAIGHT = '<wire from="B" to="S1"/>'
FUSED = fuse("F9", "B", "S1")


def two_outputs(first: str, second: str) -> Study:
    """Two outputs of a module, each with its lamp."""
    had = {"1": "30 supply", "2": "31 ground", "3": "o1 output-high", "4": "o2 output-high"}
    wires = {"1": "p>P", "2": "g>G1", "3": f"x>{first}", "4": f"y>{second}"}
    lamps = '<splice id="SX"/><splice id="SY"/>' + lamp("light1", "SX") + lamp("light2", "SY")
    return study(lamps, socket("mod", "module", had, wires))


def two_fuses(first: str, second: str) -> Study:
    """Two motors, each behind a fuse on a plug of its own."""
    rows = ['<splice id="SX"/><splice id="SY"/>']
    for id_, to in (("one", "SX"), ("two", "SY")):
        rows.append(lamp(id_, to, kind="motor"))
    for id_, to, rating in (("F7", first, "10"), ("F8", second, "7.5")):
        wires = {"1": "l>L", "2": f"{id_}out>{to}"}
        rows.append(socket(id_, "fuse", {"1": "in", "2": "out"}, wires, more=f'rating="{rating}"'))
    return study(*rows)


def sized(size: str, colour: str = "RD", amps: str = "2") -> Study:
    """A lamp behind a 10 A fuse on a wire of some size and colour."""
    return wire(f'a>P size="{size}" colour="{colour}"', more=lamp("lamp", "S1", more=f'amps="{amps}"'))


def housing(more: str) -> Study:
    """A lamp on an in-line plug of some housing."""
    return wire("a>P", plug=more)


def switch(id_: str, a: str, b: str) -> str:
    """A switch wired without a plug."""
    pins = f'<pin terminal="in" to="{a}"/><pin terminal="out" to="{b}"/>'
    return f'<component id="{id_}" kind="switch">{pins}<inside when="on" from="in" to="out"/></component>'


def switched(lamp_at: str, more: str = "") -> Study:
    """A lamp behind a switch on SA, or wherever it is put; nothing here has a plug."""
    return study('<splice id="SA"/>', switch("light", "P", "SA"), lamp("lamp", lamp_at, more='watts="5"'), more)


def keyed(feed: str) -> Study:
    """A lamp on one of the feeds, without a plug."""
    return study(lamp("lamp", feed, more='watts="5"'))


def stud(ground: str) -> Study:
    """A lamp grounded on a stud; G8 is on the body, G9 on a frame that no strap joins to it."""
    return study('<ground id="G8"/><ground id="G9" on="frame"/>', lamp("lamp", "P", ground, more='watts="5"'))


def behind(ohms: str) -> Study:
    """A headlamp behind a wire of some resistance."""
    points = f'<splice id="SA"/><wire from="P" to="SA" ohms="{ohms}"/>'
    return study(points, lamp("lamp", "SA", more='watts="55"'))


def shared(end: str) -> Study:
    """Two lamps on switches of their own, a ground wire each, or none but a wire from one to the other; and a third."""
    points = '<splice id="SA"/><splice id="SB"/><splice id="J"/><splice id="K"/><ground id="G7"/>'
    lamps = lamp("left", "SA", "J", more='watts="5"') + lamp("right", "SB", "K", more='watts="5"')
    third = lamp("third", "SB", more='watts="5"')
    wire_ = f'<wire from="J" to="{end}"/><wire from="K" to="{end}"/>' if end else '<wire from="J" to="K"/>'
    return study(points, switch("one", "P", "SA"), switch("two", "Q", "SB"), lamps, third, wire_)


def buzzer(coil: str, feed: str = "P") -> Study:
    """A relay whose coil is fed straight, or from behind its own break contact."""
    ends = {"30": feed, "87a": "SB", "87": "SM", "86": coil, "85": "G1"}
    pins = "".join(f'<pin terminal="{name}" to="{to}"/>' for name, to in ends.items())
    relay_ = f'<component id="buzzer" kind="relay" ohms="85">{pins}</component>'
    points = '<splice id="SB"/><splice id="SM"/><splice id="SR"/>'
    return study(points, switch("warn", feed, "SR"), relay_, lamp("lamp", "SM", more='watts="5"'))


def loaded(feed: str, load: str, rating: str = "15") -> Study:
    """A load on an in-line plug behind a fuse of its own; ``feed`` is what its wire before the plug is like."""
    rows = '<splice id="S9"/>' + fuse("F9", "L", "S9", f'{rating}" type="C')
    return study(rows, lamp("load", "S1", kind="heater", more=load), inline({"1": f"a>S9 {feed}"}, {"1": "a>S1"}))


GOOD = wire("a>P")
NO_PLUG = study(LAMP, lamp("other", "S4"), '<splice id="S1"/><splice id="S4"/>')


def _said(kind: str, severity: str, at: str, donor: Study, shell: Study, near: Study, *expect: str) -> Fixture:
    """A fixture; without ``expect`` its own finding is all there is above note."""
    return Fixture(kind, severity, at, donor, shell, near, expect or (f"{kind} {at}",))


FIXTURES: tuple[Fixture, ...] = (
    _said("feed-to-ground", "injury", "C1:1",
          grounded("a>P", "a>S1"), grounded("g>SG", "g>G1"), grounded("x>P", "x>S1")),
    _said("restraint-altered", "injury", "squib-H",
          squib("YE/BK"), squib("YE/RD"), squib("YE/BK"), "restraint-altered airbag-H", "restraint-altered squib-H"),
    _said("unfused-feed", "injury", "lamp-H:1", branch(FUSED), branch(STRAIGHT), branch(fuse("F9", "B", "S1", "10"))),
    _said("feed-on-signal", "damage", "mod-H:3",
          module(MODULE), module(MODULE | {"3": "p>P"}), module(MODULE | {"3": "x>SI"})),
    _said("outputs-joined", "damage", "mod-H:4",
          two_outputs("SX", "SY"), two_outputs("SX", "SX"), two_outputs("SY", "SX")),
    _said("feeds-joined", "damage", "F8-H:2", two_fuses("SX", "SY"), two_fuses("SX", "SX"), two_fuses("SY", "SX")),
    _said("signal-grounded", "dead", "mod-H:3",
          module(MODULE), module(MODULE | {"3": "g>G1"}), module(MODULE | {"3": "x>SI"})),
    _said("wrong-feed", "dead", "radio-H:1", radio(RADIO), radio(RADIO | {"1": "a>A"}), radio(RADIO | {"1": "q>Q"})),
    _said("crossed", "dead", "C1:1", two_wires("a>SA", "b>SB"), two_wires("b>SB", "a>SA"), two_wires("x>SA", "y>SB"),
          "crossed C1:1", "crossed C1:2", "sneak-path lamp"),
    _said("missing-circuit", "dead", "C1:1", GOOD, wire(""), wire("x>P")),
    _said("ground-lost", "dead", "mod-H:2",
          module(MODULE), module(without(MODULE, "2")), module(MODULE | {"2": "x>G1"})),
    _said("reversed", "dead", "part-H:1", part(PART), part(TURNED), part({"1": "x>P", "2": "y>G1"}),
          "reversed part-H:1", "reversed part-H:2"),
    _said("dead-accessory", "dead", "lamp", stud("G1"), stud("G9"), stud("G8")),
    _said("dim-accessory", "dead", "lamp", behind("0.01"), behind("8"), behind("0.1")),
    _said("always-on", "dead", "lamp", switched("SA"), switched("P"), switched("SA", lamp("more", "P"))),
    _said("wrong-key-position", "dead", "lamp", keyed("R"), keyed("A"), keyed("K15")),
    _said("sneak-path", "dead", "right", shared("G1"), shared(""), shared("G7"),
          "dim-accessory left", "sneak-path right", "sneak-path third"),
    _said("relay-hunts", "dead", "buzzer", buzzer("SR"), buzzer("SB"), buzzer("SR", "Q")),
    _said("strap-missing", "damage", "GH", hatch('<wire harness="rear" from="GH" to="G1"/>'), hatch(""),
          hatch('<wire harness="rear" from="GH" to="G9"/>')),
    _said("bus-altered", "dead", "b-H", bus("a", "b"), bus("a"), bus("a", "c")),
    _said("coded-part", "dead", "computer", coded("set", "set"), coded("", "set"), coded("other", "other")),
    _said("wire-overloaded", "damage", "C1:1", *(loaded(f'size="{mm2}" bundle="7"', 'amps="12"')
          for mm2 in ("2.5", "1.5", "2.3")), "wire-overloaded C1:1", "thinner-wire C1:1"),
    _said("fuse-too-big", "damage", "C1:1", *(loaded('size="1"', 'amps="5"', amps) for amps in ("10", "25", "15"))),
    _said("fuse-too-slow", "damage", "C1:1",
          *(loaded(f'size="0.75" length="{metres}"', 'watts="5"', "10") for metres in ("2", "30", "20"))),
    _said("fuse-too-small", "rework", "F9", *(loaded('size="1"', 'amps="7"', amps) for amps in ("15", "7.5", "10"))),
    _said("volt-drop", "rework", "load",
          *(loaded(f'size="1" length="{metres}"', 'amps="5"') for metres in ("2", "16", "9"))),
    _said("thinner-wire", "rework", "C1:1", sized("2.5"), sized("0.35"), sized("2.3"),
          "thinner-wire C1:1", "fuse-too-big C1:1"),
    _said("signal-mismatch", "rework", "sender-H",
          sender("0:10 1:180"), sender("0:280 1:40"), sender("0:10  1:180")),
    _said("no-mate", "rework", "C1", GOOD, NO_PLUG, wire("x>P")),
    _said("housing-differs", "rework", "C1", housing('keyway="A"'), housing('keyway="B"'), housing("")),
    _said("moved-pin", "rework", "C1:1", study(LAMP, inline({"1": "a>P"}, {"1": "a>S1"})),
          study(LAMP, inline({"2": "a>P"}, {"2": "a>S1"})), study(LAMP, inline({"1": "b>P"}, {"1": "b>S1"}))),
    _said("orphaned", "rework", "C1:1", GOOD, wire("a>P", ""), wire("a>P", "x>S1")),
    _said("mixed-bus", "note", "mod-H", lone_data(""), lone_data("peer"), lone_data(""), ""),
    _said("spare", "note", "C1:2", GOOD,
          study(LAMP, lamp("other", "S4"), '<splice id="SS"/>',
                inline({"1": "a>P", "2": "s>SS", "4": "z>Q"}, {"1": "a>S1", "4": "z>S4"})),
          wire("x>P"), ""),
    _said("extra-circuit", "note", "C1:2", GOOD,
          study(LAMP, lamp("other", "S4"), lamp("more", "S2"),
                inline({"1": "a>P", "2": "s>P", "4": "z>Q"}, {"1": "a>S1", "2": "s>S2", "4": "z>S4"})),
          wire("x>P"), ""),
    _said("recoloured", "note", "C1:1", sized("1", "RD"), sized("1", "RD/WH"), sized("1.2", "RD"), ""),
    _said("not-documented", "note", "C1:1", GOOD, wire("", plug='complete="no"'), wire("x>P"), ""),
)  # fmt: skip


def car(body: str) -> Study:
    """A lamp on an in-line plug, and some rows more."""
    return study(LAMP, inline({"1": "a>P"}, {"1": "a>S1"}), body)


def pieces(mates: str) -> str:
    """A circuit on two plugs of two harnesses, which go into each other or not."""
    point = '<splice id="SQ"/>' + lamp("more", "SQ")
    return point + half("C2", {"1": "w>P"}, "front", mates) + half("C3R", {"1": "w>SQ"}, "rear")


def nowhere(end: str) -> str:
    """A wire through an in-line plug that ends in two splices."""
    points = '<splice id="S8"/><splice id="S9"/>' + end
    return points + half("C2", {"1": "w>S8"}, "front", "C2R") + half("C2R", {"1": "w>S9"}, "rear")


DOUBTS: tuple[Doubt, ...] = (
    Doubt("doubtful-mates-disagree", "rework", "C2",
          car(half("C2", {}, "front", "C2R", more='half="pins"') + half("C2R", {}, "rear", more='half="pins"')),
          car(half("C2", {}, "front", "C2R", more='half="pins"') + half("C2R", {}, "rear", more='half="sockets"'))),
    Doubt("doubtful-class-contradicted", "rework", "C1:1",
          car('<circuit id="a" class="run"/>'), car('<circuit id="a" class="permanent"/>')),
    Doubt("doubtful-terminal-without-wire", "rework", "mod-H:2",
          module(without(MODULE, "2")), module(MODULE | {"2": "anything>G1"})),
    Doubt("doubtful-circuit-in-pieces", "rework", "C2:1", car(pieces("")), car(pieces("C3R"))),
    Doubt("doubtful-wire-without-use", "note", "C2:1", car(nowhere("")), car(nowhere(lamp("more", "S9")))),
    Doubt("doubtful-unfused-feed", "rework", "lamp-H:1", branch(STRAIGHT), branch(FUSED)),
)  # fmt: skip
