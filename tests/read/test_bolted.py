"""A plug on a ground point: a ring terminal, whose wires end at that point."""

from __future__ import annotations

from pathlib import Path

import pytest

from harnesscheck.model.records import Netlist
from harnesscheck.read import read_netlist
from harnesscheck.write.xml import xml_text

HEAD = (
    '<netlist xmlns="urn:harnesscheck:netlist:1"><harness id="body"/><splice id="S1" harness="body"/>'
    '<ground id="G2"/><connector id="C1" harness="body" cavities="2">{pins}</connector>{more}</netlist>'
)


def text_of(path: Path, pins: str, more: str) -> str:
    """The netlist of some rows, written out."""
    file = path / "car.xml"
    file.write_text(HEAD.format(pins=pins, more=more), encoding="utf-8")
    netlist = read_netlist(file)
    assert isinstance(netlist, Netlist), netlist
    return xml_text(netlist)


@pytest.mark.parametrize(
    ("pins", "more", "plain"),
    [
        ('<pin cavity="1" circuit="31" to="R1:1" length="2"/>', "", ""),
        ('<pin cavity="1"/>', '<pin cavity="1" circuit="31" to="C1:1" length="2"/>', ""),
        ("", '<pin cavity="1" circuit="31" to="S1" length="2"/>', "wire"),
    ],
)
def test_a_ring_terminal_on_a_ground_point(tmp_path: Path, pins: str, more: str, plain: str) -> None:
    """The same as wires that are written to end at the ground point, from whichever end they are written."""
    ring = f'<connector id="R1" harness="body" cavities="1-1" on="G2">{more}</connector>'
    direct = '<pin cavity="1" circuit="31" to="G2" length="2"/>' if not plain else ""
    wire = '<wire harness="body" from="S1" to="G2" circuit="31" length="2"/>' if plain else ""

    assert text_of(tmp_path, pins, ring) == text_of(tmp_path, direct, wire)


def test_all_that_is_said_of_the_wire_is_kept(tmp_path: Path) -> None:
    """What it carries and how many volts, too, where it is written at the ring terminal."""
    said = 'circuit="SH" signal="analogue" level="5" bus="CH" wire-number="7"'
    ring = f'<connector id="R1" harness="body" cavities="1-1" on="G2"><pin cavity="1" {said} to="C1:1"/></connector>'

    assert text_of(tmp_path, '<pin cavity="1"/>', ring) == text_of(tmp_path, f'<pin cavity="1" {said} to="G2"/>', "")
