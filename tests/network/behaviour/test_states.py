"""What a car does: key, controls, combinations, held and hunting relays."""

from __future__ import annotations

import random
from itertools import combinations

import pytest
from builders.dc import lumped, source
from builders.rows import bare

from harnesscheck.network.behaviour.states import SEQUENCE, Behaviour, Condition, references
from harnesscheck.network.behaviour.ticks import tick_sheet
from harnesscheck.network.volts.circuit import Branch, Coil, DcCircuit, Port
from harnesscheck.network.volts.paths import Ways, way_words

np = pytest.importorskip("numpy")

FRONT = (
    '<ground id="G1"/><harness id="h"/>'
    + "".join(f'<splice id="{name}" harness="h"/>' for name in ("B", "I", "A", "S", "P", "Q", "R"))
    + '<component id="battery" kind="battery" ohms="0.006"><pin terminal="+" to="B"/>'
    '<pin terminal="-" to="G1"/></component>'
    '<component id="key" kind="switch" key="yes"><pin terminal="30" to="B"/><pin terminal="15" to="I"/>'
    '<pin terminal="75" to="A"/><pin terminal="50" to="S"/><inside when="run start" from="30" to="15"/>'
    '<inside when="accessory run" from="30" to="75"/><inside when="start" from="30" to="50"/></component>'
)


def lamp(id_: str, plus: str, minus: str = "G1", kind: str = "lamp", more: str = 'watts="5"') -> str:
    """A load between two points."""
    pins = f'<pin terminal="1" to="{plus}"/><pin terminal="2" to="{minus}"/>'
    return f'<component id="{id_}" kind="{kind}" {more}>{pins}</component>'


def switch(id_: str, rows: dict[str, tuple[str, str]], at: dict[str, str]) -> str:
    """A switch: ``when`` to its two terminals, and where its terminals are wired."""
    pins = "".join(f'<pin terminal="{name}" to="{to}"/>' for name, to in at.items())
    insides = "".join(f'<inside when="{when}" from="{a}" to="{b}"/>' for when, (a, b) in rows.items())
    return f'<component id="{id_}" kind="switch">{pins}{insides}</component>'


def relay(id_: str, at: dict[str, str]) -> str:
    """A plug-in relay of 85 Ω."""
    pins = "".join(f'<pin terminal="{name}" to="{to}"/>' for name, to in at.items())
    return f'<component id="{id_}" kind="relay" ohms="85">{pins}</component>'


def car(*rows: str, opened: tuple[str, ...] = ()) -> Behaviour:
    """The behaviour of a car of these rows behind a key."""
    return Behaviour(bare(FRONT, *rows), opened)


def on(behaviour: Behaviour, *conditions: Condition) -> list[str]:
    """The loads that are on in some conditions, one text each."""
    return [" ".join(ticks.on) for ticks in tick_sheet(behaviour, conditions)]


def test_the_key_goes_through_its_positions():
    """Off, accessory, run, start (75 is off while cranking), run again, running."""
    behaviour = car(lamp("run", "I"), lamp("acc", "A"), lamp("crank", "S"), lamp("always", "B"))

    states = [behaviour.state(Condition(stage)) for stage in SEQUENCE]

    assert [str(state.condition) for state in states] == [
        "key off", "key accessory", "key run", "key start", "key run, after start", "key run, engine running",
    ]  # fmt: skip
    assert on(behaviour, *(state.condition for state in states)) == [
        "always", "acc always", "run acc always", "run crank always", "run acc always", "run acc always",
    ]  # fmt: skip


def test_a_relay_held_from_start_stays_in_run():
    """Pulled in by the starter's feed, it then feeds itself from the ignition: run again is not run."""
    behaviour = car(
        relay("K", {"30": "I", "87": "P", "86": "P", "85": "G1"}),
        '<component id="D" kind="diode"><pin terminal="A" to="S"/><pin terminal="K" to="P"/></component>',
        lamp("held", "P"),
    )

    sequence = [behaviour.state(Condition(stage)) for stage in SEQUENCE]

    assert ["K" in state.solution.energised for state in sequence] == [False, False, False, True, True, True]
    assert on(behaviour, Condition("run"), Condition("run again")) == ["", "held"]


def test_every_control_alone():
    """A switch in each position, an output commanded, a socket in use; what does not rest there is named."""
    behaviour = car(
        switch("W", {"slow": ("1", "2"), "fast": ("1", "3"), "off": ("2", "3")}, {"1": "I", "2": "P", "3": "Q"}),
        lamp("slow", "P"), lamp("fast", "Q"),
        '<component id="M" kind="module"><pin terminal="30" role="supply" to="B"/>'
        '<pin terminal="31" role="ground" to="G1"/><pin terminal="Q" role="output-high" to="R"/></component>',
        lamp("driven", "R"),
        '<component id="socket" kind="connector-only" amps="2"><pin terminal="+" role="supply" to="B"/>'
        '<pin terminal="-" role="ground" to="G1"/></component>',
    )  # fmt: skip

    assert behaviour.settings == (("M.Q", "on"), ("W", "fast"), ("W", "slow"), ("socket", "plugged"))
    assert on(behaviour, *(state.condition for state in behaviour.singles("run"))) == [
        "M driven", "fast M", "slow M", "M socket",
    ]  # fmt: skip


def test_a_relay_that_its_control_does_not_release_is_held():
    """Pressed, it pulls in and feeds its own coil; let go, it stays: held. Through a break contact it is not."""
    latch = (
        relay("K", {"30": "B", "87": "P", "86": "P", "85": "G1"}),
        switch("button", {"pressed": ("1", "2")}, {"1": "B", "2": "P"}),
    )
    behaviour = car(*latch)
    plain = car(relay("K", {"30": "B", "87": "Q", "86": "P", "85": "G1"}), latch[1])

    assert behaviour.state(Condition("off", (("button", "pressed"),))).held == {"K"}
    assert plain.state(Condition("off", (("button", "pressed"),))).held == frozenset()


def test_a_buzzer_hunts():
    """A coil behind its own break contact: the lamp behind it cannot rely on anything."""
    behaviour = car(
        relay("K", {"30": "B", "87a": "P", "86": "P", "85": "G1"}), lamp("flicker", "P")
    )  # fmt: skip
    (off,) = tick_sheet(behaviour, [Condition("off")])

    assert off.hunting == ("K",)
    assert off.on == ()


def test_the_smallest_combination_of_controls():
    """Two switches in series, one of them behind a relay whose coil wants a third control."""
    behaviour = car(
        switch("SA", {"on": ("1", "2")}, {"1": "I", "2": "P"}),
        switch("N", {"on": ("1", "2")}, {"1": "R", "2": "G1"}),
        relay("K", {"86": "B", "85": "R", "30": "P", "87": "Q"}),
        lamp("far", "Q"),
    )
    load = behaviour.circuit.load_of["far", ""]

    assert behaviour.combinations("run") == {load: (("N", "on"), ("SA", "on"))}
    assert behaviour.combinations("off") == {}
    assert behaviour.not_exercised == ()
    assert Condition("run", (("N", "on"), ("SA", "on"))) in behaviour.conditions


def test_what_nothing_turns_on_is_not_exercised():
    """A load on a wire from nowhere is said to be neither on nor dead."""
    behaviour = car(lamp("lost", "P"), lamp("lit", "B"))

    assert [behaviour.circuit.loads[number].label for number in behaviour.not_exercised] == ["lost"]


def tree(rng: random.Random) -> DcCircuit:
    """Feeds switched in a tree, some coils and loads with a ground switch of their own: no way goes through a load."""
    ports, branches, coils = [source(1, 12.0, 0.01)], [], []
    feed, count = [1], [2]

    def node() -> int:
        count[0] += 1
        return count[0] - 1

    def switched(a: int, control: str, words: frozenset[str]) -> int:
        ports.append(Port("switch", control, f"{len(ports)}", a, node(), 0.001, 0.0, control, words))
        return ports[-1].b

    def ground() -> int:
        return 0 if rng.random() < 0.5 else switched(0, rng.choice(("W0", "W1", "N0", "N1")), frozenset({"p0"}))

    for number in range(rng.randrange(3, 7)):
        for position in range(rng.choice((1, 1, 2))):
            words = frozenset({f"p{position}"} | ({"rest"} if rng.random() < 0.1 else set()))
            feed.append(switched(rng.choice(feed), f"W{number}", words))
    for number in range(rng.randrange(3)):
        coils.append(Coil(f"K{number}", len(branches), 7.2, 2.4))
        branches.append(Branch("coil", f"K{number}", "coil", rng.choice(feed), ground(), 85.0))
        ports.append(Port("make", f"K{number}", "30-87", rng.choice(feed), node(), 0.001))
        feed.append(ports[-1].b)
    branches += [Branch("load", f"L{n}", "", rng.choice(feed[1:]), ground(), 5.0) for n in range(5)]
    return lumped(branches, ports, coils)


@pytest.mark.parametrize("seed", range(40))
def test_combinations_against_trying_all(seed: int):
    """No other two or three settings turn a load fully on with fewer than were found."""
    behaviour = Behaviour(bare(), ())
    behaviour.__dict__["circuit"] = tree(random.Random(seed))
    found = behaviour.combinations("run")
    alone = [behaviour.state(Condition("run")), *behaviour.singles("run")]
    seen = {load for state in alone for load in np.flatnonzero(np.abs(state.load_volts) >= 10.2)}
    for size in (2, 3):
        for settings in combinations(behaviour.settings, size):
            if len({control for control, _ in settings}) < size:
                continue
            state = behaviour.state(Condition("run", tuple(sorted(settings))))
            for load in set(np.flatnonzero(np.abs(state.load_volts) >= 10.2)) - seen:
                assert len(found.get(int(load), ())) == size, settings
                seen.add(load)


def test_everything_on_leaves_out_what_is_short():
    """Of positions that exclude each other the one that draws most; a horn is not for a night's drive."""
    behaviour = car(
        switch("W", {"slow": ("1", "2"), "fast": ("1", "3")}, {"1": "I", "2": "P", "3": "Q"}),
        lamp("slow", "P"), lamp("fast", "Q", more='watts="21"'),
        switch("H", {"pressed": ("1", "2")}, {"1": "B", "2": "R"}),
        lamp("horn", "R", kind="sounder", more='amps="5" duty="short"'),
    )  # fmt: skip

    assert behaviour.everything_on == (("W", "fast"),)


def test_states_are_the_same_whatever_the_order_of_rows():
    """Rows turned round give the same ticks."""
    rows = [
        switch("SA", {"on": ("1", "2")}, {"1": "I", "2": "P"}), lamp("one", "P"), lamp("two", "B"),
        relay("K", {"86": "P", "85": "G1", "30": "B", "87": "Q"}), lamp("three", "Q"),
    ]  # fmt: skip

    def ticks(order: list[str]) -> set[tuple[str, tuple[str, ...]]]:
        return {(str(row.condition), tuple(sorted(row.on))) for row in tick_sheet(car(*order))}

    assert ticks(rows) == ticks(rows[::-1])


def test_references_are_the_highest_volts_standing_and_running():
    """By size, with their sign; apart, for a charging car has more."""
    behaviour = car(
        '<component id="alt" kind="alternator" running-volts="14.2"><pin terminal="B+" to="B"/></component>',
        lamp("plain", "B"), lamp("turned", "G1", "B"),
    )  # fmt: skip

    standing, running = references(behaviour, behaviour.conditions)

    assert standing.tolist() == pytest.approx([12.0, -12.0], abs=0.05)
    assert running.tolist() == pytest.approx([14.2, -14.2], abs=0.05)


def test_the_way_of_a_current_is_told_in_order():
    """Source, fuse, switch, load, metal."""
    behaviour = car(
        '<component id="F1" kind="fuse" rating="10"><pin terminal="1" to="I"/><pin terminal="2" to="P"/></component>',
        switch("SA", {"on": ("1", "2")}, {"1": "P", "2": "Q"}), lamp("one", "Q"),
    )  # fmt: skip
    state = behaviour.state(Condition("run", (("SA", "on"),)))

    way = Ways(behaviour.circuit).of(state.solution, 0)

    assert way is not None
    assert way_words(behaviour.circuit, way) == ("battery", "key 30-15", "F1 10 A", "SA 1-2", "one", "body")


def test_taking_something_out_shows_what_goes_odd():
    """A shared ground stud that rusts away: the lamps on it light each other."""
    rows = (
        '<splice id="J" harness="h"/><ground id="G2"/><wire harness="h" from="J" to="G2" size="1" length="1"/>',
        switch("SA", {"on": ("1", "2")}, {"1": "B", "2": "P"}),
        switch("C", {"on": ("1", "2")}, {"1": "B", "2": "Q"}),
        lamp("left", "P", "J"), lamp("right", "Q", "J"), lamp("third", "Q"),
    )  # fmt: skip
    worked = Condition("off", (("SA", "on"),))

    (sound,) = tick_sheet(car(*rows), [worked])
    (rusty,) = tick_sheet(car(*rows, opened=("G2",)), [worked])

    assert (sound.on, sound.dim) == (("left",), ())
    assert (rusty.on, rusty.dim) == ((), ("left", "right", "third"))
