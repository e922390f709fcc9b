"""Checks against published pin assignments; the source stands beside each.

The tables below are written out from the standards' pin assignments as public
tables give them; wiring around them is invented.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from builders.fixtures import RELAY, relay
from builders.rows import bare, findings, half, lamp, named, socket, study, told

from harnesscheck.align import Crosswalk, align
from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.network.graph.sides import Study


def table(pins: Mapping[str, str], cavities: str, id_: str = "X1", circuits: bool = False) -> Study:
    """One plug's pin table: cavities and what they are for, nothing else."""
    return bare(plug(pins, cavities, id_, circuits))


def plug(pins: Mapping[str, str], cavities: str, id_: str, circuits: bool) -> str:
    """The rows of a pin table, by function or by circuit."""
    rows = (
        f'<pin cavity="{cavity}" {"circuit" if circuits else "function"}="{text}"/>' for cavity, text in pins.items()
    )
    return f'<connector id="{id_}" harness="?" cavities="{cavities}">{"".join(rows)}</connector>'


def exchanged(pins: Mapping[str, str], a: str, b: str) -> dict[str, str]:
    """The same with the contents of two cavities exchanged."""
    return dict(pins) | {a: pins[b], b: pins[a]}


# ISO 10487, radio, plug A.
RADIO = {
    "A4": "permanent battery positive",
    "A5": "antenna supply output",
    "A6": "illumination",
    "A7": "switched positive",
    "A8": "ground",
}


def test_radio_feeds_exchanged_in_lone_tables():
    """ISO 10487: permanent (A4) and switched feed (A7) exchanged: wrong-feed on exactly these, likely."""
    found = findings(table(RADIO, "A1-A8"), table(exchanged(RADIO, "A4", "A7"), "A1-A8"))

    assert told(found, Severity.DEAD) == ["wrong-feed X1:A4", "wrong-feed X1:A7"]
    assert {one.certainty.word for one in found} == {"likely"}


def radio_car(a4: str, a7: str) -> Study:
    """A radio of the standard on a car's dash plug."""
    wires = {"A4": f"perm>{a4}", "A7": f"acc>{a7}", "A8": "gnd>G1"}
    return study('<component id="radio" part="radio-iso10487-a"/>', half("RH", wires, "front", "radio.A", "A1-A8"))


@pytest.mark.parametrize("switched", ["A", "R"])
def test_radio_feeds_exchanged_in_a_car(switched: str):
    """ISO 10487, the whole car: wrong-feed on exactly A4 and A7, known, and that the switching line stays on."""
    found = findings(radio_car("P", switched), radio_car(switched, "P"))

    assert told(found, Severity.REWORK) == ["always-on RH", "wrong-feed RH:A4", "wrong-feed RH:A7"]
    assert {one.certainty.word for one in found} == {"known"}


# Trailer sockets: ISO 1724 (12N), ISO 3732 (12S), ISO 11446 (13-pin), by function.
SOCKET_12N = {
    "1": "turn-left",
    "2": "fog-rear",
    "3": "gnd-lamps",
    "4": "turn-right",
    "5": "tail-right",
    "6": "stop",
    "7": "tail-left",
}
SOCKET_12S = {
    "1": "reverse",
    "2": "spare-2",
    "3": "gnd-permanent",
    "4": "batt-permanent",
    "5": "spare-5",
    "6": "ignition",
    "7": "gnd-ignition",
}
SOCKET_13 = {
    "1": "turn-left",
    "2": "fog-rear",
    "3": "gnd-lamps",
    "4": "turn-right",
    "5": "tail-right",
    "6": "stop",
    "7": "tail-left",
    "8": "reverse",
    "9": "batt-permanent",
    "10": "ignition",
    "11": "gnd-ignition",
    "12": "reserved-12",
    "13": "gnd-permanent",
}
# The key of an adapter from both 7-pin sockets to the 13-pin one, as the three assignments give it. The return of the
# permanent feed goes to 13, not to 3; the spares have no counterpart; nothing goes to 12.
ADAPTER_KEY = {f"12N:{pin}": pin for pin in SOCKET_12N} | {
    "12S:1": "8",
    "12S:3": "13",
    "12S:4": "9",
    "12S:6": "10",
    "12S:7": "11",
}
WHOLE = Crosswalk(connector={"N12": "T13", "S12": "T13"})
BY_CAVITY = Crosswalk(connector={f"{at[2]}12:{at.partition(':')[2]}": f"T13:{pin}" for at, pin in ADAPTER_KEY.items()})


def trailer(circuits: bool) -> tuple[Study, Study]:
    """The two 7-pin sockets against the 13-pin one."""
    return (
        bare(plug(SOCKET_12N, "7", "N12", circuits), plug(SOCKET_12S, "7", "S12", circuits)),
        bare(plug(SOCKET_13, "13", "T13", circuits)),
    )


def moved(donor: Study, shell: Study, pairs: Pairs) -> dict[str, str]:
    """Where each moved pin goes."""
    return {
        f"12{one.donor.connector[0]}:{one.donor.cavity}": one.shell.cavity
        for one in findings(donor, shell, pairs)
        if one.kind == "moved-pin"
    }


@pytest.mark.parametrize("said", [WHOLE, BY_CAVITY], ids=["by connector", "by cavity"])
@pytest.mark.parametrize("circuits", [True, False], ids=["circuits", "functions"])
@pytest.mark.parametrize("pair", [named, align], ids=["by name", "aligned"])
def test_trailer_sockets_move_as_the_adapter_does(said: Crosswalk, circuits: bool, pair):
    """ISO 1724 and ISO 3732 against ISO 11446: the moved pins are the adapter's key, what stays is not told."""
    donor, shell = trailer(circuits)
    pairs = pair(donor, shell, said)
    found = moved(donor, shell, pairs)

    assert found == {at: pin for at, pin in ADAPTER_KEY.items() if at.partition(":")[2] != pin}
    assert "12" not in found.values()
    missing = ["missing-circuit S12:2", "missing-circuit S12:5"] if circuits else []  # a function "spare" needs nothing
    assert told(findings(donor, shell, pairs), Severity.DEAD) == missing


def test_trailer_pins_a_person_pairs_need_no_words():
    """ISO 3732 pin 6 is called differently from ISO 11446 pin 10; the person's word for it is enough."""
    ours = SOCKET_12S | {"6": "switched positive (refrigerator), engine running"}
    theirs = SOCKET_13 | {"10": "switched positive"}
    donor = bare(plug(SOCKET_12N, "7", "N12", False), plug(ours, "7", "S12", False))
    shell = bare(plug(theirs, "13", "T13", False))

    assert moved(donor, shell, named(donor, shell, BY_CAVITY))["12S:6"] == "10"


# SAE J1962, diagnostic socket (ISO 15031-3).
DIAGNOSTIC = {
    "2": "J1850 bus +",
    "4": "chassis ground",
    "5": "signal ground",
    "6": "CAN high",
    "7": "K line",
    "10": "J1850 bus -",
    "14": "CAN low",
    "15": "L line",
    "16": "unswitched battery positive",
}


def diagnostic_car(wires: Mapping[str, str]) -> Study:
    """A diagnostic socket of the standard, its bus at an engine computer."""
    rest = '<splice id="SH"/><splice id="SN"/><component id="computer" kind="module">'
    rest += '<pin terminal="H" role="data" to="SH"/><pin terminal="L" role="data" to="SN"/></component>'
    return study(rest, '<component id="obd" part="obd-j1962"/>', half("OH", wires, "front", "obd.A", "16"))


DIAGNOSTIC_WIRES = {"4": "g>G1", "5": "s>G1", "6": "high>SH", "14": "low>SN", "16": "b>P"}


def test_can_lines_exchanged_is_crossed():
    """SAE J1962: CAN high (6) and low (14) exchanged: crossed; nothing is damaged and nobody hurt."""
    tables = table(DIAGNOSTIC, "16"), table(exchanged(DIAGNOSTIC, "6", "14"), "16")
    cars = diagnostic_car(DIAGNOSTIC_WIRES), diagnostic_car(exchanged(DIAGNOSTIC_WIRES, "6", "14"))

    assert told(findings(*tables), Severity.DEAD) == ["crossed X1:14", "crossed X1:6"]
    assert told(findings(*cars), Severity.REWORK) == ["crossed OH:14", "crossed OH:6"]


def test_battery_on_the_ground_contact_is_a_short():
    """SAE J1962: battery positive (16) on the chassis ground's contact (4): feed-to-ground."""
    tables = table(DIAGNOSTIC, "16"), table(DIAGNOSTIC | {"4": DIAGNOSTIC["16"]}, "16")
    cars = diagnostic_car(DIAGNOSTIC_WIRES), diagnostic_car(DIAGNOSTIC_WIRES | {"4": "b>P"})

    assert told(findings(*tables), Severity.REWORK) == ["feed-to-ground X1:4"]
    assert told(findings(*cars), Severity.REWORK) == ["feed-to-ground OH:4"]


def test_battery_and_ground_exchanged_is_a_short():
    """SAE J1962: 4 and 16 exchanged: feed-to-ground where the ground was."""
    cars = diagnostic_car(DIAGNOSTIC_WIRES), diagnostic_car(exchanged(DIAGNOSTIC_WIRES, "4", "16"))

    assert "feed-to-ground OH:4" in told(findings(*cars), Severity.INJURY)


# Plug-in relays (ISO 7588): 30 common, 87 make, 87a break, 85 and 86 coil. Cavities 1 30, 2 85, 3 86, 4 87, 5 87a.
DIODE = '<inside from="85" to="86" diode="yes"/>'


def test_relay_outputs_exchanged_are_found():
    """ISO 7588: what hangs on 87 and 87a exchanged: on when it should be off; dead or worse at both."""
    found = findings(relay(RELAY), relay(exchanged(RELAY, "4", "5")))

    assert told(found, Severity.DEAD) == [
        "always-on lamp",
        "crossed relay-H:4",
        "crossed relay-H:5",
        "wrong-key-position dim",
    ]


def test_a_plain_coil_may_be_turned_round():
    """ISO 7588: a coil without a diode has no polarity: a note at most."""
    assert told(findings(relay(RELAY), relay(exchanged(RELAY, "2", "3"))), Severity.REWORK) == []


def test_a_coil_across_a_diode_may_not():
    """ISO 7588 with a suppression diode: the diode shorts the coil's feed when it is turned round: damage."""
    found = findings(relay(RELAY, DIODE), relay(exchanged(RELAY, "2", "3"), DIODE))

    assert [(one.kind, one.severity.word) for one in found] == [("reversed", "damage")]
    assert str(found[0].donor) in ("relay-H:2", "relay-H:3")  # one finding for the two contacts


def test_a_diode_taped_into_the_loom_counts():
    """The same where the diode is a part of its own across the coil."""

    def car(wires: Mapping[str, str]) -> Study:
        pins = {"1": "30", "2": "85", "3": "86", "4": "87"}
        diode = '<component id="d" kind="diode"><pin terminal="A" to="SX"/><pin terminal="K" to="SY"/></component>'
        points = '<splice id="SX"/><splice id="SY"/><splice id="SL"/>' + lamp("lamp", "SL")
        switch = '<component id="on" kind="switch"><pin terminal="a" to="SX"/><pin terminal="b" to="G1"/>'
        switch += '<inside when="on" from="a" to="b"/></component>' + fuse_to("SY")
        return study(points, diode, switch, socket("relay", "relay", pins, wires))

    good = {"1": "f>P", "2": "g>SX", "3": "c>SY", "4": "l>SL"}
    found = findings(car(good), car(exchanged(good, "2", "3")))

    assert [(one.kind, one.severity.word) for one in found if one.severity <= Severity.DEAD] == [
        ("reversed", "damage"),
        ("reversed", "damage"),
    ]


def fuse_to(point: str) -> str:
    """A fuse of the run feed's own."""
    return f'<component id="F8" kind="fuse"><pin terminal="1" to="K15"/><pin terminal="2" to="{point}"/></component>'


@pytest.mark.parametrize(("a", "b"), [("1", "4"), ("1", "2"), ("1", "3"), ("3", "4"), ("2", "4"), ("2", "5")])
def test_any_other_exchange_at_a_relay_socket_is_found(a: str, b: str):
    """ISO 7588: a contact exchanged with one of the coil's, or the common with the make: dead or worse."""
    assert told(findings(relay(RELAY), relay(exchanged(RELAY, a, b))), Severity.DEAD)


def test_a_make_contact_on_ground_is_a_short():
    """ISO 7588: 85 and 87 exchanged: the relay connects its feed to the body as soon as it pulls in."""
    assert "feed-to-ground relay-H:4" in told(findings(relay(RELAY), relay(exchanged(RELAY, "2", "4"))))
