"""One table of parts: what conducts for reach conducts for volts and is drawn."""

from __future__ import annotations

import pytest
from builders.rows import kinds, lamp, study

from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.draw.links import links_of
from harnesscheck.network.graph.conduction import conductions_of
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.lumping import circuit_of

WINDOW = (
    '<component id="part" kind="switch"><pin terminal="30" to="P"/><pin terminal="31" to="G1"/>'
    '<pin terminal="a" to="X"/><pin terminal="b" to="Y"/>'
    '<inside when="up" from="30" to="a"/><inside when="up" from="31" to="b"/>'
    '<inside when="down" from="30" to="b"/><inside when="down" from="31" to="a"/></component>'
)
ONE_WAY_OF = {
    "fuse": "fuse",
    "switch": "switch",
    "resistor": "resistor",
    "lamp": "load",
    "motor": "load",
}


def two_ended(kind: str, inside: str = "", more: str = "") -> Study:
    """A car with one part of two terminals between a feed and a lamp."""
    part = f'<component id="part" kind="{kind}" {more}><pin terminal="1" to="P"/><pin terminal="2" to="X"/>{inside}'
    return study('<splice id="X"/>', f"{part}</component>", lamp("lamp", "X"))


@pytest.mark.parametrize(("kind", "sort"), ONE_WAY_OF.items())
def test_a_part_of_two_ends_is_one_thing_everywhere(kind: str, sort: str) -> None:
    """Fuse, switch, resistor, load: what the table says the circuit has and the sheet draws."""
    car = two_ended(kind)

    ways = car.index.conductions_of["part"]
    circuit = circuit_of(car)
    drawn = links_of(car).inner("part")
    electrical = [one for one in (*circuit.branches, *circuit.ports) if one.component == "part"]

    assert [way.sort for way in ways] == [sort]
    assert [one.sort for one in electrical] == [sort]
    assert [link.sort for link in drawn] == [sort]


def test_a_switch_without_positions_may_join_its_two_terminals() -> None:
    """With or without its row inside a feed may come through it; only the row's words are lost."""
    bare, written = two_ended("switch"), two_ended("switch", '<inside when="on" from="1" to="2"/>')

    for car in (bare, written):
        piece = car.index.piece_of[car.index.point["X"]]
        reached = car.reach.reached(piece)
        assert reached.feed_maybe and not reached.feed_sure


def test_leaving_a_switch_s_row_out_hides_no_short() -> None:
    """The shell joins the switched feed to the body: a short circuit, whether the row inside is written or not."""

    def car(to: str, inside: str) -> Study:
        part = '<component id="part" kind="switch"><connector id="S-A" cavities="2">'
        part += f'<pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/></connector>{inside}</component>'
        plug = '<connector id="S-H" harness="front" mates="S-A" cavities="2">'
        plug += f'<pin cavity="1" circuit="A" to="P"/><pin cavity="2" circuit="B" to="{to}"/></connector>'
        return study('<splice id="X"/>', part, plug, lamp("lamp", "X"))

    for inside in ("", '<inside when="on" from="1" to="2"/>'):
        assert "feed-to-ground" in " ".join(kinds(car("X", inside), car("G1", inside), Severity.INJURY))


def test_a_diode_is_drawn_the_way_it_passes() -> None:
    """From A to K, in whatever order its terminals are written."""
    part = '<component id="part" kind="diode"><pin terminal="K" to="P"/><pin terminal="A" to="Q"/></component>'
    car = study(part)

    (link,) = links_of(car).inner("part")

    assert (link.a.name, link.b.name) == ("A", "K")


def test_rows_replace_what_two_ends_alone_would_say() -> None:
    """A fuse box of one fuse is that fuse, not two."""
    car = two_ended("fuse", '<inside fuse="10" id="F9" from="1" to="2"/>')

    assert [(way.sort, way.row is not None) for way in car.index.conductions_of["part"]] == [("fuse", True)]
    assert conductions_of(car.vehicle.components["part"], (), ("1", "2", "3"), lambda _: None) == ()


def test_positions_of_one_switch_are_never_closed_together() -> None:
    """A reversing switch joins each leg to feed or ground, never its feed to its ground by way of a leg."""
    car = study('<splice id="X"/><splice id="Y"/>', WINDOW.replace(' to="P"', "").replace('<pin terminal="30"/>', ""))
    feed, leg = (car.index.piece_of[car.index.terminal["part", name]] for name in ("30", "a"))

    assert car.reach.reached(leg).ground_maybe
    assert not car.reach.reached(feed).ground_maybe

    fed = study('<splice id="X"/><splice id="Y"/>', WINDOW)
    legs = [fed.reach.reached(fed.index.piece_of[fed.index.point[name]]) for name in ("X", "Y")]
    assert all(one.feed_maybe and one.ground_maybe for one in legs)
