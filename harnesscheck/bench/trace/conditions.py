"""Reads a state as a person writes it: ``run light-switch=side``, ``key run, engine running``."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from harnesscheck.network.behaviour.states import STAGES, Condition
from harnesscheck.network.volts.circuit import REST, DcCircuit

_FILLING = frozenset({"key", "engine", "and"})
_SHOWN = 8


@dataclass(frozen=True, slots=True)
class WrongState:
    """A word of a state that this car does not have."""

    read: str
    expected: str


def read_condition(circuit: DcCircuit, text: str) -> Condition | WrongState:
    """A stage and settings; a control without a position is one that has only one."""
    stage = ""
    settings: dict[str, str] = {}
    for word in text.replace(",", " ").split():
        if word in STAGES:
            stage = "running" if "running" in (stage, word) else word
        elif word not in _FILLING:
            control, equals, position = word.partition("=")
            known = circuit.controls.get(control)
            if known is None:
                return WrongState(word, _controls(circuit, control))
            if position in REST:
                continue
            if not equals and len(known) == 1:
                position = known[0]
            if position not in known:
                return WrongState(word, f"{control}=off or {control}= one of {', '.join(known)}")
            settings[control] = position
    return Condition(stage or "run", tuple(sorted(settings.items())))


def _controls(circuit: DcCircuit, text: str) -> str:
    close = get_close_matches(text, list(circuit.controls), n=_SHOWN, cutoff=0.5) or list(circuit.controls)[:_SHOWN]
    hint = f", or a control and its position (its controls are {', '.join(close)} …)" if close else ""
    return f"one of {', '.join(STAGES)}{hint}"
