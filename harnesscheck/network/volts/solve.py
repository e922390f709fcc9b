"""Direct-current solution of a circuit for any set of closed ports.

Nodal analysis of the branches alone is done once: a unit current between the two
ends of every port gives the port matrix ``Z`` (Ω) and the response of every node.
A state closes some ports; their currents then follow from a small dense system,

    (Z + R)·j - E·u = -emf,    Eᵀ·j = 0,

with R the ports' own resistances, u the volts by which islands that only ports
join are lifted, and E where the ports end in such islands [1]_. There is no
conductance to ground that the car has not: islands that no closed port joins to
a source are *floating*, found by topology and left out.

Diodes (0.7 V and a resistance; a battery beside a running alternator may only
discharge) are settled by complementarity: each conducts forwards or not at all.
The set is corrected until it agrees with its own solution; where that runs in a
circle, the steps are searched along the line for the least co-content [2]_, a
convex function made of finitely many quadratic pieces, so that it comes to an end.

Relays and modules are settled together in rounds: everything that pulls in or
lets go at the volts of one round does so in the next. A set that comes back after
two rounds or more hunts.

Kirchhoff's current law is checked at every node after every settled state: what the
response of every port leaves over at a node is added up once, and times the state's
currents it bounds what the state leaves over; where the bound is not small, the
currents themselves are added up.

References
----------
.. [1] L. O. Chua, C. A. Desoer, E. S. Kuh, "Linear and nonlinear circuits", 1987, n-ports.
.. [2] W. Millar, "Some general theorems for non-linear systems possessing resistance", 1951.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from harnesscheck.network.volts.circuit import ONE_WAY, SOURCES, Branch, DcCircuit, Port
from harnesscheck.network.volts.elimination import islands_of, responses

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

RESIDUAL_A = 1e-6  # of the largest current, and of 1 A where that is smaller
TOO_LARGE = 60_000_000  # numbers in one matrix, 8 bytes each
_CONDUCTS_V = 1e-9
_CONDUCTS_A = -1e-12
_HALF_UV = 5e-7  # volts count rounded to 1 µV


class KirchhoffError(ArithmeticError):
    """A solution whose currents do not add up: an error of this program, never of the car."""


class TooLargeError(Exception):
    """A car with more nodes and switches than can be solved in memory."""


@dataclass(frozen=True, slots=True)
class _Point:
    """One linear solution: the ``amps`` of ``ports``, the volts by which ``lifted`` islands are lifted.

    ``unknowns`` numbers both in the network's augmented matrices; ``values`` holds
    them. ``live`` islands are joined to a source.
    """

    ports: tuple[int, ...]
    unknowns: NDArray[np.int64]
    values: Array
    live: frozenset[int]

    @property
    def amps(self) -> Array:
        """The current of each port."""
        return self.values[: len(self.ports)]


@dataclass(frozen=True)
class Solution:
    """Volts and amperes of one state.

    ``energised`` holds relays that are pulled in and modules that are awake,
    ``hunting`` those that never come to rest; ``phases`` are then the rounds they
    go through. Nodes joined to no source are floating: NaN volts.
    """

    network: Network
    point: _Point
    energised: frozenset[str] = frozenset()
    hunting: frozenset[str] = frozenset()
    phases: tuple[Solution, ...] = ()
    rounds: int = 1

    @property
    def closed(self) -> tuple[int, ...]:
        """The ports that are closed and joined to a source, conducting diodes among them."""
        return self.point.ports

    @cached_property
    def _raw(self) -> Array:
        return self.network.node_volts(self.point)

    @cached_property
    def volts(self) -> Array:
        """Volts of every node over the reference (the body, else a battery's negative); NaN where floating."""
        import numpy as np

        volts = self._raw.copy()
        volts[~np.isin(self.network.island, list(self.point.live))] = np.nan
        return volts

    @cached_property
    def branch_amps(self) -> Array:
        """The current of every branch from ``a`` to ``b``."""
        net = self.network
        amps: Array = (self._raw[net.branch_a] - self._raw[net.branch_b]) * net.branch_siemens
        return amps

    @cached_property
    def port_amps(self) -> Array:
        """The current of every port from ``a`` to ``b``; 0 where open or joined to no source."""
        import numpy as np

        amps = np.zeros(len(self.network.circuit.ports))
        amps[list(self.point.ports)] = self.point.amps
        return amps

    @cached_property
    def load_volts(self) -> Array:
        """The volts across every load, ``a`` over ``b``, rounded to 1 µV; 0 where floating."""
        import numpy as np

        point = self.point
        rounded: Array = np.round(-(self.network.load_z[:, list(point.ports)] @ point.amps), 6) + 0.0
        return rounded

    def volts_across(self, across: Array) -> Array:
        """The volts across the branches that the network's ``across`` was asked for; 0 where floating."""
        volts: Array = self.point.amps @ across[list(self.point.ports)]
        return volts

    def residual_a(self) -> float:
        """The largest sum of currents into any node; 0 by Kirchhoff's law."""
        import numpy as np

        net, ports = self.network, list(self.point.ports)
        flows = np.concatenate([self.branch_amps, self.point.amps])
        into = np.bincount(np.concatenate([net.branch_b, net.port_b[ports]]), flows, net.circuit.count)
        into -= np.bincount(np.concatenate([net.branch_a, net.port_a[ports]]), flows, net.circuit.count)
        return float(np.abs(into).max(initial=0.0))

    def largest_a(self) -> float:
        """The largest current of any branch or port."""
        import numpy as np

        return max(float(np.abs(some).max(initial=0.0)) for some in (self.branch_amps, self.point.amps))


class Network:
    """A circuit made ready for solving.

    ``island`` numbers the parts that branches hold together: those with a
    reference first, then all that a port ends in (``switched`` of both), then
    the rest. Raises TooLargeError where a matrix does not fit in memory.
    """

    def __init__(self, circuit: DcCircuit) -> None:
        import numpy as np

        self.circuit = circuit
        ports = circuit.ports
        if circuit.count * len(ports) > TOO_LARGE or 3 * len(ports) > TOO_LARGE**0.5:
            raise TooLargeError(f"{circuit.count} nodes and {len(ports)} switches and outputs")
        edges = [(one.a, one.b, 1 / one.ohm) for one in circuit.branches]
        island, switched = _ordered(islands_of(circuit.count, edges), circuit.references, ports)
        self.island: NDArray[np.int64] = np.array(island, dtype=np.int64)
        self.branch_a, self.branch_b = _ends(circuit.branches)
        self.port_a, self.port_b = _ends(ports)
        self.branch_siemens = np.array([siemens for _, _, siemens in edges])
        self.ohm = np.array([one.ohm for one in ports])
        self.emf_v = np.array([one.emf_v for one in ports])
        unit = np.zeros((circuit.count, len(ports)))
        columns = np.arange(len(ports))
        unit[self.port_a, columns] += 1.0
        unit[self.port_b, columns] -= 1.0
        response = responses(circuit.count, edges, _held(island, circuit.references), unit)
        self.response = np.ascontiguousarray(response.T)  # port × node: rows are gathered state by state
        self._rows = np.empty_like(self.response)
        loads = [circuit.branches[one.branch] for one in circuit.loads]
        self.load_z = _between(response, *_ends(loads))
        self.z = _between(response, self.port_a, self.port_b)
        self._port_islands = [(island[one.a], island[one.b]) for one in ports]
        self._islands = list(range(switched))
        self.switched = switched
        self._is_source = [one.sort in SOURCES for one in ports]
        self._lifts = _lifts(self, self.port_a, self.port_b, switched)
        self._matrix = self._augmented()
        self._rhs = np.concatenate([-self.emf_v, np.zeros(len(self._islands))])
        self._port_volts = np.hstack([-self.z, self._lifts])
        self._watched = _Watched(self, response)
        self._rests = _rests(self, response)
        self._settled: dict[tuple[frozenset[int], frozenset[str]], Solution] = {}

    def bound_a(self, point: _Point) -> float:
        """What no sum of currents into a node exceeds: by the rests of its ports, and what its islands leave over."""
        import numpy as np

        ports = point.unknowns[: len(point.ports)]
        islands = point.amps @ self._lifts[ports]
        return float(np.abs(point.amps) @ self._rests[ports]) + float(np.abs(islands).max(initial=0.0))

    def across(self, branches: Sequence[int]) -> Array:
        """Port × branch: the volts across branches, ``a`` over ``b``, that a unit current of each port makes."""
        numbers = list(branches)
        across: Array = self.response[:, self.branch_b[numbers]] - self.response[:, self.branch_a[numbers]]
        return across

    def _augmented(self) -> Array:
        """[[Z + R, -E], [-Eᵀ, 0]] over all ports and islands; states take the rows and columns they need."""
        import numpy as np

        size = len(self.ohm)
        matrix = np.zeros((size + len(self._islands),) * 2)
        matrix[:size, :size] = self.z
        matrix[range(size), range(size)] += self.ohm
        matrix[:size, size:] = -self._lifts
        matrix[size:, :size] = -self._lifts.T
        return matrix

    # -- one linear solution

    def _point(self, closed: Sequence[int]) -> _Point:
        """Currents and lifts with these ports closed, diodes among them conducting."""
        import numpy as np

        parent = self._joined(closed)
        live = {_root(parent, self._port_islands[port][0]) for port in closed if self._is_source[port]}
        ports: list[int] = []
        islands: dict[int, None] = {}
        for port in closed:
            a, b = self._port_islands[port]
            root = _root(parent, a)
            if root in live:
                ports.append(port)
                islands[a] = islands[b] = None
        size = len(self.ohm)
        lifted = [size + island for island in islands if parent[island] != island]
        unknowns = np.array([*ports, *lifted], dtype=np.int64)
        wide = size + len(self._islands)
        matrix = self._matrix.take((unknowns * wide)[:, None] + unknowns)  # quicker than indexing twice
        values = np.linalg.solve(matrix, self._rhs[unknowns])
        return _Point(tuple(ports), unknowns, values, frozenset(islands))

    def _joined(self, closed: Iterable[int]) -> list[int]:
        """Islands joined by closed ports: the way from each to the one its volts count from, the smallest number."""
        parent = self._islands.copy()
        ends = self._port_islands
        for port in closed:
            a, b = ends[port]
            if a != b:
                while parent[a] != a:
                    a = parent[a]
                while parent[b] != b:
                    b = parent[b]
                if a < b:
                    parent[b] = a
                else:
                    parent[a] = b
        return parent

    def node_volts(self, point: _Point) -> Array:
        """Volts of every node over its reference; 0 on floating ones."""
        import numpy as np

        ports = point.unknowns[: len(point.ports)]
        rows = self._rows[: len(ports)]  # reused: a fresh block of this size costs more than the sum itself
        np.take(self.response, ports, axis=0, out=rows, mode="clip")
        volts: Array = -np.einsum("i,ij->j", point.amps, rows)  # not @: threads cost more than they save here
        lifted = point.unknowns[len(point.ports) :] - len(self.ohm)
        if len(lifted):
            lift = np.zeros(int(self.island.max()) + 1)
            lift[lifted] = point.values[len(point.ports) :]
            volts += lift[self.island]
        return volts

    # -- diodes

    def _settle_diodes(self, closed: Sequence[int], one_way: Sequence[int]) -> _Point:
        """The solution in which each diode conducts forwards or blocks."""
        conducting: frozenset[int] = frozenset()
        seen: set[frozenset[int]] = set()
        while conducting not in seen:
            seen.add(conducting)
            point = self._point([*closed, *sorted(conducting)])
            right = self._agreeing(point, one_way)
            if right == conducting:
                return point
            conducting = right
        return self._least_content(closed, one_way)

    def _agreeing(self, point: _Point, one_way: Sequence[int]) -> frozenset[int]:
        """The diodes that should conduct at the volts and currents of a point."""
        if not one_way:
            return frozenset()
        amps = dict(zip(point.ports, point.amps.tolist(), strict=True))
        volts = self._volts_across(point, one_way).tolist()
        return frozenset(
            port
            for port, v in zip(one_way, volts, strict=True)
            if (amps[port] >= _CONDUCTS_A if port in amps else v > self.emf_v[port] + _CONDUCTS_V)
        )

    def _volts_across(self, point: _Point, ports: Sequence[int]) -> Array:
        import numpy as np

        volts: Array = self._port_volts[np.array(ports)[:, None], point.unknowns] @ point.values
        return volts

    def _least_content(self, closed: Sequence[int], one_way: Sequence[int]) -> _Point:
        """Newton's method on the co-content with an exact search along each step: finitely many pieces, no circle."""
        import numpy as np

        every = [*closed, *one_way]
        is_diode = np.array([False] * len(closed) + [True] * len(one_way))
        emf, ohm = self.emf_v[every], self.ohm[every]
        place = {port: at for at, port in enumerate(every)}
        amps, volts = np.zeros(len(every)), np.zeros(len(every))
        for _ in range(50 + 20 * len(one_way)):
            conducting = [port for port, v in zip(one_way, volts[len(closed) :], strict=True) if v > self.emf_v[port]]
            point = self._point([*closed, *conducting])
            if self._agreeing(point, one_way) == frozenset(conducting):
                return point
            amps_to = np.zeros(len(every))
            amps_to[[place[port] for port in point.ports]] = point.amps
            step_a, step_v = amps_to - amps, self._volts_across(point, every) - volts

            def slope(t: float, at: tuple[Array, Array, Array, Array] = (amps, volts, step_a, step_v)) -> float:
                """How the energy changes along the step."""
                flow = (at[1] + t * at[3] - emf) / ohm
                flow[is_diode] = np.maximum(flow[is_diode], 0.0)
                return float(at[3] @ (flow - at[0] - t * at[2]))

            reach = (emf - volts)[is_diode] / np.where(step_v == 0, np.inf, step_v)[is_diode]
            t = _zero(slope, sorted(reach[(reach > 0) & (reach < 1)].tolist()))
            amps, volts = amps + t * step_a, volts + t * step_v
        raise KirchhoffError("diodes did not settle")

    # -- relays and modules

    def settle(self, closed: Collection[int], start: frozenset[str] = frozenset()) -> Solution:
        """The state that comes of these ports closed and these relays pulled in, modules awake.

        ``closed`` names outputs that are commanded, never relay contacts: which of
        both really close is worked out in rounds. The same question gets the same
        solution: in many conditions a control closes nothing. Raises KirchhoffError
        if the currents do not add up.
        """
        key = frozenset(closed), start
        found = self._settled.get(key)
        if found is None:
            found = self._settled[key] = self._settle(closed, start)
        return found

    def _settle(self, closed: Collection[int], start: frozenset[str]) -> Solution:
        energised, seen = start, [start]
        found: list[Solution] = []
        while True:
            point = self._settle_diodes(*self._watched.ports(closed, energised))
            found.append(Solution(self, point, energised, rounds=len(found) + 1))
            following = self._watched.following(point, energised)
            if following == energised:
                return _checked(found[-1])
            if following in seen:
                phases = tuple(_checked(one) for one in found[seen.index(following) :])
                sets = [one.energised for one in phases]
                hunting = frozenset().union(*sets) - frozenset.intersection(*sets)
                return replace(phases[-1], hunting=hunting, phases=phases)
            energised = following
            seen.append(energised)


class _Watched:
    """Relay coils and modules' supplies: what is read off a solution to say which ports close next."""

    def __init__(self, network: Network, response: Array) -> None:
        import numpy as np

        circuit = network.circuit
        coils = [circuit.branches[one.branch] for one in circuit.coils]
        pairs = [(one, a, b) for one in circuit.modules for a, b in one.pairs]
        self.pairs = [(one.component, one.min_v) for one, _, _ in pairs]
        self.pair_islands = [(int(network.island[a]), int(network.island[b])) for _, a, b in pairs]
        a = np.array([one.a for one in coils] + [a for _, a, _ in pairs], dtype=np.int64)
        b = np.array([one.b for one in coils] + [b for _, _, b in pairs], dtype=np.int64)
        self.volts = np.hstack([-_between(response, a, b), _lifts(network, a, b, network.switched)])
        self.coils = circuit.coils
        names = {one.component for one in circuit.coils}
        self.contacts = [
            (number, one.component, one.sort == "make")
            for number, one in enumerate(circuit.ports)
            if one.sort in ("make", "break") and one.component in names
        ]
        awake = {one.component for one in circuit.modules}
        self.outputs = {
            number: one.component
            for number, one in enumerate(circuit.ports)
            if one.sort == "output" and one.component in awake
        }
        self.one_way = [one.sort in ONE_WAY for one in circuit.ports]

    def ports(self, closed: Collection[int], energised: frozenset[str]) -> tuple[list[int], list[int]]:
        """The ports that close for sure, and those that pass one way, with these relays pulled in, modules awake."""
        outputs, one_way = self.outputs, self.one_way
        both = [port for port in closed if port not in outputs or outputs[port] in energised]
        both += [port for port, relay, make in self.contacts if (relay in energised) == make]
        both.sort()
        return [port for port in both if not one_way[port]], [port for port in both if one_way[port]]

    def following(self, point: _Point, energised: frozenset[str]) -> frozenset[str]:
        """The relays that pull in or stay, and the modules awake, at the volts of a point."""
        volts = (self.volts[:, point.unknowns] @ point.values).tolist()
        found = [
            coil.component
            for coil, v in zip(self.coils, volts, strict=False)
            if abs(v) >= (coil.drop_out_v if coil.component in energised else coil.pick_up_v) - _HALF_UV
        ]
        live = point.live
        for (module, min_v), (a, b), v in zip(self.pairs, self.pair_islands, volts[len(self.coils) :], strict=True):
            if v >= min_v - _HALF_UV and a in live and b in live:
                found.append(module)
        return frozenset(found)


def _root(parent: Sequence[int], island: int) -> int:
    while parent[island] != island:
        island = parent[island]
    return island


def _checked(solution: Solution) -> Solution:
    """The solution, its currents added up at every node. Raises KirchhoffError where they leave a rest."""
    if solution.network.bound_a(solution.point) <= RESIDUAL_A:
        return solution
    rest_a, largest_a = solution.residual_a(), solution.largest_a()
    if not rest_a <= RESIDUAL_A * max(1.0, largest_a):
        raise KirchhoffError(f"{rest_a:g} A left over at a node, of {largest_a:g} A")
    return solution


def _rests(network: Network, response: Array) -> Array:
    """By port, the most that its unit current leaves over at a node; what an island lacks goes in where it is held."""
    import numpy as np

    rests = np.zeros(len(network.ohm))
    island = network.island.tolist()
    held = {island[node]: node for node in _held(island, network.circuit.references)}
    for port in range(len(rests)):
        volts = response[:, port]
        amps = (volts[network.branch_a] - volts[network.branch_b]) * network.branch_siemens
        into = np.bincount(network.branch_b, amps, len(volts)) - np.bincount(network.branch_a, amps, len(volts))
        a, b = int(network.port_a[port]), int(network.port_b[port])
        for node, amps_in in ((a, 1.0), (b, -1.0), (held[island[a]], -1.0), (held[island[b]], 1.0)):
            into[node] += amps_in
        rests[port] = np.abs(into).max(initial=0.0)
    return rests


def _zero(slope: Callable[[float], float], crossings: Sequence[float]) -> float:
    """Where a rising slope, straight between its crossings, is zero between 0 and 1; 1 where it stays below."""
    left, low = 0.0, slope(0.0)
    for t in (*crossings, 1.0):
        high = slope(t)
        if high >= 0:
            return left + (t - left) * -low / (high - low) if high > low else t
        left, low = t, high
    return 1.0


def _ordered(island: Sequence[int], references: Iterable[int], ports: Sequence[Port]) -> tuple[list[int], int]:
    """Islands renumbered, those with a reference first, and how many of them are a reference's or a port's."""
    numbers: dict[int, int] = {}
    for node in (*references, *(end for port in ports for end in (port.a, port.b))):
        numbers.setdefault(island[node], len(numbers))
    switched = len(numbers)
    return [numbers.setdefault(one, len(numbers)) for one in island], switched


def _lifts(network: Network, a: NDArray[np.int64], b: NDArray[np.int64], switched: int) -> Array:
    """How much each switched island's lift counts in the volts between two nodes each."""
    import numpy as np

    lifts = np.zeros((len(a), int(network.island.max()) + 1))
    rows = np.arange(len(a))
    lifts[rows, network.island[a]] += 1.0
    lifts[rows, network.island[b]] -= 1.0
    return lifts[:, :switched]


def _held(island: Sequence[int], references: Iterable[int]) -> set[int]:
    """One node of every island: a reference where it has one, else its first."""
    held: dict[int, int] = {}
    for node in references:
        held.setdefault(island[node], node)
    for node, number in enumerate(island):
        held.setdefault(number, node)
    return set(held.values())


def _ends(parts: Sequence[Branch | Port]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    import numpy as np

    a = np.array([one.a for one in parts], dtype=np.int64)
    return a, np.array([one.b for one in parts], dtype=np.int64)


def _between(response: Array, a: NDArray[np.int64], b: NDArray[np.int64]) -> Array:
    """The volts between two nodes each, for a unit current of every port."""
    volts: Array = response[a] - response[b]
    return volts
