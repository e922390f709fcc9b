"""Which groups a finding depends on, and what is not known on what a plan touches."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from harnesscheck.compare.context import Context
from harnesscheck.compare.findings import Finding
from harnesscheck.decide.groups import Group
from harnesscheck.decide.judge import Judged
from harnesscheck.decide.search import Key
from harnesscheck.decide.work import Repair
from harnesscheck.model.order import natural_key

MOST_GROUPS = 4  # a circuit of more groups is told by those at its plug


def groups_of(ctx: Context, finding: Finding, groups: Sequence[Group]) -> tuple[Key, tuple[int, ...]]:
    """What a finding's cost belongs to, and the numbers of the groups that may change it."""
    number = {name: at for at, group in enumerate(groups) for name in group.donor}
    study = ctx.donor
    half, cavity = finding.donor.connector, finding.donor.cavity
    near = _harnesses(ctx, {half, study.vehicle.mate_of.get(half, "")})
    net = study.index.net(half, cavity) if cavity else None
    if net is None:
        part = finding.donor_component or finding.shell_component
        plugs = {row.id for row in study.vehicle.connectors_of.get(part, ())}
        wide = _harnesses(ctx, {*plugs, *(study.vehicle.mate_of.get(one, "") for one in plugs)})
        key: Key = (finding.kind, part, str(finding.donor))
    else:
        pieces = study.index.pieces_of[net]
        wide = _harnesses(ctx, {name for piece in pieces for name, _ in study.index.cavities_of[piece]})
        key = ("circuit", finding.kind, str(finding.donor))
    touched = near | wide
    if len(touched & number.keys()) > MOST_GROUPS:
        touched = near
    return key, tuple(sorted({number[name] for name in touched if name in number}))


def _harnesses(ctx: Context, connectors: Iterable[str]) -> set[str]:
    rows = (ctx.donor.vehicle.connectors.get(name) for name in connectors)
    return {row.harness for row in rows if row is not None and row.harness}


def not_known_at(judged: Judged, work: Iterable[Repair]) -> tuple[str, ...]:
    """The contacts nobody documented on the plugs where work is done."""
    plugs = {one.connector for one in work if one.connector}
    mates = judged.car.vehicle.mate_of
    plugs |= {mates[name] for name in plugs if name in mates}
    spots = {str(one.shell) for one in judged.findings if one.kind == "not-documented" and one.shell.connector in plugs}
    return tuple(sorted(spots, key=natural_key))
