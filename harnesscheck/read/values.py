"""Types the texts of rows by ``harnesscheck.fields``.

Both file forms hand over ``{field name: text}``; what comes back is
``{slot: value}``. A blank text is not written and is left out. ``?`` says *not
known*: the slot is there and holds None (or nothing, where it holds many), so
that it can take away what a base or another connector would have given.

Numbers are plain decimals above zero, in the unit of the field.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from harnesscheck.fields import ROW_NAMES, Field, Type, fields_of
from harnesscheck.model.places import Place, Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.trade.choices import choice_meant
from harnesscheck.trade.colours import Colour, colour_doubt, read_colour
from harnesscheck.trade.sizes import read_size

UNKNOWN = "?"
METRES_PER = {"m": 1.0, "mm": 0.001, "cm": 0.01, "ft": 0.3048, "in": 0.0254}  # international foot and inch
MAX_NAME = 100
_MANY = (Type.REFS, Type.WORDS)
_MAY_BE_ZERO = ("level",)
_PERCENT = ("pick-up", "drop-out")
_BAD_IN_NAME = re.compile(r"""[\s:<>"'&\\]""")
_BESIDE_OR = re.compile(r"\s*\|\s*")
_PLAIN_END = re.compile(r"[A-Za-z0-9+_-]{1,100}(:[A-Za-z0-9+_-]{1,100})?")
_NUMBER = re.compile(r"\d{1,15}(\.\d{1,15})?", re.ASCII)
_SIGNED = re.compile(r"-?\d{1,15}(\.\d{1,15})?", re.ASCII)
_LENGTH = re.compile(r"(\d{1,15}(?:\.\d{1,15})?)\s*(mm|cm|m|ft|in)?", re.ASCII)
_MONTH = re.compile(r"(\d{4})-(0[1-9]|1[0-2])", re.ASCII)
_YEAR = re.compile(r"(18|19|20|21)\d\d", re.ASCII)
_COUNT = re.compile(r"[+-]?\d+([.,]\d+)?", re.ASCII)
_RANGE_END = re.compile(r"([^\W\d]*)(\d{1,15})([^\W\d]*)")
_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_LETTERS = re.compile("[A-Z]-[A-Z]|[a-z]-[a-z]")
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
_RESTRAINT, _HIGH_VOLTAGE = "restraint", "high-voltage"
_USUAL = {"restraint": _RESTRAINT, "airbag": _RESTRAINT, "highvoltage": _HIGH_VOLTAGE, "hochvolt": _HIGH_VOLTAGE}
# Words that systems are called by: known to say neither without asking the lexicon.
_ORDINARY = frozenset({
    "audio", "axle", "body", "brake", "brakes", "cab", "camera", "charging", "clutch", "comfort", "cooling", "door",
    "doors", "engine", "exhaust", "fuel", "gearbox", "heating", "horn", "ignition", "immobiliser", "instruments",
    "interior", "lamps", "lift", "lighting", "lights", "locking", "mirrors", "power", "radio", "rear", "roof",
    "seats", "signals", "starting", "steering", "suspension", "tail", "trailer", "transmission", "windows", "wipers",
})  # fmt: skip
_SHORT = 8  # letters up to which one wrong letter only is a misprint
_WITH_DECIMALS = (Type.NUMBER, Type.TEMPERATURE, Type.LENGTH, Type.SIZE, Type.HOURS)


@dataclass(frozen=True, slots=True)
class Wrong:
    """Stands where a value should be: a sentence of what was expected."""

    expected: str


Reader = Callable[[str], Any]


def read_text(text: str) -> str | Wrong:
    """Free text; line ends become single newlines."""
    if bad := _NOT_IN_XML.search(text):
        return Wrong(f"text without control characters (U+{ord(bad[0]):04X})")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def read_name(text: str) -> str | Wrong:
    """The name of a row or a cavity: letters of any script, digits and most signs, not a path, not markup."""
    if len(text) > MAX_NAME:
        return Wrong(f"a name of at most {MAX_NAME} characters")
    if _BAD_IN_NAME.search(text) or not text.isprintable():
        return Wrong("""a name without white space, control characters, or any of : < > " ' & \\""")
    if "." in text and any(part in (".", "..") for part in text.split("/")):
        return Wrong("a name that is not a path ('.' or '..' as a part of it)")
    return text


def read_names(text: str) -> tuple[str, ...] | Wrong:
    """Names with white space between; the same name once. White space beside ``|`` does not count."""
    names: list[str] = []
    for word in (_BESIDE_OR.sub("|", text) if "|" in text else text).split():
        name = read_name(word)
        if isinstance(name, Wrong):
            return name
        if name not in names:
            names.append(name)
    return tuple(names)


def read_end(text: str) -> str | Wrong:
    """The end of a wire: ``C7:3``, or the name of a splice or ground point."""
    # One look for the usual end; whatever it does not know is taken apart.
    if _PLAIN_END.fullmatch(text):
        return text
    parts = text.split(":")
    if len(parts) > 2 or any(not part or isinstance(read_name(part), Wrong) for part in parts):
        return Wrong("the other end of the wire: a cavity (C7:3), a splice or a ground point")
    return text


def split_range(text: str) -> tuple[str, ...] | None:
    """The names a range such as ``5-8``, ``A1-A8`` or ``A-F`` stands for; None where the text is no range.

    Both ends must be numbers with the same letters around them, or single
    letters, and the first the lower one.
    """
    first, dash, last = text.partition("-")
    if not dash:
        return None
    if _LETTERS.fullmatch(text):
        return tuple(map(chr, range(ord(first), ord(last) + 1))) if first <= last else None
    low, high = _RANGE_END.fullmatch(first), _RANGE_END.fullmatch(last)
    if not low or not high or (low[1], low[3]) != (high[1], high[3]) or int(low[2]) > int(high[2]):
        return None
    width = len(low[2]) if low[2].startswith("0") else 0
    return tuple(f"{low[1]}{n:0{width}d}{low[3]}" for n in range(int(low[2]), int(high[2]) + 1))


def cavity_names(cavity: str, listed: Sequence[str]) -> tuple[str, ...]:
    """The cavities a row is for: a range stands for each of them, unless the connector has one of that name."""
    if "-" not in cavity or cavity in listed:
        return (cavity,)
    return split_range(cavity) or (cavity,)


def range_ends(to: str | None, count: int, listed: Sequence[str]) -> list[str | None] | None:
    """Where each wire of a range goes: all to one point, or one by one to a range as long (``C7:5-8``); else None.

    ``listed`` are the cavities of the connector at the other end.
    """
    owner, colon, cavity = (to or "").partition(":")
    length = range_length(cavity) if colon else 1
    if length == 1 or cavity in listed:
        return [to] * count
    return [f"{owner}:{name}" for name in cavity_names(cavity, ())] if length == count else None


def range_length(text: str) -> int:
    """How many names a range would stand for, told without writing them out; 1 where the text is no range."""
    first, dash, last = text.partition("-")
    low, high = _RANGE_END.fullmatch(first), _RANGE_END.fullmatch(last)
    return max(1, int(high[2]) - int(low[2]) + 1) if dash and low and high else 1


def read_cavities(text: str, most: int) -> tuple[str, ...] | Wrong:
    """A count (names 1 to n), or names and ranges with white space between."""
    words = text.split()
    too_many = Wrong(f"at most {most} cavities")
    if len(words) == 1 and _COUNT.fullmatch(text):
        if not text.isdigit() or not text.strip("0"):
            return Wrong("a count of cavities, 1 or more")
        if len(text) > len(str(most)) or int(text) > most:
            return too_many
        return tuple(str(n) for n in range(1, int(text) + 1))
    if len(words) > most or sum(map(range_length, words)) > most:
        return too_many
    names = [name for word in words for name in split_range(word) or (word,)]
    for name in names:
        if isinstance(wrong := read_name(name), Wrong):
            return Wrong(f"a count, or names and ranges (A1-A8 B1-B8) of cavities: {wrong.expected}")
    if len(set(names)) < len(names):
        twice = next(name for i, name in enumerate(names) if name in names[:i])
        return Wrong(f"every cavity once ('{twice}' is there twice)")
    return tuple(names)


def read_length_m(text: str) -> float | Wrong:
    """A length in m: a plain number, or one with mm, cm, m, ft or in behind it."""
    match = _LENGTH.fullmatch(text)
    number = float(match[1]) if match else 0.0
    if not match or not number:
        return Wrong("a length above 0 in m, or with its unit (180 mm, 6 ft, 12 in)")
    # Rounded to a millionth of a millimetre, so that 180 mm is the same number as 0.18 m.
    length_m = number if match[2] in (None, "m") else round(number * METRES_PER[match[2]], 9)
    return length_m or Wrong("a length above a millionth of a millimetre")


def read_hours(text: str) -> tuple[float, ...] | Wrong:
    """One number of hours, or best, likely and worst."""
    words = text.split()
    wrong = Wrong("hours: one number, or best likely worst, each no lower than the one before (5 7 11)")
    if len(words) not in (1, 3) or not all(map(_NUMBER.fullmatch, words)):
        return wrong
    hours = tuple(float(word) for word in words)
    return hours if list(hours) == sorted(hours) else wrong


def read_temperature_degc(text: str) -> float | Wrong:
    """A temperature in °C."""
    if not _SIGNED.fullmatch(text) or not -273.15 <= float(text) <= 1000:
        return Wrong("a temperature in °C, -273.15 to 1000")
    return float(text)


def read_yes_no(text: str) -> bool | Wrong:
    """``yes`` or ``no``."""
    return text == "yes" if text in ("yes", "no") else Wrong("yes or no")


def read_month(text: str) -> str | Wrong:
    """A build month, ``2013-08``."""
    return text if _MONTH.fullmatch(text) else Wrong("a month as year-month (2013-08)")


def read_year(text: str) -> int | Wrong:
    """A model year."""
    return int(text) if _YEAR.fullmatch(text) else Wrong("a year of four digits (2014)")


def read_words(text: str) -> tuple[str, ...] | Wrong:
    """Words with white space between."""
    return tuple(text.split()) if not isinstance(wrong := read_text(text), Wrong) else wrong


def _number_reader(field: Field) -> Reader:
    low = "0 or more" if field.name in _MAY_BE_ZERO else "above 0"
    high = " and at most 100" if field.name in _PERCENT else ""
    wrong = Wrong(f"a number {low}{high}" + (f", in {field.unit}" if field.unit else ""))

    def read(text: str) -> float | Wrong:
        """A finite number within its bounds."""
        if not _NUMBER.fullmatch(text):
            return wrong
        number = float(text)
        if not math.isfinite(number) or (number == 0 and field.name not in _MAY_BE_ZERO):
            return wrong
        return wrong if high and number > 100 else number

    return read


def _choice_reader(field: Field) -> Reader:
    wrong = Wrong("one of " + ", ".join(field.choices))
    return lambda text: text if text in field.choices else wrong


def read_hazard(text: str) -> str | Wrong | None:
    """``restraint`` or ``high-voltage`` for any usual spelling of it; a near miss is told the right word.

    None for a text that says neither.
    """
    from harnesscheck.trade.lexicon import hazards_in

    if text in (_RESTRAINT, _HIGH_VOLTAGE):
        return text
    if _ORDINARY.issuperset(re.split("[ -]", text)):
        return None
    said = [hazard for hazard, _ in hazards_in(text)]
    if len(said) > 1:
        return Wrong(f"{_RESTRAINT} or {_HIGH_VOLTAGE}, one of them")
    if said and not _is_misprint(text):
        return said[0]
    if _plain_letters(text) in _USUAL:
        return _USUAL[_plain_letters(text)]
    near = said[0] if said else _near(text)
    return Wrong(f"{near}, if that is meant ({near}?); else another word") if near else None


def _plain_letters(text: str) -> str:
    """The letters of a text, small, without what stands between."""
    return re.sub(r"[^a-z]", "", text.casefold())


def _is_misprint(text: str) -> bool:
    """Whether the words were understood only by putting a letter right."""
    from harnesscheck.trade.lexicon.reading import read

    return bool(read(text).corrected)


def _near(text: str) -> str:
    """Which of the two words a text may be a misprint of, where the lexicon does not know it."""
    from rapidfuzz.distance import OSA

    plain = _plain_letters(text)
    for spelling, word in _USUAL.items():
        if OSA.distance(plain, spelling, score_cutoff=2) <= (2 if len(spelling) > _SHORT else 1):
            return word
    return ""


def _class_reader(field: Field) -> Reader:
    """A class: one of the choices, or a usual spelling of restraint or high voltage."""
    choice = _choice_reader(field)

    def read(text: str) -> Any:
        """A choice of the field, as the file or people write it."""
        if text in field.choices:
            return text
        hazard = read_hazard(text)
        return choice(text) if hazard is None else hazard

    return read


def read_system(text: str) -> str | Wrong:
    """A system, a free word; any usual spelling of the two special ones is read as that word."""
    hazard = read_hazard(text)
    return read_text(text) if hazard is None else hazard


def _wrong_if_text(reader: Callable[[str], Any]) -> Reader:
    """The readers of ``trade`` answer with a sentence where they cannot read."""

    def read(text: str) -> Any:
        """A reader's text is what was expected instead."""
        value = reader(text)
        return Wrong(value) if isinstance(value, str) else value

    return read


_READERS: Mapping[Type, Reader] = {
    Type.TEXT: read_text,
    Type.LIST: read_text,  # written out before anything is typed
    Type.ID: read_name,
    Type.REF: read_name,
    Type.REFS: read_names,
    Type.END: read_end,
    Type.CAVITY: read_name,
    Type.SIZE: _wrong_if_text(read_size),
    Type.LENGTH: read_length_m,
    Type.TEMPERATURE: read_temperature_degc,
    Type.HOURS: read_hours,
    Type.YES_NO: read_yes_no,
    Type.MONTH: read_month,
    Type.YEAR: read_year,
    Type.WORDS: read_words,
}


def field_reader(field: Field, colour_code: str | None = None, limits: Limits = DEFAULT_LIMITS) -> Reader:
    """The function that reads one field's text; it answers with ``Wrong`` where it cannot."""
    if field.name == "class":
        return _class_reader(field)
    if field.name == "system":
        return read_system
    match field.type:
        case Type.NUMBER:
            return _number_reader(field)
        case Type.CHOICE:
            return _choice_reader(field)
        case Type.COLOUR:
            return _wrong_if_text(lambda text: read_colour(text, colour_code))
        case Type.CAVITIES:
            return lambda text: read_cavities(text, limits.max_cavities)
        case _:
            return _READERS[field.type]


@dataclass(slots=True)  # not frozen: one is made for every row of a file
class Origin:
    """Where a row stands; ``headers`` gives a table's own spelling of each field's name."""

    file: Source
    line: int
    column: int = 0
    headers: Mapping[str, str] | None = None

    def place(self, field: str = "") -> Place:
        """The place of the row, or of one field in it where the form has columns."""
        header = self.headers.get(field, "") if self.headers else ""
        return Place(self.file.path, self.line, self.column, self.file.sheet, header)


def _must_be_known(field: Field, sort: str) -> bool:
    """Whether ``?`` makes no sense there: a row without it says nothing."""
    return sort in field.required_on or (sort == "pin" and field.type is Type.REF)


class _Known:
    """One field of one sort of row: its slot, its reader, and every text read so far."""

    __slots__ = ("asks", "doubts", "field", "nothing", "read", "texts")

    def __init__(self, field: Field, read: Reader, required: bool) -> None:
        self.field = field
        self.read = read
        self.nothing: Any = () if field.type in _MANY else None
        self.texts: dict[str, Any] = {} if required else {UNKNOWN: self.nothing}
        self.asks = field.type is Type.COLOUR or field.name == "half"  # may be read and yet be a question
        self.doubts: dict[str, tuple[Any, str]] = {}  # what each doubtful text is taken for, and what is said of it


class Typer:
    """Types the rows of one file; every text is read once and remembered, for looms repeat themselves.

    A text that cannot be read becomes a fault and leaves its slot as if it were
    not known, so that the row still stands and the rest of the file can be judged.
    ``told`` names fields that are no fields here, for something else tells them.
    What ``people`` typed is read with more patience than what a program wrote: a
    colour that cannot be read is not known, and said.
    """

    def __init__(
        self,
        faults: Faults,
        limits: Limits,
        colour_code: str | None = None,
        decimal_comma: bool = False,
        told: Collection[str] = (),
        people: bool = False,
    ) -> None:
        self._faults = faults
        self._limits = limits
        self._decimal_comma = decimal_comma
        self._told = told
        self._people = people
        self._colour_code = colour_code
        self._unread: list[str] = []  # of the row at hand
        # For each field its slot, the way to look a text up, and all else: a million pins come through here.
        self._fields: dict[str, dict[str, tuple[str, Callable[[str, Any], Any], _Known]]] = {}
        for sort in ROW_NAMES:
            known = [
                _Known(field, self._reader(field, colour_code), _must_be_known(field, sort))
                for field in fields_of(sort)
                if field.name not in told
            ]
            self._fields[sort] = {one.field.name: (one.field.slot, one.texts.get, one) for one in known}

    def _reader(self, field: Field, colour_code: str | None) -> Reader:
        read = field_reader(field, colour_code, self._limits)
        if self._people and field.type in (Type.CHOICE, Type.YES_NO):
            return lambda text: read(choice_meant(field.name, text))
        return read

    def values(self, sort: str, texts: Mapping[str, str], origin: Origin) -> dict[str, Any]:
        """The slots of one row that its texts fill."""
        fields = self._fields[sort]
        values: dict[str, Any] = {}
        for name, text in texts.items():
            if name not in fields:
                self._unknown_field(sort, name, origin)
                continue
            slot, look_up, known = fields[name]
            value = look_up(text, _UNREAD)
            if value is _UNREAD:
                if not text or text.isspace():
                    continue
                value = self._value(known, text, origin)
            values[slot] = value
        if self._unread:
            remarks = (values.get("note"), *self._unread)
            values["note"] = "; ".join(filter(None, remarks))
            self._unread.clear()
        return values

    def _value(self, known: _Known, text: str, origin: Origin) -> Any:
        if text in known.doubts:
            return self._asked(known, text, origin)
        value = self._read(known, text.strip())
        if known.asks and (said := self._doubt(known, value, text)):
            known.doubts[text] = (known.nothing if isinstance(value, Wrong) else value, said)
            return self._asked(known, text, origin)
        if isinstance(value, Wrong):
            name = known.field.name
            self._faults.add(origin.place(name), text.strip(), f"{name}: {value.expected}")
            return known.nothing
        known.texts[text] = value
        return value

    def _asked(self, known: _Known, text: str, origin: Origin) -> Any:
        """The value of a doubtful text, with a remark; what could not be read at all is kept as a note."""
        name = known.field.name
        value, said = known.doubts[text]
        if value is known.nothing:
            self._unread.append(f"{name} written as {text.strip()}")
        self._faults.remarks.add(origin.place(name), text.strip(), said)
        return value

    def _doubt(self, known: _Known, value: Any, text: str) -> str:
        """What to say of a colour that may be two; and of what only a person would have typed so."""
        if isinstance(value, Colour) and (why := colour_doubt(value, self._colour_code)):
            return f"{known.field.name} not known; {why}"
        if known.field.name == "half" and isinstance(value, str) and value != text.strip():
            return f"taken for {value}: of the contacts, whatever the housing is called"
        typed = self._people and known.field.type is Type.COLOUR and len(text) <= MAX_NAME
        if isinstance(value, Wrong) and typed and not isinstance(read_text(text), Wrong):
            return f"{known.field.name} not known; expected {value.expected}"
        return ""

    def _read(self, known: _Known, text: str) -> Any:
        if text[0] == UNKNOWN and (text == UNKNOWN or (self._people and not text.strip(UNKNOWN))):
            return known.texts.get(UNKNOWN, Wrong("a value; without it the row says nothing"))
        if len(text) > self._limits.max_text:
            return Wrong(f"at most {self._limits.max_text} characters")
        if self._decimal_comma and known.field.type in _WITH_DECIMALS:
            text = _DECIMAL_COMMA.sub(".", text)
        return known.read(text)

    def _unknown_field(self, sort: str, name: str, origin: Origin) -> None:
        if name in self._told:
            self._faults.add(origin.place(name), name, f"no {name} here; what the {sort} stands in tells it")
            return
        namespace, _, local = name.rpartition(" ")  # of an XML attribute
        read = f"{local} in namespace {namespace}" if namespace else name
        names = ", ".join(self._fields[sort])
        self._faults.add(origin.place(name), read, f"a field of {sort} rows: {names}")


_UNREAD = object()
