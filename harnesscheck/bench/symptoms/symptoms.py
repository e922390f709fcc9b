"""From a complaint to a plan of measurements."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from harnesscheck.bench.symptoms.breaks import dead_plan, dim_plan
from harnesscheck.bench.symptoms.charging import alternators, charge_plan
from harnesscheck.bench.symptoms.drains import drains_plan
from harnesscheck.bench.symptoms.plans import MeasurementPlan
from harnesscheck.bench.symptoms.shorts import always_on_plan, blows_fuse_plan
from harnesscheck.bench.trace.trace import Trace

_ALONG: Mapping[str, Callable[[Trace], MeasurementPlan]] = {
    "dead": dead_plan,
    "dim": dim_plan,
    "always-on": always_on_plan,
    "blows-fuse": blows_fuse_plan,
}


class NoPlan(Exception):
    """Why there is no plan for this target."""


def plan_for(found: Trace, symptom: str) -> MeasurementPlan:
    """The plan for one of ``SYMPTOMS``. Raises NoPlan where the target has not what it takes."""
    if found.stop:
        raise NoPlan("nothing is measured there")
    if symptom == "drains":
        return drains_plan(found)
    if symptom == "charge":
        return charge_plan(found.behaviour, _alternator(found))
    if not found.complete or found.load < 0:
        raise NoPlan("the file shows no whole way from the battery through a load to ground: see where it ends")
    return _ALONG[symptom](found)


def _alternator(found: Trace) -> str:
    named = {end.rpartition(".")[0] for end in found.target.ends}
    known = alternators(found.behaviour)
    mine = [one for one in known if one in named] or list(known)
    if len(mine) != 1:
        raise NoPlan(f"an alternator is needed for charge; this car has {', '.join(known) or 'none in its file'}")
    return mine[0]
