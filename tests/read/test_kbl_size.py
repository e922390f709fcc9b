"""A KBL file of the size that a whole harness has is read whole."""

from __future__ import annotations

from pathlib import Path

from builders.kbl import Plug, Wire, kbl_text

from harnesscheck.model.records import Netlist
from harnesscheck.read import read_netlist


def test_a_file_of_two_megabytes_reads(tmp_path: Path) -> None:
    """Every wire of it, at the contacts it was written for."""
    plugs = [
        Plug(f"X{n}", {str(c): (str(c),) for c in range(10)}, {"A": [str(c) for c in range(10)]}) for n in range(260)
    ]
    rows = [
        Wire(str(n), (("0", f"X{n % 260}", str(n // 260)), ("1", f"X{(n + 1) % 260}", str(n // 260))), f"C{n}",
             (("base colour", "RD"),), "1.5", {"DMU": "1200"})
        for n in range(1500)
    ]  # fmt: skip
    file = tmp_path / "big.kbl"
    file.write_text(kbl_text(plugs, rows), encoding="utf-8")
    assert file.stat().st_size > 2_000_000

    netlist = read_netlist(file)

    assert isinstance(netlist, Netlist)
    assert {pin.circuit for pin in netlist.pins} >= {f"C{n}" for n in range(1500)}
