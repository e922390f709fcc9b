"""The shipped RELAX NG is what ``fields`` says, takes every file that is written, and refuses what the reader does."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.demo import DEMO
from builders.files import good, xml
from builders.samples import everything, seeded_cars
from lxml import etree

import harnesscheck.write
from harnesscheck.fields import NAMESPACE, ROWS, Field, Type, fields_of
from harnesscheck.read import read_netlist
from harnesscheck.write.schema import SCHEMA_FILE, schema_text, xml_fields
from harnesscheck.write.xml import xml_text

SHIPPED = Path(harnesscheck.write.__file__).parent / SCHEMA_FILE
RELAX_NG = "{http://relaxng.org/ns/structure/1.0}"


@pytest.fixture(scope="module")
def schema() -> etree.RelaxNG:
    """The file as other programs get it, compiled by libxml2."""
    return etree.RelaxNG(etree.parse(str(SHIPPED)))


def is_valid(schema: etree.RelaxNG, text: str) -> bool:
    """Whether libxml2 takes the text."""
    return bool(schema.validate(etree.fromstring(text.encode())))


def test_the_shipped_file_is_generated() -> None:
    """Write it anew with ``schema_text`` after a change of the fields."""
    assert SHIPPED.read_bytes().decode("utf-8") == schema_text()


def test_elements_and_attributes_are_those_of_fields() -> None:
    """Read back from the shipped file, independently of what wrote it."""
    grammar = etree.parse(str(SHIPPED)).getroot()
    assert grammar.get("ns") == NAMESPACE
    for row in ROWS:
        (element,) = grammar.findall(f"{RELAX_NG}define[@name='{row.name}']/{RELAX_NG}element")
        found = {one.get("name") for one in element.iter(f"{RELAX_NG}attribute")}
        told = {"connector": {"component"}, "pin": {"connector", "component"}, "inside": {"component"}}.get(
            row.name, set()
        )
        assert found == {field.name for field in fields_of(row.name)} - told
        inside = {one.get("name") for one in element.iter(f"{RELAX_NG}ref")}
        assert inside == {one.name for one in ROWS if row.name in one.parents}
        required = {one.get("name") for one in element.findall(f"{RELAX_NG}attribute")}
        assert required == {field.name for field in fields_of(row.name) if row.name in field.required_on} - told


@pytest.mark.parametrize("name", ["donor.xml", "shell.xml"])
def test_the_demonstration_cars_are_valid(schema: etree.RelaxNG, name: str) -> None:
    """As they were typed, and as they are written."""
    assert is_valid(schema, (DEMO / name).read_text(encoding="utf-8")), schema.error_log
    assert is_valid(schema, xml_text(good(read_netlist(DEMO / name)))), schema.error_log


def test_written_files_are_valid(schema: etree.RelaxNG, tmp_path: Path) -> None:
    """Cars of a seed, and a netlist with every field of every row."""
    (tmp_path / "car.xml").write_text(everything(), encoding="utf-8")
    for netlist in (good(read_netlist(tmp_path / "car.xml")), *seeded_cars()):
        assert is_valid(schema, xml_text(netlist)), schema.error_log


CASES = [(row.name, field) for row in ROWS for field in xml_fields(row.name)]
WRONG = {
    Type.ID: ("a b", "a:b", "<a>"), Type.REF: ("a b", "a:b"), Type.CAVITY: ("a b", "1:2"), Type.REFS: ("a:b",),
    Type.END: ("a b", "a:b:c"), Type.NUMBER: ("-1", "NaN", "1e3"), Type.LENGTH: ("-1", "1 parsec"),
    Type.TEMPERATURE: ("hot",), Type.HOURS: ("1 2", "soon"), Type.YES_NO: ("true", "1"), Type.CHOICE: ("nobody",),
    Type.MONTH: ("2013-13", "2013"), Type.YEAR: ("14", "3014"),
}  # fmt: skip


def around(sort: str, attributes: str) -> str:
    """A netlist with one such row in a place where it may stand."""
    row = f"<{sort} {attributes}/>"
    if sort == "netlist":
        return f'<netlist xmlns="{NAMESPACE}" {attributes}/>'
    if sort in ("pin", "inside"):
        row = f'<component id="kk"><connector id="CC">{row}</connector></component>' if sort == "pin" else row
        row = f'<component id="kk">{row}</component>' if sort == "inside" else row
    return xml(row)


def with_required(sort: str, name: str, text: str) -> str:
    """The row with that field, and with what else it must have."""
    needed = {"id": "x", "from": "S1", "to": "S2", "length": "1"}
    texts = {one: needed[one] for one in (f.name for f in xml_fields(sort) if sort in f.required_on)}
    escaped = text.replace("&", "&amp;").replace("<", "&lt;")
    return around(sort, " ".join(f'{key}="{value}"' for key, value in (texts | {name: escaped}).items()))


@pytest.mark.parametrize(("sort", "field"), CASES, ids=[f"{sort}-{field.name}" for sort, field in CASES])
def test_each_field_takes_what_its_type_is(schema: etree.RelaxNG, sort: str, field: Field) -> None:
    """Every choice, yes and no; not known where that makes sense; nothing that is no such value."""
    for text in field.choices or (("yes", "no") if field.type is Type.YES_NO else ()):
        assert is_valid(schema, with_required(sort, field.name, text)), text
    assert is_valid(schema, with_required(sort, field.name, "?")) or sort in field.required_on
    for text in WRONG.get(field.type, ()):
        assert not is_valid(schema, with_required(sort, field.name, text)), text


@pytest.mark.parametrize(
    "body",
    [
        "<wheel/>",
        '<harness id="b" colour="RD"/>',
        "<harness/>",
        '<pin cavity="1"/>',
        "words",
        '<place from="a" to="b"/>',
    ],
)
def test_what_is_no_row_is_refused(schema: etree.RelaxNG, tmp_path: Path, body: str) -> None:
    """By the schema and by the reader alike."""
    (tmp_path / "car.xml").write_text(xml(body), encoding="utf-8")

    assert not is_valid(schema, xml(body))
    assert isinstance(read_netlist(tmp_path / "car.xml"), list)
