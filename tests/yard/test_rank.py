"""A folder of donors ranked for a shell: what comes first, what is kept, what is broken, what is left out."""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from builders.demo import DEMO, demo_vehicle, vehicle_at
from builders.rows import lamp, vehicle
from builders.yard import HEAD, small
from click.testing import CliRunner

from harnesscheck.cli.main import cli
from harnesscheck.report.schema import report_schema
from harnesscheck.yard.cache import NO_CACHE, Cache, contents_key
from harnesscheck.yard.cars import PLAINLY
from harnesscheck.yard.fingerprint import Fingerprint, fingerprint
from harnesscheck.yard.folder import netlists_in
from harnesscheck.yard.judge import Task, judged
from harnesscheck.yard.rank import Ranking, RankQuestion, rank
from harnesscheck.yard.running import Judge, in_this_process
from harnesscheck.yard.shortlist import Library, likest


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    """Donors beside a shell: one like it, one with another colour, one whose feed meets the body, one broken file."""
    (tmp_path / "shell.xml").write_text(small("1"), encoding="utf-8")
    folder = tmp_path / "yard"
    folder.mkdir()
    for name, text in {
        "alike.xml": small("1"),
        "colour.xml": small("1", "YE"),
        "turned.xml": small("2"),
        "broken.xml": "<netlist",
    }.items():
        (folder / name).write_text(text, encoding="utf-8")
    return tmp_path


def asked(yard: Path, **more: object) -> RankQuestion:
    """The question of the folder's shell and donors."""
    donors = tuple(str(one) for one in netlists_in(yard / "yard"))
    return replace(RankQuestion(str(yard / "shell.xml"), donors), **more)  # type: ignore[arg-type]


def ranked(question: RankQuestion, judge: Judge | None = None) -> Ranking:
    """The donors ranked for the shell in its file."""
    return rank(question, vehicle_at(question.shell), judge=judge)


def names(ranking: Ranking) -> list[str]:
    return [one.name for one in ranking.outcomes]


def test_the_best_comes_first_and_a_broken_file_stops_nothing(yard: Path) -> None:
    ranking = ranked(asked(yard))

    assert names(ranking) == ["alike.xml", "colour.xml", "turned.xml"]
    assert [one.repairs for one in ranking.outcomes][:2] == [0, 0]
    assert ranking.outcomes[-1].injury > 0 and ranking.outcomes[-1].worst
    assert [one.path for one in ranking.unread] == ["broken.xml"]
    assert "broken.xml" in ranking.unread[0].faults[0]


def test_only_the_likest_are_judged_and_the_rest_are_named(yard: Path) -> None:
    ranking = ranked(asked(yard, best=1))

    assert names(ranking) == ["alike.xml"]
    assert ranking.not_judged == ("colour.xml", "turned.xml")


def test_what_was_judged_is_not_judged_again(yard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that was broken off after one car goes on with the others."""
    question = asked(yard, cache=Cache(yard / "cache"))

    def broken_off(tasks: object) -> object:
        runs = in_this_process(tasks)  # type: ignore[arg-type]
        yield next(runs)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        ranked(question, judge=broken_off)  # type: ignore[arg-type]
    fresh = ranked(replace(question, cache=NO_CACHE))
    again: list[str] = []
    import harnesscheck.yard.judge as judging

    worked_out = judging._outcome
    monkeypatch.setattr(judging, "_outcome", lambda *rest: again.append(rest[2].donor) or worked_out(*rest))

    assert ranked(question) == fresh
    assert len(again) == 2  # of three
    assert ranked(question) == fresh
    assert len(again) == 2


def test_an_entry_that_is_not_whole_is_made_anew(yard: Path) -> None:
    question = asked(yard, cache=Cache(yard / "cache"))
    first = ranked(question)
    entries = sorted(one for one in (yard / "cache").rglob("*") if one.is_file())
    assert len(entries) == 4 + 3  # fingerprints of shell and donors, outcomes

    for number, one in enumerate(entries):
        data = one.read_bytes()
        one.write_bytes((b"", data[:-1], data[:5] + b"\x00" + data[6:])[number % 3])

    assert ranked(question) == first
    assert all(Cache(yard / "cache").get(one.parent.name + one.name) is not None for one in entries)


def test_a_changed_file_or_base_is_judged_anew(yard: Path) -> None:
    """What is kept goes by contents, those of a base too."""
    over = yard / "yard" / "over.xml"
    over.write_text(HEAD.format('x" base="../base.xml', ""), encoding="utf-8")
    (yard / "base.xml").write_text(small("1"), encoding="utf-8")
    question = asked(yard, cache=Cache(yard / "cache"))
    before = {one.name: one for one in ranked(question).outcomes}
    key = contents_key(over)

    (yard / "base.xml").write_text(small("2"), encoding="utf-8")
    after = {one.name: one for one in ranked(question).outcomes}

    assert before["over.xml"].injury == 0 and after["over.xml"].injury > 0
    assert key is not None and contents_key(over) not in (None, key)


def test_processes_give_what_one_gives(yard: Path) -> None:
    assert ranked(asked(yard, processes=2)) == ranked(asked(yard))


def test_hours_are_those_of_decide(yard: Path) -> None:
    """With hours they decide the order."""
    ranking = ranked(asked(yard, decided=True))

    hours = [one.hours for one in ranking.outcomes if one.hours is not None]
    assert len(hours) == 3 and hours == sorted(hours)
    assert ranking.outcomes[0].proven


def test_a_donor_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    (tmp_path / "a.xml").write_text("<netlist", encoding="utf-8")

    found = judged(Task(str(tmp_path / "a.xml"), str(DEMO / "shell.xml"), PLAINLY))

    assert isinstance(found, list) and "a.xml" in found[0]


# -- fingerprints and likeness


def test_a_fingerprint_goes_by_contents_not_by_order() -> None:
    rows = ['<splice id="Y"/>', lamp("one", "P"), lamp("two", "Q", kind="motor")]
    ours, theirs = (fingerprint(vehicle(*order)) for order in (rows, [rows[2], rows[0], rows[1]]))

    assert np.array_equal(ours.words, theirs.words) and np.array_equal(ours.counts, theirs.counts)


def test_the_same_words_whatever_the_hash_seed() -> None:
    """What is kept on disk is read by other processes."""
    code = (
        "from harnesscheck.read import configure, read_netlist\n"
        "from harnesscheck.yard.fingerprint import fingerprint\n"
        f"made = fingerprint(configure(read_netlist({str(DEMO / 'plug-donor.csv')!r})))\n"
        "print(made.words.tolist(), made.counts.tolist())"
    )
    told = {
        subprocess.check_output([sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed}, timeout=120)
        for seed in ("0", "1")
    }

    assert len(told) == 1
    assert b"[]" not in told.pop()


def test_likeness_is_the_cosine_worked_out_word_by_word() -> None:
    """Against dictionaries and math alone."""
    import math

    chance = random.Random(7)
    cars = [
        {word: chance.randint(1, 4) for word in chance.sample(range(1, 40), chance.randint(3, 20))} for _ in range(12)
    ]
    prints = [_of(one) for one in cars]
    found = Library(prints).likeness(prints[3])

    def weight(word: int) -> float:
        return math.log((1 + len(cars)) / (1 + sum(word in one for one in cars))) + 0.1

    def vector(one: dict[int, int]) -> dict[int, float]:
        return {word: (1 + math.log(count)) * weight(word) for word, count in one.items()}

    ours = vector(cars[3])
    for one, value in zip(cars, found, strict=True):
        theirs = vector(one)
        dot = sum(ours[word] * theirs.get(word, 0.0) for word in ours)
        expected = dot / math.sqrt(sum(x * x for x in ours.values()) * sum(x * x for x in theirs.values()))
        assert value == pytest.approx(expected, abs=1e-5)


def _of(words: dict[int, int]) -> Fingerprint:
    ordered = sorted(words)
    return Fingerprint(np.array(ordered, dtype=np.uint64), np.array([words[one] for one in ordered], dtype=np.float32))


def test_each_with_each_in_blocks_is_one_with_each() -> None:
    chance = random.Random(3)
    prints = [_of(dict.fromkeys(chance.sample(range(1, 60), 15), 1)) for _ in range(25)]
    library = Library(prints)

    for at, best in enumerate(library.alike(4, block=7)):
        likeness = library.likeness(prints[at])
        likeness[at] = -1
        assert likeness[best] == pytest.approx(likeness[likest(likeness, 4)], abs=1e-5)
        assert at not in best


def test_nothing_is_like_an_empty_car() -> None:
    empty = Fingerprint(np.zeros(0, dtype=np.uint64), np.zeros(0, dtype=np.float32))

    assert Library([empty]).likeness(_of({1: 1})).tolist() == [0.0]
    assert Library([_of({1: 1})]).likeness(empty).tolist() == [0.0]
    assert Library([]).likeness(_of({1: 1})).tolist() == []


# -- the command


def run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(cli, list(words))
    return done.exit_code, done.stdout, done.stderr


def test_the_command_writes_table_and_json(yard: Path) -> None:
    out, file = yard / "out", yard / "r.json"
    words = ["rank", str(yard / "shell.xml"), str(yard / "yard"), "--no-cache", "--processes", "1"]
    status, text, _ = run(*words, "-o", str(out), "--json", str(file))

    assert status == 0
    assert "alike.xml fits best: nothing found that wants work. colour.xml fits as well." in " ".join(text.split())
    assert "broken.xml" in text
    assert (out / "donors.csv").read_text(encoding="utf-8").splitlines()[1].startswith("alike.xml,")
    document = json.loads(file.read_text(encoding="utf-8"))
    assert [one["file"] for one in document["donors"]] == ["alike.xml", "colour.xml", "turned.xml"]
    assert document["unread"][0]["file"] == "broken.xml"
    jsonschema.validate(document, report_schema())


@pytest.mark.parametrize("where", ["", "nothing", "empty"])
def test_a_folder_without_cars_is_one_message(yard: Path, where: str) -> None:
    (yard / "empty").mkdir()
    folder = {"": yard / "shell.xml", "nothing": yard / "nothing", "empty": yard / "empty"}[where]
    status, text, error = run("rank", str(yard / "shell.xml"), str(folder), "--no-cache")

    assert (status, text) == (2, "")
    assert str(folder) in error and "Traceback" not in error


def test_the_example_s_yard_reads() -> None:
    """A dozen vans, each over one of the two; the shell's own copy is as like as can be."""
    cars = netlists_in(DEMO / "yard")
    likeness = Library([fingerprint(vehicle_at(one)) for one in cars]).likeness(fingerprint(demo_vehicle("shell")))

    assert len(cars) == 12
    assert likeness[0] == pytest.approx(1, abs=1e-4) == max(likeness)
    assert min(likeness[:6]) > max(likeness[6:11])


def test_a_folder_of_tables_is_one_car(tmp_path: Path) -> None:
    shutil.copytree(DEMO / "shell-short", tmp_path / "tables")
    (tmp_path / "notes.txt").write_text("x", encoding="utf-8")
    (tmp_path / ".hidden.xml").write_text("x", encoding="utf-8")

    assert netlists_in(tmp_path) == [tmp_path / "tables"]
