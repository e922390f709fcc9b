"""The main job against handbooks: cars built of their circuits drop, carry and blow what they print.

Sources stand beside each check; a number read in the page is exact to what is printed.
"""

from __future__ import annotations

from math import log, sqrt

import pytest
from builders.oneload import circuit, drop, hop_v, judged, wire

from harnesscheck.compare.carries.loadfindings import load_findings
from harnesscheck.compare.carries.loads import let_through_a2s
from harnesscheck.network.volts.ratings import rating_of


def series(ohm: float, amps: float, volts: float) -> str:
    """A load that draws a current through a wire of a resistance; the fuse and the contacts take 0.5 mΩ more."""
    return f'kind="heater" ohms="{volts / amps - ohm:.9f}"'


FUSE = 'rating="100" type="E"'


@pytest.mark.parametrize(
    ("ohm_per_ft", "length_ft", "amps", "volts"),
    [(0.00044, 107, 20, 0.9416), (0.00028, 90, 20, 0.504), (0.00202, 88, 20, 3.555), (0.00306, 100, 20, 6.12)],
)
def test_aircraft_branch_circuits(ohm_per_ft, length_ft, amps, volts):
    """FAA AC 43.13-1B CHG 1, table 11-7 with table 11-9's ohms a foot: No. 6, 4, 12 and 14.

    It prints 0.942, 0.504, 3.60 and 6.12 V; 3.60 is 0.00202 · 88 · 20 = 3.555 rounded up.
    """
    ohm = ohm_per_ft * length_ft
    loads = judged(circuit(f'ohms="{ohm:.6f}"', series(ohm, amps, 28.0), fuse=FUSE, volts="28"))

    assert hop_v(drop(loads, "feed"), "P - S") == pytest.approx(volts, rel=1e-3)


@pytest.mark.parametrize(("length_ft", "volts"), [(39, 0.98), (156, 3.93), (273, 6.88), (19.5, 0.4914)])
def test_maximum_lengths(length_ft, volts):
    """FAA AC 43.13-1B table 11-8: No. 10, 0.00126 ohm a foot, 20 A. Its 0.366 V for 19.5 ft is a misprint."""
    ohm = 0.00126 * length_ft
    loads = judged(circuit(f'ohms="{ohm:.6f}"', series(ohm, 20, 28.0), fuse=FUSE, volts="28"))

    assert hop_v(drop(loads, "feed"), "P - S") == pytest.approx(volts, rel=3e-3)


def test_out_and_back():
    """A public page of lessons: No. 16, 4.99 ohm per 1000 ft, 100 ft each way, 4 A of 24 V: 4.0 V, 16.6 %."""
    ohm = 0.499
    car = circuit(f'ohms="{ohm:.6f}"', series(2 * ohm, 4, 24.0), ground=f'ohms="{ohm:.6f}"', fuse=FUSE, volts="24")
    loads = judged(car)
    lost = hop_v(drop(loads, "feed"), "P - S") + hop_v(drop(loads, "ground"), "SG - G1")

    assert lost == pytest.approx(3.99, rel=2e-3)
    assert 100 * lost / 24 == pytest.approx(16.6, abs=0.1)


@pytest.mark.parametrize(
    ("mohm_per_m", "amps", "volts"),
    [(29.4, 5.75, 0.845), (18.9, 8.75, 0.827), (9.4, 17.5, 0.823), (7.5, 21.75, 0.816), (6.0, 25.5, 0.765)],
)
def test_vehicle_cable_over_five_metres(mohm_per_m, amps, volts):
    """A public towing-cable guidance page: 0.65, 1, 2, 2.5 and 3 mm² at their rated currents."""
    ohm = 5 * mohm_per_m / 1000
    loads = judged(circuit(f'ohms="{ohm:.6f}"', series(ohm, amps, 12.0), fuse=FUSE))

    assert hop_v(drop(loads, "feed"), "P - S") == pytest.approx(volts, rel=3e-3)


@pytest.mark.parametrize(("size", "within"), [("AWG 12", True), ("AWG 14", False), ("2.956", False)])
def test_three_percent_over_twenty_one_feet(size, within):
    """ABYC E-11: 12 V, 10 A, 21 ft, 3 % asks for 6271 circular mils: AWG 12 (6530) has them, SAE 12 (5833) has not.

    5833 circular mils are 2.956 mm².
    """
    loads = judged(circuit(f'size="{size}" length="6.4008"', 'kind="heater" amps="10"'))
    one = drop(loads, "feed")

    assert (hop_v(one, "P - S") / 12 * (10 / one.amps) <= 0.03) is within


@pytest.mark.parametrize(("gauge", "amps"), [("18", 15), ("16", 20), ("14", 25), ("12", 35), ("10", 50), ("6", 100)])
@pytest.mark.parametrize(("loaded", "factor"), [(1, 1.0), (3, 0.7), (5, 0.6), (20, 0.5)])
def test_33_cfr_183_425(gauge, amps, loaded, factor):
    """Table 5, 80 °C insulation, 30 °C, outside engine spaces, and note 2 for bundles: what is above is overloaded."""
    allowed = amps * factor
    for drawn, overloaded in ((allowed * 1.02, True), (allowed * 0.98, False)):
        feed = f'size="AWG {gauge}" length="0.01" bundle="{loaded}"'
        car = circuit(feed, f'kind="heater" amps="{drawn:.4f}"', fuse='rating="500" type="E"')
        kinds = {finding.kind for finding in load_findings(judged(car))}

        assert ("wire-overloaded" in kinds) is overloaded


def test_33_cfr_183_425_in_an_engine_space():
    """Note 1: in engine spaces (50 °C) 80 °C insulation keeps 0.78 of its current; by the heat balance 0.775."""
    feed = 'size="AWG 14" length="1" ambient="50" bundle="1"'
    rating = wire(judged(circuit(feed, 'kind="heater" amps="5"')), "P - S").rating

    assert rating.amps == pytest.approx(25 * 0.78, rel=0.01)


@pytest.mark.parametrize(("size", "amps"), [("0.75", 15), ("1", 19), ("1.5", 24), ("2.5", 32), ("4", 42), ("10", 73)])
def test_no_car_wire_alone_is_allowed_more_than_by_din_vde_0298_4(size, amps):
    """Table 11 column 2, one cable free in air, 70 °C at 30 °C, taken to PVC for 80 °C by the root of the rise.

    The limits are of 33 CFR 183.425, which is the stricter one at every size of both.
    """
    rating = wire(judged(circuit(f'size="{size}" bundle="1"', 'kind="heater" amps="1"')), "P - S").rating

    assert rating.allowable.source.startswith("33 CFR 183.425")
    assert 0.75 * amps * sqrt(50 / 40) < rating.amps < amps * sqrt(50 / 40)


@pytest.mark.parametrize(
    ("size", "bundle", "factor"), [("1.5", "", 0.7), ("10", "", 0.7), ("16", "", 1.0), ("1.5", "1", 1.0)]
)
def test_a_wire_lies_in_a_loom_unless_its_file_says_otherwise(size, bundle, factor):
    """33 CFR 183.425 note 2: three in a bundle keep 0.7; what is assumed is said. A thick cable runs by itself."""
    said = f' bundle="{bundle}"' if bundle else ""
    rating = wire(judged(circuit(f'size="{size}"{said}', 'kind="heater" amps="1"')), "P - S").rating

    assert rating.amps == pytest.approx(factor * rating.alone_a)
    assert any("loom" in one for one in rating.assumed) is (not bundle)


@pytest.mark.parametrize(
    ("gauge", "fuse_a"), [("18", 10), ("16", 10), ("14", 15), ("12", 20), ("10", 30), ("8", 50), ("6", 70)]
)
def test_fuses_of_ac_43_13_1b(gauge, fuse_a):
    """Table 11-3, largest fuse for a wire in aircraft bundles: conservative, so no such pair is too big for us."""
    feed = f'size="AWG {gauge}" length="1"'
    loads = judged(circuit(feed, 'kind="heater" amps="1"', fuse=f'rating="{fuse_a}" type="E"'))

    assert not loads.fuses[0].too_big


@pytest.mark.parametrize(("rating", "too_small"), [("12.5", False), ("15", False), ("12", True), ("10", True)])
def test_the_125_percent_rule(rating, too_small):
    """A public page "Fuse Ratings": a 10 A load asks for 12.5 A at least. The fuse itself leaves 9.94 A of them."""
    car = circuit('size="4" length="0.001"', 'kind="heater" ohms="1.2"', fuse=f'rating="{rating}" type="C"')
    (fuse,) = judged(car).fuses

    assert fuse.nominal_a == pytest.approx(9.95, abs=0.02)
    assert fuse.too_small is too_small


@pytest.mark.parametrize(
    ("amps", "percent", "max_s"),
    [(20.0, 200, 5.0), (35.0, 350, 0.5), (60.0, 600, 0.1)],
)
def test_melting_at_the_gates_of_a_ten_ampere_blade(amps, percent, max_s):
    """ISO 8820-3 and makers' data sheets, form C: the latest times at 200, 350 and 600 % of 10 A."""
    assert amps == percent / 100 * 10
    assert let_through_a2s("C", 10.0, amps) / amps**2 == pytest.approx(max_s)


def test_nearly_twice_its_rating():
    """18.9 A through a 10 A medium blade is beyond the 160 % gate: it "may hold for up to 50 s", no longer."""
    assert 5.0 < let_through_a2s("C", 10.0, 18.9) / 18.9**2 <= 50.0


def test_a_fuse_that_nothing_published_lets_melt_may_hold_for_ever():
    """Form C at 120 %: below the 135 % gate no latest time is published."""
    assert let_through_a2s("C", 10.0, 12.0) is None


def test_k_of_a_wire_is_that_of_iec_60949():
    """k = 226 · sqrt(ln((160 + 234.5) / (80 + 234.5))): copper in PVC for 80 °C, 160 °C in a short circuit."""
    rating = wire(judged(circuit('size="1.5"', 'kind="heater" amps="1"')), "P - S").rating

    assert rating.k == pytest.approx(226 * sqrt(log(394.5 / 314.5)))


def test_a_wire_far_from_the_battery_outlives_its_fuse_only_by_the_adiabatic_equation():
    """IEC 60364-4-43: I²t ≤ k²S². 20²·5 = 2000 A²s of a 10 A blade against (107.6 · S)².

    0.35 mm² stands 1418 A²s and is lost, 0.5 mm² stands 2894. The loop passes 200 to 350 %.
    """
    for size, safe in (("0.35", False), ("0.5", True)):
        car = circuit(f'size="{size}" ohms="0.45"', 'kind="lamp" watts="1"')
        loads = judged(car)
        short = next(one for one in loads.fuses[0].shorts if loads.branch(one.guard.wire).name == "P - S")

        assert 20 < short.amps < 35
        assert short.lets_a2s == pytest.approx(2000)
        assert short.safe is safe


def test_the_rating_of_a_row_is_that_of_its_wire():
    """What is judged is what ``rating_of`` says of the wire's row."""
    loads = judged(circuit('size="1.5"', 'kind="heater" amps="1"'))
    one = wire(loads, "P - S")

    assert rating_of(loads.behaviour.study, loads.branch(one.wire).row) == one.rating
