"""Two circuits of the demonstration van, calculated by hand from its file and held against what ``loads`` says.

A metre of wire has the most that ISO 6722-1 lets it have at 20 °C (from memory): 12.7 mΩ of 1.5 mm², 7.6 of 2.5,
1.82 of 10; 0.393 % more for each degree (IEC 60028); the
engine harness lies at 70 °C, so its wires have 1.1965 times that. A contact is
taken as 1 mΩ over its wire's mm², a switch or relay contact as 1 mΩ, the blades as
makers' data sheets print them: 4.8 mΩ at 15 A, 7.7 mΩ at 10 A.
"""

from __future__ import annotations

import pytest
from builders.demo import DEMO, study_at
from builders.oneload import drop, judged

VAN = DEMO / "donor.xml"
MOHM_PER_M = {1.5: 12.7, 2.5: 7.6, 10: 1.82}
HOT = 1 + 0.00393 * 50


@pytest.fixture(scope="module")
def loads():
    return judged(study_at(VAN))


def test_fuel_pump(loads):
    """7.5 A at 12 V are 1.6 Ω. Its own wires, from the engine bay's splice S2 to the pump and from there to G7.

    Wire            m     mm²   mΩ          Contacts and so on         mΩ
    S2 - F31        0.1   10    0.218 hot   F31, its contact before    0.1
    F31 - relay     0.3   1.5   4.559 hot   F31 blade, 15 A            4.8
    relay - C12E    1.5   1.5  22.793 hot   8 contacts on 1.5 mm²      5.333
    C12 - S3        1.8   1.5  22.86        relay, inertia switch      2.0
    S3 - C18        0.6   1.5   7.62
    C18F - inertia  0.4   1.5   5.08        sum of both columns      105.84 mΩ
    inertia - pump  2.4   1.5  30.48

    From the battery to S2: 6 mΩ inside it, 0.3 m of 25 mm², 0.45 m of 16 mm² (hot), the
    link FL3 (1.07 mΩ) and three contacts on thick wire: 8 mΩ. Back: 2.2 m of 1.5 mm²
    (27.94 mΩ), a contact, and 0.3 mΩ to the battery.
    """
    thin_m = HOT * (0.3 + 1.5) + 1.8 + 0.6 + 0.4 + 2.4
    wires_mohm = HOT * 0.1 * MOHM_PER_M[10] + thin_m * MOHM_PER_M[1.5]
    feed_mohm = wires_mohm + 0.1 + 4.8 + 8 / 1.5 + 2.0
    ground_mohm = 2.2 * MOHM_PER_M[1.5] + 1 / 1.5 + 0.3
    amps = 12 / (1.6 + (feed_mohm + ground_mohm + 8) / 1000)

    assert wires_mohm + 0.1 + 4.8 + 8 / 1.5 + 2.0 == pytest.approx(105.84, abs=0.01)
    assert amps == pytest.approx(6.886, abs=0.005)
    feed, ground = drop(loads, "feed", "fuel-pump"), drop(loads, "ground", "fuel-pump")
    assert feed.amps == pytest.approx(amps, rel=0.005)  # beside it the computer draws 1.1 A through FL3
    assert feed.volts == pytest.approx(
        amps * (feed_mohm + 2.0) / 1000, rel=0.01
    )  # 2 mΩ of the 8 are outside the battery
    assert ground.volts == pytest.approx(amps * ground_mohm / 1000, rel=0.01)
    fuse = next(one for one in loads.fuses if one.name == "F31")
    assert fuse.use == pytest.approx(amps / 15, rel=0.005)


def test_dipped_beam_left(loads):
    """55 W at 12 V are 2.618 Ω. From S2 through the dip relay and F36 to the lamp, and to G1 beside it.

    S2 - relay 0.3 m of 10 mm² hot: 0.653 mΩ, contacts 0.2 mΩ, relay 1 mΩ: these carry
    both beams, 8.93 A. Relay - F36 0.653 mΩ, its contact 0.1 mΩ, blade 7.7 mΩ, F36 -
    lamp 0.9 m of 1.5 mm² hot 13.676 mΩ, two contacts 1.333 mΩ. Back 0.6 m of 2.5 mm² hot
    5.456 mΩ and a contact of 0.4 mΩ.
    """
    own_mohm = HOT * (0.3 * MOHM_PER_M[10] + 0.9 * MOHM_PER_M[1.5]) + 0.1 + 7.7 + 2 / 1.5
    both_mohm = HOT * 0.3 * MOHM_PER_M[10] + 2 / 10 + 1.0
    ground_mohm = HOT * 0.6 * MOHM_PER_M[2.5] + 0.4
    feed, ground = drop(loads, "feed", "headlamp-left low beam"), drop(loads, "ground", "headlamp-left low beam")
    shared = [hop for hop in feed.hops if hop.amps > 1.5 * feed.amps]
    before_v = sum(hop.drop_v for hop in shared) - 2 * feed.amps * both_mohm / 1000

    amps = 12 / (2.618 + (own_mohm + 2 * both_mohm + ground_mohm) / 1000 + 0.04)  # 0.04: what all lamps share
    assert feed.amps == pytest.approx(amps, rel=0.01)
    assert feed.volts == pytest.approx(amps * (own_mohm + 2 * both_mohm) / 1000 + before_v, rel=0.01)
    assert ground.volts == pytest.approx(amps * ground_mohm / 1000 + 0.0045, abs=0.001)  # 18 A back to the battery


def test_the_far_end_of_the_pump_s_feed(loads):
    """A short at the pump's plug: 12 V over 105.8 - 1.3 + 8 + 0.3 mΩ pass 106 A, which blow 15 A in 0.1 s.

    Two contacts of the plug itself (1.333 mΩ) are behind the wire's end or before it.
    """
    fuse = next(one for one in loads.fuses if one.name == "F31")
    short = next(one for one in fuse.shorts if loads.branch(one.guard.wire).name == "IN-AH:2 - FP-AH:1")

    assert short.amps == pytest.approx(12 / 0.1128, rel=0.01)
    assert short.melts_s <= 0.1
    assert short.safe is True
