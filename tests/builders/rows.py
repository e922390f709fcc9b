"""Tiny cars for the tests of the comparison, written as the rows of the XML form.

``POWER`` is the front of a car: a battery behind a link, two permanent feeds
(``P`` behind F1, ``Q`` behind F2), a run feed ``R`` (F3), an accessory feed ``A``
(F4), and the body ``G1``. Everything of it is wired without plugs, so that the
only meeting places are the ones a test writes itself.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from harnesscheck.align.byname import Crosswalk, pairs_by_name
from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.compare import compare
from harnesscheck.compare.doubtful import doubts
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.joined import compare_joined
from harnesscheck.fields import NAMESPACE
from harnesscheck.model.records import Netlist
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist

POWER = """
<ground id="G1"/>
<splice id="B"/> <splice id="L"/> <splice id="P"/> <splice id="Q"/> <splice id="R"/> <splice id="A"/>
<splice id="K15"/> <splice id="K75"/>
<component id="battery" kind="battery"> <pin terminal="+" to="B"/> <pin terminal="-" to="G1"/> </component>
<component id="link" kind="fusible-link" rating="80"> <pin terminal="1" to="B"/> <pin terminal="2" to="L"/> </component>
<component id="F1" kind="fuse" rating="10"> <pin terminal="1" to="L"/> <pin terminal="2" to="P"/> </component>
<component id="F2" kind="fuse" rating="15"> <pin terminal="1" to="L"/> <pin terminal="2" to="Q"/> </component>
<component id="F3" kind="fuse" rating="10"> <pin terminal="1" to="K15"/> <pin terminal="2" to="R"/> </component>
<component id="F4" kind="fuse" rating="10"> <pin terminal="1" to="K75"/> <pin terminal="2" to="A"/> </component>
<component id="key" kind="switch" key="yes">
  <pin terminal="30" to="L"/> <pin terminal="15" to="K15"/> <pin terminal="75" to="K75"/>
  <inside when="run start" from="30" to="15"/> <inside when="accessory run" from="30" to="75"/>
</component>
<harness id="front"/> <harness id="rear"/>
"""


def lamp(id_: str, plus: str = "", minus: str = "G1", kind: str = "lamp", more: str = "") -> str:
    """A two-terminal load wired without a plug; an end left out is not wired."""
    pins = "".join(f'<pin terminal="{name}" to="{to}"/>' for name, to in (("+", plus), ("-", minus)) if to)
    return f'<component id="{id_}" kind="{kind}" {more}>{pins}</component>\n'


def half(
    id_: str, pins: Mapping[str, str], harness: str = "", mates: str = "", cavities: str = "4", more: str = ""
) -> str:
    """One plug half. A cavity holds ``circuit>to attributes``; either side of the arrow may be missing."""
    rows = []
    for cavity, text in pins.items():
        wire, _, attributes = text.partition(" ")
        circuit, _, to = wire.partition(">")
        said = (f' circuit="{circuit}"' if circuit else "") + (f' to="{to}"' if to else "")
        rows.append(f'<pin cavity="{cavity}"{said} {attributes}/>')
    owner = f' harness="{harness}"' if harness else ""
    partner = f' mates="{mates}"' if mates else ""
    return f'<connector id="{id_}"{owner} cavities="{cavities}"{partner} {more}>{"".join(rows)}</connector>\n'


def inline(
    front: Mapping[str, str], rear: Mapping[str, str], id_: str = "C1", cavities: str = "4", more: str = ""
) -> str:
    """An in-line plug between the harnesses front and rear; rear cavities end in splices named after them."""
    points = {text.partition(" ")[0].partition(">")[2] for text in rear.values()} - {"", "G1"}
    splices = "".join(f'<splice id="{name}"/>' for name in sorted(points) if ":" not in name)
    return (
        splices
        + half(id_, front, "front", f"{id_}R", cavities, more)
        + half(f"{id_}R", rear, "rear", cavities=cavities)
    )


def socket(
    id_: str,
    kind: str,
    terminals: Mapping[str, str],
    wires: Mapping[str, str],
    more: str = "",
    inside: str = "",
    plug: str = "",
    harness: str = "front",
) -> str:
    """A component with one connector ``ID-A`` and the harness plug ``ID-H`` on it.

    ``terminals`` holds ``terminal role`` by cavity, ``wires`` what ``half`` takes.
    """
    count = str(max(map(int, terminals)))
    rows = []
    for cavity, text in terminals.items():
        name, _, role = text.partition(" ")
        rows.append(f'<pin cavity="{cavity}" terminal="{name}"' + (f' role="{role}"' if role else "") + "/>")
    own = f'<connector id="{id_}-A" cavities="{count}">{"".join(rows)}</connector>'
    part = f'<component id="{id_}" kind="{kind}" {more}>{own}{inside}</component>\n'
    return part + half(f"{id_}-H", wires, harness, f"{id_}-A", count, plug)


TWO = {"1": "+", "2": "-"}
FRONT = (  # a front loom that can be taken apart from the rear one: a battery, and the feed P behind F1
    '<ground id="G1"/><harness id="front"/><harness id="rear"/><splice id="P" harness="front"/>'
    + socket("battery", "battery", TWO, {"1": "30>F1-H:1", "2": "31>G1"})
    + socket("F1", "fuse", {"1": "1", "2": "2"}, {"2": "30P>P"}, 'rating="15"')
)


@cache
def netlist(*rows: str, header: str = "") -> Netlist:
    """Read rows as a file; an input fault fails the test with its text."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "car.xml"
        path.write_text(
            f'<netlist xmlns="{NAMESPACE}" volts="12" colour-code="iec60757" {header}>{"".join(rows)}</netlist>',
            encoding="utf-8",
        )
        result = read_netlist(path)
    assert isinstance(result, Netlist), "\n".join(map(str, result))
    return result


def vehicle(*rows: str) -> Vehicle:
    """A car with a battery."""
    return configure(netlist(POWER, *rows))


def study(*rows: str) -> Study:
    """A studied car with a battery."""
    return Study(vehicle(*rows))


def bare(*rows: str) -> Study:
    """A studied car of these rows and nothing else."""
    return Study(configure(netlist(*rows)))


def named(donor: Study, shell: Study, crosswalk: Crosswalk | None = None) -> Pairs:
    """Pairs by name and crosswalk only: these tests are of the comparison, not of the alignment."""
    return pairs_by_name(donor.vehicle, shell.vehicle, crosswalk)


def findings(donor: Study, shell: Study, pairs: Pairs | None = None) -> tuple[Finding, ...]:
    """Everything a compare finds, worst first."""
    return compare(donor, shell, pairs or named(donor, shell)).findings


def joined(donor: Study, shell: Study, pairs: Pairs | None = None) -> tuple[Finding, ...]:
    """Everything found in two cars and in every car that joins a harness of one to the other, worst first."""
    return compare_joined(donor, shell, pairs or named(donor, shell)).findings


def spot(finding: Finding) -> str:
    """Where a finding is: the donor's place, else the shell's, else the component."""
    place = finding.donor if finding.donor.connector else finding.shell
    return str(place) if place.connector else finding.donor_component or finding.shell_component


def told(found: tuple[Finding, ...] | list[Finding], least: Severity = Severity.NOTE) -> list[str]:
    """``kind place`` of the findings at least that bad, sorted."""
    return sorted(f"{one.kind} {spot(one)}" for one in found if one.severity <= least)


def kinds(donor: Study, shell: Study, least: Severity = Severity.NOTE) -> list[str]:
    """``kind place`` of everything a compare finds that is at least that bad, sorted."""
    return told(findings(donor, shell), least)


def doubted(car: Study) -> list[str]:
    """``kind place`` of everything doubtful about one car, sorted."""
    return told(doubts(car))
