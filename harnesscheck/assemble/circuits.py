"""Which circuits of two cars are one circuit in the assembled one, and so have one name there: the shell's.

What a wire may be joined to is judged by names where nothing else is known, so a
circuit that crosses from one car's harness into the other's must not change its
name on the way. Only circuits that are paired, each with one other, and of which
both files say the same where it matters, are made one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import replace

from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.pairs import Pairs
from harnesscheck.model.records import Circuit, Record

_ALIKE = ("id", "function", *Record.__slots__)  # what may differ between two rows of one circuit


def one_circuit(
    ours: Collection[str],
    theirs: Collection[str],
    rows: Mapping[str, Circuit],
    other: Mapping[str, Circuit],
    pairs: Pairs,
) -> dict[str, str]:
    """The shell's name by the donor's, for circuits of both cars that are one. ``rows`` and ``other`` by their ids."""
    found = [pair for pair in pairs.circuits if pair.donor in ours and pair.shell in theirs]
    partners = Counter(pair.shell for pair in found)
    names = {}
    for pair in found:
        a = rows.get(pair.donor, Circuit(id=pair.donor))
        b = other.get(pair.shell, Circuit(id=pair.shell))
        by_name_alone = pair.why == SAME_NAME and a.function != b.function
        if partners[pair.shell] == 1 and _says_the_same(a, b) and not by_name_alone:
            names[pair.donor] = pair.shell
    return names


def _says_the_same(a: Circuit, b: Circuit) -> bool:
    return replace(a, **{name: getattr(b, name) for name in _ALIKE}) == b
