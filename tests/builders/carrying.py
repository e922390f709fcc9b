"""A small pair of cars in which function and loads differ, with every attribute such a finding rests on written.

Most parts hang on splices, so that no finding at a plug tells first what the
currents show; one lamp is behind a plug, one behind a relay.
"""

from __future__ import annotations

from builders.rows import half, lamp, netlist, socket
from harnesscheck.model.records import Netlist

_POINTS = (
    "B",
    "L",
    "P",
    "Q",
    "R",
    "K15",
    "PA",
    "PB",
    "PC",
    "PD",
    "PE",
    "PF",
    "DA",
    "VA",
    "MO",
    "BO",
    "BOR",
    "RLA",
    "RLC",
)
_LONG = 'harness="front" size="{size}" length="{length}"'


def _wire(a: str, b: str, size: str = "2.5", length: str = "1") -> str:
    return f'<wire from="{a}" to="{b}" {_LONG.format(size=size, length=length)} circuit="c-{b}"/>'


def _fuse(id_: str, rating: str, feed: str, to: str) -> str:
    return (
        f'<component id="{id_}" kind="fuse" rating="{rating}" type="C">'
        f'<pin terminal="1" to="{feed}"/><pin terminal="2" to="{to}"/></component>'
    )


def _mains() -> str:
    points = "".join(f'<splice id="{name}" harness="front"/>' for name in _POINTS)
    return (
        f'<harness id="front" insulation="pvc" ambient="30"/><ground id="G1" on="body"/>{points}'
        '<component id="battery" kind="battery" volts="12" ohms="0.01">'
        '<pin terminal="+" to="B"/><pin terminal="-" to="G1"/></component>'
        '<component id="link" kind="fusible-link" rating="80"><pin terminal="1" to="B"/>'
        '<pin terminal="2" to="L"/></component>'
        '<component id="key" kind="switch" key="yes"><pin terminal="30" to="L"/><pin terminal="15" to="K15"/>'
        '<inside when="run start" from="30" to="15"/></component>'
    )


def car(
    *,
    dead: str,
    vital: str,
    module: tuple[str, str],
    thin: str,
    big: str,
    slow: tuple[str, str],
    relay: str,
    plug: str,
    drop: str,
) -> Netlist:
    """A car; each argument is what one difference is made of."""
    return netlist(
        _mains(),
        _fuse("F1", "10", "L", "P"), _fuse("F2", "15", "L", "Q"), _fuse("F3", "10", "K15", "R"),
        _fuse("F4", "20", "L", "PA"), _fuse("F5", big, "L", "PB"), _fuse("F6", "15", "L", "PC"),
        _wire(dead, "DA", "1", "2"), lamp("dome", "DA", more='watts="10"'),
        _wire(vital, "VA", "1.5", "3"), lamp("pump", "VA", kind="motor", more='amps="7" system="fuel"'),
        _wire("PA", "PD", thin, "2"), lamp("heater", "PD", kind="heater", more='amps="18" duty="continuous"'),
        _wire("PB", "PE", "1", "2"), lamp("horn", "PE", kind="sounder", more='amps="4" duty="short"'),
        _wire("PC", "PF", *slow), lamp("siren", "PF", kind="sounder", more='amps="2"'),
        lamp("unit", "", "", kind="module").replace(
            "</component>",
            f'<pin terminal="30" role="supply" to="{module[0]}"/><pin terminal="31" role="ground" to="{module[1]}"/>'
            '<pin terminal="O" role="output-high" to="MO"/></component>',
        ).replace('kind="module"', 'kind="module" amps="0.2" min-volts="8"'),
        lamp("lit-by-unit", "MO", more='watts="5"'),
        '<component id="relay" kind="relay" ohms="85" pick-up="60" drop-out="20">'
        f'<pin terminal="86" to="R"/><pin terminal="85" to="{relay}"/><pin terminal="30" to="Q"/>'
        '<pin terminal="87" to="RLA"/></component>',
        _wire("RLA", "RLC", drop, "4"), lamp("fan", "RLC", kind="motor", more='amps="8"'),
        socket(
            "boot", "lamp", {"1": "+ supply", "2": "- ground"},
            {"1": f'>{plug} size="1" length="2" colour="RD"', "2": '>G1 size="1" length="1" colour="BN"'},
            more='watts="5"',
        ),
        half("C9", {"1": '>Q size="1" length="1"'}, "front", "C9R", "2"),
        half("C9R", {"1": '>BO size="1" length="1"'}, "front", "", "2"),
        lamp("marker", "BO", more='watts="5"'),
    )  # fmt: skip


def donor() -> Netlist:
    """Everything works and carries little."""
    return car(
        dead="P", vital="R", module=("P", "G1"), thin="4", big="10", slow=("1.5", "3"), relay="G1", plug="P", drop="2.5"
    )


def shell() -> Netlist:
    """A lamp dead, a pump always on, a unit backwards, a fan without its relay, a wire too thin, a fuse too big."""
    return car(
        dead="BOR", vital="P", module=("G1", "P"), thin="0.5", big="30", slow=("1", "26"), relay="RLC", plug="BOR",
        drop="1",
    )  # fmt: skip
