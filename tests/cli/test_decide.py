"""``decide`` as a person types it: on the example's vans once, on small cars for everything else."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from builders.decided import VANS, Ran, decide, decided_vans
from builders.lampcars import pair

from harnesscheck.report.document import report_schema
from harnesscheck.write.xml import write_xml

SEED = 5
FILES = {
    "report.html", "overview.svg", "finished-car.xml", "work.csv", "unplug-and-label.csv", "strip.csv", "pull.csv",
    "shopping.csv", "fuses.csv", "adapter-leads.csv", "ring-out-first.csv", "bench.html",
}  # fmt: skip


def rows_of(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.fixture(scope="module")
def vans(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    """The answer on the example."""
    ran = decided_vans(tmp_path_factory)
    assert ran.status == 0, ran.err
    return ran


@pytest.fixture
def cars(tmp_path: Path) -> Path:
    """A folder with two small cars, donor.xml and shell.xml."""
    donor, shell, _ = pair(SEED)
    write_xml(donor.vehicle.netlist, tmp_path / "donor.xml")
    write_xml(shell.vehicle.netlist, tmp_path / "shell.xml")
    return tmp_path


def sheet(folder: Path, text: str = "") -> str:
    """A swap sheet for the two cars in a folder; returns its path."""
    file = folder / "swap.toml"
    file.write_text(f'donor = "donor.xml"\nshell = "shell.xml"\n{text}', encoding="utf-8")
    return str(file)


def answer_of(folder: Path, *words: str) -> dict[str, Any]:
    """The JSON of a run that must succeed."""
    ran = decide(*words, "--json", "-", cwd=folder)
    assert ran.status == 0, ran.err
    found: dict[str, Any] = json.loads(ran.out)
    return found


# -- the example


def test_neither_plain_answer_is_the_cheapest(vans: Ran) -> None:
    """The example's answer is a mix of both cars, proven, and both plain answers stand beside it and are worse."""
    answer = json.loads((vans.folder / "answer.json").read_text(encoding="utf-8"))
    plan, others = answer["plan"], answer["alternatives"]
    pure = {car: next(one for one in others if set(one["harness"].values()) == {car}) for car in ("donor", "shell")}

    assert plan["proven"] and set(plan["harness"].values()) == {"donor", "shell"}
    assert pure["donor"]["hours"]["p50"] > plan["hours"]["p50"]
    assert not pure["shell"]["proven"] and pure["shell"]["left"]
    assert answer["coverage"]["best"] is True
    assert len(others) >= 4


def test_the_json_is_as_the_schema_says(vans: Ran) -> None:
    """The whole answer holds to the published schema; without its plan it does not."""
    answer = json.loads((vans.folder / "answer.json").read_text(encoding="utf-8"))
    jsonschema.validate(answer, report_schema())
    del answer["plan"]

    with pytest.raises(jsonschema.ValidationError, match="'plan' is a required property"):
        jsonschema.validate(answer, report_schema())


def test_the_text_says_the_answer_first_and_fits_the_screen(vans: Ran) -> None:
    """Answer, proof, hours, reasons, alternatives, cautions before the work; 80 columns; no word of ours for a step."""
    text = vans.out[vans.out.index("donor:") :]
    heads = [line for line, under in zip(text.splitlines(), text.splitlines()[1:], strict=False) if set(under) == {"="}]
    asked = ["WHY", "SIDE BY SIDE", "BEFORE ANYBODY STARTS", "THE WORK, PLACE BY PLACE", "WHO DOES WHAT WHEN"]

    assert re.search(r"Take the donor's [\w\s,-]+ harnesses; keep the shell's own [\w\s,-]+ harness", text)
    assert "Proven on paper, wiring only" in text
    assert [head for head in heads if head in asked] == asked
    assert max(map(len, text.splitlines())) <= 80
    assert "With 2 people it takes about" in text
    assert text.index("Battery off, negative first") < text.index("THE WORK")


def test_every_file_is_there_and_named(vans: Ran) -> None:
    """The folder holds the page, the lists and the car, and the terminal says so."""
    names = {file.name for file in (vans.folder / "decision").iterdir()}

    assert names == {*FILES, ".decide.sha256"}
    assert all(f"wrote decision/{name}" in vans.out for name in FILES)


def test_the_finished_car_reads_back_and_is_sound(vans: Ran) -> None:
    """It breaks no rule of the format, and beside the donor nothing on it burns, breaks or is dead any more.

    What the donor's own loom would do in it is another car's: its contacts would have to be moved once more.
    """
    car = str(vans.folder / "decision" / "finished-car.xml")
    checked = harnesscheck("validate", car)
    before = json.loads(harnesscheck("compare", str(VANS / "donor.xml"), str(VANS / "shell.xml"), "--json", "-").stdout)
    after = json.loads(harnesscheck("compare", str(VANS / "donor.xml"), car, "--json", "-").stdout)

    assert checked.returncode == 0 and b"No rule of the file format is broken" in checked.stdout
    own = [one for one in after["findings"] if "So it is with" not in one["text"]]
    assert [one["id"] for one in own if one["severity"] in BAD] == []
    assert sum(one["severity"] in BAD for one in before["findings"]) > 20


def test_work_sheets_have_every_step_once_and_room_for_initials(vans: Ran) -> None:
    """What comes first of all is first, ring-out and power-up last; every step has hours, a person, empty initials."""
    rows = rows_of(vans.folder / "decision" / "work.csv")
    steps = json.loads((vans.folder / "answer.json").read_text(encoding="utf-8"))["plan"]["steps"]

    assert sorted(row["step"] for row in rows) == sorted(step["id"] for step in steps)
    assert rows[0]["step"] == "battery-off" and [row["step"] for row in rows[-2:]] == ["ring-out", "first-power-up"]
    assert all(row["initials"] == "" and row["place"] for row in rows)
    assert [row["step"] for row in rows if not float(row["hours"]) > 0] == ["in-parts"]  # nobody wrote its hours
    assert {row["person"] for row in rows} == {"1", "2"}


def test_flags_say_what_a_plug_is_and_where_it_goes(vans: Ran) -> None:
    """Every plug that comes apart once, by place, lettered by its car; restraint plugs are to be left alone."""
    rows = rows_of(vans.folder / "decision" / "unplug-and-label.csv")
    restraint = [row for row in rows if row["plug"] == "PS-AH"]

    assert len({(row["car"], row["plug"]) for row in rows}) == len(rows) > 100
    assert restraint and all(row["flag"].startswith("LEAVE ALONE") and row["then"] == "" for row in restraint)
    for row in rows:
        assert row["place"]
        if not row["flag"].startswith("LEAVE"):
            assert row["flag"].startswith({"donor": "D ", "shell": "S "}[row["car"]] + row["plug"])
            assert row["then"]


def test_contacts_that_were_worked_on_are_rung_out_first(vans: Ran) -> None:
    """Every cavity that a step names is on the list, with another end and what the meter must show."""
    rows = rows_of(vans.folder / "decision" / "ring-out-first.csv")
    steps = json.loads((vans.folder / "answer.json").read_text(encoding="utf-8"))["plan"]["steps"]
    worked = {f"{step['connector']}:{step['cavity']}" for step in steps if step["connector"] and step["cavity"]}

    assert worked and worked <= {row["contact"] for row in rows}
    assert all(row["to"] and row["expect"] and row["read"] == "" for row in rows)
    places = [row["place"] for row in rows]
    assert all(place not in places[:at] or places[at - 1] == place for at, place in enumerate(places))


# -- the example with everything fixed, which is one choice to judge

MIXED = {
    "body": "donor", "dash": "donor", "door-left": "shell", "door-right": "shell", "engine": "donor",
    "floor": "donor", "rear": "donor",
}  # fmt: skip


def fixed_vans(folder: Path, more: str = "", **other: str) -> str:
    """A swap sheet for the example's vans that fixes every harness."""
    file = folder / "swap.toml"
    cars = "".join(f'{car} = "{(VANS / car).as_posix()}.xml"\n' for car in ("donor", "shell"))
    fixed = "".join(f'{name} = "{car}"\n' for name, car in ({**MIXED, **other}).items())
    file.write_text(f"{cars}[harness]\n{fixed}{more}", encoding="utf-8")
    return str(file)


def test_the_answer_fixed_the_other_way_says_why_it_is_worse(vans: Ran, tmp_path: Path) -> None:
    """The shell's body and floor harness under the donor's others: not proven, what may hurt comes first, in words."""
    ran = decide(
        fixed_vans(tmp_path, body="shell", floor="shell"), "--json", "answer.json", "--fail-on", "injury", cwd=tmp_path
    )
    plan = json.loads((tmp_path / "answer.json").read_text(encoding="utf-8"))["plan"]
    best = json.loads((vans.folder / "answer.json").read_text(encoding="utf-8"))["plan"]

    assert ran.status == 1  # something that burns is left
    said = " ".join(ran.out.split())
    assert "No choice that is allowed is safe to build. The least bad: take the donor's" in said
    assert "Do not build it this way: it is not proven." in said
    assert ran.out.index("WHAT IS LEFT WRONG") < ran.out.index("injury, restraint altered at") < ran.out.index("WHY")
    assert not plan["proven"] and plan["left"] and not best["left"]
    assert "body is to come from the shell" in " ".join(ran.out.split())


def test_a_coded_set_that_is_split_says_that_the_engine_will_not_run(tmp_path: Path) -> None:
    """The shell's engine computer beside the donor's cluster: not proven, and the reason is in the first lines."""
    ran = decide(fixed_vans(tmp_path, '[parts]\nengine-computer = "shell"\ncluster = "donor"\n'), cwd=tmp_path)
    first = " ".join(ran.out.split("WHAT IS LEFT WRONG")[0].split())

    assert ran.status == 0
    assert "Not proven." in first and "the engine will not run" in first
    assert "coded part at" in ran.out


# -- small cars


def test_two_cars_without_a_sheet(cars: Path) -> None:
    """The two files are enough; the answer is that of a sheet that says nothing else."""
    plain = answer_of(cars, "donor.xml", "shell.xml")
    said = answer_of(cars, sheet(cars))

    assert plain["plan"] == said["plan"]
    assert set(plain["inputs"]) == {"donor", "shell"}


def test_a_flooded_harness_is_not_used(cars: Path) -> None:
    """Its condition is a reason, said in so many words."""
    ran = decide(sheet(cars, '[built.donor.condition]\nfront = "flooded to the sill"\n'), cwd=cars)

    assert ran.status == 0
    assert "the donor's front is flooded to the sill" in " ".join(ran.out.split())
    assert re.search(r"[Kk]eep (all of )?the shell's own [^.]*front", ran.out)


def test_a_wish_that_cannot_be_met_says_what_makes_it_so(cars: Path) -> None:
    """Fixed to a flooded harness: one line with file and line, status 2, nothing written."""
    path = sheet(cars, '[harness]\nfront = "donor"\n[built.donor.condition]\nfront = "flooded"\n')
    ran = decide(path, "-o", "out", "--json", "answer.json", cwd=cars)

    assert ran.status == 2 and ran.out == ""
    (line,) = ran.err.splitlines()
    assert line.startswith(f"{path}:6: read 'front'")
    assert "the donor's front is flooded and front is to come from the donor" in line
    assert not (cars / "out").exists() and not (cars / "answer.json").exists()


def test_names_of_nothing_are_told_by_file_and_line(cars: Path) -> None:
    """A harness, a part and a condition that neither car has: one line each, all at once, nothing written."""
    text = '[harness]\nfrnt = "donor"\n[parts]\nlampp = "shell"\n[built.shell.condition]\nmx = "flooded"\n'
    path = sheet(cars, text)
    ran = decide(path, "-o", "out", cwd=cars)
    lines = ran.err.splitlines()

    assert ran.status == 2 and not (cars / "out").exists()
    assert [line.split(";")[0] for line in lines] == [
        f"{path}:4: read 'frnt'", f"{path}:6: read 'lampp'", f"{path}:8: read 'mx'",
    ]  # fmt: skip


def test_a_rate_there_is_not_is_told_with_those_there_are(cars: Path) -> None:
    """The line it stands on, and the names of all rates."""
    path = sheet(cars, "[rates]\nrepin = 2\n")
    ran = decide(path, cwd=cars)

    assert ran.status == 2
    assert ran.err.startswith(f"{path}:4: read 'repin'; expected a rate: re-pin, insulate, splice")


def test_a_rate_that_is_said_counts(cars: Path) -> None:
    """An hour for every harness out or in and fifty for every re-pin, as the person wrote it, in any spelling."""
    plain = answer_of(cars, sheet(cars))
    dear = answer_of(cars, sheet(cars, '[rates]\n"Ring out" = 1\nre-pin = 50\n'))

    assert dear["plan"]["hours"]["p50"] >= plain["plan"]["hours"]["p50"]
    for step in dear["plan"]["steps"]:
        if step["id"].startswith("re-pin"):
            assert step["hours"][0] % 50 == 0


def test_what_is_accepted_is_shown_and_does_not_fail_the_run(cars: Path) -> None:
    """Every finding of the plan accepted by its id: --fail-on note is content, and the JSON gives the reason."""
    fixed = '[harness]\nfront = "donor"\nm0 = "shell"\nm1 = "shell"\nm2 = "shell"\n'
    found = answer_of(cars, sheet(cars, fixed))["findings"]
    reasons = "".join(f'{one["id"]} = "seen"\n' for one in found)
    path = sheet(cars, f"{fixed}[accepted]\n{reasons}")
    again = answer_of(cars, path, "--fail-on", "note")["findings"]

    assert found and decide(sheet(cars, fixed), "--fail-on", "note", cwd=cars).status == 1
    assert [one.get("accepted") for one in again] == ["seen"] * len(found)


def test_plugs_of_no_named_harness_leave_nothing_to_decide(tmp_path: Path) -> None:
    """The two single plugs of the example: one line a file that says what is missing, status 2."""
    ran = decide(str(VANS / "plug-donor.csv"), str(VANS / "plug-shell.csv"), "-o", "out", cwd=tmp_path)

    assert ran.status == 2 and not (tmp_path / "out").exists()
    assert [line.split(": read ")[0] for line in ran.err.splitlines()] == [
        str(VANS / "plug-donor.csv"), str(VANS / "plug-shell.csv"),
    ]  # fmt: skip
    assert "read 'no harness'" in ran.err


def test_the_crew_and_the_command_line_say_how_many_work(cars: Path) -> None:
    """[crew] counts, --people goes before it; more people never take longer than the sum of all work."""
    path = sheet(cars, "[crew]\npeople = 3\nhours-per-day = 4\n")
    three, one = answer_of(cars, path), answer_of(cars, path, "--people", "1")

    assert three["schedule"]["people"] == 3 and one["schedule"]["people"] == 1
    assert three["schedule"]["least"] <= three["schedule"]["hours"] <= one["schedule"]["hours"] + 1e-6
    assert one["schedule"]["hours"] == pytest.approx(one["schedule"]["least"])
    assert "days of 4 hours" in " ".join(decide(path, cwd=cars).out.split())


def test_hours_that_are_done_are_counted_as_they_were(cars: Path) -> None:
    """A step of [done] is ticked and takes no more time; a name of no step is told."""
    plain = answer_of(cars, sheet(cars))
    step = plain["plan"]["steps"][1]["id"]
    path = sheet(cars, f"[done]\n{step} = 30\nno-such-step = 1\n")
    done = answer_of(cars, path)
    text = decide(path, cwd=cars).out

    assert next(one for one in done["plan"]["steps"] if one["id"] == step)["hours"] == [30, 30, 30]
    assert f"[{step}]" in text and "[x]" in text and "30 of them done" in " ".join(text.split())
    assert "[done] names no step of this plan: no-such-step" in " ".join(text.split())


def test_the_same_bytes_whatever_the_hash_seed(cars: Path) -> None:
    """Text, JSON and every file."""
    path = sheet(cars)
    runs = [decide(path, "-o", f"out{seed}", "--json", f"{seed}.json", cwd=cars, seed=seed) for seed in ("0", "1")]

    assert runs[0].out.replace("out0/", "") == runs[1].out.replace("out1/", "")
    assert (cars / "0.json").read_bytes() == (cars / "1.json").read_bytes()
    for file in (cars / "out0").iterdir():
        assert file.read_bytes() == (cars / "out1" / file.name).read_bytes(), file.name


def test_inputs_are_never_written_over(cars: Path) -> None:
    """Neither as the JSON, nor where an input has the name of a file that is written."""
    (cars / "shell.xml").rename(cars / "finished-car.xml")
    before = {file.name: file.read_bytes() for file in cars.iterdir()}
    folder = decide("donor.xml", "finished-car.xml", "-o", ".", cwd=cars)
    file = decide("donor.xml", "finished-car.xml", "--json", "donor.xml", cwd=cars)

    assert (folder.status, file.status) == (2, 2)
    assert "finished-car.xml: read 'an input of this command'" in folder.err
    assert {file.name: file.read_bytes() for file in cars.iterdir()} == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("donor.xml",), "give the two cars, DONOR SHELL, or a swap sheet"),
        (("donor.xml", "shell.xml", "donor.xml"), "give the two cars, DONOR SHELL, or a swap sheet"),
        (("donor.xml", "none.xml"), "none.xml"),
        (("none.toml",), "none.toml"),
        (("donor.xml", "shell.xml", "--people", "0"), "--people"),
    ],
)
def test_wrong_calls_end_with_a_message(cars: Path, words: tuple[str, ...], said: str) -> None:
    """Status 2, what is wrong, no traceback."""
    ran = decide(*words, cwd=cars)

    assert ran.status == 2
    assert said in ran.err and "Traceback" not in ran.err


BAD = ("injury", "damage", "dead")


def harnesscheck(*words: str) -> subprocess.CompletedProcess[bytes]:
    """Another command."""
    command = [sys.executable, "-m", "harnesscheck", *words]
    return subprocess.run(command, capture_output=True, timeout=300, check=False)
