"""The judge of restraint and high voltage: who is meant, where a mark goes, where it ends, and why.

Common practice, no source, for what such parts are called and coloured; orange for high voltage: UN Regulation No. 100.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace

import pytest
from builders.rows import bare
from cars.marked import HIGH_VOLTAGE_WAYS, RESTRAINT_WAYS, SPECIAL_CONTACTS, SUSPECTED_WAYS, marked_van

from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import HandsOff, is_marked

Ways = Mapping[str, str]
WAYS = [
    (said, level)
    for ways, level in (
        (RESTRAINT_WAYS, "restraint known"),
        (SUSPECTED_WAYS, "restraint suspected"),
        (HIGH_VOLTAGE_WAYS, "high-voltage known"),
    )
    for said in ways.values()
]
TABLES = ("pins", "wires", "connectors", "components", "splices", "circuits", "grounds", "harnesses")


def marked(study: Study) -> dict[str, str]:
    """The marked contacts with their hazards and levels."""
    judge = study.hands_off
    found = {f"{plug}:{cavity}": judge.contact(plug, cavity) for plug, cavity in study.index.cavity}
    return {at: " ".join(f"{one.hazard} {one.level}" for one in marks) for at, marks in found.items() if marks}


def reasons(judge: HandsOff) -> set[str]:
    """Why anything is marked."""
    return {mark.why for marks in (*judge.parts.values(), *judge.plugs.values()) for mark in marks}


# -- who is meant


@pytest.mark.parametrize(("said", "level"), WAYS, ids=str)
def test_one_word_or_one_colour_anywhere_marks_both_wires_from_end_to_end(said: Ways, level: str) -> None:
    """Through the plug and the splice, at both halves of every plug, whichever end says it; with a reason."""
    study = bare(marked_van(**said))
    found = marked(study)
    whole_module = {f"{plug}:{n}" for plug in ("u1H", "u1-A") for n in (1, 2, 3)}

    assert set(found) >= SPECIAL_CONTACTS
    assert set(found) - SPECIAL_CONTACTS <= (whole_module if study.hands_off.part("u1") else set())
    assert set(found.values()) == {level}
    assert "u2" in study.hands_off.parts
    assert all(reasons(study.hands_off))
    assert is_marked(study.vehicle)


def test_an_ordinary_car_has_no_marks_at_all() -> None:
    study = bare(marked_van())
    assert not study.hands_off.any
    assert not is_marked(study.vehicle)
    assert marked(study) == {} and study.hands_off.plugs == {} and study.hands_off.harnesses == {}


@pytest.mark.parametrize(
    "said",
    [
        {"part": 'name="Air suspension bag valve"'},
        {"part": 'name="Luggage bag lamp"'},
        {"module": 'name="Seat belt chime"'},
        {"far": 'function="seat belt lamp"'},
        {"plug": 'housing-colour="yellow" at="under the bonnet"'},
        {"plug": 'housing-colour="yellow" at="under left seat"', "circuit": 'class="signal"'},
        {"far": 'note="orange"'},
    ],
    ids=str,
)
def test_what_only_looks_alike_is_ordinary(said: Ways) -> None:
    """A bag of a suspension, a belt's chime, a yellow plug elsewhere or with circuits told to be ordinary."""
    assert not bare(marked_van(**said)).hands_off.any


@pytest.mark.parametrize(
    ("size", "level"), [("2.5", ""), ("16", "high-voltage suspected"), ("35", "high-voltage suspected")]
)
def test_an_orange_cable_is_suspected_from_16_mm2(size: str, level: str) -> None:
    rows = marked_van().replace('colour="GN" size="0.5" length="0.4"', f'colour="OG" size="{size}" length="0.4"')
    assert marked(bare(rows)).get("u2H:1", "") == level


# -- where a mark goes, and where it ends


def test_the_plug_that_such_wires_share_is_told_with_its_ordinary_contacts() -> None:
    judge = bare(marked_van(**RESTRAINT_WAYS["system"])).hands_off

    assert judge.is_shared("X") and judge.is_shared("Y") and not judge.whole("X")
    assert judge.cavities("Y") == ("1", "2") and judge.ordinary_cavities("X") == ("3",)
    assert judge.whole("u2H") and judge.whole("u2-A") and not judge.is_shared("u2H")
    assert not judge.contact("X", "3") and judge.plug("X")
    assert judge.contact("u2H", "9"), "an empty cavity of a plug that is such as a whole"
    assert not judge.contact("X", "4"), "of a shared one it is not"
    assert list(judge.harnesses) == ["body", "floor"] == list(judge.harnesses_joined)


def test_a_mark_ends_at_ground_at_a_shared_feed_and_at_a_shared_data_line() -> None:
    """All contacts of the module are marked; the radio on its feed and its data line, the fuse, the stud are not."""
    study = bare(marked_van(module='name="Unit 1" system="restraint"'))
    judge, found = study.hands_off, marked(study)

    assert {f"u1H:{n}" for n in range(1, 6)} <= set(found)
    assert not {at for at in found if at.startswith(("radio", "F1", "F2", "B", "lamp", "battery"))}
    assert not judge.node(study.index.point["G1"]) and not judge.node(study.index.point["S1"])
    assert judge.node(study.index.point["S2"])
    assert not judge.part("radio") and not judge.part("F1")


def test_a_feed_of_its_own_is_marked_as_far_as_its_fuse() -> None:
    rows = marked_van(module='name="Unit 1" system="restraint"').replace('circuit="15" to="F1H:2"', 'circuit="15"')
    found = marked(bare(rows))

    assert {"u1H:1", "F1H:2", "F1-A:2"} <= set(found)
    assert not {"F1H:1", "F1-A:1", "radioH:1", "BH:1"} & set(found)


def test_high_voltage_goes_through_its_own_fuse_and_restraint_does_not() -> None:
    fuse = """<component id="F9" kind="fuse" rating="100"><pin terminal="1" to="S3"/>
<pin terminal="2" to="S4"/></component>
<splice id="S3" harness="floor"/><splice id="S4" harness="floor"/><connector id="Z" harness="floor" cavities="2">
<pin cavity="1" to="S3" circuit="Q" {}/><pin cavity="2" to="S4"/></connector>"""
    for hazard, through in (("high-voltage", True), ("restraint", False)):
        study = bare(f'<circuit id="Q" class="{hazard}"/><harness id="floor"/>' + fuse.format(""))
        assert study.hands_off.contact("Z", "1")
        assert bool(study.hands_off.contact("Z", "2")) is through


def test_two_hazards_stand_beside_each_other() -> None:
    judge = bare(marked_van(circuit='class="high-voltage"', part='name="Driver squib"')).hands_off
    assert [mark.hazard for mark in judge.contact("X", "1")] == ["restraint", "high-voltage"]


def test_what_is_known_stands_above_what_is_suspected() -> None:
    """The yellow plug alone asks; the file's own word decides, and gives the reason."""
    said = {**SUSPECTED_WAYS["yellow under the seat"], **RESTRAINT_WAYS["class"]}
    (mark,) = bare(marked_van(**said)).hands_off.contact("X", "1")
    assert mark.known and "class restraint" in mark.why


# -- questions about what an edit or a list names


def test_ends_and_rows_are_judged_as_contacts_are() -> None:
    study = bare(marked_van(**RESTRAINT_WAYS["name"]))
    judge = study.hands_off
    rows = {f"{row.connector}:{row.cavity}": row for row in study.vehicle.netlist.pins if row.connector}

    assert judge.end("X:1") and judge.end("S2") and judge.end("u2") and not judge.end("X:3")
    assert not judge.end("G1") and not judge.end("lamp") and not judge.end("nowhere")
    assert judge.row(rows["u1H:4"]) and judge.row(rows["Y:1"]) and not judge.row(rows["Y:3"])
    assert not judge.row(rows["u1H:2"]), "a ground wire of an ordinary module"


# -- laws


@pytest.mark.parametrize(
    "said", [RESTRAINT_WAYS["near end"], RESTRAINT_WAYS["system airbag"], HIGH_VOLTAGE_WAYS["class"]]
)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_order_of_rows_alters_neither_marks_nor_reasons(said: Ways, seed: int) -> None:
    study = bare(marked_van(**said))
    netlist, rng = study.vehicle.netlist, random.Random(seed)
    mixed = {name: tuple(rng.sample(getattr(netlist, name), len(getattr(netlist, name)))) for name in TABLES}
    other = Study(Vehicle(replace(netlist, **mixed)))

    assert marked(other) == marked(study)
    assert other.hands_off.plugs == study.hands_off.plugs and other.hands_off.parts == study.hands_off.parts
    assert other.hands_off.harnesses == study.hands_off.harnesses
