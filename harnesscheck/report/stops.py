"""The stop at the top of every report on a car that has restraint or high-voltage wiring."""

from __future__ import annotations

from collections.abc import Iterable

from harnesscheck.compare.finding.cautions import car_stop, hazard_words, plugs_stop
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.vocabulary import Caution, Paragraph, Section, section, table


def stop_block(*studies: Study) -> Caution | None:
    """The stop that stands first in a report on some cars."""
    texts = car_stop(*studies)
    return Caution(texts, urgent=True) if texts else None


def plugs_block(study: Study, connectors: Iterable[str]) -> Caution | None:
    """The stop that stands first where it is about a few plugs only."""
    texts = plugs_stop([(study, connectors, ())])
    return Caution(texts, urgent=True) if texts else None


def hands_off_section(study: Study) -> Section | None:
    """What of a car is held to be out of bounds, and why; where it is only suspected, the question to answer."""
    judge = study.hands_off
    rows = []
    for name, marks in judge.plugs.items():
        if study.vehicle.connectors[name].component is not None and name in study.vehicle.mate_of:
            continue  # told with the half that is plugged into it
        shared = f"shared: cavity {', '.join(judge.cavities(name))}" if judge.is_shared(name) else "the whole plug"
        why = "; ".join(f"{mark.level}: {mark.why}" for mark in marks)
        rows.append((name, shared, hazard_words(marks), why))
    ask = Paragraph(
        "Only suspected: is it restraint or high voltage, or not? Say so in the file: system or class of its circuits "
        "and parts (restraint, high-voltage, or what it is). Until then it is treated as if it were."
    )
    return section(
        "Out of bounds",
        table("", ("plug", "what of it", "is", "why"), rows) if rows else None,
        ask if any(not mark.known for mark in judge.all) else None,
    )
