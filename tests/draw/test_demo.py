"""Every drawing of the demonstration cars keeps the laws, each circuit with all its wires."""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest
from builders.demo import demo_study
from builders.scenes import broken_laws, titles, wire_title

from harnesscheck.align import Pairs, align
from harnesscheck.draw.targets import DrawingAsked, DrawnSheet, draw_target, names_of
from harnesscheck.network.graph.wiring import wiring_of


@cache
def crosswalk() -> Pairs:
    return align(demo_study("donor"), demo_study("shell"))


def sheets(target: str, *, both: bool = False) -> list[DrawnSheet]:
    others = (demo_study("shell"), crosswalk()) if both else (None, None)
    found = draw_target(demo_study("donor"), target, *others, asked=DrawingAsked(digest="0123abcd"))
    assert isinstance(found, list), found
    return found


def every(step: int, start: int = 0) -> list[str]:
    return names_of(demo_study("donor").vehicle)[start::step]


@pytest.mark.parametrize("start", range(4))
def test_sheets_of_one_van_keep_the_laws(start: int) -> None:
    """Every fourth name of the donor: connector, component, circuit, splice or ground point."""
    for target in every(4, start):
        for sheet in sheets(target):
            assert broken_laws(sheet.scene) == {}, sheet.name


def test_sheets_of_both_vans_keep_the_laws() -> None:
    """Every ninth name of the donor, beside the shell's."""
    for target in every(9):
        for sheet in sheets(target, both=True):
            assert broken_laws(sheet.scene) == {}, sheet.name


def test_every_circuit_of_the_van_is_drawn_with_all_its_wires() -> None:
    """All circuits of the donor: each wire once, and every cut says where it goes on."""
    for circuit, wires in wiring_of(demo_study("donor")).of_circuit.items():
        if circuit in demo_study("donor").vehicle.connectors or circuit in demo_study("donor").vehicle.components:
            continue
        scenes = [sheet.scene for sheet in sheets(circuit)]
        found, expected = titles(scenes), Counter(map(wire_title, wires))
        assert {title: found[title] for title in expected} == dict(expected), circuit
