"""Reading wire colours: four styles, English, no guessing."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.fields import COLOUR_CODES
from harnesscheck.trade.colours import Colour, colour_names, colour_text, read_colour, same_colour, srgb


def names(text, code):
    colour = read_colour(text, code)
    assert isinstance(colour, Colour), colour
    return colour.names


# IEC 60757:1983 as printed in GOST 28763-90: all fourteen single colours and the pair for protective earth.
IEC_60757 = {
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "TQ": "turquoise",
    "GD": "gold",
    "SR": "silver",
}
# Colour keys printed in public workshop manuals, Japanese style.
JAPANESE = {
    "B": "black",
    "BR": "brown",
    "G": "green",
    "GR": "grey",
    "L": "blue",
    "LG": "light green",
    "O": "orange",
    "P": "pink",
    "R": "red",
    "SB": "sky blue",
    "V": "violet",
    "W": "white",
    "Y": "yellow",
}
# Two-letter North American keys, public; three-letter forms from memory.
NORTH_AMERICAN = {
    "BK": "black",
    "BLK": "black",
    "BR": "brown",
    "LG": "light green",
    "LT GRN": "light green",
    "DG": "dark green",
    "LB": "light blue",
    "DB": "dark blue",
    "GR": "green",
    "GY": "grey",
    "P": "violet",
    "PPL": "violet",
    "PK": "pink",
    "T": "tan",
    "N": "natural",
}
# DIN 47002 / IEC 60304 abbreviations, from memory.
DIN = {
    "sw": "black",
    "br": "brown",
    "rt": "red",
    "or": "orange",
    "ge": "yellow",
    "gn": "green",
    "bl": "blue",
    "vi": "violet",
    "li": "violet",
    "gr": "grey",
    "ws": "white",
    "rs": "pink",
}
KEYS = {"iec60757": IEC_60757, "jis": JAPANESE, "sae": NORTH_AMERICAN, "din": DIN}


@pytest.mark.parametrize(("code", "text", "name"), [(code, *row) for code, key in KEYS.items() for row in key.items()])
def test_a_code_means_what_its_own_style_says_in_either_case(code, text, name):
    assert names(text, code) == (name,)
    assert names(text.swapcase(), code) == (name,)


@pytest.mark.parametrize(
    ("text", "code", "expected"),
    [
        ("BK/WH", "iec60757", ("black", "white")),
        ("WH/BK", "iec60757", ("white", "black")),  # the first is the base
        ("RDBU", "iec60757", ("red", "blue")),  # joined without separator, GOST 28763-90
        ("GNYE", "iec60757", ("green", "yellow")),
        ("GN-YE", "iec60757", ("green", "yellow")),
        ("gnge", "din", ("green", "yellow")),
        ("sw/ws", "din", ("black", "white")),
        ("L-G", "jis", ("blue", "green")),  # LG without a stroke is light green: another wire
        ("L/B", "jis", ("blue", "black")),
        ("W B", "jis", ("white", "black")),
        ("LT GRN/BLK", "sae", ("light green", "black")),
        ("LT GRN BLK", "sae", ("light green", "black")),
        ("BLK-LT BLU", "sae", ("black", "light blue")),
        (" BLK / WHT ", "sae", ("black", "white")),
        ("R/W/B", "jis", ("red", "white", "black")),
    ],
)
def test_base_comes_first_and_every_usual_separator_is_read(text, code, expected):
    assert names(text, code) == expected


@pytest.mark.parametrize("code", [*COLOUR_CODES, None])
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("black", ("black",)),
        ("Light Green", ("light green",)),
        ("light-green", ("light green",)),
        ("light green/black", ("light green", "black")),
        ("black light blue", ("black", "light blue")),
        ("gray", ("grey",)),
        ("grey", ("grey",)),
        ("purple/white", ("violet", "white")),
        ("green-yellow", ("green", "yellow")),
    ],
)
def test_plain_english_is_read_in_every_style(text, expected, code):
    assert names(text, code) == expected


@pytest.mark.parametrize("text", ["GR", "gr", "B", "BL", "SB", "P", "B/W", "RD/GR"])
def test_an_ambiguous_code_without_a_style_is_a_colour_not_known_which(text):
    """GR is grey in Japanese and green in a North American key, P pink and purple, B black or blue."""
    assert read_colour(text, None) == Colour(text, None)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("BK/WH", ("black", "white")),
        ("BR", ("brown",)),  # brown in three styles, nothing else in the fourth
        ("BN", ("brown",)),
        ("L", ("blue",)),
        ("LB", ("light blue",)),
        ("RDBU", ("red", "blue")),
        ("rtge", ("red", "yellow")),
    ],
)
def test_a_code_that_means_one_thing_everywhere_needs_no_style(text, expected):
    assert names(text, None) == expected


def test_the_wrong_style_shows_itself_in_the_message():
    assert read_colour("BR", "iec60757") == (
        "a colour of the iec60757 code, base/stripe; in the din, jis and sae codes BR is brown"
    )
    assert "in the jis code P is pink; in the sae code P is violet" in read_colour("P", "iec60757")
    assert "in the jis code SB is sky blue" in read_colour("RD/SB", "iec60757")


@pytest.mark.parametrize(
    "text", ["", " ", "/", "BK/", "/BK", "BK//WH", "XX", "BK+WH", "BK/WH/RD/GN", "<b>", "BK\x00", "1.25"]
)
@pytest.mark.parametrize("code", [*COLOUR_CODES, None])
def test_what_is_no_colour_is_answered_with_what_was_expected(text, code):
    answer = read_colour(text, code)

    assert isinstance(answer, str)
    assert answer.startswith("a colour ")


def test_long_text_is_refused_at_once():
    assert isinstance(read_colour("BK " * 100_000, "sae"), str)
    assert isinstance(read_colour("BK" + " " * 200 + "x", "sae"), str)


def test_colours_compare_by_name_and_order_whatever_the_style():
    black_white = read_colour("sw/ws", "din")

    assert same_colour(black_white, read_colour("B/W", "jis")) is True
    assert same_colour(black_white, read_colour("W/B", "jis")) is False
    assert same_colour(black_white, read_colour("B", "jis")) is False


def test_an_unknown_colour_is_neither_same_nor_different():
    unknown = read_colour("GR", None)

    assert same_colour(unknown, unknown) is None
    assert same_colour(unknown, read_colour("GR", "jis")) is None
    assert same_colour(None, read_colour("GR", "jis")) is None


colours = st.lists(st.sampled_from(colour_names()), min_size=1, max_size=3).map(tuple)


@settings(deadline=None)
@given(colours, st.sampled_from([*COLOUR_CODES, None]))
def test_what_is_written_in_a_style_reads_back(given_names, code):
    assert names(colour_text(given_names, code), code) == given_names


@settings(deadline=None)
@given(st.text(max_size=80), st.sampled_from([*COLOUR_CODES, None]))
def test_any_text_gives_a_colour_or_a_sentence(text, code):
    answer = read_colour(text, code)

    if isinstance(answer, Colour):
        assert answer.names is None or set(answer.names) <= set(colour_names())
    else:
        assert answer.isprintable()


@settings(deadline=None)
@given(colours)
def test_without_a_style_nothing_is_read_otherwise_than_its_own_style_reads_it(given_names):
    for code in COLOUR_CODES:
        read = names(colour_text(given_names, code), None)
        assert read is None or read == given_names


def test_every_style_writes_its_own_codes_and_falls_back_to_english():
    assert colour_text(("black", "white"), "din") == "sw/ws"
    assert colour_text(("black", "light green"), "sae") == "BLK/LT GRN"
    assert colour_text(("turquoise", "white"), "jis") == "turquoise/W"
    with pytest.raises(ValueError, match="octarine"):
        colour_text(("octarine",), "jis")


def test_every_name_has_a_drawing_colour():
    for name in colour_names():
        assert len(srgb(name)) == 7
        assert int(srgb(name)[1:], 16) >= 0
