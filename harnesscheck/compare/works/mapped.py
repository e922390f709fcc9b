"""The conditions of one car put onto the controls of another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.align.pairs import Pair
from harnesscheck.network.behaviour.states import Behaviour, Condition, Setting
from harnesscheck.network.volts.circuit import DcCircuit


@dataclass(frozen=True, slots=True)
class Mapped:
    """One condition in the donor's and in the other car's words; ``sure`` that the controls are each other's."""

    ours: Condition
    theirs: Condition
    sure: bool


@dataclass(frozen=True)
class Controls:
    """The donor's settings that the other car has, by what they are there; the rest are ``alone``."""

    shared: Mapping[Setting, Setting]
    sure: Mapping[str, bool]  # by the donor's control
    alone: tuple[Setting, ...]

    def conditions(self, behaviour: Behaviour) -> tuple[Mapped, ...]:
        """The donor's conditions without the settings that the other car has not, each once."""
        found: dict[Condition, Mapped] = {}
        for condition in behaviour.conditions:
            settings = tuple(one for one in condition.settings if one in self.shared)
            ours = Condition(condition.stage, settings)
            theirs = Condition(condition.stage, tuple(sorted(self.shared[one] for one in settings)))
            found.setdefault(ours, Mapped(ours, theirs, all(self.sure[control] for control, _ in settings)))
        return tuple(found.values())

    @property
    def targets(self) -> frozenset[str]:
        """The other car's controls that are one of the donor's."""
        return frozenset(control for control, _ in self.shared.values())


def controls(ours: DcCircuit, theirs: DcCircuit, parts: Mapping[str, Pair]) -> Controls:
    """A control is another's where its part is, with the same terminal; a position is what is called the same."""
    owner = {port.control: port.component for port in ours.ports if port.control}
    shared: dict[Setting, Setting] = {}
    sure: dict[str, bool] = {}
    alone: list[Setting] = []
    for control, words in ours.controls.items():
        pair = parts.get(owner[control])
        other = pair.shell + control.removeprefix(owner[control]) if pair is not None else ""
        known: Sequence[str] = theirs.controls.get(other, ())
        for word in words:
            if pair is not None and word in known:
                shared[control, word] = (other, word)
                sure[control] = pair.sure
            else:
                alone.append((control, word))
    return Controls(shared, sure, tuple(alone))
