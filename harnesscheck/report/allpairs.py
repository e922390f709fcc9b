"""Which cars of a folder may exchange their looms: as text, page, drawing, CSV and JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from harnesscheck.draw.exchange import GroupBox, GroupLine, exchange_sheets
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.svg import svg
from harnesscheck.model.shortened import shortened
from harnesscheck.report.blocks.sheets import table_csv
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    BriefOrFull,
    Caution,
    Listing,
    Paragraph,
    Report,
    Table,
    present,
    table,
)
from harnesscheck.report.document import envelope
from harnesscheck.report.drawings import figure, page_font
from harnesscheck.write.filenames import numbered
from harnesscheck.yard.allpairs import AllPairs, ExchangeGroup, Way, goes_in, nearest
from harnesscheck.yard.judge import Outcome

SEVERITIES = ("injury", "damage", "dead", "rework")
WAY_HEADS = ("looms of", "in place of", "#injury", "#damage", "#dead", "#rework", "#not known", "worst")
GROUP_HEADS = ("group", "cars")
MOST_SHOWN = 20  # in a terminal; page, CSV and JSON have them all
MOST_NAMED = 8
NOT_DRAWN = (
    "exchange graph not drawn: no Graphviz engine answered, or it is too large for a page; the tables have it all"
)
TOGETHER = (
    "That is not counted below, because it is so of every two cars: such looms stay with their parts, or the set goes "
    "across whole, by the maker's procedure, with a licensed person."
)
METHOD = (
    "All looms of the one car together, and looms alone, are put in the place of the other's and judged as "
    "compare --swap does. Looms go in where nothing is found that wants work; contacts that are not "
    "known are rung out first (compare names them). Only likely pairs are judged (--best judges more): what is not in "
    "the table is not known."
)
SAYS = "Groups of cars; between two of them what differs least of all their pairs that were judged"


@dataclass(frozen=True, slots=True)
class YardFolder:
    """The folder as it was typed, and what was found of its cars."""

    folder: str
    found: AllPairs


def pairs_report(yard: YardFolder) -> Report:
    """The groups, what lies between them, every way judged, what could not be read."""
    found = yard.found
    unread = tuple(f"{one.path}: {shortened(one.faults, 2, '; ')}" for one in found.unread)
    blocks = present(
        Answer(_sentence(found)),
        _caution(found),
        _group_table(found) if found.groups else None,
        _between(found),
        BriefOrFull((_way_table(found, worst=False),), (_way_table(found),)) if found.ways else None,
        Listing(unread, head="Could not be read") if unread else None,
        Paragraph(METHOD),
    )
    return Report("Which looms may be exchanged", (("cars", yard.folder),), blocks, _inputs(yard))


def pairs_folder(yard: YardFolder) -> tuple[Report, dict[str, bytes], list[str]]:
    """The report with the graph, the files beside it, and a line where it could not be drawn."""
    report = pairs_report(yard)
    files = {"exchange.csv": table_csv(_way_table(yard.found)), "groups.csv": table_csv(_group_table(yard.found))}
    scenes = _drawn(yard.found)
    if scenes is None:
        return report, files, [NOT_DRAWN]
    sheets = zip(numbered("exchange", len(scenes)), scenes, strict=True)
    files |= {f"{name}.svg": svg(scene).encode("utf-8") for name, scene in sheets}
    figures = [figure(scene, SAYS, number) for number, scene in enumerate(scenes)]
    said = [isinstance(block, Answer | Caution) for block in report.blocks].index(False)
    blocks = (*report.blocks[:said], *figures, *report.blocks[said:])
    return replace(report, blocks=blocks, font_css=page_font(scenes)), files, []


def _sentence(found: AllPairs) -> str:
    if not found.cars:
        return "No car could be read."
    shared = [group for group in found.groups if len(group.cars) > 1]
    one_way = [edge for edge in found.edges if goes_in(edge.there.outcome) or goes_in(edge.back.outcome)]
    if not shared and not one_way:
        return "No two cars were found whose looms go in place of each other's as they are."
    said = [f"{shortened(one.cars, MOST_NAMED)} exchange their looms both ways{_likely(one)}" for one in shared]
    if one_way:
        pairs = "one pair" if len(one_way) == 1 else f"{len(one_way)} pairs"
        said.append(f"{'between' if said else 'Between'} {pairs} of groups looms go in one way only")
    text = "; ".join(said)
    return f"{text}."


def _likely(group: ExchangeGroup) -> str:
    """What keeps a group from being known."""
    why = [] if group.judged else ["not every two of them were judged"]
    if group.unknown:
        why.append(f"{'a contact is' if group.unknown == 1 else f'up to {group.unknown} contacts are'} not known")
    return f" (likely: {', '.join(why)})" if why else ""


def _caution(found: AllPairs) -> Caution | None:
    hazards = sorted({one for way in found.ways for one in way.outcome.hazards})
    if not hazards:
        return None
    named = " and ".join(hazards)
    of_one = f"{named[0].upper()}{named[1:]}: parts and looms are only known to work as the complete set of one car."
    return Caution((f"{of_one} {TOGETHER}",))


def _group_table(found: AllPairs) -> Table:
    rows = [(_name(at), ", ".join(one.cars) + _likely(one)) for at, one in enumerate(found.groups)]
    return table("Groups", GROUP_HEADS, rows, most=MOST_SHOWN, noun="groups", where="on the page that -o writes")


def _between(found: AllPairs) -> Listing | None:
    """What differs least between groups: the lines of the drawing."""
    items = tuple(
        f"{_name(edge.a)} into {_name(edge.b)}: {_difference(edge.there.outcome)}; "
        f"{_name(edge.b)} into {_name(edge.a)}: {_difference(edge.back.outcome)}{_worst(edge.least)}"
        for edge in nearest(len(found.groups), found.edges)
    )
    if not items:
        return None
    where = "on the page that -o writes"
    return Listing(items, head="Between groups, what differs least", most=MOST_SHOWN, noun="pairs", where=where)


def _worst(one: Outcome) -> str:
    return f". {one.worst}" if one.worst else ""


def _way_table(found: AllPairs, *, worst: bool = True) -> Table:
    """Every way; what is worst in words where there is room."""
    rows = [(one.giver, one.taker, *map(str, _counts(one.outcome).values()), one.outcome.worst) for one in found.ways]
    last = len(WAY_HEADS) if worst else -1
    return table(
        "Every way that was judged",
        WAY_HEADS[:last],
        [row[:last] for row in rows],
        most=MOST_SHOWN,
        noun="ways",
        where="on the page that -o writes",
    )


def _counts(one: Outcome) -> dict[str, int]:
    return {**{word: getattr(one, word) for word in SEVERITIES}, "not-known": one.unknown}


def _difference(one: Outcome) -> str:
    counts = ", ".join(f"{count} {word.replace('-', ' ')}" for word, count in _counts(one).items() if count)
    if goes_in(one):
        return f"goes in, {counts}" if counts else "goes in"
    return f"not known ({counts})" if one.doubtful and not one.repairs else counts


def _name(number: int) -> str:
    """A, B … Z, AA, AB …"""
    letters = ""
    while number >= 0:
        letters = chr(ord("A") + number % 26) + letters
        number = number // 26 - 1
    return letters


def _drawn(found: AllPairs) -> list[Scene] | None:
    boxes = [GroupBox(f"Group {_name(at)}", one.cars, not one.known) for at, one in enumerate(found.groups)]
    lines = []
    for edge in nearest(len(found.groups), found.edges):
        a, b, ways = _name(edge.a), _name(edge.b), (edge.there.outcome, edge.back.outcome)
        words = f"{a} into {b}: {_difference(ways[0])}", f"{b} into {a}: {_difference(ways[1])}"
        free = goes_in(ways[0]), goes_in(ways[1])
        lines.append(GroupLine(edge.a, edge.b, words, (_severity(ways[0]), _severity(ways[1])), free))
    return exchange_sheets(boxes, lines, found.digest)


def _severity(one: Outcome) -> str:
    return next((word for word in SEVERITIES if getattr(one, word)), "")


def _inputs(yard: YardFolder) -> dict[str, Any]:
    return {"cars": {"file": yard.folder, "digest": yard.found.digest}}


def pairs_document(yard: YardFolder) -> Mapping[str, Any]:
    """The JSON document."""
    found = yard.found
    document = envelope("rank", _inputs(yard), {})
    document["groups"] = [
        {
            "id": _name(at),
            "files": list(one.cars),
            "certainty": "known" if one.known else "likely",
            "not-known": one.unknown,
        }
        for at, one in enumerate(found.groups)
    ]
    document["exchanges"] = [_way(one) for one in found.ways]
    document["between"] = [
        {"groups": [_name(edge.a), _name(edge.b)], "least": [_way(edge.there), _way(edge.back)]} for edge in found.edges
    ]
    document["unread"] = list(_unread(found))
    return document


def _unread(found: AllPairs) -> Iterator[Mapping[str, Any]]:
    for one in found.unread:
        yield {"file": one.path, "faults": list(one.faults)}


def _way(one: Way) -> dict[str, Any]:
    told = one.outcome
    return {
        "from": one.giver,
        "into": one.taker,
        "goes-in": goes_in(told),
        **_counts(told),
        "worst": {"id": told.worst_id, "text": told.worst} if told.worst else None,
        "hands_off": list(told.hazards),
    }
