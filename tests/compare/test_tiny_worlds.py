"""Tiny worlds, every one of them, against a slow reference that knows nothing of the program.

A front harness and a rear harness meet in one in-line plug. Each half of a cavity
holds nothing, a feed, the body, or a terminal of a part behind it. Of one cavity
every pair of sound cars is compared (2,401 worlds); of two cavities every pair that
differs in one of them, or has the contents of a half exchanged. The reference decides from what a half brings, what its
partner brought in its own car and what it would bring in the other: it was written
from the table of findings, and imports nothing of the package.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cache
from itertools import product

import pytest
from builders.rows import half, lamp, named, study

from harnesscheck.compare.compare import compare
from harnesscheck.network.graph.sides import Study

# What a half may hold: its class, and for a feed the key positions it is live in and its fuse.
EMPTY, FEED, BODY, NEEDS_FEED, NEEDS_BODY, INPUT, OUTPUT, DATA = (
    "empty", "feed", "body", "needs a feed", "needs the body", "input", "output", "data",
)  # fmt: skip
CONSUMERS = (NEEDS_FEED, NEEDS_BODY, INPUT)
ALWAYS, RUN = "always", "run"
FRONT = {
    "-": (EMPTY,),
    "P": (FEED, ALWAYS, "F1"),
    "Q": (FEED, ALWAYS, "F2"),
    "R": (FEED, RUN, "F3"),
    "G": (BODY,),
    "o": (OUTPUT,),
    "i": (INPUT,),
    "n": (NEEDS_BODY,),
}
REAR = {
    "-": (EMPTY,),
    "M": (NEEDS_FEED,),
    "W": (NEEDS_FEED,),
    "N": (NEEDS_BODY,),
    "I": (INPUT,),
    "O": (OUTPUT,),
    "D": (DATA,),
    "P": (FEED, ALWAYS, "F1"),
    "G": (BODY,),
}
WORSE = (
    "feed-to-ground", "feed-on-signal", "outputs-joined", "feeds-joined", "signal-grounded", "wrong-feed",
    "bus-altered", "crossed", "missing-circuit", "ground-lost", "orphaned", "extra-circuit", "",
)  # fmt: skip


# -- the reference


def danger(one: tuple[str, ...], other: tuple[str, ...]) -> str:
    """What burns, or loses its value for good, when two contacts meet."""
    classes = {one[0], other[0]}
    if classes == {FEED, BODY}:
        return "feed-to-ground"
    if classes in ({FEED, INPUT}, {FEED, DATA}):
        return "feed-on-signal"
    if one[0] == other[0] == OUTPUT:
        return "outputs-joined"
    if classes == {FEED, OUTPUT}:
        return "feeds-joined"
    if one[0] == other[0] == FEED:
        return "feeds-joined" if one[2] != other[2] else ""
    if BODY in classes and classes & {INPUT, OUTPUT, DATA}:
        return "signal-grounded"
    return ""


def serves(was: str, now: str) -> bool:
    """Whether two contents do the same job: the same part, the body, or a feed of the same key positions."""
    ours, theirs = ({**FRONT, **REAR}[name] for name in (was, now))
    return was == now or (ours[0] == theirs[0] == FEED and ours[1] == theirs[1])


def kept(own: str, was: str, now: str) -> str:
    """What becomes of a contact of the donor's that faced ``was`` and would face ``now``."""
    mine, before, after = ({**FRONT, **REAR}[name] for name in (own, was, now))
    if serves(was, now):
        return ""
    if mine[0] == EMPTY:
        return "extra-circuit" if before[0] == EMPTY else ""
    if after[0] == EMPTY:
        return lost(mine, before)
    burns = danger(mine, after)
    if burns:
        return burns
    if mine[0] in CONSUMERS and after[0] in CONSUMERS:  # two consumers meet
        return "ground-lost" if before[0] == BODY else "missing-circuit"
    if before[0] == EMPTY and mine[0] != FEED:  # nothing is crossed where nothing was before
        return "extra-circuit"
    if mine[0] in CONSUMERS and before[0] == after[0] == FEED:
        return "wrong-feed"
    return "crossed"


def lost(mine: tuple[str, ...], before: tuple[str, ...]) -> str:
    """What becomes of a contact whose partner is gone."""
    if before[0] == EMPTY:
        return ""
    if mine[0] in (FEED, BODY):
        return "orphaned"
    if before[0] == BODY:
        return "ground-lost"
    return "bus-altered" if mine[0] == DATA else "missing-circuit"


def expected(donor: tuple[str, str], shell: tuple[str, str]) -> str:
    """The worst of both hybrids: the donor's front on the shell's rear, and the shell's front on the donor's rear."""
    (front, rear), (other_front, other_rear) = donor, shell
    worst = min(kept(front, rear, other_rear), kept(rear, front, other_front), key=WORSE.index)
    only_there = worst == "extra-circuit" and has_live_end(shell)
    only_here = worst == "" and has_live_end(donor) and {REAR[other_rear][0], FRONT[other_front][0]} == {EMPTY}
    return "orphaned" if only_there or only_here else worst


def has_live_end(car: tuple[str, str]) -> bool:
    """Whether a feed ends in the plug: whichever car it is of, it is left over."""
    return {FRONT[car[0]][0], REAR[car[1]][0]} == {FEED, EMPTY}


# -- the cars

POINTS = ("fo", "fi", "fn", "rm", "rw", "rn", "ri", "ro", "rd")
AT = {
    "P": "P", "Q": "Q", "R": "R", "G": "G1", "o": "fo", "i": "fi", "n": "fn",
    "M": "rm", "W": "rw", "N": "rn", "I": "ri", "O": "ro", "D": "rd",
}  # fmt: skip


def module(id_: str, **roles: str) -> str:
    """A module wired without a plug; ``roles`` is point to role."""
    pins = "".join(f'<pin terminal="{point}" role="{role}" to="{point}"/>' for point, role in roles.items())
    return f'<component id="{id_}" kind="module">{pins}</component>'


@cache
def car(front: str, rear: str) -> Study:
    """A car with all the parts, of which the named contents are in the plug, one letter a cavity."""
    parts = "".join(f'<splice id="{point}"/>' for point in POINTS)
    parts += module("ecu", fo="output-high", fi="input") + module("far", ri="input", ro="output-high", rd="data")
    parts += lamp("m", "rm", kind="motor") + lamp("w", "rw", kind="motor")
    parts += lamp("n", "Q", "rn", kind="motor") + lamp("o", "Q", "fn", kind="motor")
    halves = [
        {str(number): f">{AT[name]}" for number, name in enumerate(names, 1) if name != "-"} | {"9": f">{at}"}
        for names, at in ((front, "P"), (rear, "zz"))
    ]
    plug = half("C1", halves[0], "front", "C1R", "1 2 9") + half("C1R", halves[1], "rear", "", "1 2 9")
    return study(parts, '<splice id="zz"/>', lamp("z", "zz"), plug)


SOUND = [(front, rear) for front, rear in product(FRONT, REAR) if not danger(FRONT[front], REAR[rear])]


def found(donor: tuple[str, str], shell: tuple[str, str]) -> dict[str, str]:
    """The worst that compare tells of each cavity."""
    cars = car(*donor), car(*shell)
    kinds: dict[str, list[str]] = defaultdict(list)
    for one in compare(*cars, named(*cars), electrical=False).findings:
        if one.kind in WORSE:
            kinds[one.donor.cavity].append(one.kind)
    return {cavity: min(kinds[cavity], key=WORSE.index, default="") for cavity in ("1", "2")}


@pytest.mark.parametrize("donor", SOUND, ids="".join)
def test_every_tiny_world(donor: tuple[str, str]):
    """One car against every other."""
    wrong = []
    for shell in SOUND:
        told, due = found(donor, shell)["1"], expected(donor, shell)
        if told != due:
            wrong.append(f"{donor} against {shell}: {told or 'nothing'}, not {due or 'nothing'}")

    assert wrong == []


# -- two cavities

USEFUL = ("--", "-M", "-W", "-N", "P-", "PM", "PW", "Q-", "QM", "R-", "RM", "RW", "G-", "GN", "oM", "o-", "-I", "-O")
TOLD = (*WORSE[: WORSE.index("wrong-feed") + 1], "")


def pairs_of_cavities() -> list[tuple[str, str]]:
    """Every front and rear of two cavities with a useful meeting in each; no terminal of a part is in both."""
    return [
        (one[0] + two[0], one[1] + two[1])
        for one, two in product(dict.fromkeys(USEFUL), repeat=2)
        if (one[1] == "-" or one[1] != two[1]) and (one[0] != "o" or two[0] != "o")
    ]


def neighbours(donor: tuple[str, str]) -> list[tuple[str, str]]:
    """The cars that differ in the second cavity only, and those with a half, or both halves, exchanged."""
    front, rear = donor
    changed = [shell for shell in pairs_of_cavities() if (shell[0][0], shell[1][0]) == (front[0], rear[0])]
    exchanged = [(front[::-1], rear), (front, rear[::-1]), (front[::-1], rear[::-1])]
    return changed + [each for each in exchanged if not any(map(danger_at, zip(*each, strict=True)))]


def danger_at(contents: tuple[str, str]) -> str:
    """What burns where two contents meet."""
    return danger(FRONT[contents[0]], REAR[contents[1]])


def serious(kind: str) -> str:
    """A danger or a wrong feed, else nothing: what is only lost may have moved to the other cavity."""
    return kind if kind in TOLD else ""


@pytest.mark.parametrize("first", dict.fromkeys(USEFUL))
def test_dangers_of_two_cavities(first: str):
    """Each cavity has the danger that its own contents give, and no other."""
    wrong, dangers = [], 0
    for donor in (each for each in pairs_of_cavities() if each[0][0] + each[1][0] == first):
        for shell in neighbours(donor):
            kinds = found(donor, shell)
            for number in (0, 1):
                ours, theirs = ((each[0][number], each[1][number]) for each in (donor, shell))
                told, due = serious(kinds[str(number + 1)]), serious(expected(ours, theirs))
                dangers += due != ""
                if told != due:
                    wrong.append(
                        f"{donor} against {shell} at {number + 1}: {told or 'nothing'}, not {due or 'nothing'}"
                    )

    assert wrong == []
    assert dangers
