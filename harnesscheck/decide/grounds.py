"""What the files allow a decision to say: which of its answers stand, which cannot be given, what to write down next.

Where no part is known nothing can be tried: every choice looks as good as every other,
and the cheapest is only the laziest. Then no harness is chosen. What the wires are called
still tells what would meet what.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.jobs import gathered_for_people, with_jobs
from harnesscheck.decide.groups import Group
from harnesscheck.lists.rungs import lacks_parts, rungs
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.sides import Study

MOST_PLUGS = 8
MOST_ASKED = 3
_POWER = (
    "Write {of} battery, key switch and fuse-box lid (`harnesscheck new --fuses` makes the form). It settles what is "
    "live in which key position, and which fuse a short would blow."
)
_BEFORE_PARTS = ("mates", "halves")


@dataclass(frozen=True, slots=True)
class Grounds:
    """Answers that stand, answers that cannot be given, and at most three things to write down, the best first."""

    stands: tuple[str, ...]
    cannot: tuple[str, ...]
    ask: tuple[str, ...]


def grounds_of(donor: Study, shell: Study, pairs: Pairs, groups: tuple[Group, ...]) -> Grounds | None:
    """What can be said all the same where nothing can be decided; None where it can, or was decided beforehand."""
    lacking = [word for word, study in (("donor", donor), ("shell", shell)) if lacks_parts(study)]
    if not lacking or all(len(group.options) == 1 for group in groups):
        return None
    found = with_jobs(compare(donor, shell, pairs, electrical=False).findings, pairs)
    serious = [job.first for job in gathered_for_people(found) if job.first.severity <= Severity.REWORK]
    return Grounds(
        tuple(_stands(serious, len(pairs.connectors))),
        tuple(_cannot(lacking)),
        tuple(_asked({"donor": donor, "shell": shell}, lacking, serious))[:MOST_ASKED],
    )


def _stands(serious: list[Finding], paired: int) -> Iterator[str]:
    """What meets what, by what the wires are called."""
    plugs: dict[str, Counter[str]] = {}
    for one in serious:
        plugs.setdefault(one.donor.connector or one.shell.connector or "the whole car", Counter())[one.kind] += 1
    if not paired:
        yield "Nothing: the two files have no plug in common."
        return
    if not plugs:
        yield f"What meets what: at the {paired} plug halves that both files have, no wire is called otherwise."
        return
    told = [
        f"{plug}: {', '.join(_times(kind, count) for kind, count in kinds.items())}" for plug, kinds in plugs.items()
    ]
    yield f"What meets what, wherever a harness of one car meets one of the other: {shortened(told, MOST_PLUGS, '; ')}."
    yield "`harnesscheck compare` says of each what to do."


def _times(kind: str, count: int) -> str:
    return f"{count} times {kind}" if count > 1 else kind


def _cannot(lacking: list[str]) -> Iterator[str]:
    files = f"the {lacking[0]}'s file names" if len(lacking) == 1 else "neither file names"
    no = "no battery and no part behind it" if len(lacking) == 1 else "a battery or a part behind it"
    yield f"What works, what stays dead and what burns along a wire: {files} {no}, so nothing could be tried."
    yield "Which harnesses to take: with nothing tried every choice looks as good, and doing nothing the cheapest."
    yield "How much has to be mended: only what the wires are called was held against each other."


def _asked(cars: Mapping[str, Study], lacking: list[str], serious: list[Finding]) -> Iterator[str]:
    """What to write down, what pays most first."""
    missing = {one.name: one for one in rungs(cars)}
    for name in _BEFORE_PARTS:
        if name in missing:
            yield _told(missing.pop(name).sentence)
    missing.pop("components", None)
    yield _POWER.format(of=f"the {lacking[0]}'s" if len(lacking) == 1 else "both cars'")
    plugs = list(dict.fromkeys(one.donor.connector for one in serious if one.donor.connector))
    where = f"behind {shortened(plugs, MOST_PLUGS)}, where the cars differ" if plugs else "on the plugs of each harness"
    yield f"Write what hangs {where} (`on` and `kind` beside a plug). It settles which part stays dead or burns."
    yield from (_told(one.sentence) for one in missing.values())


def _told(sentence: str) -> str:
    return sentence.replace("Next that would pay: ", "Write ", 1)
