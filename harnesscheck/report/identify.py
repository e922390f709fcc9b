"""What a loose plug may be: as text for the bench, and as JSON.

Candidates by falling probability with "none of these" in its place among them,
what tells the first ones apart, and the likeliest plug cavity by cavity.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from harnesscheck.align.identify import Candidate, PlugAnswer, PlugQuestion
from harnesscheck.draw.face import Content, contents
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.svg import svg
from harnesscheck.draw.targets import DrawingAsked, NotDrawn, draw_target
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import EMPTY, UNKNOWN
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    Facts,
    Paragraph,
    Passage,
    Report,
    Table,
    paragraphs,
    present,
    table,
)
from harnesscheck.report.cars import car_words
from harnesscheck.report.document import envelope
from harnesscheck.report.drawings import figure, page_font
from harnesscheck.report.stops import plugs_block
from harnesscheck.report.verdict import Verdict, verdict_of

NONE_OF_THESE = "none of these"
MOST_SHOWN = 6
ENOUGH = 0.99  # of the probability; candidates beyond are only counted


def identify_report(
    cars: Sequence[Vehicle],
    question: PlugQuestion,
    answer: PlugAnswer,
    best: BestPlug | None,
    inputs: Mapping[str, Any],
) -> Report:
    """The whole answer; ``best`` is the likeliest candidate, none where the files hold no plug with wires."""
    names = car_names(cars)
    seen = Paragraph(f"You see: {_seen(question)}")
    said = Answer(_sentence(answer, names))
    blocks = present(seen, said)
    if best is not None:
        blocks = present(
            plugs_block(best.study, best.candidate.connectors),
            seen,
            said,
            _ranking(cars, names, answer),
            _look(answer, names),
            _face(best, names),
        )
    about = tuple(("vehicle", car_words(car)) for car in cars)
    return Report(
        "What this loose plug may be",
        about,
        blocks,
        inputs,
        page_font(best.scenes.values()) if best is not None else "",
    )


def identify_document(
    cars: Sequence[Vehicle], answer: PlugAnswer, best: BestPlug | None, inputs: Mapping[str, Any]
) -> dict[str, Any]:
    """The JSON report. ``connector`` of a mated pair is its likelier half; "none of these" has no connector."""
    names = car_names(cars)
    rows = [(one.probability, _candidate(one, names)) for one in answer.candidates]
    rows.append((answer.none, {"vehicle": "", "connector": "", "probability": round(answer.none, 6), "halves": []}))
    rows.sort(key=lambda row: -row[0])
    look = None
    if answer.look_at is not None:
        firsts = zip(answer.candidates, answer.look_at.seen, strict=False)
        seen = [{"vehicle": names[one.number], "connector": one.connectors[0], "seen": text} for one, text in firsts]
        look = {"what": answer.look_at.what, "seen": seen}
    counts = verdict_of((), 1).counts
    first = {names[best.candidate.number]: best.study} if best is not None else {}
    document = envelope("identify", inputs, first, verdict=Verdict(None, counts, 0, _sentence(answer, names)))
    return {**document, "candidates": [row for _, row in rows], "look-at": look}


@dataclass(frozen=True)
class BestPlug:
    """The likeliest candidate, its car, and the sheets of its face by file name, where they are drawn."""

    candidate: Candidate
    study: Study
    scenes: Mapping[str, Scene] = field(default_factory=dict)

    @property
    def plug(self) -> str:
        """Its likelier half."""
        return self.candidate.connectors[0]

    def drawn(self, digest: str) -> BestPlug:
        """The same with the drawing of its face; ``digest`` is of the car's file."""
        sheets = draw_target(self.study, self.plug, asked=DrawingAsked(digest=digest))
        scenes = {} if isinstance(sheets, NotDrawn) else {f"{one.name}.svg": one.scene for one in sheets}
        return replace(self, scenes=scenes)

    @property
    def files(self) -> dict[str, bytes]:
        """The drawings by file name."""
        return {name: svg(scene).encode("utf-8") for name, scene in self.scenes.items()}


def car_names(cars: Sequence[Vehicle]) -> list[str]:
    """What to call each car; the file behind the name where two are called the same."""
    count = Counter(car.name for car in cars)
    return [car.name if count[car.name] == 1 else f"{car.name}, {car.netlist.header.file.path}" for car in cars]


def _candidate(one: Candidate, names: Sequence[str]) -> dict[str, Any]:
    return {
        "vehicle": names[one.number],
        "connector": one.connectors[0],
        "probability": round(one.probability, 6),
        "halves": list(one.connectors),
    }


def _seen(question: PlugQuestion) -> str:
    facts = [f"{question.cavities} cavities" if question.cavities != 1 else "1 cavity"] if question.cavities else []
    if question.wires:
        word = "wires from cavity 1 on" if question.in_order else "wires"
        facts.append(f"{word} " + ", ".join(_names(names) for names in question.wires))
    facts += [f"housing {question.housing_colour}"] if question.housing_colour else []
    facts += [f"holds {question.half}"] if question.half else []
    return "; ".join(facts + ([f"at {question.at}"] if question.at else []))


def _names(names: Sequence[str] | None) -> str:
    if names is None:
        return "not readable"
    return "/".join(names) if names else "empty"


def _sentence(answer: PlugAnswer, names: Sequence[str]) -> str:
    if not answer.candidates:
        return "The files hold no plug with wires in it."
    first = [(one.probability, _called(one, names)) for one in answer.candidates[:2]]
    ranked = sorted([*first, (answer.none, "none of these plugs")], key=lambda row: -row[0])
    best, what = ranked[0]
    if best < 0.5:
        return "Not certain: " + ", or ".join(f"{what} ({_percent(share)})" for share, what in ranked[:2]) + "."
    closest = f"; closest is {first[0][1]}" if best == answer.none else ""
    return f"Most likely {what} ({_percent(best)}){closest}."


def _called(one: Candidate, names: Sequence[str]) -> str:
    """The halves, and the car where several were given."""
    plug = " or ".join(one.connectors)
    return f"{plug} ({names[one.number]})" if len(names) > 1 else plug


def _percent(share: float) -> str:
    if share > 0.995:
        return "over 99 %"
    return f"{share:.0%}".replace("%", " %") if share >= 0.005 else "under 1 %"


def _ranking(cars: Sequence[Vehicle], names: Sequence[str], answer: PlugAnswer) -> Table:
    """One row a candidate with the halves that are plugged together, the rest counted."""
    rows: list[tuple[str, str]] = []
    none = (_percent(answer.none), NONE_OF_THESE)
    total, shown = answer.none, 0
    for one in answer.candidates:
        if shown == MOST_SHOWN or (shown >= 3 and total > ENOUGH):
            break
        if none not in rows and answer.none >= one.probability:
            rows.append(none)
        rows.append((_percent(one.probability), f"{_called(one, names)}: {_look_of(cars[one.number], one)}"))
        total, shown = total + one.probability, shown + 1
    if none not in rows:
        rows.append(none)
    if left := len(answer.candidates) - shown:
        rows.append((_percent(max(0.0, 1 - total)), f"{left} other plugs together"))
    return table("What it may be", ("#chance", "plug"), rows)


def _look_of(car: Vehicle, one: Candidate) -> str:
    """``16-way natural, left kick panel``; what a component's plug goes into."""
    row = car.connectors[one.connectors[0]]
    mate = car.connectors.get(car.mate_of.get(row.id, ""))
    part = car.components.get(mate.component or "") if mate is not None else None
    size = f"{len(row.cavities)}-way" if row.cavities is not None else "size not known"
    words = [f"{size} {row.housing_colour}" if row.housing_colour else size]
    words += [f"goes into {part.name or part.id}"] if part is not None else []
    words += ["two halves plugged together"] if len(one.connectors) > 1 else []
    return ", ".join(words + ([row.at] if row.at else []))


def _look(answer: PlugAnswer, names: Sequence[str]) -> Passage | None:
    """The observation that tells the first candidates apart, and which two it does not."""
    look = answer.look_at
    if look is None:
        return None
    firsts = answer.candidates[: len(look.seen)]
    called = [_called(one, names) for one in firsts]
    groups: dict[str, list[str]] = defaultdict(list)
    for plug, seen in zip(called, look.seen, strict=True):
        groups[seen].append(plug)
    aim = "To make sure" if answer.candidates[0].probability > 0.9 else "To tell the first ones apart"
    same = f"It does not tell {called[0]} from {called[1]}." if look.seen[0] == look.seen[1] else ""
    return Passage(
        (Facts(tuple((seen, ", ".join(plugs)) for seen, plugs in groups.items())), *paragraphs(filter(None, [same]))),
        f"{aim}, look at {look.what}:",
    )


def _face(best: BestPlug, names: Sequence[str]) -> Passage:
    """The likelier half cavity by cavity, and its face where it is drawn."""
    name = _called(replace(best.candidate, connectors=(best.plug,)), names)
    drawn = [figure(scene, f"The face of {name}", number) for number, scene in enumerate(best.scenes.values())]
    cells = table(f"Cavities of {name}", ("#cavity", "colour", "circuit"), map(_cell, contents(best.study, best.plug)))
    aside = "" if drawn else " (-o DIR draws its face)"
    return Passage((*drawn, cells), f"{name}, to hold the plug against{aside}:")


def _cell(one: Content) -> tuple[str, str, str]:
    if one.state == EMPTY:
        return one.cavity, "empty", ""
    if one.state == UNKNOWN or not one.wires:
        return one.cavity, "not known", one.circuit
    colour = one.wires[0].colour
    names = "/".join(colour.names) if colour is not None and colour.names else one.colours
    words = names + (f" +{len(one.wires) - 1}" if len(one.wires) > 1 else "")
    return one.cavity, words if colour is not None else "colour not known", one.circuit
