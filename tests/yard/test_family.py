"""Which netlist of a family a car is of: held against trying every set of options and every month."""

from __future__ import annotations

import json
from itertools import combinations, product
from pathlib import Path
from typing import Any

import pytest
from builders.commands import run
from builders.files import good, xml
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.model.records import Netlist
from harnesscheck.read import read_netlist
from harnesscheck.yard.family import CarAsked, Fits, candidate, disagreement, telling_places

OPTIONS = ("lift", "lamps", "tow", "radio")
MONTHS = [f"{year}-{month:02}" for year in (2012, 2013) for month in range(1, 13)]
PLUG = '<connector id="C1" harness="?" cavities="3" at="left sill">{}</connector>'


def netlist(folder: Path, body: str, header: str = "") -> Netlist:
    """A netlist that is read from a file."""
    (folder / "car.xml").write_text(xml(body, header), encoding="utf-8")
    return good(read_netlist(folder / "car.xml"))


def pins(*colours: str) -> str:
    """The plug C1 with wires of these colours, ``-`` an empty cavity."""
    rows = (f'<pin cavity="{n}" colour="{one}" circuit="k{n}"/>' for n, one in enumerate(colours, 1) if one != "-")
    return PLUG.format("".join(rows))


FILES = st.fixed_dictionaries(
    {
        "listed": st.lists(st.sampled_from(("yes", "no", "")), min_size=4, max_size=4),
        "needed": st.lists(st.booleans(), min_size=4, max_size=4),
        "family": st.booleans(),  # a car has a lift or a tow bar, not both
        "built-from": st.sampled_from(("", *MONTHS[:12])),
        "built-to": st.sampled_from(("", *MONTHS[12:])),
    }
)
SAID = st.lists(st.sampled_from((True, False, None)), min_size=4, max_size=4)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where files are written over and over."""
    return tmp_path_factory.mktemp("family")


def options_text(file: dict[str, Any]) -> str:
    """The options that a file lists, and rows that need some of them."""
    words = []
    for name, fitted, needed in zip(OPTIONS, file["listed"], file["needed"], strict=True):
        family = ' family="hitch"' if file["family"] and name in ("lift", "tow") else ""
        if fitted or needed or family:
            words.append(f'<option id="{name}"{family} fitted="{fitted or "no"}"/>')
        if needed:
            words.append(f'<circuit id="of-{name}" option="{name}"/>')
    return "".join(words)


def may_be(file: dict[str, Any], options: set[str], told: set[str]) -> bool | None:
    """Whether a file is of a car with just these options; None where it does not speak of one it was told."""
    if file["family"] and {"lift", "tow"} <= options:
        return False
    answer: bool | None = True
    for name, fitted, needed in zip(OPTIONS, file["listed"], file["needed"], strict=True):
        in_family = file["family"] and name in ("lift", "tow")
        if needed:
            continue
        if not (fitted or in_family):
            answer = None if name in told else answer
        elif (fitted == "yes") != (name in options):
            return False
    return answer


@settings(max_examples=100, deadline=None)
@given(FILES, SAID, st.sampled_from(MONTHS))
def test_every_way_a_car_can_be_gives_the_same(folder: Path, file: dict[str, Any], said: list[Any], month: str) -> None:
    """Yes where the file is of every car that is as was said, no where it is of none, else maybe."""
    if file["family"] and file["listed"][0] == file["listed"][2] == "yes":
        return  # broken, and told by the reader
    months = " ".join(f'{name}="{file[name]}"' for name in ("built-from", "built-to") if file[name])
    car = netlist(folder, options_text(file) + pins("RD"), months)
    has = {name for name, is_there in zip(OPTIONS, said, strict=True) if is_there}
    has_not = {name for name, is_there in zip(OPTIONS, said, strict=True) if is_there is False}
    if file["family"] and {"lift", "tow"} <= has:
        return
    free = [name for name in OPTIONS if name not in has | has_not]
    cars = [has | set(some) for count in range(len(free) + 1) for some in combinations(free, count)]
    if file["family"]:
        cars = [one for one in cars if not {"lift", "tow"} <= one]
    tried = {may_be(file, one, has) for one in cars}
    if tried == {True} and not months:
        tried = {None}  # it does not say when
    if not (file["built-from"] or "0") <= month <= (file["built-to"] or "9"):
        tried = {False}

    found = candidate("car", car, CarAsked(None, (month, month), tuple(sorted(has)), tuple(sorted(has_not))))
    expected = Fits.YES if tried == {True} else Fits.NO if tried == {False} else Fits.MAYBE
    assert found.fits is expected, (file, has, has_not, found)


def test_options_of_which_a_car_has_one_shut_the_others_out(tmp_path: Path) -> None:
    """A file of a car with one gearbox is out where the car has the other."""
    families = '<option id="auto" family="gearbox"/><option id="manual" family="gearbox" fitted="no"/>'
    car = netlist(tmp_path, families + pins("RD"))

    assert candidate("a", car, CarAsked(options=("manual",))).fits is Fits.NO
    assert candidate("a", car, CarAsked(options=("auto",))).fits is Fits.YES
    assert candidate("a", car, CarAsked()).fits is Fits.MAYBE
    assert candidate("a", car, CarAsked(without=("gearbox",))).fits is Fits.NO


SEEN = {"RD": ("red",), "BK": ("black",), "-": ()}


@pytest.mark.parametrize("there", list(product(["RD", "BK", "-"], repeat=2)), ids="".join)
@pytest.mark.parametrize("seen", list(product(("RD", "BK", "-", "?"), repeat=2)), ids="".join)
def test_what_is_seen_in_a_plug_rules_out(tmp_path: Path, there: tuple[str, ...], seen: tuple[str, ...]) -> None:
    """A colour that is another, a wire where none is, none where one is; what cannot be read rules out nothing."""
    from harnesscheck.yard.family import SeenPlug

    car = netlist(tmp_path, pins(*there))
    plug = SeenPlug("C1", tuple(None if one == "?" else SEEN[one] for one in seen))
    same = all(one in ("?", other) for one, other in zip(seen, there, strict=True))

    assert (candidate("a", car, CarAsked(seen=(plug,))).fits is Fits.YES) is same


def test_places_part_every_two_files_that_can_be_parted(tmp_path: Path) -> None:
    """Four plugs of two wires: two places are enough; two equal files stay together."""
    bodies = {f"{one}{two}{n}": pins(one, two) for one, two in product(("RD", "BK"), repeat=2) for n in (0, 1)}
    cars = [candidate(name, netlist(tmp_path, body), CarAsked()) for name, body in bodies.items()]
    places = telling_places(cars)
    views = {one.file: tuple(place.shows[one.file] for place in places) for one in cars}

    assert [(place.connector, place.cavity, place.at) for place in places] == [
        ("C1", "1", "left sill"), ("C1", "2", "left sill"),
    ]  # fmt: skip
    assert all((views[a] == views[b]) == (a[:-1] == b[:-1]) for a, b in combinations(views, 2))


def test_a_restraint_plug_is_never_looked_into(tmp_path: Path) -> None:
    """The only difference is in one: nothing is named."""
    circuit = '<circuit id="k1" class="restraint"/>'
    cars = [candidate(name, netlist(tmp_path, circuit + pins(name, "-", "-")), CarAsked()) for name in ("YE", "GN")]
    assert telling_places(cars) == []


@pytest.mark.parametrize(("year", "months", "is_told"), [
    (2014, ("2013-01", "2013-01"), False), (2014, ("2014-12", "2014-12"), False), (2014, ("2012-12", "2012-12"), True),
    (2014, ("2015-01", "2015-02"), True), (2014, ("2012-11", "2013-02"), False), (None, ("2015-01", "2015-01"), False),
])  # fmt: skip
def test_a_model_year_and_a_month_that_do_not_go_together(
    year: int | None, months: tuple[str, str], is_told: bool
) -> None:
    """40 CFR 85.2303 (from memory): a model year's cars are built from 2 January before it to its 31 December."""
    assert bool(disagreement(year, months)) is is_told


def test_the_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files by what they say, the plug to look at, one that cannot be read, names that nobody knows."""
    monkeypatch.chdir(tmp_path)
    for name, year, colour in (("a", 2013, "RD"), ("b", 2013, "GN"), ("c", 2014, "RD")):
        header = f'vehicle="Van {name}" model-year="{year}" colour-code="iec60757"'
        option = '<option id="lift" fitted="no"/><circuit id="of-lift" option="lift"/>'
        Path(f"{name}.xml").write_text(xml(option + pins(colour, "BK"), header), encoding="utf-8")
    Path("broken.xml").write_text("<netlist")
    text = run("which", ".", "--model-year", "2013").stdout
    found = json.loads(run("which", ".", "--model-year", "2013", "--seen", "C1: gn, ?", "--json", "-").stdout)

    assert "2 netlists are left: a.xml, b.xml" in text and "C1:1 (left sill): red in a.xml; green in b.xml" in text
    assert [(one["file"], one["answer"]) for one in found["candidates"]] == [
        ("b.xml", "applies"), ("a.xml", "does not apply"), ("c.xml", "does not apply"),
    ]  # fmt: skip
    assert found["unread"][0]["file"] == "broken.xml"
    assert "option of these files: lift" in run("which", ".", "--option", "tow", status=2).stderr
    assert "--seen: read 'C1'" in run("which", ".", "--seen", "C1", status=2).stderr
    assert "LOOK AGAIN" in run("which", ".", "--model-year", "2013", "--built", "2015-03").stdout
