"""Values back into the texts that read as the same values, field by field."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from harnesscheck.fields import COMMON, Field, fields_of
from harnesscheck.model.records import AnyRecord
from harnesscheck.read.values import read_cavities, split_range
from harnesscheck.trade.colours import Colour
from harnesscheck.trade.sizes import Size

Texts = dict[str, str]

_IN_COMMON = frozenset(COMMON)


def row_texts(sort: str, row: AnyRecord) -> Texts:
    """The fields a record says something in, in the order of ``fields``."""
    texts: Texts = {}
    for field in fields_of(sort):
        value = _value(field, row)
        if value not in (None, ()):
            texts[field.name] = text_of(field, value)
    return texts


def _value(field: Field, row: AnyRecord) -> Any:
    """A field's value; None for shorthand, which was written out when the netlist was read."""
    return getattr(row.common if field.name in _IN_COMMON else row, field.slot, None)


def text_of(field: Field, value: Any) -> str:
    """The text of one value."""
    if field.name == "cavities":
        return cavities_text(value)
    if isinstance(value, Colour | Size):
        return value.text
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return _number_text(value)
    if isinstance(value, tuple):
        return " ".join(_number_text(one) if isinstance(one, float) else str(one) for one in value)
    return str(value)


def _number_text(value: float) -> str:
    """The shortest decimal that reads as the same number, never with an exponent."""
    text = format(Decimal(repr(float(value))), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def cavities_text(names: tuple[str, ...]) -> str:
    """A count where the names are 1 to n, else names and ranges."""
    if names == tuple(str(n) for n in range(1, len(names) + 1)):
        return str(len(names))
    text = " ".join(_runs(names))
    return text if read_cavities(text, len(names)) == names else " ".join(names)


def _runs(names: tuple[str, ...]) -> list[str]:
    """Names that follow each other, as ranges of three and more; a number alone would read as a count."""
    runs: list[list[str]] = []
    for name in names:
        if runs and split_range(f"{runs[-1][0]}-{name}") == (*runs[-1], name):
            runs[-1].append(name)
        else:
            runs.append([name])
    if len(names) == 1:
        return [f"{names[0]}-{names[0]}"]
    return [text for run in runs for text in ([f"{run[0]}-{run[-1]}"] if len(run) > 2 else run)]
