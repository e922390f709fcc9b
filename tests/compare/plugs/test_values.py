"""Values that do not go together: contacts of two sizes, switches coded in other ohms, two plugs of one part."""

from __future__ import annotations

import pytest
from builders.rows import inline, kinds, lamp, netlist, socket, study

from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure


def plugged(contact: str) -> Study:
    """A lamp behind an in-line plug whose two halves have contacts of one size."""
    said = f' contact="{contact}"' if contact else ""
    return study(inline({"1": f"X>P{said}"}, {"1": f"X>Z{said}"}), lamp("one", "Z"))


@pytest.mark.parametrize(
    ("ours", "theirs", "differs"), [("2.8", "1.5", True), ("2.8", "2.8", False), ("2.8", "", False)]
)
def test_contacts_of_two_sizes_do_not_go_together(ours: str, theirs: str, differs: bool) -> None:
    """One half of each car would meet: said at the contact; nothing where a size is not written."""
    told = kinds(plugged(ours), plugged(theirs), Severity.REWORK)

    assert told == (["housing-differs C1:1"] if differs else [])


def coded(a_ohm: int, b_ohm: int) -> Study:
    """A switch that a module reads by its resistance."""
    inside = f'<inside when="a" from="1" to="2" ohms="{a_ohm}"/><inside when="b" from="1" to="2" ohms="{b_ohm}"/>'
    return study(socket("buttons", "switch", {"1": "1", "2": "2"}, {"1": "S>P", "2": "T>G1"}, inside=inside))


def test_a_switch_coded_in_other_ohms_is_misread() -> None:
    """Resistors of 5 % on both sides are one coding, twice the ohms are another (common practice, no source)."""
    assert kinds(coded(100, 470), coded(220, 1000), Severity.REWORK) == ["signal-mismatch buttons-H"]
    assert kinds(coded(100, 470), coded(105, 470), Severity.REWORK) == []


def test_cavity_1_of_two_plugs_on_one_part_is_two_terminals() -> None:
    """A part written by its plugs alone: one plug is fed, the other grounded, and that is no short."""
    plugs = '<ground id="G1"/><harness id="main"/><component id="unit" kind="module"/>'
    plugs += '<connector id="XA" harness="main" cavities="1" on="unit"><pin cavity="1" circuit="F"/></connector>'
    plugs += '<connector id="XB" harness="main" cavities="1" on="unit"><pin cavity="1" to="G1"/></connector>'
    car = Study(configure(netlist(plugs)))

    ends = [node for (part, _), node in car.index.terminal.items() if part == "unit"]

    assert len({car.index.net_of[car.index.piece_of[node]] for node in ends}) == 2
