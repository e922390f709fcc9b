"""A wire is found by what a person sees or knows of it."""

from __future__ import annotations

import pytest
from builders.benchcars import study_of
from builders.demo import demo_study
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.lists.wiresearch import SearchAnswer, live_words, place_of, read_question, search
from harnesscheck.network.graph.wiring import wiring_of


def asked(text: str, *names: str) -> SearchAnswer:
    """The answer to a question about the example's vans."""
    return search([demo_study(name) for name in names or ("donor",)], read_question(text, ("iec60757", None)))


def ends(answer: SearchAnswer) -> set[str]:
    """The wires found, by both ends."""
    return {f"{one.wire.a} {one.wire.b}" for one in answer.found}


@pytest.mark.parametrize(
    "text",
    ["violet/red behind the dash", "dash, violet with red stripe", "VT/RD dash", "the violett/rot wire at the dash"],
)
def test_a_colour_and_a_place_in_any_words(text: str) -> None:
    """Words or codes, any order, any language of the lexicon."""
    assert ends(asked(text)) == {"FB-CH:7 RA-AH:A7"}


def test_both_cars_are_searched() -> None:
    """Car by car, in the order they were given."""
    assert [one.car for one in asked("violet/red dash", "donor", "shell").found] == [0, 1]


def test_one_colour_is_a_base_colour_and_two_are_base_and_stripe() -> None:
    """A striped wire answers to its base, a plain one not to a stripe."""
    reds = {one.wire.colour.names for one in asked("red").found if one.wire.colour is not None}
    striped = {one.wire.colour.names for one in asked("red/black").found if one.wire.colour is not None}

    assert all(names is not None and names[0] == "red" for names in reds) and len(reds) > 1
    assert striped <= {("red", "black")}


@pytest.mark.parametrize("text", ["C12:4", "c12:4"])
def test_a_contact_names_its_wire(text: str) -> None:
    """By the whole name only: C1 is not C12."""
    assert ends(asked(text)) == {"C12:4 S3"}
    assert not ends(asked("C12:4")) & ends(asked("C1:4"))


def test_a_function_is_found_in_another_language() -> None:
    """What is asked in German is found in the English file; another pump's wires are not among them."""
    found = asked("Kraftstoffpumpe").found
    circuits = {one.wire.circuit for one in found}

    assert "FP" in circuits and "30T" not in circuits


def test_a_size_is_found_however_it_is_written() -> None:
    """1.5 mm² and 1,5 are one size."""
    sizes = {one.wire.size.area_mm2 for one in asked("1.5 mm² C12").found if one.wire.size is not None}

    assert sizes == {1.5}
    assert ends(asked("1,5 C12")) == ends(asked("1.5 mm² C12"))


def test_what_nothing_answers_is_told_and_hinders_nothing() -> None:
    """A word no file has stands in the answer; the rest is found as if it were not there."""
    answer = asked("violet/red dash zzzzz")

    assert answer.unanswered == ("zzzzz",)
    assert ends(answer) == ends(asked("violet/red dash"))


def test_the_nearest_are_given_where_none_answers_all() -> None:
    """Each says what it does not answer to."""
    answer = asked("violet/red C12:4")

    assert answer.found
    assert all(len(one.missed) == 1 for one in answer.found)


def test_nothing_at_all() -> None:
    """Linking words alone ask for nothing; unknown ones find nothing."""
    assert read_question("the wire in the") == ()
    assert asked("zzzzz").found == ()


CAR = """
<component id="bat" kind="battery"><connector id="B"><pin cavity="1" terminal="+"/><pin cavity="2" terminal="-"/>
</connector></component>
<component id="horn" kind="sounder" name="Horn" at="behind the grille"><connector id="H" cavities="2">
<pin cavity="1" terminal="+"/><pin cavity="2" terminal="-"/></connector></component>
<ground id="G1" at="left wing"/><harness id="front"/>
<connector id="BH" harness="front" mates="B"><pin cavity="1" circuit="30" colour="RD" size="4" to="HH:1"/>
<pin cavity="2" circuit="31" colour="BN" size="4" to="G1"/></connector>
<connector id="HH" harness="front" mates="H"><pin cavity="1" circuit="30"/>
<pin cavity="2" circuit="31" colour="BN" size="1" to="G1"/></connector>
"""


def test_live_ground_and_place_of_a_wire(tmp_path_factory: pytest.TempPathFactory) -> None:
    """A wire at the battery is live with the key off, one on the body is ground; a plug is where its part is."""
    study = study_of(CAR, tmp_path_factory.mktemp("car"))
    said = {f"{wire.a} {wire.b}": live_words(study, wire) for wire in wiring_of(study).conductors}
    (wire,) = [one.wire for one in search([study], read_question("brown grille")).found]

    assert said["BH:1 HH:1"] == "live with the key off"
    assert said["HH:2 G1"] == "ground"
    assert {place_of(study, end) for end in (wire.a, wire.b)} == {"behind the grille", "left wing"}


@settings(max_examples=25, deadline=None)
@given(st.permutations(["violet/red", "dash", "1", "RAF"]), st.booleans())
def test_the_order_of_the_terms_and_capitals_say_nothing(words: list[str], upper: bool) -> None:
    """The same wires, however the question is put."""
    text = " ".join(words)

    assert ends(asked(text.upper() if upper else text)) == ends(asked("violet/red dash 1 RAF"))
