"""Which fuse of one car does the work of which of the other.

Slots are renumbered between model years; what a fuse feeds tells which it is. A
fuse that feeds nothing both cars have is the one of the aligned component and name.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.carries.fusecard import FuseSlot, fuse_slots
from harnesscheck.compare.works.loadpairs import load_pairs
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.volts.guards import Feeds


@dataclass(frozen=True, slots=True)
class FuseMove:
    """A fuse of the donor and those of the shell that feed the same things; ``feeds`` is what both feed.

    ``alike`` says that there is one and that its rating is known to be the same.
    """

    donor: FuseSlot
    shell: tuple[FuseSlot, ...]
    feeds: tuple[str, ...]

    @property
    def alike(self) -> bool:
        """Whether one fuse of the same rating does the same work."""
        rating = self.donor.rating_a
        return len(self.shell) == 1 and rating is not None and rating == self.shell[0].rating_a


Side = tuple[Behaviour, Feeds]


def fuse_map(donor: Side, shell: Side, pairs: Pairs) -> tuple[FuseMove, ...]:
    """For every fuse of the donor the shell's that do its work, by what they feed."""
    shell_slots = dict(fuse_slots(*shell))
    fed_by = _fed_by(donor, shell, pairs)
    moves = []
    numbers = fuse_map_numbers(donor, shell, pairs, fed_by)
    for number, slot in fuse_slots(*donor):
        what = tuple(label for label, others in fed_by.get(number, ()) if others)
        moves.append(FuseMove(slot, tuple(shell_slots[other] for other in numbers[number]), what))
    return tuple(moves)


def fuse_map_numbers(
    donor: Side, shell: Side, pairs: Pairs, fed_by: dict[int, list[tuple[str, tuple[int, ...]]]] | None = None
) -> dict[int, tuple[int, ...]]:
    """By branch number of the donor's fuse those of the shell's that do its work, the one that feeds most first."""
    fed_by = _fed_by(donor, shell, pairs) if fed_by is None else fed_by
    theirs = fuse_slots(*shell)
    parts = {pair.donor: pair.shell for pair in pairs.components}
    found: dict[int, tuple[int, ...]] = {}
    for number, slot in fuse_slots(*donor):
        counts = Counter(other for _, others in fed_by.get(number, ()) for other in others)
        found[number] = tuple(other for other, _ in counts.most_common()) or tuple(_named(slot, theirs, parts))
    return found


def _named(slot: FuseSlot, theirs: Sequence[tuple[int, FuseSlot]], parts: dict[str, str]) -> Iterator[int]:
    """The fuse of the aligned component; inside a box, the one of the same name."""
    component = parts.get(slot.component)
    for number, other in theirs:
        if other.component == component and (other.slot == slot.slot or slot.slot == slot.component):
            yield number


def _fed_by(donor: Side, shell: Side, pairs: Pairs) -> dict[int, list[tuple[str, tuple[int, ...]]]]:
    """By fuse of the donor: what it feeds that the shell has too, and the shell's fuses that feed it."""
    (ours, our_feeds), (theirs, their_feeds) = donor, shell
    aligned = load_pairs(ours.study, ours.circuit, theirs.study, theirs.circuit, pairs.component)
    load_of = {pair.donor: pair.shell for pair in aligned.pairs}
    parts = {pair.donor: pair.shell for pair in pairs.components}
    found: dict[int, list[tuple[str, tuple[int, ...]]]] = {}
    for number in our_feeds.ends:
        rows = found.setdefault(number, [])
        for load in our_feeds.loads[number]:
            if load in load_of:
                others = tuple(fuse for fuse, loads in their_feeds.loads.items() if load_of[load] in loads)
                rows.append((ours.circuit.loads[load].label, others))
        for relay in our_feeds.coils[number]:
            if relay in parts:
                others = tuple(fuse for fuse, relays in their_feeds.coils.items() if parts[relay] in relays)
                rows.append((f"relay {relay}", others))
    return found
