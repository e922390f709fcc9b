"""The schema of the XML form (RELAX NG), generated from ``fields``.

``netlist.rng`` beside this module is what ``schema_text`` gives, shipped for
other programs. The schema says which rows and fields there are and how their
texts look; what must hold between rows is for the reader alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from harnesscheck.fields import NAMESPACE, ROWS, Field, RowSort, Type, fields_of
from harnesscheck.read.values import UNKNOWN

SCHEMA_FILE = "netlist.rng"
_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>',
    "<!-- Generated from harnesscheck/fields.py; do not edit. -->",
    f'<grammar xmlns="http://relaxng.org/ns/structure/1.0" ns="{NAMESPACE}"',
    '         datatypeLibrary="http://www.w3.org/2001/XMLSchema-datatypes">',
)
_NUMBER = r"[0-9]{1,15}(\.[0-9]{1,15})?"
_NAME = r"""[^\s:<>"'&\\]{1,100}"""
_PATTERNS = {
    Type.ID: _NAME,
    Type.REF: _NAME,
    Type.CAVITY: _NAME,
    Type.REFS: rf"\s*{_NAME}(\s+{_NAME})*\s*",
    Type.END: rf"{_NAME}(:{_NAME})?",
    Type.NUMBER: _NUMBER,
    Type.LENGTH: rf"{_NUMBER}\s*(mm|cm|m|ft|in)?",
    Type.TEMPERATURE: rf"-?{_NUMBER}",
    Type.HOURS: rf"{_NUMBER}(\s+{_NUMBER}\s+{_NUMBER})?",
    Type.MONTH: r"[0-9]{4}-(0[1-9]|1[0-2])",
    Type.YEAR: r"(18|19|20|21)[0-9]{2}",
}
_OWNERS = ("connector", "component")  # told by what the row stands in


def schema_text() -> str:
    """The whole schema."""
    return "".join(f"{line}\n" for line in _lines())


def xml_fields(sort: str) -> tuple[Field, ...]:
    """The fields a row has as attributes in XML."""
    return tuple(field for field in fields_of(sort) if not (field.name in _OWNERS and field.type is Type.REF))


def _lines() -> Iterator[str]:
    yield from _HEAD
    yield '  <start><ref name="netlist"/></start>'
    for row in ROWS:
        yield from _definition(row)
    yield "</grammar>"


def _definition(row: RowSort) -> Iterator[str]:
    yield f"  <define name={quoteattr(row.name)}>"
    yield f"    <element name={quoteattr(row.name)}>"
    fields = xml_fields(row.name)
    required = [field for field in fields if row.name in field.required_on]
    for field in required:
        yield from _attribute(field, "      ", required=True)
    # Attributes have no order, so that this is the same as one after the other; but there libxml2 takes ever longer,
    # five times as long for each one that is written.
    yield "      <interleave>"
    for field in fields:
        if field not in required:
            yield from _attribute(field, "        ", required=False)
    yield "      </interleave>"
    inside = [one.name for one in ROWS if row.name in one.parents]
    if inside:
        choices = "".join(f"<ref name={quoteattr(name)}/>" for name in inside)
        yield f"      <zeroOrMore><choice>{choices}</choice></zeroOrMore>"
    yield "    </element>"
    yield "  </define>"


def _attribute(field: Field, indent: str, required: bool) -> Iterator[str]:
    value = _value(field, may_be_unknown=not required)
    yield f"{indent}<!-- {_comment(field)} -->"
    attribute = f'<attribute name={quoteattr(field.name)} ns="">{value}</attribute>'
    yield f"{indent}{attribute}" if required else f"{indent}<optional>{attribute}</optional>"


def _comment(field: Field) -> str:
    return field.help + (f" ({field.unit})" if field.unit else "")


def _value(field: Field, may_be_unknown: bool) -> str:
    if field.type is Type.YES_NO:
        values = "".join(f"<value>{text}</value>" for text in ("yes", "no"))
    elif field.type is Type.CHOICE:
        values = "".join(f"<value>{escape(text)}</value>" for text in field.choices)
    elif field.type in _PATTERNS:
        values = f'<data type="token"><param name="pattern">{escape(_PATTERNS[field.type])}</param></data>'
    else:
        return "<text/>"
    if may_be_unknown:
        values += f"<value>{UNKNOWN}</value>"
    return f"<choice>{values}<value/></choice>" if may_be_unknown else f"<choice>{values}</choice>"
