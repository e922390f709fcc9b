"""Where the example and the rich pair of cars lie; a car from its file."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from builders.files import good
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "harness_demo"
RICH = Path(__file__).parent  # rich-donor.xml and rich-shell.xml


def vehicle_at(path: str | Path) -> Vehicle:
    """The car in a file; a fault fails the test with its text."""
    return configure(good(read_netlist(path)))


def study_at(path: str | Path) -> Study:
    """The same, studied."""
    return Study(vehicle_at(path))


@cache
def demo_vehicle(name: str = "donor") -> Vehicle:
    """One of the example vans, donor or shell."""
    return vehicle_at(DEMO / f"{name}.xml")


@cache
def demo_study(name: str = "donor") -> Study:
    """The same, studied once for all tests of a run."""
    return Study(demo_vehicle(name))
