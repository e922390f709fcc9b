"""What a loose plug may be: as text for the bench, and as JSON.

Candidates by falling probability with "none of these" in its place among them,
what tells the first ones apart, and the likeliest plug cavity by cavity.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from harnesscheck.align.identify import Candidate, PlugAnswer, PlugQuestion
from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.finding.sentences import HIGH_VOLTAGE_CAUTION, RESTRAINT_CAUTION
from harnesscheck.compare.plugs.restraint import plug_is_special
from harnesscheck.draw.face import Content, contents
from harnesscheck.draw.targets import DrawingAsked as DrawingAsked
from harnesscheck.draw.targets import NotDrawn, draw_target
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import EMPTY, UNKNOWN
from harnesscheck.network.graph.sides import Label, Study
from harnesscheck.report.document import alignment_document, input_document, verdict_document
from harnesscheck.report.paragraphs import wrapped
from harnesscheck.report.since import FORMAT
from harnesscheck.report.verdict import Verdict, verdict_of

NONE_OF_THESE = "none of these"
MOST_SHOWN = 6
ENOUGH = 0.99  # of the probability; candidates beyond are only counted


def identify_text(
    cars: Sequence[Vehicle], question: PlugQuestion, answer: PlugAnswer, study: Study | None, drawn: Sequence[str]
) -> str:
    """The whole answer. ``study`` is of the likeliest candidate's car; ``drawn`` are the files of its face."""
    lines = [*wrapped(f"You see: {_seen(question)}"), ""]
    if study is None:
        return "\n".join([*lines, "The files hold no plug with wires in it.", ""])
    names = car_names(cars)
    best = answer.candidates[0]
    lines += [*wrapped(_sentence(answer, names)), ""]
    lines += [line for row in _ranking(cars, names, answer) for line in row]
    lines += ["", *_look(answer, names)]
    lines += _face(study, best, names, drawn)
    if _special(study, best):
        lines += ["", *wrapped(RESTRAINT_CAUTION), *wrapped(HIGH_VOLTAGE_CAUTION)]
    return "\n".join(lines) + "\n"


def identify_document(cars: Sequence[Vehicle], answer: PlugAnswer, digests: Sequence[str]) -> dict[str, Any]:
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
    verdict = verdict_of((), 1)
    return {
        "format": FORMAT,
        "command": "identify",
        "inputs": {"vehicles": [input_document(car, sum_) for car, sum_ in zip(cars, digests, strict=True)]},
        "alignment": alignment_document(Pairs()),
        "findings": [],
        "coverage": {},
        "verdict": verdict_document(Verdict(None, verdict.counts, 0, _sentence(answer, names))),
        "candidates": [row for _, row in rows],
        "look-at": look,
    }


def face_files(study: Study, connector: str, digest: str) -> dict[str, bytes]:
    """The face of a plug as SVG, by file name."""
    from harnesscheck.draw.svg import svg

    sheets = draw_target(study, connector, asked=DrawingAsked(digest=digest))
    return {} if isinstance(sheets, NotDrawn) else {f"{one.name}.svg": svg(one.scene).encode("utf-8") for one in sheets}


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


def _ranking(cars: Sequence[Vehicle], names: Sequence[str], answer: PlugAnswer) -> Iterator[list[str]]:
    """One entry a candidate, the halves that are plugged together on one line, the rest counted."""
    total, shown, said = answer.none, 0, False
    for one in answer.candidates:
        if shown == MOST_SHOWN or (shown >= 3 and total > ENOUGH):
            break
        if not said and answer.none >= one.probability:
            yield [f"{_percent(answer.none):>9}  {NONE_OF_THESE}"]
            said = True
        yield _entry(cars[one.number], names, one)
        total, shown = total + one.probability, shown + 1
    if not said:
        yield [f"{_percent(answer.none):>9}  {NONE_OF_THESE}"]
    left = len(answer.candidates) - shown
    if left:
        yield [f"{_percent(max(0.0, 1 - total)):>9}  {left} other plugs together"]


def _entry(car: Vehicle, names: Sequence[str], one: Candidate) -> list[str]:
    lines = wrapped(f"{_called(one, names)}: {_look_of(car, one)}", " " * 11)
    return [f"{_percent(one.probability):>9}  {lines[0].lstrip()}", *lines[1:]]


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


def _look(answer: PlugAnswer, names: Sequence[str]) -> list[str]:
    """The observation that tells the first candidates apart, and which two it does not."""
    look = answer.look_at
    if look is None:
        return []
    firsts = answer.candidates[: len(look.seen)]
    called = [_called(one, names) for one in firsts]
    groups: dict[str, list[str]] = defaultdict(list)
    for plug, seen in zip(called, look.seen, strict=True):
        groups[seen].append(plug)
    aim = "To make sure" if answer.candidates[0].probability > 0.9 else "To tell the first ones apart"
    lines = wrapped(f"{aim}, look at {look.what}:")
    for seen, plugs in groups.items():
        lines += wrapped(f"{seen}: {', '.join(plugs)}", "  ")
    if look.seen[0] == look.seen[1]:
        lines += wrapped(f"It does not tell {called[0]} from {called[1]}.", "  ")
    return [*lines, ""]


def _face(study: Study, best: Candidate, names: Sequence[str], drawn: Sequence[str]) -> list[str]:
    """The likelier half cavity by cavity, or the files that it was drawn in."""
    plug = best.connectors[0]
    name = _called(replace(best, connectors=(plug,)), names)
    if drawn:
        return [f"The face of {name} is drawn in:", *(f"  {file}" for file in drawn)]
    cells = [_cell(one) for one in contents(study, plug)]
    widths = [max((len(cell[column]) for cell in cells), default=0) for column in range(2)]
    lines = wrapped(f"{name}, to hold the plug against (-o DIR draws its face):")
    for cavity, colour, rest in cells:
        lines.append(f"  {cavity:>{widths[0]}}  {colour:{widths[1]}}  {rest}"[:80].rstrip())
    return lines


def _cell(one: Content) -> tuple[str, str, str]:
    if one.state == EMPTY:
        return one.cavity, "empty", ""
    if one.state == UNKNOWN or not one.wires:
        return one.cavity, "not known", one.circuit
    colour = one.wires[0].colour
    names = "/".join(colour.names) if colour is not None and colour.names else one.colours
    words = names + (f" +{len(one.wires) - 1}" if len(one.wires) > 1 else "")
    return one.cavity, words if colour is not None else "colour not known", one.circuit


def _special(study: Study, best: Candidate) -> bool:
    """Whether the likeliest plug is on restraint or high-voltage wiring: then nobody is sent there with a meter."""
    return any(
        plug_is_special(study, plug)
        or any(study.side(plug, cavity).label is Label.RESTRAINT for cavity in study.index.cavities(plug))
        for plug in best.connectors
    )
