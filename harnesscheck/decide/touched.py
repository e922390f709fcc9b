"""Which groups a finding depends on, and what is not known on what a plan touches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.assemble.standin import StoodIn
from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.findings import Finding, Spot
from harnesscheck.compare.works.dark import Darkness
from harnesscheck.decide.groups import Group
from harnesscheck.decide.holds import plugs_of
from harnesscheck.decide.judge import JudgedCar
from harnesscheck.decide.search import Key
from harnesscheck.decide.work import Repair
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.paths import Ways
from harnesscheck.network.volts.solve import TooLargeError

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


def not_known_at(judged: JudgedCar, work: Iterable[Repair], made: Assembly) -> tuple[str, ...]:
    """What nobody documented of what a plan touches: contacts, and plugs of parts of which nobody can say they work.

    Touched is a plug where work is done, and one in which the two cars meet, and a
    circuit that in either file goes through such a plug. A part
    that nothing in the donor's file turns on says nothing of what it must do; where
    the file does not tell all that hangs on it, that it is fine is not proven. Nor is
    what rests on a half of which nobody typed a contact.
    """
    work = tuple(work)
    plugs = {one.connector for one in work if one.connector}
    mates = judged.car.vehicle.mate_of
    plugs |= {mates[name] for name in plugs if name in mates} | _meeting(made, mates)
    unknown = [one for one in judged.findings if one.kind == "not-documented"]
    spots = {str(one.shell) for one in unknown if plugs & _along(judged, one)}
    worked = plugs.union(*(plugs_of(one, judged.car) for one in work))
    spots |= {str(spot) for half in worked & judged.car.kept(StoodIn).halves for spot in _contacts(judged.car, half)}
    return tuple(sorted(spots | set(_not_tried(judged)), key=natural_key))


def _contacts(car: Study, half: str) -> Iterator[Spot]:
    return (Spot(half, pin.cavity or "") for pin in car.vehicle.pins_of[half])


def _along(judged: JudgedCar, finding: Finding) -> set[str]:
    """The car's connectors at a finding, on its circuit, and those that the donor's circuit goes through."""
    ctx, pairs = judged.ctx, judged.ctx.pairs.connector
    was = _on_circuit(ctx.donor, finding.donor)
    return {
        finding.shell.connector,
        *_on_circuit(ctx.shell, finding.shell),
        *(pairs[name].shell for name in was if name in pairs),
    }


def _on_circuit(study: Study, spot: Spot) -> set[str]:
    """The connectors on the net of a place."""
    net = study.index.net(spot.connector, spot.cavity)
    pieces = study.index.pieces_of[net] if net is not None else ()
    return {name for piece in pieces for name, _ in study.index.cavities_of[piece]}


def _meeting(made: Assembly, mates: Mapping[str, str]) -> set[str]:
    """The car's connectors whose other half is of the other car."""
    ours = {pair.shell for pair in made.from_donor.connectors if pair.why == TAKEN_OVER}
    return {name for name, mate in mates.items() if (name in ours) != (mate in ours)}


def may_not_fit(made: Assembly) -> tuple[str, ...]:
    """The plugs in which the two cars meet and of which a half, a keyway or the cavities are not written."""
    car = made.vehicle
    unsaid = {
        name
        for name in _meeting(made, car.mate_of)
        if None in (car.connectors[name].half, car.connectors[name].keyway, car.connectors[name].cavities)
    }
    return tuple(sorted({min(name, car.mate_of[name], key=natural_key) for name in unsaid}, key=natural_key))


def _not_tried(judged: JudgedCar) -> Iterator[str]:
    """The plugs, else the names, of the car's parts that the donor's file shows at no work and does not tell all of."""
    donor, parts = judged.ctx.donor, judged.ctx.component_map
    if not judged.electrical or not donor.reach.sources:
        return
    behaviour = donor.kept(Behaviour)
    try:
        circuit, never = behaviour.circuit, behaviour.not_exercised
    except TooLargeError:
        return
    idle = {circuit.loads[number].component for number in never}
    idle |= {component for component, _ in circuit.unjudged}
    dark = Darkness(behaviour, Ways(circuit), {control for control, _ in behaviour.settings})
    state = behaviour.state(Condition("run"))
    for part in sorted(idle & parts.keys(), key=natural_key):
        if not dark.is_clear(state, part):
            plugs = [donor.vehicle.mate_of.get(row.id, row.id) for row in donor.vehicle.connectors_of.get(part, ())]
            yield from plugs or [part]
