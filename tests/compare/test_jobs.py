"""One line for one job: contacts of a plug that are each in another cavity are re-pinned together."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from builders.commands import run

from harnesscheck.compare.finding.findings import Finding, Spot
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.jobs import gathered_for_people, moves_in

WORDS = ["horn", "radio feed", "left headlamp", "fuel pump", "wiper", "brake lamp", "clock", "heater fan"]


def plug(folder: Path, name: str, words: list[str]) -> str:
    """One plug as a table of functions."""
    path = folder / f"{name}.csv"
    path.write_text("cavity,function\n" + "".join(f"{n},{text}\n" for n, text in enumerate(words, 1)), encoding="utf-8")
    return str(path)


def compared(folder: Path, ours: list[str], theirs: list[str], *more: str) -> tuple[str, list[dict[str, object]]]:
    """The report as text, and the findings of its JSON."""
    cars = plug(folder, "ours", ours), plug(folder, "theirs", theirs)
    text = run("compare", *cars, *more).stdout
    return text, json.loads(run("compare", *cars, *more, "--json", "-").stdout)["findings"]


@pytest.fixture
def turned(tmp_path: Path) -> tuple[str, list[dict[str, object]]]:
    """Seven contacts each one on, the eighth where it was."""
    return compared(tmp_path, WORDS, [WORDS[6], *WORDS[:6], WORDS[7]])


def test_seven_contacts_each_one_on_are_one_line(turned):
    text, _ = turned

    assert "0 injury, 0 damage, 1 dead, 0 rework" in text
    assert " ".join(text.split()).count("re-pin ours: 1 to 2, 2 to 3, 3 to 4, 4 to 5, 5 to 6, 6 to 7, 7 to 1") == 1
    assert "re-pin theirs: 2 to 1, 3 to 2" in " ".join(text.split())


def test_programs_find_every_contact_of_it(turned):
    _, found = turned
    (job,) = (one for one in found if one["kind"] == "moved-pin")
    crossed = {one["donor"]["cavity"]: one for one in found if one["kind"] == "crossed"}
    places = job["evidence"]["places"]

    assert (job["donor"]["connector"], job["donor"]["cavity"], job["severity"]) == ("ours", "", "rework")
    assert [(one["donor"]["cavity"], one["shell"]["cavity"]) for one in places] == [
        (str(n), str(n % 7 + 1)) for n in range(1, 8)
    ]
    assert sorted(crossed) == [str(n) for n in range(1, 8)]
    assert "theirs:2" in crossed["1"]["do"]


def test_text_names_every_id_that_can_be_accepted(turned):
    text, found = turned
    words = " ".join(text.split())

    assert all(one["id"] in words for one in found if one["kind"] == "crossed")


def test_an_accepted_contact_stands_by_itself(tmp_path: Path, turned):
    _, found = turned
    one = next(one for one in found if one["kind"] == "crossed")
    sheet = tmp_path / "said.toml"
    sheet.write_text(f'[accepted]\n{one["id"]} = "bench car"\n', encoding="utf-8")
    text = run("compare", str(tmp_path / "ours.csv"), str(tmp_path / "theirs.csv"), "--crosswalk", str(sheet)).stdout

    assert "1 dead, 1 rework, 0 note; 1 accepted" in text  # the job is told by itself: the six are not all of it
    assert "6 contacts are in other cavities" in text


def test_one_moved_contact_says_where_to(tmp_path: Path):
    _, found = compared(tmp_path, ["horn", "wiper", "clock"], ["horn", "spare", "clock", "wiper"])
    (one,) = (one for one in found if one["kind"] == "moved-pin")

    assert one["donor"]["cavity"] == "2"
    assert "re-pin ours: 2 to 4" in one["do"]


def test_a_page_has_the_job_once(tmp_path: Path, turned):
    out = tmp_path / "out"
    run("compare", str(tmp_path / "ours.csv"), str(tmp_path / "theirs.csv"), "-o", str(out))
    page = (out / "report.html").read_text(encoding="utf-8")

    assert page.count('<details class="card dead"') == 1
    assert page.count("re-pin ours: 1 to 2") == 1


def test_what_is_worse_than_crossed_stays_by_itself(tmp_path: Path):
    """A feed that would meet a ground is a danger of its own, and names where its contact belongs."""
    text, found = compared(tmp_path, ["ground", "permanent feed", "horn"], ["permanent feed", "ground", "horn"])
    burning = [one for one in found if one["severity"] == "injury"]

    assert [one["donor"]["cavity"] for one in burning] == ["1", "2"]
    assert "2 injury" in text


def test_gathering_loses_no_finding():
    """Of findings that no job joins each is a job of its own, in the same order."""
    found = [
        Finding(kind, Severity.DEAD, Certainty.KNOWN, *[Spot("C1", str(n))] * 2)
        for n, kind in enumerate(("crossed",) * 3)
    ]

    assert [job.all for job in gathered_for_people(found)] == [(one,) for one in found]
    assert moves_in(found[0]) == ()
