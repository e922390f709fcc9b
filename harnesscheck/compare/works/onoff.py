"""Every aligned load in every condition that both cars can be put into: on, dim, off or fed backwards.

A load's reference is its highest volts over the donor's states, engine standing,
and running where it has none standing: an alternator that charges less is not
every load's fault. What a load is, lamp or motor, polar or not, is what the
donor says of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from harnesscheck.compare.works.loadpairs import LoadPair
from harnesscheck.compare.works.mapped import Mapped
from harnesscheck.compare.works.motion import is_driven_both_ways
from harnesscheck.network.behaviour.judging import DIM_SHARE, JudgedLoad, Status, judged, on_volts
from harnesscheck.network.behaviour.states import Behaviour, State, references
from harnesscheck.network.volts.circuit import Load

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Codes = NDArray[np.int8]
    Flags = NDArray[np.bool_]

SAME_V = 2e-6  # volts are rounded to 1 µV; two that are so near are one, whatever threshold lies between


class OnOffCell(NamedTuple):
    """One load in one condition, in both cars."""

    mapped: Mapped
    ours: JudgedLoad
    theirs: JudgedLoad

    @property
    def close(self) -> bool:
        """Whether another 0.1 % of volts would change what is said."""
        return self.ours.close or self.theirs.close


@dataclass
class OnOff:
    """Both cars' aligned loads over all shared conditions."""

    donor: Behaviour
    shell: Behaviour
    conditions: tuple[Mapped, ...]
    pairs: tuple[LoadPair, ...]
    _cells: dict[int, tuple[OnOffCell, ...]] = field(default_factory=dict, repr=False)

    @cached_property
    def reference_v(self) -> tuple[float, ...]:
        """By pair, the volts a load works at in the donor, signed; 0 where nothing turns it on."""
        standing, running = references(self.donor, self.donor.conditions)
        found = []
        for pair, load in zip(self.pairs, self.loads, strict=True):
            least = DIM_SHARE * load.volts
            volts = standing[pair.donor] if abs(standing[pair.donor]) >= least else running[pair.donor]
            found.append(float(volts) if abs(volts) >= least else 0.0)
        return tuple(found)

    @cached_property
    def loads(self) -> tuple[Load, ...]:
        """By pair, the donor's load; one of which nobody knows how it sits there minds no direction.

        A motor that the donor drives both ways minds it, whatever its file says.
        """
        loads = self.donor.circuit.loads
        return tuple(
            replace(
                loads[pair.donor],
                polar=(number in self.both_ways or self._minds(pair)) and pair.turned is not None,
            )
            for number, pair in enumerate(self.pairs)
        )

    @cached_property
    def both_ways(self) -> frozenset[int]:
        """The pairs that are motors which the donor drives both ways."""
        ours, loads = self.volts[0], self.donor.circuit.loads
        numbered = enumerate(self.pairs)
        return frozenset(number for number, pair in numbered if is_driven_both_ways(loads[pair.donor], ours[:, number]))

    def _minds(self, pair: LoadPair) -> bool:
        """Whether a load minds its direction; where the donor's file does not say what it is, what the other's says."""
        ours, theirs = self.donor.circuit.loads[pair.donor], self.shell.circuit.loads[pair.shell]
        if self.is_of_known_kind(ours):
            return ours.polar
        return ours.polar or theirs.polar or self.shell.study.vehicle.components[theirs.component].kind is None

    def is_of_known_kind(self, ours: Load) -> bool:
        """Whether the donor's file says what a load is."""
        return self.donor.study.vehicle.components[ours.component].kind is not None

    @cached_property
    def volts(self) -> tuple[Array, Array]:
        """Conditions × pairs, the donor's and the other car's, ends as in the donor."""
        import numpy as np

        ours = [self.donor.state(one.ours).load_volts for one in self.conditions]
        theirs = [self.shell.state(one.theirs).load_volts for one in self.conditions]
        sign = np.array([-1.0 if pair.turned else 1.0 for pair in self.pairs])
        return (
            np.array(ours)[:, [pair.donor for pair in self.pairs]],
            np.array(theirs)[:, [pair.shell for pair in self.pairs]] * sign,
        )

    @cached_property
    def differing(self) -> tuple[int, ...]:
        """The pairs that do something else in some condition; those nothing turns on and pulsed ones are left out."""
        import numpy as np

        (ours, theirs), codes = self.volts, self.codes
        unlike = (codes[0] != codes[1]) & (np.abs(ours - theirs) > SAME_V)
        judged_ = np.array(
            [volts != 0 and not load.pwm for volts, load in zip(self.reference_v, self.loads, strict=True)]
        )
        return tuple(int(number) for number in np.flatnonzero(unlike.any(axis=0) & judged_))

    @cached_property
    def codes(self) -> tuple[Codes, Codes]:
        """What every load does in every condition, in the donor and in the other car; see ``_codes``."""
        ours, theirs = self.volts
        return self._codes(ours), self._codes(theirs)

    def _codes(self, volts: Array) -> Codes:
        """0 off, 1 dim, 2 on; negative where fed the other way than the reference and the load minds."""
        import numpy as np

        reference = np.array(self.reference_v)
        on_v = np.array([on_volts(load, v) for load, v in zip(self.loads, self.reference_v, strict=True)])
        polar = np.array([load.polar for load in self.loads])
        size = np.abs(volts)
        codes = np.where(size < DIM_SHARE * np.abs(reference), 0, np.where(size >= on_v, 2, 1))
        sign = np.where(polar & (volts * reference < 0), -1, 1)
        result: Codes = (codes * sign).astype(np.int8)
        return result

    @cached_property
    def _statuses(self) -> tuple[Codes, Codes]:
        """By condition and pair what ``judged`` says: 0 off, 1 dim, 2 on, -1 fed backwards; so near is one."""
        import numpy as np

        ours, theirs = (np.maximum(self._codes(volts), -1) for volts in self.volts)
        return ours, np.where(np.abs(self.volts[0] - self.volts[1]) <= SAME_V, ours, theirs)

    def may_gain(self, number: int) -> bool:
        """Whether a pair that differs is lit in some condition in the other car only."""
        ours, theirs = (codes[:, number] for codes in self._statuses)
        return bool(((ours == 0) & (theirs != 0)).any())

    def may_lose(self, number: int, burning: Flags) -> bool:
        """Whether a pair that differs has less in some condition; where a fuse is ``burning`` only what is not dim."""
        ours, theirs = (codes[:, number] for codes in self._statuses)
        worked = (ours == 2) | (ours == -1)
        lost = (worked & (theirs != ours) & ~((theirs == 1) & burning)) | ((ours == 1) & (theirs == 0))
        return bool(lost.any())

    def cells(self, number: int) -> tuple[OnOffCell, ...]:
        """One pair that differs, in every condition in which it is lit in either car."""
        if number not in self._cells:
            self._cells[number] = tuple(self._judged(number))
        return self._cells[number]

    def _judged(self, number: int) -> Iterator[OnOffCell]:
        load, reference = self.loads[number], self.reference_v[number]
        known: dict[float, JudgedLoad] = {}  # a load has few different volts
        is_lit = (self._statuses[0][:, number] != 0) | (self._statuses[1][:, number] != 0)
        ours, theirs = (volts[:, number].tolist() for volts in self.volts)
        for at in is_lit.nonzero()[0].tolist():
            mapped, a, b = self.conditions[at], ours[at], theirs[at]
            for volts in (a, b):
                if volts not in known:
                    known[volts] = judged(load, volts, reference)
            yield OnOffCell(mapped, known[a], known[a] if abs(a - b) <= SAME_V else known[b])

    def our_state(self, cell: OnOffCell) -> State:
        """The donor's state of a cell."""
        return self.donor.state(cell.mapped.ours)

    def their_state(self, cell: OnOffCell) -> State:
        """The other car's state of a cell."""
        return self.shell.state(cell.mapped.theirs)


def lit(one: JudgedLoad) -> bool:
    """Whether a load has enough volts to be seen."""
    return one.status is not Status.OFF


def works(one: JudgedLoad) -> bool:
    """Whether a load is fully on, the right way round."""
    return one.status is Status.ON


def stages(cells: Sequence[OnOffCell], *, theirs: bool) -> tuple[str, ...]:
    """The stages in which a load is on, in their order."""
    return tuple(dict.fromkeys(cell.mapped.ours.stage for cell in cells if works(cell.theirs if theirs else cell.ours)))
