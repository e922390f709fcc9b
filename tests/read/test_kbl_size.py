"""A KBL file of the size that a whole harness has is read at once."""

from __future__ import annotations

from pathlib import Path
from time import perf_counter

from builders.kbl import Plug, Wire, kbl_text

from harnesscheck.model.records import Netlist
from harnesscheck.read import read_netlist


def test_two_megabytes_take_less_than_a_second(tmp_path: Path) -> None:
    """A file of 2 MB; the bound is for a machine at least as quick as ten times slower than the one it was set on."""
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
    start = perf_counter()
    netlist = read_netlist(file)
    took = perf_counter() - start

    assert isinstance(netlist, Netlist) and len(netlist.pins) >= 1500
    assert took < 10
