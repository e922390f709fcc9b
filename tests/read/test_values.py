"""How the text of each type of field is read."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.fields import FIELDS, Field, Type, fields_of
from harnesscheck.model.places import Source
from harnesscheck.read import values
from harnesscheck.read.faults import Faults
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.values import Origin, Typer, Wrong, cavity_names, field_reader, split_range
from harnesscheck.trade.lexicon import hazards_in


def read(type_: Type, text: str, name: str | None = None) -> object:
    """Read a text as the first field of a type, or as the one named."""
    field = next(field for field in FIELDS if field.type is type_ and (name is None or field.name == name))
    return field_reader(field)(text)


@pytest.mark.parametrize(
    "text",
    [
        "C12",
        "A1",
        "11A",
        "30/1",
        "12V+",
        "Lüfter",
        "インジェクター",
        "x.y",
        "a..b",
        "C#1",
        "pump(left)",
        "=x",
        "B+",
        "-",
    ],
)
def test_a_name_is_nearly_any_text(text: str) -> None:
    """Letters of any script, and most signs."""
    assert read(Type.ID, text) == text
    assert read(Type.CAVITY, text) == text


@pytest.mark.parametrize(
    "text",
    [
        "a b",
        "a\tb",
        "C1:4",
        "<script>",
        "a>b",
        'a"b',
        "a'b",
        "a&b",
        "a\\b",
        "..",
        ".",
        "../x",
        "a/../b",
        "a/.",
        "a\0b",
        "a\u202eb",
        "x" * 101,
    ],
)
def test_a_name_is_no_markup_and_no_path(text: str) -> None:
    """What could become a path, an element, a quote or an invisible sign is refused."""
    assert isinstance(read(Type.ID, text), Wrong)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("16", tuple(str(n) for n in range(1, 17))),
        ("1", ("1",)),
        ("A1-A3 B1-B2", ("A1", "A2", "A3", "B1", "B2")),
        ("1-5 7", ("1", "2", "3", "4", "5", "7")),
        ("4 7", ("4", "7")),
        ("A", ("A",)),
        ("A-D", ("A", "B", "C", "D")),
        ("08-11", ("08", "09", "10", "11")),
        ("1A-3A", ("1A", "2A", "3A")),
        ("5-5", ("5",)),
        ("A-1", ("A-1",)),
        ("85 86 30 87a", ("85", "86", "30", "87a")),
    ],
)
def test_cavities_are_a_count_or_a_list(text: str, names: tuple[str, ...]) -> None:
    """A count means names 1 to n; ranges need the same letters at both ends."""
    assert read(Type.CAVITIES, text) == names


@pytest.mark.parametrize("text", ["0", "1001", "-3", "1 1", "1-4 3", "A1 <b>", "1-99999", "1-600 A1-A600", "9999999"])
def test_cavities_are_refused(text: str) -> None:
    """None, too many, one twice, and names that are none."""
    assert isinstance(read(Type.CAVITIES, text), Wrong)


def test_more_cavities_can_be_allowed() -> None:
    """The limit can be raised."""
    field = next(field for field in FIELDS if field.type is Type.CAVITIES)

    assert len(field_reader(field, limits=Limits(max_cavities=2000))("2000")) == 2000


@pytest.mark.parametrize(
    ("cavity", "names"),
    [
        ("5-8", ("5", "6", "7", "8")),
        ("A1-A2", ("A1", "A2")),
        ("8-5", ("8-5",)),
        ("A1-B2", ("A1-B2",)),
        ("x-ray", ("x-ray",)),
        ("7", ("7",)),
    ],
)
def test_a_range_of_cavities(cavity: str, names: tuple[str, ...]) -> None:
    """Only plain numbers or the same letters, upwards; all else is a name."""
    assert cavity_names(cavity, ()) == names


def test_a_cavity_that_is_called_like_a_range_is_no_range() -> None:
    """A listed name stands for itself."""
    assert cavity_names("5-8", ("5-8", "9")) == ("5-8",)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1.8", 1.8),
        ("180 mm", 0.18),
        ("180mm", 0.18),
        ("45 cm", 0.45),
        ("2 m", 2.0),
        ("6 ft", 1.8288),
        ("12 in", 0.3048),
        ("0.5", 0.5),
    ],
)
def test_lengths_are_metres_or_have_their_unit(text: str, metres: float) -> None:
    """1 ft = 0.3048 m and 1 in = 0.0254 m exactly (international yard and pound agreement of 1959)."""
    assert read(Type.LENGTH, text) == metres


@pytest.mark.parametrize("text", ["0", "-1", "1,8", "nan", "inf", "1e3", "3 miles", "m", "", "1.8.2", "0 mm", "١"])
def test_lengths_are_refused(text: str) -> None:
    """Zero, signs, other units, and what is no plain decimal."""
    assert isinstance(read(Type.LENGTH, text), Wrong)


@pytest.mark.parametrize("text", ["nan", "NaN", "inf", "-1", "0", "1e9", "7,5", "", "0x10", "1_000", "9" * 20, "½"])
def test_numbers_are_plain_and_above_zero(text: str) -> None:
    """Where nothing or less makes no sense."""
    assert isinstance(read(Type.NUMBER, text, "amps"), Wrong)


def test_a_level_may_be_zero_and_a_percentage_at_most_hundred() -> None:
    """An input may expect 0 V; a relay cannot drop out above its nominal voltage."""
    assert read(Type.NUMBER, "0", "level") == 0.0
    assert read(Type.NUMBER, "60", "pick-up") == 60.0
    assert isinstance(read(Type.NUMBER, "101", "drop-out"), Wrong)


@pytest.mark.parametrize(
    ("text", "hours"), [("3", (3.0,)), ("5 7 11", (5.0, 7.0, 11.0)), ("2 2 2", (2.0, 2.0, 2.0)), ("0", (0.0,))]
)
def test_hours_are_one_number_or_three(text: str, hours: tuple[float, ...]) -> None:
    """Best, likely and worst in that order."""
    assert read(Type.HOURS, text) == hours


@pytest.mark.parametrize("text", ["7 5 11", "5 11 7", "5 7", "1 2 3 4", "-1", "a"])
def test_hours_are_refused(text: str) -> None:
    """Two numbers, or three in the wrong order."""
    assert isinstance(read(Type.HOURS, text), Wrong)


@pytest.mark.parametrize(
    ("type_", "text", "value"),
    [
        (Type.TEMPERATURE, "-40", -40.0),
        (Type.YES_NO, "yes", True),
        (Type.YES_NO, "no", False),
        (Type.MONTH, "2013-08", "2013-08"),
        (Type.YEAR, "2014", 2014),
        (Type.REFS, "abs tail-lift abs", ("abs", "tail-lift")),
        (Type.WORDS, "run start", ("run", "start")),
        (Type.END, "C7:3", "C7:3"),
        (Type.END, "S3", "S3"),
        (Type.TEXT, "two\r\nlines\rmore", "two\nlines\nmore"),
    ],
)
def test_other_types(type_: Type, text: str, value: object) -> None:
    """One example of each."""
    assert read(type_, text) == value


@pytest.mark.parametrize(
    ("type_", "text"),
    [
        (Type.TEMPERATURE, "-300"),
        (Type.YES_NO, "true"),
        (Type.YES_NO, "Yes"),
        (Type.MONTH, "2013-13"),
        (Type.MONTH, "2013-8"),
        (Type.MONTH, "08/2013"),
        (Type.YEAR, "14"),
        (Type.YEAR, "20145"),
        (Type.END, "C7:"),
        (Type.END, ":3"),
        (Type.END, "C7:3:1"),
        (Type.END, "C7 3"),
        (Type.CHOICE, "pump"),
        (Type.TEXT, "bell \x07"),
        (Type.SIZE, "thick"),
        (Type.COLOUR, "mud"),
    ],
)
def test_other_types_are_refused(type_: Type, text: str) -> None:
    """Data is not forgiving."""
    assert isinstance(read(type_, text), Wrong)


def test_a_colour_is_read_in_the_code_of_its_file() -> None:
    """GR is green in Japan's code and grey in the German one: JIS C 3406 G; DIN 47002 gr."""
    field = next(field for field in FIELDS if field.type is Type.COLOUR)

    assert field_reader(field, "din")("gr").names == ("grey",)
    assert field_reader(field, "iec60757")("GNYE").names == ("green", "yellow")
    assert isinstance(field_reader(field, "iec60757")("sw"), Wrong)


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: f"{field.name}-{field.on[0]}")
@settings(deadline=None)  # the first word builds its language's table
@given(text=st.text(max_size=30))
def test_a_reader_answers_every_text(field: Field, text: str) -> None:
    """No text raises, none becomes NaN or infinity, none becomes None."""
    value = field_reader(field)(text)

    assert value is not None
    if isinstance(value, float):
        assert math.isfinite(value)


@given(st.text(alphabet="AB19-", max_size=8))
def test_a_range_has_its_ends(text: str) -> None:
    """The first and last name of a range are its two ends."""
    names = split_range(text)

    if names is not None:
        first, _, last = text.partition("-")
        assert (names[0], names[-1]) == (first, last if not first.startswith("0") else names[-1])
        assert len(set(names)) == len(names)


def typer(**options: object) -> tuple[Typer, Faults]:
    """A typer with its faults."""
    faults = Faults()
    return Typer(faults, DEFAULT_LIMITS, **options), faults  # type: ignore[arg-type]


def test_a_text_is_read_once_and_shared() -> None:
    """The same text gives the same object, so that a million wires share a few colours."""
    reader, _ = typer(colour_code="iec60757")
    origin = Origin(Source("a"), 1)

    first = reader.values("pin", {"colour": "BK/BU", "circuit": "FP" + "1"}, origin)
    second = reader.values("pin", {"colour": "BK/BU", "circuit": "".join(("FP", "1"))}, origin)
    assert first["colour"] is second["colour"]
    assert first["circuit"] is second["circuit"]


def test_a_bad_text_is_a_fault_each_time_and_leaves_its_slot_unknown() -> None:
    """The row still stands."""
    reader, faults = typer()
    for line in (1, 2):
        assert reader.values("circuit", {"id": "a", "class": "hot"}, Origin(Source("a"), line)) == {
            "id": "a",
            "class_": None,
        }

    assert [fault.place.line for fault in faults.found] == [1, 2]


def test_a_decimal_comma_is_read_only_where_the_file_has_them() -> None:
    """1,8 is 1.8 in a file of semicolons, and a fault elsewhere."""
    texts, origin = {"length": "1,8 m", "bundle": "2,5"}, Origin(Source("a"), 1)

    assert typer(decimal_comma=True)[0].values("pin", texts, origin) == {"length": 1.8, "bundle": 2.5}
    reader, faults = typer()
    reader.values("pin", texts, origin)
    assert len(faults.found) == 2


def test_what_a_row_needs_cannot_be_unknown() -> None:
    """? for an id is a fault; so is ? for the connector of a pin."""
    reader, faults = typer()

    reader.values("circuit", {"id": "?"}, Origin(Source("a"), 1))
    reader.values("pin", {"connector": "?"}, Origin(Source("a"), 1))
    assert [fault.expected for fault in faults.found] == [
        "id: a value; without it the row says nothing",
        "connector: a value; without it the row says nothing",
    ]


def test_a_text_has_a_limit() -> None:
    """A novel is no note."""
    reader, faults = typer()

    assert reader.values("option", {"id": "a", "note": "x" * 10_001}, Origin(Source("a"), 1))["note"] is None
    assert faults.found[0].expected == "note: at most 10000 characters"


@pytest.mark.parametrize("sort", ["pin", "connector"])
def test_every_field_takes_a_question_mark_or_says_why_not(sort: str) -> None:
    """Not known is an answer everywhere but where a row would be nothing."""
    for field in fields_of(sort):
        reader, faults = typer()
        reader.values(sort, {field.name: "?"}, Origin(Source("a"), 1))
        needed = sort in field.required_on or (sort == "pin" and field.name in ("connector", "component"))
        assert bool(faults.found) is needed, field.name


def test_ordinary_systems_are_known_without_the_lexicon_as_it_would_have_them() -> None:
    """None of the words is one of restraint or high voltage, nor near one, alone or two together."""
    words = sorted(values._ORDINARY)

    assert not [word for word in words if hazards_in(word) or values._near(word)]
    assert not [f"{one} {other}" for one in words for other in words if hazards_in(f"{one} {other}")]
    assert values.read_hazard("tail-lift") is None and values.read_hazard("air bag") == "restraint"
