"""The two 7-pin trailer sockets against the 13-pin one: the adapter lead is the published adapter."""

from __future__ import annotations

import pytest
from builders.rows import bare, half, named
from compare.test_standards import ADAPTER_KEY, SOCKET_12N, SOCKET_12S, SOCKET_13

from harnesscheck.align.byname import Crosswalk
from harnesscheck.decide.decide import DecisionQuestion, decide
from harnesscheck.decide.groups import Wishes
from harnesscheck.decide.plan import Plan
from harnesscheck.model.edits import AddLead, AddTail

SHARED = {"connector": {"N12": "T13", "S12": "T13", "N12S": "T13S", "S12S": "T13S"}}
PINS = {f"{at[2]}12:{at.partition(':')[2]}": f"T13:{pin}" for at, pin in ADAPTER_KEY.items()}


def side(plugs: dict[str, dict[str, str]]) -> str:
    """A tow-bar loom with one plug for each socket; the trailer's circuits are there by function."""
    text = '<harness id="tow" out-hours="2" in-hours="2"/>'
    sockets = ""
    for name, pins in plugs.items():
        names = f"1-{len(pins)}"
        rows = "".join(f'<pin cavity="{pin}" terminal="{what}" function="{what}"/>' for pin, what in pins.items())
        sockets += f'<connector id="{name}S" cavities="{names}" half="sockets">{rows}</connector>'
        wires = {pin: f'{what}> function="{what}" size="1.5"' for pin, what in pins.items()}
        text += half(name, wires, "tow", f"{name}S", names, 'half="pins"')
    return f'{text}<component id="trailer" kind="connector-only">{sockets}</component>'


def plan(said: Crosswalk) -> Plan:
    """The donor's tow-bar loom on the shell's 13-pin socket."""
    donor = bare(side({"N12": SOCKET_12N, "S12": SOCKET_12S}))
    shell = bare(side({"T13": SOCKET_13}))
    wishes = Wishes({"tow": "donor"}, {"trailer": "shell"})
    return decide(DecisionQuestion(donor, shell, named(donor, shell, said), wishes=wishes)).best


@pytest.mark.parametrize(
    "said", [Crosswalk(SHARED["connector"]), Crosswalk(SHARED["connector"] | PINS)], ids=["by plug", "by cavity"]
)
def test_the_adapter_lead_is_the_published_adapter(said: Crosswalk) -> None:
    """ISO 1724 and ISO 3732 against ISO 11446: 12S:3 goes to 13, the spares and pin 12 stay open."""
    made = plan(said)
    leads = [edit for _, edit in made.edits]
    wires = {}
    for edit in leads:
        if isinstance(edit, AddLead):
            wires |= {f"12{edit.first[0]}:{lay.cavity}": lay.to for lay in edit.wires}
        elif isinstance(edit, AddTail):
            wires |= {f"12{(edit.mates or '')[0]}:{lay.cavity}": lay.to.partition(":")[2] for lay in edit.wires}

    assert wires == ADAPTER_KEY
    assert "12" not in wires.values()


def test_the_build_sheet_can_be_read() -> None:
    """Every wire by both its ends, in the step itself."""
    (step,) = [one for one, repair in plan(Crosswalk(SHARED["connector"])).work if repair.kind == "lead"]

    assert step.do.startswith("Make an adapter lead from N12 and S12 to T13S: N12:1 to T13S:1,")
    assert "S12:3 to T13S:13" in step.do
    assert "S12:7 to T13S:11" in step.do


def test_a_car_without_a_battery_is_not_proven() -> None:
    """Plugs fit and contacts agree, but nothing could be tried: that is said, and no proof claimed."""
    made = plan(Crosswalk(SHARED["connector"]))

    assert not made.proven
    assert "battery" in made.untried
