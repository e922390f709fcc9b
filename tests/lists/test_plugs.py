"""Where a plug is, and every plug that comes apart, once."""

from __future__ import annotations

import pytest
from builders.rows import half, study
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.lists.plugs import by_place, mated_plugs
from harnesscheck.network.graph.sides import Study

NEAREST = ("own", "mate", "part", "loom")  # of a harness's half on a part: itself, the part's half, the part, its loom


def plugged(written: frozenset[str]) -> Study:
    """A lamp's plug on a loom; the places that are written are called after what they are of."""
    at = {name: f'at="{name}"' if name in written else "" for name in NEAREST}
    return study(
        f'<harness id="roof" {at["loom"]}/>',
        f'<component id="dome" kind="lamp" name="Dome lamp" {at["part"]}>'
        f'<connector id="D" cavities="2" {at["mate"]}><pin cavity="1" terminal="+"/></connector></component>',
        half("DH", {"1": "DL>P"}, "roof", "D", cavities="2", more=at["own"]),
    )


@settings(max_examples=16)
@given(st.frozensets(st.sampled_from(NEAREST)))
def test_a_plug_is_where_the_nearest_thing_is(written: frozenset[str]) -> None:
    """Of all that is written the nearest counts; the loom only where it is asked for."""
    vehicle = plugged(written).vehicle
    nearest = next((name for name in NEAREST if name in written), "")

    assert vehicle.place_of("DH", loom=True) == nearest
    assert vehicle.place_of("DH") == (nearest if nearest != "loom" else "")


def test_a_plug_that_is_not_there_is_nowhere() -> None:
    """A connector that the car has not has no place."""
    assert plugged(frozenset(NEAREST)).vehicle.place_of("X") == ""


@pytest.mark.parametrize(("wanted", "found"), [(None, ["C1", "DH"]), ({"rear"}, ["C1E"]), ({"roof"}, ["DH"])])
def test_each_pair_is_told_once_by_the_half_that_is_wanted(wanted: set[str] | None, found: list[str]) -> None:
    """A plug between two looms goes by the loom that comes out; a part's plug by its loom's half."""
    car = study(
        '<harness id="roof"/>',
        '<component id="dome" kind="lamp"><connector id="D" cavities="2"/></component>',
        half("DH", {"1": "DL>P"}, "roof", "D", cavities="2"),
        half("C1", {"1": "DL>P"}, "front", "C1E"),
        half("C1E", {"1": "DL"}, "rear"),
    )

    assert [plug.half.id for plug in mated_plugs(car, wanted)] == found


def test_places_are_in_order_and_what_has_none_comes_last() -> None:
    """Every pair under its place, the unplaced last."""
    car = study(
        half("C1", {"1": "DL>P"}, "front", "C1E"),
        half("C1E", {"1": "DL"}, "rear"),
        half("C2", {"1": "FL>P"}, "front", "C2E", more='at="sill"'),
        half("C2E", {"1": "FL"}, "rear"),
    )

    assert [(at, [plug.half.id for plug in plugs]) for at, plugs in by_place(car)] == [
        ("sill", ["C2"]),
        ("place not written", ["C1"]),
    ]
