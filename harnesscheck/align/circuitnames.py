"""What functions say about circuits' names: a name stands, unless functions or wires give a reason not to trust it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.pairs import Contradiction, Pair
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.trade.lexicon import Sameness, sameness

Functions = Mapping[str, tuple[str, ...]]

BY_CAVITY = "the cavities it is in"
_MOST_TEXTS = 8  # of one circuit; more are a text a wire, and say no more


def functions_of(study: Study) -> Functions:
    """The texts that say what each circuit is for: its own, else those of its wires."""
    own = {row.id: (row.function,) for row in study.vehicle.netlist.circuits if row.function}
    found: dict[str, dict[str, None]] = defaultdict(dict)
    rows: tuple[Pin | Wire, ...] = (*study.vehicle.netlist.pins, *study.vehicle.netlist.wires)
    for row in rows:
        if row.circuit is not None and row.function and row.circuit not in own:
            found[row.circuit][row.function] = None
    return own | {name: tuple(texts)[:_MOST_TEXTS] for name, texts in found.items()}


def told_apart(ours: Sequence[str], theirs: Sequence[str]) -> Sameness:
    """Whether two circuits' texts name one circuit: any two that do, else all that do not."""
    answers = {sameness(a, b) for a in ours for b in theirs}
    if Sameness.SAME in answers:
        return Sameness.SAME
    return Sameness.DIFFERENT if answers == {Sameness.DIFFERENT} else Sameness.NOT_TOLD


def distrusted(donor: Study, shell: Study, circuits: Sequence[Pair]) -> Iterator[Contradiction]:
    """Names that both cars have and that do not mean one circuit, or do not seem to, each with the reason."""
    ours, theirs = functions_of(donor), functions_of(shell)
    there = {name for names in shell.index.circuits_of for name in names}
    for pair in sorted(circuits, key=lambda pair: natural_key(pair.donor)):
        a, b = ours.get(pair.donor, ()), theirs.get(pair.shell, ())
        answer = told_apart(a, b)
        if pair.why == SAME_NAME and answer is Sameness.DIFFERENT:
            why = f"one name, but '{a[0]}' in the donor and '{b[0]}' in the shell"
            yield Contradiction("circuit", pair.donor, pair.shell, why)
        elif pair.donor != pair.shell and pair.donor in there and pair.why == BY_CAVITY:
            same = f", for '{a[0]}' in both" if answer is Sameness.SAME else ""
            why = f"they lie in the same cavities{same}, though the shell has a {pair.donor} too"
            yield Contradiction("circuit", pair.donor, pair.shell, why)
