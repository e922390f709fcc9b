"""Donors ranked for a shell: as text, page, CSV and JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.sheets import table_csv
from harnesscheck.report.blocks.vocabulary import Answer, Listing, Paragraph, Report, Table, present, table
from harnesscheck.report.cars import car_words
from harnesscheck.report.document import envelope, input_document
from harnesscheck.yard.judge import Outcome
from harnesscheck.yard.rank import Ranking

HOURS = "#hours"
HEADS = ("donor", HOURS, "#repairs", "#injury", "#damage", "#dead", "#rework", "#alike %")
MOST_SHOWN = 20  # in a terminal; page, CSV and JSON have them all
MOST_NAMED = 8  # of those that were only looked at


def rank_report(shell: Study, ranking: Ranking) -> Report:
    """Which fits best, the table, the worst of each, what was not judged and what could not be read."""
    worst = tuple(f"{one.name}: {one.worst}" for one in ranking.outcomes if one.worst)
    unread = tuple(f"{one.path}: {shortened(one.faults, 2, '; ')}" for one in ranking.unread)
    left = shortened(ranking.not_judged, MOST_NAMED)
    blocks = present(
        Answer(_sentence(ranking)),
        _table(ranking) if ranking.outcomes else None,
        Listing(worst, head="The worst of each", most=MOST_SHOWN, noun="donors", where="on the page that -o writes")
        if worst
        else None,
        Paragraph(f"Less like the shell and not judged in full (--best judges more): {left}.") if left else None,
        Listing(unread, head="Could not be read") if unread else None,
        Paragraph(
            "Repairs are all findings that want work, judged both ways round at every plug; alike is how much the two "
            "files have in common, and says nothing about safety. compare and decide tell the rest of one donor."
        ),
    )
    return Report("Donors for this shell", (("shell", car_words(shell.vehicle)),), blocks, _inputs(shell))


def _sentence(ranking: Ranking) -> str:
    if not ranking.outcomes:
        return "No donor could be judged."
    best = ranking.outcomes[0]
    hours = f", {best.hours:g} hours of work" if best.hours is not None else ""
    ties = [one.name for one in ranking.outcomes[1:] if one.order[:-1] == best.order[:-1]]
    also = f" {shortened(ties, MOST_NAMED)} {'fits' if len(ties) == 1 else 'fit'} as well." if ties else ""
    return f"{best.name} fits best: {_counted(best)}{hours}.{also}"


def _counted(one: Outcome) -> str:
    if not one.repairs:
        return "nothing found that wants work"
    words = ((one.injury, "injury"), (one.damage, "damage"), (one.dead, "dead"), (one.rework, "rework"))
    return ", ".join(f"{count} {word}" for count, word in words if count)


def _table(ranking: Ranking) -> Table:
    """The donors; hours where any were worked out."""
    hours = any(one.hours is not None for one in ranking.outcomes)
    rows = [_row(one, ranking.likeness.get(one.name, 0.0)) for one in ranking.outcomes]
    kept = [at for at, head in enumerate(HEADS) if hours or head != HOURS]
    return table(
        "Donors, best first",
        [HEADS[at] for at in kept],
        [[row[at] for at in kept] for row in rows],
        most=MOST_SHOWN,
        noun="donors",
        where="on the page that -o writes",
    )


def _row(one: Outcome, alike: float) -> tuple[str, ...]:
    hours = f"{one.hours:g}" if one.hours is not None else ""
    counts = (one.repairs, one.injury, one.damage, one.dead, one.rework)
    return (one.name, hours, *map(str, counts), f"{100 * alike:.0f}")


def rank_files(ranking: Ranking) -> dict[str, bytes]:
    """The table as a file for a spreadsheet."""
    return {"donors.csv": table_csv(_table(ranking))}


def _inputs(shell: Study) -> dict[str, Any]:
    return {"shell": input_document(shell.vehicle)}


def rank_document(shell: Study, ranking: Ranking) -> Mapping[str, Any]:
    """The JSON document."""
    document = envelope("rank", _inputs(shell), {"shell": shell})
    document["donors"] = [
        {
            "file": one.name,
            "hours": one.hours,
            "proven": one.proven,
            "repairs": one.repairs,
            **{word: asdict(one)[word] for word in ("injury", "damage", "dead", "rework")},
            "worst": {"id": one.worst_id, "text": one.worst} if one.worst else None,
            "alike": ranking.likeness.get(one.name, 0.0),
        }
        for one in ranking.outcomes
    ]
    document["not-judged"] = [{"file": name, "alike": ranking.likeness[name]} for name in ranking.not_judged]
    document["unread"] = [{"file": one.path, "faults": list(one.faults)} for one in ranking.unread]
    return document
