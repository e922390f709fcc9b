"""A proposed ``[crosswalk]`` as TOML text, for a person to correct and hand back with ``--crosswalk``.

Doubtful pairs come first in every table, each with what it rests on. Rows that
are called the same and paired for certain need no entry and are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.model.order import natural_key
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.report.pairing import ambiguous_text, contradiction_text, split_and_merged
from harnesscheck.write.swapsheet import toml_text


def crosswalk_text(donor: Vehicle, shell: Vehicle, pairs: Pairs) -> str:
    """The whole file. Reading it back gives the same pairs, each then certain."""
    lines = [
        "# Which row of the donor is which of the shell, as proposed. Correct what is wrong, keep what is right:",
        f"# donor {_comment(donor.name)}, shell {_comment(shell.name)}.",
        "",
        *_remarks(pairs),
    ]
    moved = [Pair(a, b, 1.0, "a contact that moved") for a, b in sorted(pairs.cavities.items())]
    for table, found, ours, theirs in (
        ("connector", (*pairs.connectors, *moved), donor.connectors, shell.connectors),
        ("component", pairs.components, donor.components, shell.components),
        ("circuit", pairs.circuits, (), ()),
    ):
        lines += [f"[crosswalk.{table}]", *_entries(found), *_unpaired(found, ours, theirs), ""]
    return "\n".join(lines)


def _remarks(pairs: Pairs) -> Iterator[str]:
    """What speaks against entries that a person gave, plugs that were split or merged, sets of look-alikes."""
    for head, texts in (
        ("Speaks against what you gave (it is kept):", [contradiction_text(one) for one in pairs.against]),
        ("Split or gone into one:", list(split_and_merged(pairs))),
        ("The files do not tell these apart:", [ambiguous_text(one) for one in pairs.ambiguous]),
    ):
        if texts:
            yield from (f"# {head}", *(f"#   {_comment(text)}" for text in texts), "")


def _entries(pairs: Iterable[Pair]) -> Iterator[str]:
    needed = [pair for pair in pairs if pair.donor != pair.shell or not pair.sure]
    for pair in sorted(needed, key=lambda pair: (round(pair.confidence, 2), natural_key(pair.donor))):
        yield f"{toml_text(pair.donor)} = {toml_text(pair.shell)}  # {pair.confidence:.0%}, {_comment(pair.why)}"


def _unpaired(pairs: Iterable[Pair], donor: Iterable[str], shell: Iterable[str]) -> Iterator[str]:
    ours, theirs = {pair.donor for pair in pairs}, {pair.shell for pair in pairs}
    for word, names, taken in (("donor", donor, ours), ("shell", shell, theirs)):
        left = sorted((name for name in names if name not in taken), key=natural_key)
        if left:
            yield f"# only in the {word}: {_comment(', '.join(left))}"


def _comment(text: str) -> str:
    """Text on one line without control characters, which a TOML comment may not hold."""
    return "".join(ch if ch.isprintable() else " " for ch in text)
