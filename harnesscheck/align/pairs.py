"""What an alignment says: which row of the donor is which of the shell, and how sure that is.

Nothing here compares cars; the engines that do return ``Pairs``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

SURE = 0.995  # from this confidence on a pair counts as known; below it a finding is likely at most


@dataclass(frozen=True, slots=True)
class Pair:
    """One row of the donor and its partner in the shell; ``confidence`` is 0..1, ``why`` what it rests on."""

    donor: str
    shell: str
    confidence: float
    why: str

    @property
    def sure(self) -> bool:
        """Whether findings may call this pair known."""
        return self.confidence >= SURE


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """Rows that the data cannot tell apart: exchanging two of them changes no compared fact.

    ``reason`` is the witness, ``settle`` what a person could look up or measure to decide.
    """

    sort: str  # connector, component, circuit, cavity
    donor: tuple[str, ...]
    shell: tuple[str, ...]
    reason: str
    settle: str = ""


@dataclass(frozen=True, slots=True)
class Contradiction:
    """One entry of a person's crosswalk and what speaks against it; ``sort`` is connector, component or circuit."""

    sort: str
    donor: str
    shell: str
    why: str


@dataclass(frozen=True)
class Pairs:
    """The crosswalk between two cars.

    A donor row has one partner at most; two donor connectors may share one shell
    connector (two plugs that became one). ``cavities`` holds only what differs
    from cavity name to cavity name: donor ``"C12:4"`` to shell ``"D07:9"``.
    ``against`` is what speaks against a person's crosswalk, which stands all the same;
    ``distrusted`` are circuits' names that functions or wires speak against.
    """

    connectors: tuple[Pair, ...] = ()
    components: tuple[Pair, ...] = ()
    circuits: tuple[Pair, ...] = ()
    harnesses: tuple[Pair, ...] = ()
    grounds: tuple[Pair, ...] = ()
    cavities: Mapping[str, str] = field(default_factory=dict)
    ambiguous: tuple[Ambiguous, ...] = ()
    against: tuple[Contradiction, ...] = ()
    distrusted: tuple[Contradiction, ...] = ()

    def cavity_of(self, end: str) -> str:
        """The shell's contact that is the donor's ``C12:4``: where it moved to, else of its name in the partner plug.

        ``:4`` where the plug has no partner.
        """
        connector, _, cavity = end.partition(":")
        pair = self.connector.get(connector)
        return self.cavities.get(end) or f"{pair.shell if pair is not None else ''}:{cavity}"

    @cached_property
    def connector(self) -> Mapping[str, Pair]:
        """Connector pairs by donor id."""
        return {pair.donor: pair for pair in self.connectors}

    @cached_property
    def component(self) -> Mapping[str, Pair]:
        """Component pairs by donor id."""
        return {pair.donor: pair for pair in self.components}

    @cached_property
    def circuit(self) -> Mapping[str, Pair]:
        """Circuit pairs by donor id."""
        return {pair.donor: pair for pair in self.circuits}

    @cached_property
    def harness(self) -> Mapping[str, Pair]:
        """Harness pairs by donor id."""
        return {pair.donor: pair for pair in self.harnesses}

    @cached_property
    def ground(self) -> Mapping[str, Pair]:
        """Ground point pairs by donor id."""
        return {pair.donor: pair for pair in self.grounds}
