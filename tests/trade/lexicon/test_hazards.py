"""Restraint and high voltage in people's own words, and words that only look like them. Common practice, no source."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.trade.lexicon import hazards_in


def split(texts: str) -> list[str]:
    return [text.strip() for line in texts.split("\n") if line.strip() for text in line.split("|") if text.strip()]


MEANT = {
    "restraint": """
        Driver squib | AIRBAG | air-bag | Air bag, passenger | bag, air, driver side | SRS unit | SIR
        igniter squib 2 (-) | belt tens L | pre-tensioner | Seat belt tensioner rh | seatbelt buckle switch
        seat-belt switch | seat mat | crash sensor, front | airbag warning lamp | passenger airbag off
        curtain airbag L | side curtain | gas generator | restraint control module | pyrotechnic battery clamp
        Gurtstraffer links | Zündpille | Beifahrerairbag | Gurtschloss | Sitzbelegungserkennung | Crashsensor
        Rückhaltesystem | Rueckhaltesystem | prétensionneur AVG | coussin gonflable conducteur
        capteur de choc | boucle de ceinture | pretensor izquierdo | bolsa de aire | hebilla cinturón
        cuscino passeggero | pretensionatore dx | fibbia cintura | pré-tensor | fivela do cinto
        gordelspanner links | luchtzak | krockkudde | bältessträckare | krocksensor | beltestrammer
        selestrammer | turvatyyny | vyönkiristin | poduszka powietrzna kierowcy | napinacz pasa
        czujnik zderzenia | předpínač pásu | légzsák | övfeszítő | hava yastığı | подушка безопасности
        преднатяжитель ремня | podushka bezopasnosti | airbag? | lamp (airbag)
        air bag suspension compressor and driver airbag
    """,
    "high-voltage": """
        HV+ | HV - | high voltage
        High-voltage battery | traction battery + | interlock loop | HVIL | DC link - | Hochvolt
        Hochvoltbatterie | HV-Pilotlinie | Traktionsbatterie | haute tension | batterie de traction
        alto voltaje | alta tensione | alta tensão | hoogspanning | tractiebatterij | högspänning | højspænding
        suurjännite | wysokie napięcie | vysoké napětí | nagyfeszültség | yüksek gerilim | тяговая батарея
        400 V | heater 360V DC
    """,
}
ONLY_ALIKE = """
    air suspension bag valve | air bag suspension compressor | bag lamp | luggage bag hook
        Drive belt tensioner | timing belt tensioner | Riemenspanner | tendeur de courroie | tensor de correa
        seat belt lamp | seat belt chime | seat belt reminder | Head restraint motor | Kopfstütze
        tyre inflator | DAB antenna | HVAC | high beam | crash bar lamp | spark plug | coil igniter
        orange lamp | air mass | freewheel | Massenstrom | feed pump | coussin chauffant siège
        poduszka silnika | traction control lamp | 12 V | 24V | 48 V | 5 V | + | cigarette lighter
        Zigarettenanzünder
    """


@pytest.mark.parametrize(("hazard", "text"), [(hazard, text) for hazard in MEANT for text in split(MEANT[hazard])])
def test_a_word_that_says_so_is_heard_in_either_case(hazard, text):
    for written in (text, text.upper(), f"  {text} ", f"({text})", f"{text}?", f"{text} " + "long remark " * 40):
        assert hazard in dict(hazards_in(written)), written


@pytest.mark.parametrize("text", split(ONLY_ALIKE))
def test_words_that_only_look_alike_are_not_heard(text):
    assert hazards_in(text) == ()


def test_the_word_that_said_it_is_told():
    assert hazards_in("Driver squib +") == (("restraint", "squib"),)
    assert hazards_in("HV battery, airbag") == (("restraint", "airbag"), ("high-voltage", "hv"))


@settings(max_examples=60)
@given(
    st.sampled_from([text for texts in MEANT.values() for text in split(texts)]), st.text(max_size=30), st.booleans()
)
def test_no_further_word_silences_a_hazard(text, more, first):
    """Words behind a comma, in whatever language, leave a hazard what it is."""
    assert hazards_in(f"{more}, {text}" if first else f"{text}, {more}")
