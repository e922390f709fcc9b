"""Headings of real pin tables, in many languages."""

import pytest

from harnesscheck.trade.headings import heading_words, read_heading
from harnesscheck.trade.tables import rows

# Common practice, no source: what stands above the columns of pin tables; dictionary words.
CAVITY = [
    "Pin #",
    "PIN-Nr.",
    "Pin No.",
    "Cavity Number",
    "Stift Nr.",
    "Kontaktnummer",
    "N° de broche",
    "Numéro de voie",
    "Nº de pin",
    "numero pin",
    "Pino nº",
    "Pennummer",
    "Stift nr",
    "Nr pinu",
    "Číslo pinu",
    "Ben nr.",
    "ピン番号",
    "Номер контакта",
]
COLOUR = [
    "Wire Color",
    "colour of wire",
    "Farbe",
    "Kabelfarbe",
    "Aderfarbe",
    "Farbe der Ader",
    "Couleur du fil",
    "Couleur",
    "Color del cable",
    "Colore cavo",
    "Cor do fio",
    "Draadkleur",
    "Kabelfärg",
    "Kolor przewodu",
    "Barva vodiče",
    "Ledningsfarve",
    "Johdon väri",
    "Цвет провода",
    "線色",
    "CLR",
]
FUNCTION = [
    "Function",
    "Signal description",
    "Circuit function",
    "Terminal description",
    "Belegung",
    "Pinbelegung",
    "Funktion",
    "Désignation",
    "Función",
    "Funzione",
    "Descrição",
    "Omschrijving",
    "Beskrivning",
    "Opis funkcji",
    "Popis",
    "DESC",
    "Назначение",
]
SIZE = [
    "mm²",
    "Gauge (AWG)",
    "Wire size (mm2)",
    "Leitungsquerschnitt",
    "Querschnitt [mm²]",
    "Section",
    "Przekrój",
    "Doorsnede",
    "AWG",
]
NOTHING = ["Fuse", "Sicherung", "Volts", "In/Out", "Checked", "Page", "Signal type", "Fusible"]


@pytest.mark.parametrize(
    ("means", "headings"),
    [("pin", CAVITY), ("colour", COLOUR), ("function", FUNCTION), ("size", SIZE), ("idle", NOTHING)],
)
def test_what_a_heading_says(means, headings):
    said = {text: read_heading(text) for text in headings}

    assert {
        text: one and ("size" if one.means == "gauge" else one.means) for text, one in said.items()
    } == dict.fromkeys(headings, means)


@pytest.mark.parametrize("text", ["", "rainbow", "Colour/Size", "12", "x" * 200, "Farbe und Quatsch", "."])
def test_what_is_no_heading_says_nothing(text):
    assert read_heading(text) is None


def test_units_are_told():
    assert read_heading("Gauge (AWG)").unit == "AWG"
    assert read_heading("Länge [mm]").unit == "mm"
    assert read_heading("Length").unit == ""


def test_capitals_and_signs_change_nothing():
    for word in heading_words():
        assert read_heading(word.upper()) == read_heading(word)


def test_every_word_is_a_heading_or_stands_beside_one():
    beside = {"fill", "code", "insulation", "metre", "millimetre", "centimetre", "foot", "inch"}
    for row in rows("headings"):
        for word in row["written"].split("|"):
            if row["means"] not in beside and word != "in":  # alone it is the inch
                assert read_heading(word) is not None, word
