"""The state in which a part works: key position and controls, fewest controls first.

What ``network.behaviour.combinations`` proposes is solved before it is believed. Of states
with equally few controls the one with the key furthest back comes first: nothing is
measured with the key on that can be measured with the key off. Where a module has
to switch, the key is at run.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from functools import cache, cached_property

from harnesscheck.network.behaviour.combinations import UNTOUCHED, ControlWays, zones_of
from harnesscheck.network.behaviour.judging import DIM_SHARE, ON_SHARE
from harnesscheck.network.behaviour.states import Behaviour, Condition, Settings
from harnesscheck.network.volts.circuit import REST, DcCircuit, Port

STAGES = ("off", "accessory", "run", "running", "start")  # in order of preference


def closed_ports(circuit: DcCircuit, condition: Condition, energised: Collection[str]) -> frozenset[int]:
    """The joints a condition closes, with these relays pulled in; diodes too, sources not."""
    settings = dict(condition.settings)
    return frozenset(
        number for number, port in enumerate(circuit.ports) if _is_closed(port, condition, settings, energised)
    )


def _is_closed(port: Port, condition: Condition, settings: dict[str, str], energised: Collection[str]) -> bool:
    if port.sort in ("make", "break"):
        return (port.component in energised) == (port.sort == "make")
    if port.sort == "key":
        return condition.key in port.words
    if port.control:
        position = settings.get(port.control)
        return bool(port.words & REST) if position is None else position in port.words
    return port.sort == "diode"


class Lighting:
    """Finds the states in which the loads and relays of one car work."""

    def __init__(self, behaviour: Behaviour) -> None:
        self.behaviour = behaviour
        self._ways = cache(self._made)

    def _made(self, stage: str) -> ControlWays:
        circuit = self.behaviour.circuit
        ports = (
            number
            for number, port in enumerate(circuit.ports)
            if port.sort == "diode" or (port.sort == "key" and Condition(stage).key in port.words)
        )
        return ControlWays(circuit, frozenset(ports), stage == "running", self.behaviour.kept(zones_of))

    def of_load(self, number: int, stages: Sequence[str] = STAGES) -> Condition | None:
        """The state that turns a load on; where none does fully, the first that lights it; None: not exercised."""
        tried = list(self._ordered(stages, lambda ways: ways.to_load(number)))
        nominal_v = self.behaviour.circuit.loads[number].volts
        for share in (ON_SHARE, DIM_SHARE):
            for condition in tried:
                if abs(self.behaviour.state(condition).load_volts[number]) >= share * nominal_v:
                    return condition
        return None

    def of_relay(self, component: str, stages: Sequence[str] = STAGES) -> Condition | None:
        """The state in which a relay is pulled in; None where nothing known pulls it in."""
        for condition in self._ordered(stages, lambda ways: ways.relays.get(component, ())):
            if component in self.behaviour.state(condition).solution.energised:
                return condition
        return None

    def could_feed(self, node: int, stage: str) -> bool:
        """Whether some setting of the controls joins a node to battery + in a stage."""
        ways = self._ways(stage)
        return ways.zone[node] in ways.feed

    def _ordered(
        self, stages: Sequence[str], proposed: Callable[[ControlWays], Iterable[Settings]]
    ) -> Iterator[Condition]:
        """What is proposed in every stage: fewest controls first, then the key furthest back."""
        found = {
            Condition(stage, tuple(one for one in settings if one[1] != UNTOUCHED)): rank
            for rank, stage in enumerate(stages)
            for settings in proposed(self._ways(stage))
        }
        yield from sorted(found, key=lambda one: (len(one.settings), self._rank(one, found[one]), one.settings))

    def _rank(self, condition: Condition, rank: int) -> tuple[bool, int]:
        """What a module has to switch asks for the key at run: few of them do it before."""
        driven = any(control in self._outputs for control, _ in condition.settings)
        return driven and condition.key not in ("run", "start"), rank

    @cached_property
    def _outputs(self) -> frozenset[str]:
        return frozenset(port.control for port in self.behaviour.circuit.ports if port.sort == "output")
