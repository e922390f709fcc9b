"""Shipped generic parts against the standards' pin tables."""

import pytest

from harnesscheck.fields import KINDS, ROLES
from harnesscheck.trade.parts import part, part_names
from harnesscheck.trade.terminals import feed_class, terminal

ASKED_FOR = {
    "relay-make", "relay-make-diode", "relay-changeover", "relay-changeover-diode", "lamp", "lamp-two-filament",
    "motor", "flasher", "alternator", "radio-iso10487-a", "radio-iso10487-b", "obd-j1962", "trailer-12n",
    "trailer-12s", "trailer-13pin", "trailer-7way-blade", "trailer-4flat", "trailer-j560", "trailer-iso7638",
}  # fmt: skip


def pins(name):
    return {pin.cavity: pin for connector in part(name).connectors for pin in connector.pins}


def roles(name):
    return {cavity: pin.role for cavity, pin in pins(name).items() if pin.role is not None}


def test_all_parts_are_there_and_no_other_is_made_up():
    assert set(part_names()) == ASKED_FOR
    assert part("relay") is None
    assert part("") is None


@pytest.mark.parametrize("name", part_names())
def test_a_part_is_made_of_words_a_netlist_knows(name):
    found = part(name)

    assert found.kind in KINDS
    assert found.source
    assert {pin.role for pin in pins(name).values()} - {None} <= set(ROLES)
    for connector in found.connectors:
        assert connector.cavities == tuple(pin.cavity for pin in connector.pins)
        assert len(set(connector.cavities)) == len(connector.cavities)


@pytest.mark.parametrize("name", part_names())
def test_no_two_contacts_are_one_terminal_and_insides_join_terminals_that_exist(name):
    terminals = [pin.terminal for pin in pins(name).values()]

    assert len(set(terminals)) == len(terminals)
    for row in part(name).insides:
        assert {row.from_, row.to} <= set(terminals)
        assert row.diode or row.load or row.when or row.ohms is not None  # a bare joint would be a short circuit


@pytest.mark.parametrize("name", part_names())
def test_a_supply_or_ground_number_stands_on_a_contact_of_that_role(name):
    """DIN 72552: 30 and 15 feed, 31 grounds; a relay's 30 is a contact and has no role."""
    for pin in pins(name).values():
        if pin.role is not None and terminal(pin.terminal) is not None:
            class_ = feed_class(pin.terminal)
            if class_ == "ground":
                assert pin.role == "ground"
            elif class_ in ("permanent", "run"):
                assert pin.role in ("supply", "source")


def test_relays_follow_plug_in_practice():
    """ISO 7588 practice: 30 common, 87 make, 87a break, 85 and 86 coil."""
    assert list(pins("relay-make")) == ["30", "85", "86", "87"]
    assert list(pins("relay-changeover")) == ["30", "85", "86", "87", "87a"]
    assert roles("relay-changeover") == {}
    assert part("relay-make").insides == part("relay-changeover").insides == ()


@pytest.mark.parametrize("name", ["relay-make-diode", "relay-changeover-diode"])
def test_a_suppression_diode_blocks_while_86_is_positive(name):
    """Common practice, no source: the diode conducts from 85 to 86, so an exchange of the two shorts it."""
    (row,) = part(name).insides

    assert (row.from_, row.to, row.diode) == ("85", "86", True)


def test_a_two_filament_lamp_has_two_loads_on_one_ground():
    assert [(row.from_, row.to, row.load) for row in part("lamp-two-filament").insides] == [
        ("56a", "31", "main beam"),
        ("56b", "31", "dipped beam"),
    ]


def test_iso_10487_radio_plug_a():
    """ISO 10487 as four public pages list it: A4 permanent, A7 switched, A8 ground."""
    found = pins("radio-iso10487-a")

    assert list(found) == [f"A{n}" for n in range(1, 9)]
    assert (found["A4"].terminal, found["A7"].terminal, found["A8"].terminal) == ("30", "15", "31")
    assert roles("radio-iso10487-a")["A5"] == "output"


def test_iso_10487_radio_plug_b():
    """ISO 10487: eight speaker wires, right rear, right front, left front, left rear."""
    assert list(pins("radio-iso10487-b")) == [f"B{n}" for n in range(1, 9)]
    assert set(roles("radio-iso10487-b").values()) == {"output"}


def test_sae_j1962_diagnostic_socket():
    """SAE J1962: 4, 5 grounds, 16 battery, 6, 14 CAN, 2, 10 J1850, 7, 15 K and L line, the rest the maker's."""
    data = {"2", "6", "7", "10", "14", "15"}

    assert list(pins("obd-j1962")) == [str(n) for n in range(1, 17)]
    assert "15" not in {pin.terminal for pin in pins("obd-j1962").values()}  # DIN 72552 has another 15
    assert roles("obd-j1962") == {"4": "ground", "5": "ground", "16": "supply", **dict.fromkeys(data, "data")}


# Returns and feeds by pin. ISO 1724 12N, ISO 3732 12S, ISO 11446-1, SAE J2863, J1239, J560, ISO 7638-1.
TRAILER_GROUNDS = {
    "trailer-12n": {"3"},
    "trailer-12s": {"3", "7"},
    "trailer-13pin": {"3", "11", "13"},
    "trailer-7way-blade": {"7"},
    "trailer-4flat": {"1"},
    "trailer-j560": {"1"},
    "trailer-iso7638": {"3", "4"},
}


@pytest.mark.parametrize(("name", "expected"), TRAILER_GROUNDS.items())
def test_returns_of_trailer_sockets_are_separate_terminals(name, expected):
    grounds = {cavity: pin for cavity, pin in pins(name).items() if pin.role == "ground"}

    assert set(grounds) == expected
    assert len({pin.terminal for pin in grounds.values()}) == len(expected)


# What each pin is for. SAE J560 from memory (public pages disagree on 2 and 6), J1239, J2863 and ISO 7638-1 as public
# pages list them.
TRAILER_FUNCTIONS = {
    "trailer-j560": {
        "1": "ground", "2": "clearance, side-marker and identification lamps", "3": "left turn and hazard",
        "4": "stop lamps", "5": "right turn and hazard", "6": "tail and number-plate lamps",
        "7": "auxiliary and ABS power",
    },
    "trailer-4flat": {
        "1": "ground", "2": "tail and number-plate lamps", "3": "left turn and stop", "4": "right turn and stop",
    },
    "trailer-7way-blade": {
        "1": "battery charge", "3": "right turn and stop", "5": "electric brakes", "7": "ground",
        "9": "left turn and stop", "11": "tail and running lamps", "centre": "reversing lamp or auxiliary",
    },
    "trailer-iso7638": {
        "1": "permanent positive (valves)", "2": "switched positive (electronics)", "3": "return for pin 2",
        "4": "return for pin 1", "5": "warning lamp", "6": "CAN high", "7": "CAN low",
    },
}  # fmt: skip


@pytest.mark.parametrize(("name", "expected"), TRAILER_FUNCTIONS.items())
def test_every_pin_of_a_trailer_socket_has_its_function(name, expected):
    assert {cavity: pin.function for cavity, pin in pins(name).items()} == expected


# The published 12N + 12S to 13-pin adapter key; 12S 2 and 5 have no counterpart, 13-pin 12 none either.
ADAPTER = {
    "trailer-12n": {"1": "1", "2": "2", "3": "3", "4": "4", "5": "5", "6": "6", "7": "7"},
    "trailer-12s": {"1": "8", "3": "13", "4": "9", "6": "10", "7": "11"},
}


@pytest.mark.parametrize(
    ("name", "cavity", "to_13pin"), [(name, *row) for name, key in ADAPTER.items() for row in key.items()]
)
def test_sockets_agree_with_the_published_adapter(name, cavity, to_13pin):
    one, other = pins(name)[cavity], pins("trailer-13pin")[to_13pin]

    assert one.role == other.role
    if one.role == "supply":
        assert one.function == other.function


def test_spare_pins_of_the_12s_socket_feed_nothing():
    assert pins("trailer-12s")["2"].role is None
    assert pins("trailer-12s")["5"].role is None
