"""Parts of one car that are made for other volts than they get: too many destroy them, too few leave them dim."""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.compare.carries.loads import Loads
from harnesscheck.compare.context import plug_of
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import NO_SPOT, Evidence, Finding, least, make_finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.finding.sentences import (
    TOO_FEW_VOLTS,
    TOO_FEW_VOLTS_DO,
    TOO_MANY_VOLTS,
    TOO_MANY_VOLTS_DO,
)
from harnesscheck.compare.works.stress import WITHSTANDS, burns_at


def volts_findings(loads: Loads) -> Iterator[Finding]:
    """One finding a part whose rated volts are not the car's, the most that arrives held against them."""
    import numpy as np

    states, circuit, study = loads.currents.states, loads.behaviour.circuit, loads.behaviour.study
    if not states or not circuit.loads:
        return
    volts = np.abs(np.array([state.load_volts for state in states]))
    battery_v = max((port.emf_v for port in circuit.ports if port.sort == "battery"), default=0.0)
    seen: set[str] = set()
    for number, load in enumerate(circuit.loads):
        at = int(volts[:, number].argmax())
        most_v = float(volts[at, number])
        burns, starves = burns_at(load.volts, most_v), 0 < battery_v * WITHSTANDS < load.volts
        if load.pwm or load.component in seen or not (burns or starves):
            continue
        seen.add(load.component)
        state = str(states[at].condition)
        words = {"part": named(study, load.component), "rated": f"{load.volts:g} V", "state": state}
        words["volts"] = f"{most_v if burns else battery_v:.3g} V"
        written = study.vehicle.components[load.component].volts is not None or bool(study.vehicle.netlist.header.volts)
        yield make_finding(
            "wrong-feed" if burns else "dim-accessory",
            least(written),
            plug_of(study, load.component),
            NO_SPOT,
            {},
            (load.component, ""),
            Evidence(shown={"state": state, "volts": round(most_v, 3), "rated_v": load.volts}),
            Severity.DAMAGE if burns else None,
            (TOO_MANY_VOLTS if burns else TOO_FEW_VOLTS).format_map(words),
            (TOO_MANY_VOLTS_DO if burns else TOO_FEW_VOLTS_DO).format_map(words),
        )
