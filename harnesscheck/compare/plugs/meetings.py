"""Meeting places of the donor, and where each is found in the shell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harnesscheck.align.pairs import Pair
from harnesscheck.compare.context import Context
from harnesscheck.model.order import natural_key
from harnesscheck.model.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Meeting:
    """One plug of the donor: the half that reports, its mate, and their partners in the shell.

    Fields are connector ids; None where the file names none or the shell has none.
    """

    half: str
    mate: str | None
    shell_half: str | None
    shell_mate: str | None
    sure: bool  # whether the pairs it rests on are sure

    @property
    def paired(self) -> bool:
        """Whether the shell has anything at this place."""
        return self.shell_half is not None or self.shell_mate is not None


def reporting_half(vehicle: Vehicle, connector: str) -> str:
    """The half that findings name: the harness's; in-line, the one that has ``mates``."""
    mate = vehicle.mate_of.get(connector)
    if mate is None:
        return connector
    own, other = vehicle.connectors[connector], vehicle.connectors[mate]
    if (own.component is None) != (other.component is None):
        return connector if own.component is None else mate
    if (own.mates is None) != (other.mates is None):
        return connector if own.mates is not None else mate
    return min(connector, mate, key=natural_key)


def meetings(ctx: Context) -> Iterator[Meeting]:
    """Every meeting place of the donor once, in natural order."""
    vehicle = ctx.donor.vehicle
    for connector in sorted(vehicle.connectors, key=natural_key):
        if reporting_half(vehicle, connector) == connector:
            yield _meeting(ctx, connector)


def _meeting(ctx: Context, half: str) -> Meeting:
    mate = ctx.donor.vehicle.mate_of.get(half)
    by_half, by_mate = ctx.pairs.connector.get(half), ctx.pairs.connector.get(mate or "")
    mates = ctx.shell.vehicle.mate_of
    shell_half = by_half.shell if by_half else mates.get(by_mate.shell) if by_mate else None
    shell_mate = mates.get(by_half.shell) if by_half else None
    if shell_mate is None and by_mate is not None:
        shell_mate = by_mate.shell
    return Meeting(half, mate, shell_half, shell_mate, _sure(by_half, by_mate))


def _sure(*pairs: Pair | None) -> bool:
    found = [pair for pair in pairs if pair is not None]
    return bool(found) and all(pair.sure for pair in found)


def inseparable(vehicle: Vehicle, half: str | None, mate: str | None) -> bool:
    """Whether both halves always travel together: one harness, or a part that cannot leave the harness."""
    if half is None or mate is None:
        return False
    own, other = vehicle.connectors[half], vehicle.connectors[mate]
    if own.harness is not None and own.harness == other.harness:
        return True
    harness = own.harness or other.harness
    component = vehicle.components.get(own.component or other.component or "")
    return component is not None and component.with_ is not None and component.with_ == harness
