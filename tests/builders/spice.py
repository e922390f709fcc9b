"""An independent program as oracle: writes circuits as SPICE decks and reads ngspice's operating points.

Debian ships it as ``ngspice``. Where it is not installed its tests are skipped
with that reason; on a build machine (environment variable ``CI``) they fail.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from harnesscheck.network.volts.circuit import ONE_WAY
from harnesscheck.network.volts.solve import Solution

DIODE = ".model d d(is=1.7e-13 n=1 rs=0)"  # 0.70 V at 100 mA, 0.80 V at 5 A, 0.58 V at 1 mA


def program() -> str:
    """The path of ngspice; skips or fails the test where there is none."""
    found = shutil.which("ngspice")
    if found is None and os.environ.get("CI"):
        pytest.fail("ngspice is required on the build machine: apt-get install ngspice")
    if found is None:
        pytest.skip("ngspice is not installed (apt-get install ngspice)")
    return found


def deck(state: Solution, prefix: str, *, own_diodes: bool = False) -> list[str]:
    """The lines of one state: relays as found; diodes as found too, or ngspice's own model."""
    circuit, network = state.network.circuit, state.network
    live = {node for node in range(circuit.count) if int(network.island[node]) in state.point.live}
    zero = references(state)

    def at(node: int) -> str:
        return "0" if node in zero else f"{prefix}n{node}"

    lines = [
        f"r{prefix}b{number} {at(one.a)} {at(one.b)} {one.ohm!r}"
        for number, one in enumerate(circuit.branches)
        if {one.a, one.b} <= live
    ]
    diodes = [n for n, one in enumerate(circuit.ports) if one.sort == "diode" and {one.a, one.b} <= live]
    frozen = [n for n in state.closed if not (own_diodes and circuit.ports[n].sort == "diode")]
    for number in frozen:
        one = circuit.ports[number]
        middle = f"{prefix}m{number}"
        lines.append(f"v{prefix}p{number} {at(one.a)} {middle} dc {one.emf_v!r}")
        lines.append(f"r{prefix}p{number} {middle} {at(one.b)} {max(one.ohm, 1e-9)!r}")
    for number in diodes if own_diodes else ():
        one = circuit.ports[number]
        lines.append(f"r{prefix}d{number} {at(one.a)} {prefix}d{number} {one.ohm!r}")
        lines.append(f"d{prefix}d{number} {prefix}d{number} {at(one.b)} d")
    return lines


def references(state: Solution) -> set[int]:
    """The nodes that volts count from: one of each group of islands that closed ports join."""
    network, size = state.network, len(state.network.ohm)
    lifted = {int(unknown) - size for unknown in state.point.unknowns[len(state.point.ports) :]}
    roots = state.point.live - lifted
    held: dict[int, int] = {}
    for node in (*network.circuit.references, *range(network.circuit.count)):
        held.setdefault(int(network.island[node]), node)
    return {held[island] for island in roots}


def operating_points(folder: Path, decks: Sequence[Sequence[str]]) -> Mapping[str, float]:
    """Node volts by name of all decks, run as one; every deck has a prefix of its own."""
    raw = folder / "op.raw"
    lines = ["* states", *(line for one in decks for line in one), DIODE]
    exact = ".options reltol=1e-9 vntol=1e-12 abstol=1e-15 gmin=1e-15"  # linear: one step, nothing to converge
    lines += [".options itl1=1000" if any(line[0] == "d" for one in decks for line in one) else exact]
    lines += [".control", "set filetype=ascii", "op"]
    lines += [f"write {raw}", "quit", ".endc", ".end"]
    source = folder / "deck.cir"
    source.write_text("\n".join(lines) + "\n", encoding="utf-8")
    done = subprocess.run([program(), "-b", str(source)], capture_output=True, text=True, timeout=120, check=False)
    assert raw.exists(), done.stdout + done.stderr
    return _read(raw.read_text(encoding="utf-8"))


def _read(text: str) -> dict[str, float]:
    head, _, values = text.partition("Values:")
    names = [line.split()[1] for line in head.partition("\nVariables:")[2].splitlines() if len(line.split()) == 3]
    numbers = values.split()[1:]  # the point's number stands first
    assert len(numbers) == len(names)
    return {name[2:-1]: float(number) for name, number in zip(names, numbers, strict=True) if name.startswith("v(")}


def is_blocked(state: Solution, port: int) -> bool:
    """Whether a one-way port was found blocked."""
    return state.network.circuit.ports[port].sort in ONE_WAY and port not in state.closed
