"""Cars drawn at random as files, with everything the circuit knows, wired without sense: for oracles, not for looks."""

from __future__ import annotations

import random
from pathlib import Path

from harnesscheck.fields import NAMESPACE
from harnesscheck.model.records import Netlist
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import DcCircuit
from harnesscheck.network.volts.lumping import circuit_of
from harnesscheck.read import configure, read_netlist


def odd_car(seed: int, folder: Path, *, diodes: int = 3) -> DcCircuit:
    """The circuit of a random car: two metal parts, battery, alternator, key, fuses, relays, a module, loads."""
    rng = random.Random(seed)
    points = [f"S{n}" for n in range(rng.randrange(12, 22))]
    grounds = ["G1", "G2", "G3"]

    def end() -> str:
        return rng.choice(points) if rng.random() < 0.8 else rng.choice(grounds)

    def wire(to: str) -> str:
        length, size = rng.uniform(0.1, 4), rng.choice((0.5, 0.75, 1, 1.5, 2.5, 6))
        return f'to="{to}" length="{length:.3f}" size="{size}"'

    def part(id_: str, kind: str, terminals: dict[str, str], more: str = "", inside: str = "") -> str:
        pins = "".join(f'<pin terminal="{name}" {role} {wire(end())}/>' for name, role in terminals.items())
        return f'<component id="{id_}" kind="{kind}" {more}>{pins}{inside}</component>'

    rows = ['<ground id="G1"/><ground id="G2" on="engine"/><ground id="G3"/>', '<harness id="a"/>']
    rows += [f'<splice id="{point}" harness="a"/>' for point in points]
    rows.append(
        f'<component id="bat" kind="battery" ohms="0.006"><pin terminal="+" {wire("S0")}/>'
        f'<pin terminal="-" {wire("G1")}/></component>'
    )
    rows.append(f'<wire from="G2" to="G1" size="16" length="0.4"/><wire harness="a" from="S0" {wire("S1")}/>')
    rows.append(part("alt", "alternator", {"B+": "", "D+": "", "B-": 'role="ground"'}))
    rows.append(
        part(
            "key", "switch", {"30": "", "15": "", "50": ""}, 'key="yes"',
            '<inside when="run start" from="30" to="15"/><inside when="start" from="30" to="50"/>',
        )
    )  # fmt: skip
    for n in range(rng.randrange(2, 6)):
        rows.append(part(f"F{n}", "fuse", {"1": "", "2": ""}, f'rating="{rng.choice((5, 10, 15, 20))}" type="C"'))
    for n in range(rng.randrange(1, 4)):
        coil = '<inside from="85" to="86" diode="yes"/>' if rng.random() < 0.4 else ""
        names = dict.fromkeys(("30", "85", "86", "87", "87a"), "")
        rows.append(part(f"K{n}", "relay", names, f'ohms="{rng.choice((75, 85, 90))}"', coil))
    for n in range(rng.randrange(3, 8)):
        inside = '<inside when="on" from="1" to="2"/><inside when="rest" from="1" to="3"/>'
        rows.append(part(f"W{n}", "switch", {"1": "", "2": "", "3": ""}, "", inside))
    for n in range(diodes):
        rows.append(part(f"D{n}", "diode", {"A": "", "K": ""}))
    for n in range(rng.randrange(4, 12)):
        kind, rating = rng.choice((("lamp", "watts"), ("motor", "amps"), ("heater", "ohms")))
        rows.append(part(f"L{n}", kind, {"+": "", "-": ""}, f'{rating}="{rng.choice((2, 5, 8, 21))}"'))
    rows.append(
        part(
            "mod", "module",
            {"30": 'role="supply"', "31": 'role="ground"', "Q1": 'role="output-low"', "Q2": 'role="output-high"'},
        )
    )  # fmt: skip
    pairs = [rng.sample([*points, *grounds], 2) for _ in range(rng.randrange(4, 9))]
    rows += [f'<wire harness="a" from="{a}" {wire(b)}/>' for a, b in pairs if not {a, b} <= set(grounds)]
    for n in range(2):
        pins = "".join(f'<pin cavity="{c}" {wire(rng.choice(points))}/>' for c in "12")
        rows.append(f'<connector id="C{n}" harness="a" cavities="2" mates="C{n}B">{pins}</connector>')
        rows.append(f'<connector id="C{n}B" harness="a" cavities="2">{pins}</connector>')
    path = folder / f"odd-{seed}.xml"
    path.write_text(f'<netlist xmlns="{NAMESPACE}" volts="12">{"".join(rows)}</netlist>', encoding="utf-8")
    netlist = read_netlist(path)
    assert isinstance(netlist, Netlist), netlist
    return circuit_of(Study(configure(netlist)))


def random_ports(circuit: DcCircuit, rng: random.Random) -> list[int]:
    """Ports closed as a key position, an engine and some hands would have them; never relay contacts."""
    running = rng.random() < 0.3
    key = rng.choice(("off", "run", "start"))
    commanded = {port.control: rng.random() < 0.5 for port in circuit.ports if port.control}
    closed = []
    for number, port in enumerate(circuit.ports):
        if port.sort == "key":
            yes = key in port.words
        elif port.control:
            yes = ("on" in port.words) == commanded[port.control]
        elif port.sort in ("battery", "field"):
            yes = not running
        else:
            yes = port.sort == "diode" or (running and port.sort in ("discharge", "alternator"))
        if yes:
            closed.append(number)
    return closed
