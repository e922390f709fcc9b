"""A KBL file with an overlay that says what is on its plugs gives the findings of the same car written in XML."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from builders.commands import run
from builders.files import xml
from builders.kbl import Plug, Wire, kbl_text

HEADER = 'colour-code="iec60757" volts="12"'
ROLES = """<splice id="B"/><ground id="G1"/>
<component id="battery" kind="battery"><pin terminal="+" to="B"/><pin terminal="-" to="G1"/></component>
<component id="box" kind="fuse" rating="10"><pin terminal="1" to="B"/>
 <connector id="XB-S" cavities="2" half="pins"><pin cavity="1" terminal="2"/></connector></component>
<component id="radio" kind="module" watts="21">
 <connector id="XL-S" cavities="2" half="pins"><pin cavity="1" terminal="+" role="supply"/>
  <pin cavity="2" terminal="-" role="ground"/></connector></component>
<connector id="XB" mates="XB-S"/><connector id="XL" mates="XL-S"/><connector id="XG" on="G1"/>"""
WIRES = (("W1", "F", "RD", "XB", "1"), ("W2", "GND", "BN", "XG", "1"))


def loom(feed: str, ground: str) -> tuple[str, str]:
    """One loom in KBL and as the rows it stands for: the radio's feed and ground in these cavities."""
    plugs = (
        Plug("XB", {"1": ("1",)}, {"A": ("1", "2")}),
        Plug("XL", {feed: (feed,), ground: (ground,)}, {"A": ("1", "2")}),
        Plug("XG", {"1": ("1",)}, usage="Ring terminal"),
    )
    wires = tuple(
        Wire(number, (("0", "XL", cavity), ("1", plug, point)), signal, (("base colour", colour),), "1.0")
        for (number, signal, colour, plug, point), cavity in zip(WIRES, (feed, ground), strict=True)
    )
    rows = "".join(
        f'<pin cavity="{cavity}" circuit="{signal}" colour="{colour}" size="1" wire-number="{number}" '
        f'to="{"G1" if plug == "XG" else f"{plug}:{point}"}"/>'
        for (number, signal, colour, plug, point), cavity in zip(WIRES, (feed, ground), strict=True)
    )
    own = (
        '<harness id="LOOM-1"/><connector id="XB" harness="LOOM-1" cavities="2" mates="XB-S"><pin cavity="1" '
        f'circuit="F"/></connector><connector id="XL" harness="LOOM-1" cavities="2" mates="XL-S">{rows}</connector>'
    )
    return kbl_text(plugs, wires), own


def told(*words: str) -> list[Any]:
    """Every finding but for where it was read."""
    found = json.loads(run("compare", *words, "--json", "-").stdout)["findings"]
    return [
        (one["kind"], one["severity"], one["certainty"], one["donor"], one["shell"], one["component"], one["text"])
        for one in found
    ]


@pytest.mark.parametrize("shell", [("1", "2"), ("2", "1")], ids=["the same", "exchanged"])
def test_the_same_findings_as_in_xml(tmp_path: Path, shell: tuple[str, str]) -> None:
    """Nothing between equal cars; a radio fed the wrong way round where two contacts are exchanged."""
    files: dict[str, list[str]] = {"kbl": [], "xml": []}
    for car, cavities in (("donor", ("1", "2")), ("shell", shell)):
        kbl, rows = loom(*cavities)
        (tmp_path / f"{car}.kbl").write_text(kbl, encoding="utf-8")
        rest = ROLES.partition('<connector id="XB" mates')[0]
        (tmp_path / f"{car}.xml").write_text(xml(rows + rest, HEADER), encoding="utf-8")
        files["kbl"].append(str(tmp_path / f"{car}.kbl"))
        files["xml"].append(str(tmp_path / f"{car}.xml"))
    (tmp_path / "roles.xml").write_text(xml(ROLES, 'volts="12"'), encoding="utf-8")
    by_kbl = told(*files["kbl"], "--with", str(tmp_path / "roles.xml"))
    by_xml = told(*files["xml"])

    assert by_kbl == by_xml
    assert any(kind == "reversed" and severity == "damage" for kind, severity, *_ in by_kbl) == (shell[0] == "2")
