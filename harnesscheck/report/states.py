"""The tick sheet of a car: which load is on in which key position, with which control; as blocks and as JSON.

A row is a load, a column a key position; what a control changes stands under the
control. The file has one line for every load that is on in a state, with an empty
column to tick.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from harnesscheck.compare.coverage import NEVER_JUDGED
from harnesscheck.model.order import natural_key
from harnesscheck.model.shortened import shortened
from harnesscheck.network.behaviour.judging import Status, judged
from harnesscheck.network.behaviour.odd import Odd, Shaken
from harnesscheck.network.behaviour.states import SEQUENCE, STAGES, Behaviour, Condition, Settings
from harnesscheck.network.behaviour.ticks import Ticks, tick_sheet
from harnesscheck.report.blocks.vocabulary import (
    AnyBlock,
    BriefOrFull,
    Listing,
    Paragraph,
    Report,
    RowGroup,
    Section,
    Table,
    TableHead,
    heads,
    paragraphs,
    passage,
    present,
    section,
    table,
)
from harnesscheck.report.cars import car_words
from harnesscheck.report.document import envelope
from harnesscheck.report.stops import stop_block

COLUMNS = ("key", "engine", "controls", "load", "expected", "#volts", "seen")
ODD_COLUMNS = ("controls", "load", "was", "now", "#volts", "key", "engine")
SIGN = {Status.ON: "x", Status.DIM: "~", Status.OFF: ".", Status.REVERSED: "<"}
SHORT = {"off": "off", "accessory": "acc", "run": "run", "start": "start", "run again": "again", "running": "eng"}
LEGEND = (
    "x on, ~ dim, < fed backwards, . off, by nominal volts; again: run after start; eng: key at run, engine running"
)
_BECOMES = {
    (Status.ON, Status.OFF): "dead",
    (Status.DIM, Status.OFF): "dead",
    (Status.ON, Status.DIM): "only dim",
    (Status.OFF, Status.DIM): "glows, was off",
    (Status.OFF, Status.ON): "on, was off",
    (Status.OFF, Status.REVERSED): "fed backwards, was off",
    (Status.ON, Status.REVERSED): "fed backwards",
}
_RANK = ("dead", "fed backwards", "fed backwards, was off", "only dim", "on, was off")
_SHOWN = 6  # loads named in one line; all are in the files
_LEAST_A = 0.0005


@dataclass(frozen=True, slots=True)
class Opened:
    """What was taken out of the car, and what goes odd with it out."""

    names: tuple[str, ...]
    odd: tuple[Odd, ...]
    shaken: tuple[Shaken, ...]


@dataclass(frozen=True)
class TickSheet:
    """One car's states. ``word`` says which car of a swap it is: ``vehicle``, ``donor``, ``shell``, ``assembled``."""

    behaviour: Behaviour
    word: str = "vehicle"
    opened: Opened | None = None

    @cached_property
    def ticks(self) -> tuple[Ticks, ...]:
        """One row a state."""
        return tick_sheet(self.behaviour)


def states_report(sheet: TickSheet, inputs: Mapping[str, Any]) -> Report:
    """The tick sheet, or with something taken out what goes odd."""
    vehicle = sheet.behaviour.study.vehicle
    if sheet.opened is None:
        title = f"{vehicle.name}: what is on when"
        blocks = present(
            stop_block(sheet.behaviour.study),
            Paragraph(LEGEND),
            _at_rest(sheet),
            _controls(sheet),
            _everything(sheet),
            _restless(sheet),
            _rests(sheet),
        )
    else:
        title = f"{vehicle.name}: what goes odd with {', '.join(sheet.opened.names)} open"
        blocks = present(stop_block(sheet.behaviour.study), _odd(sheet, sheet.opened), _rests(sheet))
    return Report(title, ((sheet.word, car_words(vehicle)),), blocks, inputs)


# -- the sheet


def _signs(sheet: TickSheet, settings: Settings, stages: Sequence[str]) -> dict[str, str]:
    """By load, one sign a stage."""
    loads = sheet.behaviour.circuit.loads
    rows = {stage: sheet.behaviour.state(Condition(stage, settings)).load_volts.tolist() for stage in stages}
    return {
        load.label: "".join(SIGN[judged(load, rows[stage][number]).status] for stage in stages)
        for number, load in enumerate(loads)
        if not load.pwm
    }


def _stages(stages: Sequence[str]) -> tuple[TableHead, ...]:
    return heads("", *(f"#{SHORT[stage]}" for stage in stages))


def _rows(signs: Mapping[str, str], labels: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    return tuple((label, *signs[label]) for label in sorted(labels, key=natural_key))


def _at_rest(sheet: TickSheet) -> Section | None:
    signs = _signs(sheet, (), SEQUENCE)
    rows = _rows(signs, (label for label, states in signs.items() if set(states) != {"."}))
    shown = Table("With nothing touched", _stages(SEQUENCE), (RowGroup("", rows),))
    return section("Nothing touched", shown if rows else Paragraph("nothing is on"))


def _controls(sheet: TickSheet) -> Section | None:
    """What every setting alone changes, and what only several together turn on."""
    rest = _signs(sheet, (), STAGES)
    groups, idle = [], []
    for setting in sheet.behaviour.settings:
        signs = _signs(sheet, (setting,), STAGES)
        rows = _rows(signs, (label for label in signs if signs[label] != rest[label]))
        words = _setting_words((setting,))
        if rows:
            groups.append(RowGroup(words, rows))
        else:
            idle.append(words)
    groups += _combinations(sheet)
    return section(
        "What controls change",
        Table("With controls", _stages(STAGES), tuple(groups)) if groups else None,
        Paragraph(f"Alone these change nothing: {', '.join(idle)}") if idle else None,
    )


def _combinations(sheet: TickSheet) -> Iterator[RowGroup]:
    behaviour = sheet.behaviour
    needed: dict[Settings, set[int]] = {}
    for stage in STAGES:
        for load, settings in behaviour.combinations(stage).items():
            needed.setdefault(settings, set()).add(load)
    for settings in sorted(needed, key=_settings_key):
        signs = _signs(sheet, settings, STAGES)
        labels = {behaviour.circuit.loads[load].label for load in needed[settings]} & signs.keys()
        yield RowGroup(_setting_words(settings), _rows(signs, labels))


def _settings_key(settings: Settings) -> Any:
    return [natural_key(f"{control}={position}") for control, position in settings]


def _setting_words(settings: Settings) -> str:
    ordered = sorted(settings, key=lambda one: natural_key(one[0]))
    return " + ".join(f"{control}={position}" for control, position in ordered)


def _everything(sheet: TickSheet) -> Section | None:
    settings = sheet.behaviour.everything_on
    if not settings:
        return None
    found = {row.condition: row for row in sheet.ticks}
    amps = found[Condition("running", settings)].battery_a
    return section(
        "Everything on",
        Paragraph(f"{amps:.1f} A with {_setting_words(settings)}"),
        says="night, rain, winter; engine running",
    )


def _restless(sheet: TickSheet) -> Section | None:
    """Relays that hunt or stay in, each in the first state that shows it."""
    told: dict[str, str] = {}
    for row in sheet.ticks:
        for relay in row.hunting:
            told.setdefault(relay, f"{relay} does not come to rest with {row.condition}")
        for relay in row.held:
            told.setdefault(relay, f"{relay} stays in after {row.condition} is let go")
    return section("Relays that do not rest", *paragraphs(told[relay] for relay in sorted(told, key=natural_key)))


# -- with something taken out


def _odd(sheet: TickSheet, opened: Opened) -> Section | None:
    everything = sheet.behaviour.everything_on
    groups: dict[Settings, list[Odd]] = {}
    for one in opened.odd:
        groups.setdefault(one.settings, []).append(one)
    passages: list[AnyBlock | None] = []
    for settings in sorted(groups, key=lambda one: (len(one), _settings_key(one))):
        words = "everything on" if settings == everything else _setting_words(settings)
        brief, full = (Listing(tuple(_odd_items(groups[settings], most))) for most in (_SHOWN, len(opened.odd)))
        passages.append(passage(BriefOrFull((brief,), (full,)), head=words or "nothing touched"))
    for each in opened.shaken:
        what = f"stays in after {each.condition} is let go" if each.held else f"hunts with {each.condition}"
        passages.append(passage(Paragraph(f"{each.component} {what}")))
    return section(
        "What goes odd",
        *(passages or [Paragraph("nothing goes odd")]),
        says=f"{', '.join(opened.names)} open, against the car as it is",
    )


def _odd_items(found: Sequence[Odd], most: int) -> Iterator[str]:
    """What goes odd with the same controls worked: the dead first, what only glows last."""
    groups: dict[tuple[str, tuple[str, ...]], list[Odd]] = {}
    for one in found:
        words = _BECOMES.get((one.was, one.now)) or f"{one.now.value} instead of {one.was.value}"
        groups.setdefault((words, one.stages), []).append(one)
    for words, stages in sorted(groups, key=_odd_key):
        labels = sorted(map(_odd_words, groups[words, stages]), key=natural_key)
        yield f"{words}, {_stage_words(stages)}: {shortened(labels, most)}"


def _odd_key(group: tuple[str, tuple[str, ...]]) -> tuple[int, str, tuple[int, ...]]:
    words, stages = group
    rank = _RANK.index(words) if words in _RANK else len(_RANK)
    return rank, words, tuple(SEQUENCE.index(stage) for stage in stages)


def _odd_words(one: Odd) -> str:
    volts = f" {abs(one.volts):.1f} V" if one.now is not Status.OFF else ""
    return f"{one.load}{volts}" + (" (close to a limit)" if one.close else "")


def _stage_words(stages: Sequence[str]) -> str:
    if set(STAGES) <= set(stages):
        return "whatever the key"
    return "key " + ", ".join(SHORT[stage] for stage in stages)


def _rests(sheet: TickSheet) -> Section | None:
    told = (*not_judged(sheet), *(f"assumed: {one}" for one in sheet.behaviour.circuit.assumptions))
    return section(
        "What this rests on",
        Listing(told),
        Paragraph(
            "Computed from the file at direct current. An aid, not an approval; restraint wiring is never probed."
        ),
    )


def not_judged(sheet: TickSheet) -> list[str]:
    """What the sheet cannot say, in sentences."""
    circuit = sheet.behaviour.circuit
    idle = sorted((circuit.loads[number].label for number in sheet.behaviour.not_exercised), key=natural_key)
    pulsed = sorted((load.label for load in circuit.loads if load.pwm), key=natural_key)
    found = [f"nothing turns on, not exercised: {', '.join(idle)}"] if idle else []
    found += [f"fed in pulses, not judged by direct current: {', '.join(pulsed)}"] if pulsed else []
    found += [f"{component} is not judged: {why}" for component, why in circuit.unjudged]
    if not sheet.behaviour.study.reach.sources:
        found.append("no battery in the file: nothing can be on")
    return [*found, *(f"not judged: {text}" for text in NEVER_JUDGED)]


# -- files


def ticks_table(sheet: TickSheet) -> Table:
    """One line for every load that is on, dim or backwards in a state, in the order of the states.

    Where controls are worked, only what they change at that key position.
    """
    loads = {load.label: number for number, load in enumerate(sheet.behaviour.circuit.loads)}
    rest = {row.condition.stage: _expected(row) for row in sheet.ticks if not row.condition.settings}
    rows = []
    for row in sheet.ticks:
        volts = sheet.behaviour.state(row.condition).load_volts
        expected = _expected(row)
        if row.condition.settings:
            before = rest[row.condition.stage]
            went_off = dict.fromkeys(before.keys() - expected.keys(), "off")
            expected = {label: word for label, word in expected.items() if before.get(label) != word} | went_off
        state = _condition_words(row.condition)
        rows += [
            (*state, label, expected[label], f"{volts[loads[label]]:.1f}", "")
            for label in sorted(expected, key=natural_key)
        ]
    return table("Tick sheet", COLUMNS, rows)


def _expected(row: Ticks) -> dict[str, str]:
    """By load that is not off, what it does."""
    kinds = (("on", row.on), ("dim", row.dim), ("backwards", row.reversed))
    return {label: word for word, labels in kinds for label in labels}


def odd_table(opened: Opened) -> Table:
    """One line for every load that goes odd with something out, and the key positions it does so in."""
    rows = [
        (
            _setting_words(one.settings),
            one.load,
            one.was.value,
            one.now.value,
            f"{one.volts:.1f}",
            " / ".join(_condition_words(Condition(stage))[0] for stage in one.stages if stage != "running"),
            "running too" if "running" in one.stages else "",
        )
        for one in opened.odd
    ]
    return table("What goes odd", ODD_COLUMNS, rows)


def _condition_words(condition: Condition) -> tuple[str, str, str]:
    """The key, the engine, the controls."""
    key = "run, after start" if condition.stage == "run again" else condition.key
    return key, "running" if condition.running else "standing", _setting_words(condition.settings)


def states_document(sheet: TickSheet, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The JSON report: every state with what is on in it."""
    circuit = sheet.behaviour.circuit
    coverage = {"assumed": list(circuit.assumptions), "not-judged": not_judged(sheet)}
    document = envelope("states", inputs, {"donor": sheet.behaviour.study}, coverage=coverage)
    document["states"] = [_state_document(row) for row in sheet.ticks]
    if sheet.opened is not None:
        document["opened"] = list(sheet.opened.names)
        document["odd"] = [_odd_document(one) for one in sheet.opened.odd]
        document["restless"] = [
            {"component": one.component, "held": one.held, **_key_document(one.condition)}
            for one in sheet.opened.shaken
        ]
    return document


def _key_document(condition: Condition) -> dict[str, Any]:
    return {
        "key": condition.key,
        "running": condition.running,
        "after-start": condition.stage == "run again",
        "controls": dict(condition.settings),
    }


def _state_document(row: Ticks) -> dict[str, Any]:
    return {
        **_key_document(row.condition),
        "on": sorted(row.on, key=natural_key),
        "dim": sorted(row.dim, key=natural_key),
        "reversed": sorted(row.reversed, key=natural_key),
        "held": sorted(row.held, key=natural_key),
        "hunting": sorted(row.hunting, key=natural_key),
        "close": sorted(row.close, key=natural_key),
        "amps": round(row.battery_a, 3) if row.battery_a >= _LEAST_A else 0.0,
    }


def _odd_document(one: Odd) -> dict[str, Any]:
    return {
        "load": one.load,
        "was": one.was.value,
        "now": one.now.value,
        "volts": round(one.volts, 3),
        "stages": list(one.stages),
        "controls": dict(one.settings),
        "close": one.close,
    }
