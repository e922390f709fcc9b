"""Switches and relay contacts stand on a sheet of a state as that state has them."""

from __future__ import annotations

from builders.rows import lamp, study

from harnesscheck.draw.blocks import CLOSED, OPEN
from harnesscheck.draw.current import state_of
from harnesscheck.draw.scene import texts
from harnesscheck.draw.targets import DrawingAsked, draw_target
from harnesscheck.network.behaviour.states import Behaviour, Condition

SWITCH = (
    '<component id="hand" kind="switch"><pin terminal="1" to="P"/><pin terminal="2" to="Y"/>'
    '<inside when="on" from="1" to="2"/></component>'
)
RELAY = (
    '<component id="relay" kind="relay"><pin terminal="86" to="Y"/><pin terminal="85" to="G1"/>'
    '<pin terminal="30" to="Q"/><pin terminal="87" to="X"/></component>'
)


def drawn(condition: Condition) -> list[str]:
    car = Behaviour(study('<splice id="X"/><splice id="Y"/>', SWITCH, RELAY, lamp("one", "X")))
    sheets = draw_target(car.study, "relay", asked=DrawingAsked(state=state_of(car, condition)))
    assert isinstance(sheets, list), sheets
    return [text.text for sheet in sheets for text in texts(sheet.scene)]


def test_a_relay_that_is_pulled_in_is_drawn_closed() -> None:
    """Both the switch that feeds its coil and its contact."""
    assert OPEN in drawn(Condition("off")) and CLOSED not in drawn(Condition("off"))
    worked = drawn(Condition("off", (("hand", "on"),)))
    assert CLOSED in worked and OPEN not in worked
