"""A filled-in sheet read back: how a reading may be written, what it is by itself, what explains the wrong ones."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest
from builders.benchcars import study_of
from builders.loomnodes import rows_of
from builders.simulated import Simulated
from cars.car import vehicle_of
from cars.generate import make_car
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.bench.readings.causewords import told
from harnesscheck.bench.readings.explanations import explain
from harnesscheck.bench.readings.filled import (
    DOUBTFUL,
    GOOD,
    OPEN,
    PART,
    SHORTED,
    FilledSheet,
    MeterReading,
    judge,
    matched,
    read_reading,
    read_sheet,
)
from harnesscheck.bench.readings.loomfaults import LEFT_IN, Bench
from harnesscheck.bench.ringout.measurements import GROUPS, PAIRS, Measurement, Ringout, ring_out
from harnesscheck.bench.ringout.ringsheet import HEAD_LINES, reading_table
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.lumping import circuit_of
from harnesscheck.write.spreadsheets import grid_csv, workbook

JOINT = Measurement(1, "continuity", "here", (0,), (1,), "A:1", "B:1", True)
APART = Measurement(2, "isolation", "here", (0,), (1,), "A:1", "B:2", False)


# -- one reading


@pytest.mark.parametrize(
    ("text", "ohm"),
    [
        ("0.3", 0.3), ("0,3", 0.3), (".3", 0.3), (" 0.3 ohm ", 0.3), ("0.3 Ω", 0.3), ("0.3\u2126", 0.3),
        ("0.3 ohms.", 0.3), ("12k", 12e3), ("4k7", 4.7e3), ("0R3", 0.3), ("1.2 kOhm", 1.2e3), ("2 M", 2e6),
        ("1,5 MΩ", 1.5e6), ("1 000", 1e3),
        ("1.234,5", 1234.5), ("1,234.5", 1234.5), ("1,000,000", 1e6), ("0,300", 0.3), ("~0.3", 0.3), ("= 2", 2.0),
        ("OL", math.inf), ("o.l.", math.inf), ("open", math.inf), ("∞", math.inf), (">1M", math.inf),
        ("> 20 MΩ", math.inf), ("OL Ω", math.inf), ("0L", math.inf), ("over range", math.inf),
    ],
)  # fmt: skip
def test_forgiving_about_how_it_is_written(text: str, ohm: float) -> None:
    reading = read_reading(text)

    assert isinstance(reading, MeterReading) and reading.ohm == ohm and not reading.bound


@pytest.mark.parametrize("text", ["", " ", "-", "--", "n/a", "not measured", "N/A", "\u00a0"])
def test_nothing_is_not_measured(text: str) -> None:
    assert read_reading(text) is None


@pytest.mark.parametrize(
    "text",
    ["ok", "yes", "beep", "✓", "20 mohm", "1m", "1,500", "12 V", "0.3 A", "0.3/0.4", "-0.3", "1e3", "0.3 0.4 x",
     "1.2.3", "<>3", "nan", "1,2,3", "0x10", "M"],
)  # fmt: skip
def test_strict_about_what_it_means(text: str) -> None:
    """A tick or a beep is no reading, milli or mega and comma or thousands are not guessed, volts are not ohms."""
    assert isinstance(read_reading(text), str)


def test_a_decimal_comma_file_settles_the_comma() -> None:
    reading = read_reading("1,500", decimal_comma=True)

    assert isinstance(reading, MeterReading) and reading.ohm == 1.5


@given(st.floats(0, 1e7, allow_nan=False).map(lambda ohm: round(ohm, 2)), st.booleans())
@settings(max_examples=200, deadline=None)
def test_whatever_is_shown_reads_back(ohm: float, comma: bool) -> None:
    """A reading as we print it, with point or comma, is the same reading."""
    text = str(MeterReading(ohm))
    again = read_reading(text.replace(".", ",") if comma else text, decimal_comma=comma)

    assert isinstance(again, MeterReading)
    assert again.ohm == pytest.approx(ohm, rel=1e-5)


@given(st.text(max_size=12))
@settings(max_examples=300, deadline=None)
def test_any_text_is_a_reading_blank_or_a_fault(text: str) -> None:
    """No text raises, and no reading is less than nothing."""
    reading = read_reading(text)

    assert reading is None or isinstance(reading, str) or reading.ohm >= 0


@pytest.mark.parametrize(
    ("text", "joint", "apart"),
    [
        ("0", GOOD, SHORTED), ("0.5", GOOD, SHORTED), ("0.51", PART, PART), ("2", PART, PART),
        ("2.1", DOUBTFUL, DOUBTFUL), ("47k", DOUBTFUL, DOUBTFUL),
        ("1M", DOUBTFUL, DOUBTFUL), ("1.01M", OPEN, GOOD), ("OL", OPEN, GOOD),
        (">1M", OPEN, GOOD), (">200", DOUBTFUL, DOUBTFUL), ("<0.5", GOOD, SHORTED), ("<1", DOUBTFUL, DOUBTFUL),
    ],
)  # fmt: skip
def test_what_a_reading_is_by_itself(text: str, joint: str, apart: str) -> None:
    """At most 0.5 ohm joined, 0.5 to 2 a part left in, over 1 Mohm apart, doubtful between: workshop practice."""
    reading = read_reading(text)
    assert isinstance(reading, MeterReading)

    assert (judge(JOINT, reading).verdict, judge(APART, reading).verdict) == (joint, apart)


@given(st.floats(0, 2e6), st.floats(0, 2e6))
def test_more_ohms_are_never_more_joined(one: float, other: float) -> None:
    """Judging is monotone: joined, through a part, between, apart."""
    order = ["joined", "part", "between", "apart"]
    low, high = sorted((one, other))

    for row in (JOINT, APART):
        assert order.index(judge(row, MeterReading(low)).seen) <= order.index(judge(row, MeterReading(high)).seen)


# -- the sheet


@pytest.fixture(scope="module")
def ringout() -> Ringout:
    return ring_out(Study(vehicle_of(make_car(7, 16))))


def written(ringout: Ringout, reads: list[str], digest: str = "0" * 12) -> list[list[str]]:
    table = reading_table(ringout, digest)
    for row, read in zip(table[4:], reads, strict=True):
        row[5] = read
    return table


def read_back(path: Path) -> FilledSheet:
    sheet = read_sheet(path)
    assert isinstance(sheet, FilledSheet), sheet
    return sheet


def test_csv_and_workbook_read_the_same(ringout: Ringout, tmp_path: Path) -> None:
    """Any mixture of readings comes back, from either form, in any order of the lines."""
    rng = random.Random(2)
    reads = [rng.choice(["0.3", "0,3", "OL", "", ">1M", "1.2 ohm", "47k"]) for _ in ringout.measurements]
    table = written(ringout, reads)
    (tmp_path / "a.csv").write_text(grid_csv(table), encoding="utf-8")
    shuffled = table[:4] + rng.sample(table[4:], len(table) - 4)
    (tmp_path / "b.csv").write_text(grid_csv(shuffled).replace("\n", "\r\n"), encoding="utf-8-sig")
    (tmp_path / "c.xlsx").write_bytes(workbook({"unplug first": [["a"]], "ring-out": table}, {"ring-out": HEAD_LINES}))
    sheets = [read_back(tmp_path / name) for name in ("a.csv", "b.csv", "c.xlsx")]
    found = [matched(ringout, sheet, older=False) for sheet in sheets]

    assert all(sheet.digest == "0" * 12 and sheet.plan == PAIRS for sheet in sheets)
    assert isinstance(found[0], tuple)
    assert found[0] == found[1] == found[2]
    assert [one.reading for one in found[0][0]] == [read_reading(text) for text in reads]


def test_a_workbook_with_numbers_in_cells(ringout: Ringout, tmp_path: Path) -> None:
    """A spreadsheet that keeps 0.3 as a number gives 0.3."""
    from openpyxl import Workbook

    book = Workbook()
    for row in written(ringout, ["0.3"] * len(ringout.measurements)):
        book.active.append([0.3 if cell == "0.3" else cell for cell in row])  # type: ignore[union-attr]
    book.save(tmp_path / "n.xlsx")

    assert {str(row.reading) for row in read_back(tmp_path / "n.xlsx").rows} == {"0.3 ohm"}


def test_all_bad_readings_come_at_once_with_their_lines(ringout: Ringout, tmp_path: Path) -> None:
    reads = ["ok", "20 mohm", *["0.1"] * (len(ringout.measurements) - 2)]
    (tmp_path / "bad.csv").write_text(grid_csv(written(ringout, reads)), encoding="utf-8")
    faults = read_sheet(tmp_path / "bad.csv")

    assert isinstance(faults, list)
    assert [(fault.place.line, fault.read) for fault in faults] == [(5, "ok"), (6, "20 mohm")]
    assert "mega" in faults[1].expected


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "from,to\nA,B\n", "\x00\x01"])
def test_what_is_no_sheet_is_said(text: str, tmp_path: Path) -> None:
    (tmp_path / "no.csv").write_text(text, encoding="utf-8")

    assert isinstance(read_sheet(tmp_path / "no.csv"), list)


def test_lines_that_were_edited_are_refused_and_passed_over_of_an_older_sheet(ringout: Ringout, tmp_path: Path) -> None:
    table = written(ringout, ["0.1"] * len(ringout.measurements))
    table[4][2] = "C999:1"
    (tmp_path / "e.csv").write_text(grid_csv(table), encoding="utf-8")
    sheet = read_back(tmp_path / "e.csv")
    refused, taken = (matched(ringout, sheet, older=older) for older in (False, True))

    assert isinstance(refused, list) and "C999:1" in str(refused[0])
    assert isinstance(taken, tuple) and taken[1] == 1


def test_two_readings_of_one_pair_must_agree(ringout: Ringout, tmp_path: Path) -> None:
    table = written(ringout, ["0.1"] * len(ringout.measurements))
    twice = [*table, [*table[4][:5], "OL", ""]]
    (tmp_path / "t.csv").write_text(grid_csv(twice), encoding="utf-8")
    faults = matched(ringout, read_back(tmp_path / "t.csv"), older=False)

    assert isinstance(faults, list) and len(faults) == 1


# -- explanations


ROWS = """<circuit id="A"/><circuit id="B"/><circuit id="C"/><circuit id="D"/><harness id="b"/><harness id="d"/>
<component id="lamp" kind="lamp" watts="21"><connector id="LA" cavities="2"><pin cavity="1" terminal="+"/>
<pin cavity="2" terminal="-"/></connector></component>
<connector id="P" harness="b" cavities="4"><pin cavity="1" circuit="A" to="X:1"/><pin cavity="2" circuit="B" to="X:2"/>
<pin cavity="3" circuit="C" to="X:3"/><pin cavity="4" circuit="D" to="X:4"/></connector>
<connector id="X" harness="b" cavities="4" mates="XD" half="pins" at="sill"/>
<connector id="XD" harness="d" cavities="4" half="sockets"><pin cavity="1" circuit="A" to="Q:1"/>
<pin cavity="2" circuit="B" to="Q:2"/><pin cavity="3" circuit="C" to="LH:1"/><pin cavity="4" circuit="D" to="LH:2"/>
</connector><connector id="Q" harness="d" cavities="2"/><connector id="LH" harness="d" cavities="2" mates="LA"/>"""


def explained(study: Study, reads: dict[tuple[str, str], str], plan: str = PAIRS) -> list[list[set[str]]]:
    """By group, the words of the faults of every explanation; lines that are not named read well."""
    circuit = circuit_of(study)
    ringout = ring_out(study, plan, circuit)
    named = {frozenset((one.from_, one.to)) for one in ringout.measurements}
    assert {frozenset(pair) for pair in reads} <= named, named
    by_pair = {frozenset(pair): text for pair, text in reads.items()}
    judged = []
    for one in ringout.measurements:
        text = by_pair.get(frozenset((one.from_, one.to)), "0.1" if one.joined else "OL")
        reading = read_reading(text)
        assert not isinstance(reading, str)
        judged.append(judge(one, reading))
    return [[set(cause.faults) for cause in group.causes] for group in told(Bench(ringout, circuit, judged))]


def test_good_readings_need_no_explanation(tmp_path: Path) -> None:
    assert explained(study_of(ROWS, tmp_path), {}) == []


def test_a_crossed_pair_is_one_fault_not_two_open_wires(tmp_path: Path) -> None:
    """Two joints open and nothing else wrong: two contacts in each other's cavity, at any of the plugs on the way."""
    (group,) = explained(study_of(ROWS, tmp_path), {("P:1", "Q:1"): "OL", ("P:2", "Q:2"): "OL"})

    assert [next(iter(words)).split(" crossed")[0] for words in group] == [
        "P:1 and P:2", "Q:1 and Q:2", "X:1 and X:2", "XD:1 and XD:2",
    ]  # fmt: skip


def test_0_5_to_2_ohm_is_a_lamp_left_in_not_a_short(tmp_path: Path) -> None:
    """Between the lamp's two wires 0.7 ohm: the lamp; 0.1 ohm: a short, or the lamp if it reads so little."""
    study = study_of(ROWS, tmp_path)
    (lamp,) = explained(study, {("LH:1", "LH:2"): "0.7"})
    (short,) = explained(study, {("LH:1", "LH:2"): "0.1"})

    assert lamp[0] == {"lamp left plugged in"}
    assert not any("touch" in word for words in lamp for word in words)
    assert any("touch" in word for words in short for word in words)


def test_a_bad_joint_is_told_from_an_open_one(tmp_path: Path) -> None:
    """0.9 ohm where half an ohm is the most: a bad joint; OL: open."""
    study = study_of(ROWS, tmp_path)
    (bad,) = explained(study, {("P:1", "Q:1"): "0.9"})
    (broken,) = explained(study, {("P:1", "Q:1"): "OL"})

    assert len(bad) == len(broken) > 4
    assert all("bad joint" in word for words in bad for word in words)
    assert all(" open: " in word for words in broken for word in words)


def test_what_the_file_only_takes_to_be_so_is_said(tmp_path: Path) -> None:
    """A joint by circuit name may never have been there; what touches a wire of unknown end may do so rightly."""
    likely = """<harness id="b"/><connector id="P" harness="b" cavities="1"><pin cavity="1" circuit="R"/></connector>
    <connector id="Q" harness="b" cavities="1"><pin cavity="1" circuit="R"/></connector>"""
    unknown = """<harness id="b"/><connector id="P" harness="b" cavities="2"><pin cavity="1" circuit="R" to="Q:1"/>
    <pin cavity="2" circuit="T" to="S1"/></connector><splice id="S1" harness="b"/>
    <connector id="Q" harness="b" cavities="2"><pin cavity="2" circuit="T" to="S1"/></connector>
    <connector id="N" harness="b" cavities="1"><pin cavity="1" circuit="T"/></connector>"""
    (open_,) = explained(study_of(likely, tmp_path), {("P:1", "Q:1"): "OL"})
    (short,) = explained(study_of(unknown, tmp_path), {("P:1", "P:2"): "0.1"})

    assert any("only takes it to be so" in word for words in open_ for word in words)
    assert any("or rightly so" in word for words in short for word in words)


def test_faults_far_apart_are_explained_one_by_one() -> None:
    """Two faults in different places give two groups of one fault each, whichever they are."""
    study = Study(vehicle_of(make_car(11, 60)))
    circuit = circuit_of(study)
    ringout = ring_out(study, PAIRS, circuit)
    simulated, rows = Simulated(study.vehicle), rows_of(ringout)
    sound = simulated.shows(rows)
    rng = random.Random(3)
    opens = [fault for fault in simulated.single_faults() if fault[0] == "open" and simulated.changes_partition(fault)]
    crossed = [fault for fault in simulated.single_faults() if fault[0] == "crossed"]
    tried = 0
    while tried < 15:
        one, other = rng.choice(opens), rng.choice(crossed)
        if simulated.touched(one) & simulated.touched(other) or simulated.shows(rows, other) == sound:
            continue
        tried += 1
        seen = simulated.shows(rows, one, other)
        ohms = [MeterReading(0.2 if joined else math.inf) for joined in seen]
        bench = Bench(ringout, circuit, [judge(m, ohm) for m, ohm in zip(ringout.measurements, ohms, strict=True)])
        groups = explain(bench)

        assert sum(len(group.explanations[0].faults) for group in groups) <= 2
        assert {n for group in groups for n in group.wrong} == set(bench.wrong)


def test_the_next_reading_splits_the_rivals(tmp_path: Path) -> None:
    """Of the places where one wire may be open, the reading proposed leaves some and rules out others, either way."""
    study = study_of(ROWS, tmp_path)
    circuit = circuit_of(study)
    ringout = ring_out(study, PAIRS, circuit)
    judged = [
        judge(one, MeterReading(math.inf if not one.joined or one.from_ == "P:1" else 0.1))
        for one in ringout.measurements
    ]
    (group,) = told(Bench(ringout, circuit, judged))
    (step,) = group.next
    left = [set(words) for _, words in step.results]
    everything = {"; ".join(cause.faults) for cause in group.causes}

    assert len(left) == 2 and not left[0] & left[1] and left[0] | left[1] == everything
    assert max(map(len, left)) <= len(everything) * 2 / 3
    assert step.place == "sill"


def test_a_short_found_with_tie_leads_is_halved() -> None:
    """Groups name half of all pairs at best; the next test ties half of these against their partners."""
    study = Study(vehicle_of(make_car(4, 60)))
    circuit = circuit_of(study)
    ringout = ring_out(study, GROUPS, circuit)
    simulated, rows = Simulated(study.vehicle), rows_of(ringout)
    short = next(fault for fault in simulated.single_faults() if fault[0] == "shorted")
    judged = [
        judge(one, MeterReading(0.1 if joined else math.inf))
        for one, joined in zip(ringout.measurements, simulated.shows(rows, short), strict=True)
    ]
    (group,) = told(Bench(ringout, circuit, judged))
    shorts = [cause for cause in group.causes if cause.sort == "shorted"]
    (step,) = group.next

    assert len(shorts) > 2
    assert step.from_.startswith("tied together") or len(step.results[0][1]) == 1
    assert sum(len(left) for _, left in step.results) == len(group.causes) or any(
        cause.sort == LEFT_IN for cause in group.causes
    )


def test_a_search_that_is_cut_short_says_so(tmp_path: Path) -> None:
    """With no tries left the answer is not called exhaustive."""
    study = study_of(ROWS, tmp_path)
    circuit = circuit_of(study)
    ringout = ring_out(study, PAIRS, circuit)
    judged = [judge(one, MeterReading(math.inf)) for one in ringout.measurements]
    groups = explain(Bench(ringout, circuit, judged), most_tries=3)

    assert not all(group.exhaustive for group in groups)
