"""Colours in people's own words: twenty-three languages, separators, shades, and doubt that stays doubt."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.fields import COLOUR_CODES
from harnesscheck.trade.colour_words import doubtful_codes, language, languages, style
from harnesscheck.trade.colours import Colour, colour_doubt, colour_names, read_colour

NAMES = ("red", "orange", "yellow", "green", "blue", "violet", "brown", "black", "white", "grey")
# Names of coloured circles and hearts, Unicode CLDR 48 (annotations), the adjective as it stands there: an outside
# check of each language's words. The names of the circles in the first line give the order.
CLDR = {
    "de": "roter oranger gelber grüner blauer lila brauner schwarzer weißer graues",
    "fr": "rouge orange jaune vert bleu violet marron noir blanc gris",
    "es": "rojo naranja amarillo verde azul morado marrón negro blanco gris",
    "it": "rosso arancione giallo verde blu viola marrone nero bianco grigio",
    "pt": "vermelho laranja amarelo verde azul roxo marrom preto branco cinza",
    "nl": "rode oranje gele groene blauwe paarse bruine zwarte witte grijs",
    "sv": "röd orange gul grön blå lila brun svart vit grått",
    "pl": "czerwone pomarańczowe żółte zielone niebieskie fioletowe brązowe czarne białe szare",
    "cs": "červený oranžový žlutý zelený modrý fialový hnědý černý bílý šedé",
    "da": "rød orange gul grøn blå lilla brun sort hvid gråt",
    "fi": "punainen oranssi keltainen vihreä sininen violetti ruskea musta valkoinen harmaa",
    "hu": "piros narancssárga sárga zöld kék lila barna fekete fehér szürke",
    "tr": "kırmızı turuncu sarı yeşil mavi mor kahverengi siyah beyaz gri",
}


def read(text, code=None):
    colour = read_colour(text, code)
    return colour.names if isinstance(colour, Colour) else "no colour"


@pytest.mark.parametrize(("name", "words"), CLDR.items())
def test_every_language_has_the_words_that_unicode_has(name, words):
    """Unicode CLDR 48, annotations of the coloured circles and hearts."""
    assert [read(word) for word in words.split()] == [(one,) for one in NAMES]
    assert [read(word.upper(), "iec60757") for word in words.split()] == [(one,) for one in NAMES]


def test_no_word_contradicts_another():
    """A word is one colour, or one set of colours, in all languages, and never another than as a code."""
    means = {}
    for name in languages():
        for key, ones in language(name).words.items():
            assert set(means.setdefault(key, ones)) == set(ones), f"{key} in {name}"
    for code in COLOUR_CODES:
        for key, names in style(code).codes.items():
            assert means.get(key) in (None, (names,)), f"{key} is {names} in {code}"


def test_every_colour_of_the_words_has_a_name():
    known = {*colour_names(), "bare"}

    assert all(names[0] in known for name in languages() for ones in language(name).words.values() for names in ones)


@pytest.mark.parametrize(
    "text",
    [
        "black/white",
        "BK/WH",
        "sw-ws",
        "noir blanc",
        "BLK_WHT",
        "black|white",
        "black, white",
        "black & white",
        "black and white",
        "black with white tracer",
        "black w/ white stripe",
        "Black (white stripe)",
        "white stripe on black",
        "BK / WHT",
        "BK.WH",
        "black with a white stripe",
        "blk./wht.",
        "black-white.",
        "schwarz mit weißem Streifen",
        "SCHWARZ/WEISS",
        "noir et blanc",
        "negro con raya blanca",
        "nero e bianco",
        "preto com risca branca",
        "zwart met witte streep",
        "svart och vit",
        "czarny z białym paskiem",
        "černá s bílým pruhem",
        "czarno-biały",
        "musta/valkoinen",
        "black/white wire",
        "BKWH",
        "BLKWHT",
        "noi/bla",
    ],
)
def test_base_and_stripe_may_stand_apart_in_many_ways(text):
    """Common practice, no source."""
    assert read(text) == ("black", "white")


@pytest.mark.parametrize(
    "text",
    [
        "light blue",
        "lt blue",
        "Lt. Blu",
        "LTBLU",
        "lBU",
        "L-BU",
        "lightblue",
        "hellblau",
        "hell blau",
        "hbl",
        "bleu clair",
        "azul claro",
        "azul-claro",
        "blu chiaro",
        "lichtblauw",
        "ljusblå",
        "lyseblå",
        "jasnoniebieski",
        "světle modrá",
        "pale blue",
    ],
)
def test_light_stands_before_or_behind_or_in_one_word(text):
    """Common practice, no source."""
    assert read(text) == ("light blue",)


@pytest.mark.parametrize(
    "text",
    [
        "dark green/yellow",
        "DKGRN/YEL",
        "D-GN/YE",
        "vert foncé/jaune",
        "dunkelgrün/gelb",
        "verde scuro-giallo",
        "mörkgrön gul",
        "tmavě zelená / žlutá",
    ],
)
def test_a_shade_keeps_its_stripe(text):
    assert read(text) == ("dark green", "yellow")


@pytest.mark.parametrize("text", ["grüngelb", "grünGelb", "GNYE", "zelenožlutá", "zielono-żółty", "groen/geel"])
def test_the_two_colours_of_protective_earth_may_be_one_word(text):
    """IEC 60757 has GNYE; the joined words are common practice, no source."""
    assert read(text) == ("green", "yellow")


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("white or red", "which is on the wire"),
        ("rojo o negro", "which is on the wire"),
        ("rot oder weiß", "which is on the wire"),
        ("BK/WH or BK/RD", "which is on the wire"),
        ("red?", "written with a doubt"),
        ("BK/?", "written with a doubt"),
        ("probably green", "written with a doubt"),
        ("GR", "green (sae) or grey (din, jis)"),
        ("BL", "BL is blue to some and black to others"),
        ("azzurro", "light blue or sky blue"),
        ("beige", "natural or tan"),
        ("L-G", "blue/green (jis) or light green"),
        ("white stripe", "which is the base"),
        ("bare", "has no colour"),
        ("clear", "bare or natural"),
        ("bla", "black"),
    ],
)
def test_what_can_be_two_colours_is_not_known_and_said(text, asks):
    colour = read_colour(text, None)

    assert isinstance(colour, Colour)
    assert colour.names is None
    assert asks in colour_doubt(colour, None)


@pytest.mark.parametrize("text", ["???", "stripe", "light", "0.75", "W12", "with", "red/plaid", "rotbraun", "tr", "x"])
@pytest.mark.parametrize("code", [*COLOUR_CODES, None])
def test_what_is_no_colour_is_not_made_one(text, code):
    assert isinstance(read_colour(text, code), str)


def test_codes_come_before_words_in_a_declared_style():
    assert read("ws/or", "din") == ("white", "orange")
    assert read("sw/or/rt", "din") == ("black", "orange", "red")
    assert read("ws or rt", "din") is None  # orange, or the word between
    assert read("rouge/BK", "iec60757") == ("red", "black")
    assert read("SW", "iec60757") == "no colour"


def test_two_letters_of_the_japanese_style_are_two_colours_where_nothing_else_reads_them():
    assert read("BW", "jis") == ("black", "white")
    assert read("BR", "jis") == ("brown",)
    assert read("LB", "jis") is None  # light blue to others
    assert read("GY", "jis") is None  # grey to others


words = st.sampled_from([word for line in CLDR.values() for word in line.split()])
signs = st.sampled_from(["/", " / ", "-", ", ", " ", "|", " & ", "_"])


@settings(max_examples=60, deadline=None)
@given(words, signs, words)
def test_capitals_and_the_sign_between_change_nothing(base, sign, stripe):
    """Where the words are of two languages, or one colour twice, it is the same."""
    plain = read(f"{base}/{stripe}")

    assert plain == read(base) + read(stripe)
    assert read(f"{base}{sign}{stripe}".upper()) in (plain, read(base + "/" + stripe.upper()))


@settings(max_examples=60, deadline=None)
@given(words, words, st.sampled_from([" or ", " oder ", " ou ", "?/"]))
def test_a_doubt_is_never_a_stripe(first, second, between):
    assert read(f"{first}{between}{second}") in (None, "no colour")


@pytest.mark.parametrize(("code", "key"), [*product(COLOUR_CODES, sorted(doubtful_codes()))])
def test_a_doubtful_code_is_never_known_without_a_style(code, key):
    assert read(key) is None
    assert read(f"{key}/{style(code).name}") in (None, "no colour")
