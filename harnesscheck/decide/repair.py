"""The cheapest work that removes what was found on a car that is put together.

One plug at a time. Contacts that are only in the wrong cavity change places: a
permutation with the fewest moves, for a contact that is right stays. What the
plug lacks gets a new wire from the right source; what does harm and is nobody's is
tied back. Restraint and high voltage are never worked on, interlocks never bridged,
and brake, steering and throttle wiring is left to the maker's own parts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.compare.context import HYBRIDS, Context
from harnesscheck.compare.finding.findings import Finding, Hybrid
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.plugs.cavities import faced, partner
from harnesscheck.compare.plugs.meetings import Meeting, meetings
from harnesscheck.compare.plugs.parts import TERMINATOR_OHMS
from harnesscheck.decide.joining import joined, same_housing
from harnesscheck.decide.judge import Apart, JudgedCar
from harnesscheck.decide.materials import DEFAULT_NEW_WIRE_M, forbidden, new_conductor
from harnesscheck.decide.sources import Sources, WireSource, fuse_rating_a
from harnesscheck.decide.work import Rates, Repair
from harnesscheck.model.edits import AddWire, Conductor, Edit, Insulate, MovePin, SwapHousing, Unplug
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Connector
from harnesscheck.network.graph.sides import NOTHING, Side

_HARMFUL = Severity.DAMAGE
_AT_A_PLUG = (*HYBRIDS, Hybrid.AS_BUILT)


def repairs(judged: JudgedCar, findings: Iterable[Finding], rates: Rates) -> list[Repair]:
    """What to do about some findings of one car; findings nothing can be done about are served by none."""
    ctx, sources = judged.ctx, Sources(judged.ctx, judged.unplugged)
    at: dict[str, list[Finding]] = defaultdict(list)
    apart: dict[str, list[tuple[Apart, Finding]]] = defaultdict(list)
    plugs = {plug.half: plug for plug in judged.apart}
    found: list[Repair] = []
    for one in findings:
        if one.evidence.apart is not None:
            plug = plugs[one.donor.connector]
            apart[plug.there].append((plug, one))
        elif one.kind == "strap-missing":
            found += _strap(ctx, one, rates)
        elif one.kind == "bus-altered":
            found += _terminator(ctx, one, rates)
        elif one.kind == "unfused-feed":
            found += _refused(ctx, one, rates)
        elif one.donor.connector and one.kind != "restraint-altered" and one.evidence.hybrid in _AT_A_PLUG:
            at[one.donor.connector].append(one)
    for group in apart.values():
        found += joined(ctx, sources, group, rates)
    for meeting in meetings(ctx):
        if meeting.half in at and ctx.hybrids(meeting.half):  # what a half without a mate meets is in no file
            found += _MendedPlug(ctx, sources, meeting, at[meeting.half], rates).mended()
    return found


@dataclass
class _MendedPlug:
    """One plug with its findings."""

    ctx: Context
    sources: Sources
    meeting: Meeting
    findings: Sequence[Finding]
    rates: Rates

    def __post_init__(self) -> None:
        ctx, meeting = self.ctx, self.meeting
        self.hybrid = ctx.hybrids(meeting.half)[0]
        half = meeting.shell_half or ""
        mate = ctx.shell.vehicle.mate_of.get(half) or meeting.shell_mate or ""
        own, now = (half, mate) if self.hybrid == Hybrid.DONOR_HALF else (mate, half)
        self.on_now = self._is_loom(now)
        self.worked = now if self.on_now else own if self._is_loom(own) else ""
        self.at = {one.donor.cavity: one for one in reversed(self.findings)}  # of two at one contact the worse

    def _is_loom(self, connector: str) -> bool:
        row = self.ctx.shell.vehicle.connectors.get(connector)
        return row is not None and row.component is None

    def mended(self) -> Iterator[Repair]:
        """The work on this plug; none where it must not be worked on."""
        if not self.worked or self._forbidden():
            return
        moves = self._moves()
        if moves:
            yield from self._cleared(moves)
            yield self._moved(moves)
        for cavity in self.at:
            if cavity not in moves:
                yield from self._supplied(cavity)

    # -- what must not be touched

    def _forbidden(self) -> bool:
        """Whether restraint, high voltage or a maker's-parts-only circuit is among the contacts."""
        spots = [((self.meeting.half, cavity), (self.worked, self._seat(cavity))) for cavity in self.at]
        return any(forbidden(self.ctx, donor, car) for donor, car in spots)

    # -- contacts that change places

    def _seat(self, cavity: str) -> str:
        """The car's cavity that a donor's cavity faces."""
        connector, seat = partner(self.ctx, self.meeting, cavity)
        return seat if connector in ("", self.meeting.shell_half) else cavity

    def _moves(self) -> dict[str, str]:
        """By donor cavity with a finding, the donor cavity whose contact belongs there."""
        names = self.ctx.donor.index.cavities(self.meeting.half)
        sides = {name: faced(self.ctx, self.meeting, name, self.hybrid) for name in names}
        kept = {name for name, (own, _, _) in sides.items() if own and own.label not in NOTHING and name not in self.at}
        taken = set(kept)
        found: dict[str, str] = {}
        for cavity in sorted(self.at, key=natural_key):
            own, was, _ = sides.get(cavity, (None, None, None))
            if own is None or was is None or own.label in NOTHING or was.label in NOTHING:
                continue
            for other in sorted(sides, key=natural_key):
                now = sides[other][2]
                if other in taken or other == cavity or now is None or now.label in NOTHING:
                    continue
                if self.ctx.same_function(was, now)[0]:
                    found[cavity] = other
                    taken.add(other)
                    break
        return found

    def _cleared(self, moves: Mapping[str, str]) -> Iterator[Repair]:
        """Contacts that stand where others are to go, and go nowhere themselves, are tied back."""
        leaving = {self._seat(other if self.on_now else cavity) for cavity, other in moves.items()}
        for cavity, other in moves.items():
            seat = self._seat(cavity if self.on_now else other)
            if seat not in leaving and self.ctx.shell.index.piece(self.worked, seat) is not None:
                yield self._tied_back(seat, self.at[cavity])

    def _moved(self, moves: Mapping[str, str]) -> Repair:
        """All moves of this plug as one piece of work."""
        seats = [(self._seat(other), self._seat(cavity)) for cavity, other in moves.items()]
        if not self.on_now:
            seats = [(to, here) for here, to in seats]
        words = ", ".join(f"{here} to {to}" for here, to in seats)
        row = self.ctx.shell.vehicle.connectors[self.worked]
        return Repair(
            "re-pin",
            f"Re-pin {self.worked}: {words}",
            self._reseated(row, seats),
            self.rates.of("re-pin", len(seats)),
            self.worked,
            seats[0][0],
            ", ".join(f"{self.worked}:{to}" for _, to in seats),
            self.ctx.circuit(self.ctx.shell, self.worked, seats[0][0]),
            at=self.ctx.shell.vehicle.place_of(self.worked),
            serves=tuple(self.at[cavity].id for cavity in moves),
        )

    def _reseated(self, row: Connector, seats: Sequence[tuple[str, str]]) -> tuple[Edit, ...]:
        """One contact is moved; several leave the housing together and go back into it."""
        if len(seats) == 1:
            here, to = seats[0]
            return (MovePin(row.id, here, row.id, to),)
        return (SwapHousing(row.id, same_housing(row, self.ctx.shell.index.cavities(row.id)), tuple(seats)),)

    def _tied_back(self, seat: str, finding: Finding) -> Repair:
        return Repair(
            "insulate",
            f"Take the contact out of {self.worked}:{seat}, insulate it and tie it back",
            (Insulate(self.worked, seat),),
            self.rates.of("insulate"),
            self.worked,
            seat,
            "",
            self.ctx.circuit(self.ctx.shell, self.worked, seat),
            at=self.ctx.shell.vehicle.place_of(self.worked),
            serves=(finding.id,),
        )

    # -- what is missing

    def _supplied(self, cavity: str) -> Iterator[Repair]:
        """A new wire for a contact that needs one, after whatever was wrong there is tied back."""
        finding, seat = self.at[cavity], self._seat(cavity)
        own, was, _ = faced(self.ctx, self.meeting, cavity, self.hybrid)
        source = None
        if self.on_now and own is not None and was is not None and {own.label, was.label}.isdisjoint(NOTHING):
            harness = self.ctx.shell.vehicle.connectors[self.worked].harness
            source = self.sources.best(harness, was)
        there = self.ctx.shell.index.piece(self.worked, seat) is not None
        if source is None and not (there and finding.severity <= _HARMFUL):
            return
        if there:
            yield self._tied_back(seat, finding)
        if source is not None and was is not None and source.end != f"{self.worked}:{seat}":
            yield self._wired(cavity, seat, was, source, finding)

    def _wired(self, cavity: str, seat: str, was: Side, source: WireSource, finding: Finding) -> Repair:
        ctx = self.ctx
        fuse_a = fuse_rating_a(ctx.shell.vehicle, source.fuse) if source.fuse else None
        new = new_conductor(ctx, (self.meeting.half, cavity), fuse_a)
        conductor, assumed = new.conductor, new.assumed
        to = f"{self.worked}:{seat}"
        words = f" through {', '.join(f'{near} and {far}' for near, far in source.through)}" if source.through else ""
        behind = f", behind fuse {source.fuse}" + (f" {fuse_a:g} A" if fuse_a else "") if source.fuse else ""
        legs = len(source.through) + 1
        hours = self.rates.of("contact", 2 * legs - 1) + self.rates.of("splice")
        hours += self.rates.of("new-wire-per-metre", (conductor.length or DEFAULT_NEW_WIRE_M) * legs)
        return Repair(
            "new-wire",
            f"New wire from {source.end} to {to}{words}{behind}",
            source.edits(to, conductor),
            hours,
            self.worked,
            seat,
            source.end,
            conductor.circuit or "",
            conductor.size.text if conductor.size else "",
            conductor.colour.text if conductor.colour else "",
            (conductor.length or DEFAULT_NEW_WIRE_M) * legs,
            source.fuse,
            ctx.shell.vehicle.place_of(self.worked),
            (finding.id,),
            assumed,
        )


# -- what has no plug


def _strap(ctx: Context, finding: Finding, rates: Rates) -> Iterator[Repair]:
    """A strap like the donor's between the same two metal parts."""
    donor, car = ctx.donor.vehicle, ctx.shell.vehicle
    name = finding.donor.connector or finding.donor.circuit
    for wire in donor.netlist.wires:
        if name not in (wire.from_, wire.to) or not {wire.from_, wire.to} <= donor.grounds.keys():
            continue
        pairs = [ctx.pairs.ground.get(end) for end in (wire.from_, wire.to)]
        ends = [pair.shell for pair in pairs if pair is not None and pair.shell in car.grounds]
        if len(ends) == len(pairs):
            edit = AddWire(ends[0], ends[1], Conductor(circuit=wire.circuit, size=wire.size, length=wire.length))
            yield Repair(
                "strap",
                f"Fit a ground strap from {ends[0]} to {ends[1]}, bare metal under both ends",
                (edit,),
                rates.of("strap"),
                to=ends[1],
                size=wire.size.text if wire.size else "",
                length_m=wire.length,
                at=car.grounds[ends[0]].at or "",
                serves=(finding.id,),
            )
            return


def _terminator(ctx: Context, finding: Finding, rates: Rates) -> Iterator[Repair]:
    """A terminator that only the shell has, in a plug of its own, comes off a bus that has its two without it."""
    car = ctx.shell.vehicle
    least, most = TERMINATOR_OHMS
    for name in sorted(car.components.keys() - ctx.retained, key=natural_key):
        row = car.components[name]
        plugs = [plug.id for plug in car.connectors_of.get(name, ()) if plug.id in car.mate_of]
        if row.ohms is None or not least <= row.ohms <= most or len(plugs) != 1:
            continue
        yield Repair(
            "unplug",
            f"Leave the shell's {row.name or name} ({name}) unplugged: the bus has its two terminators without it",
            (Unplug(plugs[0]),),
            rates.of("unplug"),
            car.mate_of[plugs[0]],
            at=row.at or car.place_of(plugs[0]),
            serves=(finding.id,),
        )
        return


def _refused(ctx: Context, finding: Finding, rates: Rates) -> Iterator[Repair]:
    """An unfused wire is tied back; what it fed gets a wire from behind a fuse in the next round."""
    spot, car = finding.shell, ctx.shell.vehicle
    row = car.connectors.get(spot.connector)
    if row is None or row.component is not None or ctx.restrained(ctx.shell, spot.connector, spot.cavity):
        return
    yield Repair(
        "insulate",
        f"Take the unfused wire out of {spot}, insulate it, tie it back and take its other end off the battery",
        (Insulate(spot.connector, spot.cavity),),
        rates.of("insulate", 2),
        spot.connector,
        spot.cavity,
        "",
        spot.circuit,
        at=car.place_of(spot.connector),
        serves=(finding.id,),
    )
