"""How the two cars were paired, in words: what speaks against a crosswalk, what is doubtful, what each pair rests on.

Text and page both take their lines from here; all are plain paragraphs.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.pairs import Ambiguous, Contradiction, Pair, Pairs
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.model.order import natural_key
from harnesscheck.model.shortened import shortened
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.report.blocks.vocabulary import Listing, Paragraph, Passage
from harnesscheck.report.findings import PLAIN

MOST = 12  # lines of one sort in a report; the crosswalk command writes them all
MOST_NAMES = 8  # of one set
MOST_LONE = 40  # plugs without a partner


def said_first(pairs: Pairs) -> Iterator[Passage]:
    """What a reader must know before any finding: contradictions, doubtful pairs, sets of look-alikes."""
    if pairs.against:
        yield _shown("Speaks against your crosswalk (it stands all the same):", map(contradiction_text, pairs.against))
    if pairs.distrusted:
        head = "Names and functions of circuits disagree about who is who:"
        yield _shown(head, map(contradiction_text, pairs.distrusted))
    doubtful = [pair for pair in (*pairs.connectors, *pairs.components) if not pair.sure]
    if doubtful:
        doubtful.sort(key=lambda pair: (round(pair.confidence, 2), natural_key(pair.donor)))
        yield _shown("Paired with less than certainty (write a [crosswalk] to settle it):", map(pair_text, doubtful))
    if pairs.ambiguous:
        yield _shown("Look-alikes that the files do not tell apart:", map(ambiguous_text, pairs.ambiguous))


def said_last(pairs: Pairs, donor: Vehicle, shell: Vehicle, word: str = "shell") -> Iterator[Passage]:
    """What the sure pairs rest on: equal ids that nothing speaks against as a number, all others one by one.

    ``word`` is what the second car is called. What was taken over from the donor is its own partner: a number too.
    """
    taken = [pair for pair in pairs.connectors if pair.why == TAKEN_OVER]
    if taken:
        yield Passage((Paragraph(f"{_count(len(taken), 'plug half is', 'plug halves are')} the donor's own."),))
    plain = [pair for pair in pairs.connectors if pair.why == SAME_NAME]
    if plain:
        halves = _count(len(plain), "plug half is", "plug halves are")
        yield Passage((Paragraph(f"{halves} called the same in both cars, and no wire speaks against it."),))
    sure = [pair for pair in (*pairs.connectors, *pairs.components) if pair.sure and pair.why not in PLAIN]
    if sure:
        sure.sort(key=lambda pair: (pair.donor == pair.shell, natural_key(pair.donor)))
        yield _shown("Paired for certain by more than their names:", map(pair_text, sure))
    parted = list(split_and_merged(pairs))
    if parted:
        yield _shown("Plugs that were split or went into one:", parted)
    lone = [
        f"only in the {car}: {shortened(names, MOST_LONE)}"
        for car, names in unpaired(pairs, donor, shell, word)
        if names
    ]
    if lone:
        yield _shown("Left without a partner:", lone)


def contradiction_text(one: Contradiction) -> str:
    """``connector C12 = D07: its wiring says D09 (…)``."""
    return f"{one.sort} {one.donor} = {one.shell}: {one.why}"


def pair_text(pair: Pair) -> str:
    """``C21 = C31, 99 %: 12-way grey, roof, 8 of 10 wires agree``."""
    names = pair.donor if pair.donor == pair.shell else f"{pair.donor} = {pair.shell}"
    return f"{names}, {pair.confidence * 100:.0f} %: {pair.why}"


def ambiguous_text(one: Ambiguous) -> str:
    """The members, why nothing tells them apart, and what would."""
    text = f"{_some(one.donor)} = {_some(one.shell)}: {one.reason}"
    return f"{text}. To settle it: {one.settle}" if one.settle else text


def split_and_merged(pairs: Pairs) -> Iterator[str]:
    """``C30 became D1 (12 cavities kept) and D2 (8 cavities)``; ``C30 and C31 became D1``."""
    contacts: dict[str, Counter[str]] = defaultdict(Counter)
    for ours, theirs in pairs.cavities.items():
        contacts[_plug(ours)][_plug(theirs)] += 1
    kept: Mapping[str, Pair] = pairs.connector
    for plug in sorted(contacts, key=natural_key):
        own = kept[plug].shell if plug in kept else ""
        others = {other: number for other, number in contacts[plug].items() if other != own}
        if own and others:
            moved = " and ".join(f"{other} ({_count(others[other], 'contact')})" for other in sorted(others))
            yield f"{plug} became {own} and {moved}"
    into: dict[str, list[str]] = defaultdict(list)
    for pair in pairs.connectors:
        into[pair.shell].append(pair.donor)
    for shell in sorted(into, key=natural_key):
        if len(into[shell]) > 1:
            yield f"{' and '.join(sorted(into[shell], key=natural_key))} went into {shell}"


def unpaired(pairs: Pairs, donor: Vehicle, shell: Vehicle, second: str = "shell") -> Iterator[tuple[str, list[str]]]:
    """The plugs of each car, by its word, that have no partner, in natural order."""
    taken = {_plug(theirs) for theirs in pairs.cavities.values()} | {pair.shell for pair in pairs.connectors}
    for word, rows, paired in (("donor", donor.connectors, pairs.connector.keys()), (second, shell.connectors, taken)):
        yield word, sorted((id for id in rows if id not in paired), key=natural_key)


def _plug(end: str) -> str:
    return end.partition(":")[0]


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def _some(names: Sequence[str]) -> str:
    return shortened(sorted(names, key=natural_key), MOST_NAMES)


def _shown(head: str, texts: Iterable[str]) -> Passage:
    return Passage((Listing(tuple(texts), head, most=MOST, where="(harnesscheck crosswalk lists them all)"),))
