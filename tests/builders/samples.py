"""Netlists to write: one row of every sort with every field, the demonstration cars, cars drawn from a seed."""

from __future__ import annotations

from collections.abc import Iterator

from cars import Mix, make_car, mutate, netlist_of

from builders.files import xml
from harnesscheck.fields import INSIDES, LISTED, ROWS, Field, Type, fields_of
from harnesscheck.model.records import Netlist
from harnesscheck.write.schema import xml_fields

SHORTHAND = ("base", "drop", "on", "kind", "part", "mirror", "like", *LISTED, *INSIDES)  # written out by the reader

_BY_NAME = {
    "cavities": "2 A1-A4 x", "mates": "C2", "with": "b", "after": "b", "at": 'left "kick" panel & <sill>',
    "colour": "BK/BU", "size": "AWG 16", "length": "1.25", "colour-code": "iec60757", "model-year": "2014",
    "built-from": "2013-08", "built-to": "2014-07", "option": "abs", "without": "tail-lift", "ambient": "-40.5",
    "pick-up": "60.5", "drop-out": "20", "out-hours": "5 7.5 11", "in-hours": "0.1", "key": "no", "base": "x.xml",
}  # fmt: skip
_BY_TYPE = {
    Type.TEXT: "=1+1",
    Type.NUMBER: "12.5",
    Type.YES_NO: "yes",
    Type.WORDS: "run start",
    Type.ID: "FP",
    Type.LIST: "FP",
}


def sample(field: Field) -> str:
    """A text the field can hold."""
    if field.type is Type.CHOICE:
        return _BY_NAME.get(field.name, field.choices[-1])
    return _BY_NAME.get(field.name) or _BY_TYPE[field.type]


def written_fields(sort: str) -> Iterator[Field]:
    """The fields of a sort of row that are written: shorthand is not, but where it is no shorthand."""
    kept = {"component": ("kind",), "ground": ("on",)}.get(sort, ())
    return (field for field in xml_fields(sort) if field.name not in SHORTHAND or field.name in kept)


def attributes(sort: str, **own: str) -> str:
    """Every field of a row as XML; some with values of their own."""
    texts = {field.name: own[field.slot] if field.slot in own else sample(field) for field in written_fields(sort)}
    escaped = {
        name: text.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;") for name, text in texts.items()
    }
    return " ".join(f'{name}="{text}"' for name, text in escaped.items() if text)


def everything() -> str:
    """A netlist in which every field of every sort of row says something."""
    rows = f"""<option {attributes("option", id="abs", family="brakes", option="", without="")}/>
<circuit {attributes("circuit", id="FP")}/>
<harness {attributes("harness", id="b", after="e")}/>
<harness id="e"/>
<splice {attributes("splice", id="S1", harness="b")}/>
<splice id="S2" harness="b"/>
<ground {attributes("ground", id="G1")}/>
<component {attributes("component", id="k")}>
<connector {attributes("connector", id="C1", harness="", mates="C2")}><pin cavity="2" terminal="30"/></connector>
<pin {attributes("pin", cavity="", terminal="31", to="G1", via="31")}/>
<inside {attributes("inside", id="F1", from_="30", to="31")}/>
</component>
<connector {attributes("connector", id="C2", harness="b", mates="")}>
<pin {attributes("pin", cavity="A1", terminal="", to="S1", via="")}/><pin cavity="A1" to="S2"/><pin cavity="x"/>
</connector>
<connector id="D1" harness="?" complete="no"/>
<wire {attributes("wire", harness="b", from_="S1", to="S2")}/>
<fuse {attributes("fuse", id="F1", feeds="FP FQ")}/>
<place {attributes("place", from_="left sill", to="tank")}/>"""
    return xml(rows, attributes("netlist"))


def seeded_cars() -> Iterator[Netlist]:
    """Made-up cars, the second version of one among them."""
    for seed in range(3):
        yield netlist_of(make_car(seed, 20 + 30 * seed))
    yield netlist_of(mutate(make_car(7, 40), 8, Mix(edits=0.3))[1])


def names_in_use() -> set[tuple[str, str]]:
    """Every sort of row with every field it is written with."""
    return {
        (row.name, field.name) for row in ROWS for field in fields_of(row.name) if field in written_fields(row.name)
    }
