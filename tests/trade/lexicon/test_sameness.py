"""Do two texts name one circuit? Common practice, no source."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.trade.lexicon import Sameness, sameness

PAIRS = {
    Sameness.SAME: """
        gnd = ground | Masse = chassis earth | CAN_H = CAN High | permanent feed = battery positive | turn signal left = LH indicator
        Rückfahrleuchte = reversing lamp | fuel pump feed = Versorgung Kraftstoffpumpe | feu stop = Bremslicht | left mirror = Spiegel links
        speed signal (vehicle) = vehicle speed sensor signal | horn = klaxon | fog lights = fog lamp
        ignition feed = Kl. 15 | acc = accessory feed | spare = N/C | sensor ground = signal return | CAN- = CAN low
        window switch, LH (rear) = rear left window switch | zapalniczka = cigarette lighter | pompa paliwa = Kraftstoffpumpe
    """,
    Sameness.DIFFERENT: """
        turn signal left = turn signal right | CAN high = CAN low | injector 1 = injector 2 | ground = permanent feed | horn = radio
        low beam = high beam | front fog lamp = rear fog lamp | window up = window down | sensor ground = body ground | fan = fan relay
        ignition feed = permanent feed | HS CAN high = MS CAN high | left speaker + = left speaker - | TPS signal = TPS ground
        brake lamp = brake lamp switch | lock = unlock | Bremslicht = Blinker | horn = ground
    """,
    Sameness.NOT_TOLD: """
        horn = flurbel | switched ground = ground | injector 1 = injector | left headlamp = headlamp | feed = permanent feed | ground = ground?
        fuel pump = fuel pump feed
    """,
}  # fmt: skip


def pairs(answer):
    texts = [text.strip() for line in PAIRS[answer].split("\n") for text in line.split("|") if text.strip()]
    return [tuple(text.split(" = ")) for text in texts]


ALL = [(a, b, answer) for answer in PAIRS for a, b in pairs(answer)]


@pytest.mark.parametrize(("a", "b", "answer"), ALL)
def test_two_texts_are_told_apart_as_a_mechanic_would(a, b, answer):
    assert sameness(a, b) is answer
    assert sameness(b, a) is answer


@settings(max_examples=100)
@given(st.sampled_from(ALL), st.sampled_from([str.upper, str.lower]))
def test_capitals_and_brackets_change_nothing(pair, change):
    a, b, answer = pair
    assert sameness(change(a), f"({b})") is answer


@given(st.text(min_size=1, max_size=40), st.text(min_size=1, max_size=40))
def test_the_order_of_two_texts_says_nothing(a, b):
    assert sameness(a, b) is sameness(b, a)
