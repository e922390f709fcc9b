"""Small sound inputs of every form that a command reads, to be spoilt."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from builders.commands import run
from builders.demo import DEMO
from builders.files import good
from builders.kbl import Plug, Wire, kbl_text
from builders.lampcars import pair

from harnesscheck.read import read_netlist
from harnesscheck.write.forms import form_workbook, netlist_forms
from harnesscheck.write.tables import table_texts
from harnesscheck.write.xml import xml_text

SWAP = """donor = "donor.xml"
shell = "shell.xml"
[harness]
front = "donor"
m0 = "shell"
[parts]
lamp00 = "donor"
[crosswalk]
connector = { "C-m0" = "C-m0" }
[built.donor]
condition = { m1 = "cut at the sill" }
[crew]
people = 2
[rates]
re-pin = 0.2
[accepted]
abcdef0123 = "can live with it"
"""
PAGE = """C15 15-way black, left sill
Pin  Colour  Circuit  Function
1    VT/RD   58       ground, left kick panel
2    BN      31       ground
3    RD/YE   30       permanent feed (fuse 2)
4    -       -        not used
"""


@dataclass(frozen=True)
class Form:
    """A form of input: the name of the file that is spoilt, its bytes, the commands that read it, files beside it."""

    name: str
    data: bytes
    commands: tuple[tuple[str, ...], ...]
    beside: Mapping[str, bytes] = field(default_factory=dict)


def _of_a_car(name: str) -> tuple[tuple[str, ...], ...]:
    """What a netlist can be given to."""
    return (
        ("validate", name), ("validate", name, "--next"), ("convert", name), ("compare", name, "shell.xml"),
        ("compare", "donor.xml", name), ("compare", name, name, "-o", "out", "--json", "out.json"),
        ("draw", name, "overview", "-o", "out"), ("draw", name, "C-m0", "-o", "out"), ("trace", name, "lamp00"),
        ("ringout", name, "-o", "out"), ("loads", name), ("states", name), ("find", name, "lamp"),
        ("identify", name, "--cavities", "2"), ("crosswalk", name, "shell.xml"), ("convert", name, "tables"),
        ("decide", name, "shell.xml"), ("which", "."), ("compare", "donor.xml", "shell.xml", "--with", name),
    )  # fmt: skip


def forms() -> list[Form]:
    """Every form, the same each time."""
    donor, shell, _ = pair(5, 1)
    cars = {f"{name}.xml": xml_text(one.vehicle.netlist).encode() for name, one in (("donor", donor), ("shell", shell))}
    netlist = donor.vehicle.netlist
    pins = table_texts(netlist)["pins.csv"].encode()
    book = form_workbook(netlist_forms(netlist), [])
    plugs = (Plug("X1", {"1": ("1",), "2": ("2",)}, {"A": ("1", "2")}), Plug("X2", {"1": ("1",)}, {"A": ("1", "2")}))
    wires = (Wire("101", (("0", "X1", "1"), ("1", "X2", "1")), "F", (("base colour", "RD"),), "1.0", {"DMU": "420"}),)
    report, readings = _made(cars)
    swap = {**cars, "swap.toml": SWAP.encode()}
    crossed = ("compare", "donor.xml", "shell.xml", "--crosswalk", "swap.toml")
    asked = (("compare",), ("decide",), ("loads",), ("states",), ("ringout",))
    sheets = (*((*words, "swap.toml") for words in asked), ("trace", "swap.toml", "lamp00"), crossed)
    done = json.dumps({"format": "harnesscheck-ticks-1", "done": {"battery-off": 10}}).encode()
    ticked = (("ringout", "donor.xml", "--results", "ticks.json"), ("decide", "swap.toml", "--done", "ticks.json"))
    page = ("read-table", "page.txt")
    return [
        Form("car.xml", cars["donor.xml"], _of_a_car("car.xml"), cars),
        Form("car.csv", pins, _of_a_car("car.csv"), cars),
        Form("car.xlsx", book, _of_a_car("car.xlsx"), cars),
        Form("car.kbl", kbl_text(plugs, wires).encode(), _of_a_car("car.kbl"), cars),
        Form("swap.toml", SWAP.encode(), sheets, cars),
        Form("old.json", report, (("compare", "donor.xml", "shell.xml", "--since", "old.json"),), cars),
        Form("filled.csv", readings, (("ringout", "donor.xml", "--results", "filled.csv"),), cars),
        Form("ticks.json", done, ticked, swap),
        Form("page.txt", PAGE.encode(), (page, (*page, "-o", "rows.csv"), (*page, "--check", "check.html")), cars),
        Form("page.html", _table().encode(), (("read-table", "page.html"),), cars),
        Form("page.pdf", (DEMO / "manual-page.pdf").read_bytes(), (("read-table", "page.pdf"),), cars),
        Form("page.png", _png(), (("read-table", "page.png"),), cars),
    ]  # fmt: skip


def _made(cars: Mapping[str, bytes]) -> tuple[bytes, bytes]:
    """An older report, and a ring-out sheet filled in."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, data in cars.items():
            (folder / file).write_bytes(data)
        good(read_netlist(folder / "donor.xml"))
        run("compare", str(folder / "donor.xml"), str(folder / "shell.xml"), "--json", str(folder / "old.json"))
        run("ringout", str(folder / "donor.xml"), "-o", str(folder / "out"))
        sheet = next(file for file in sorted((folder / "out").iterdir()) if file.suffix == ".csv")
        return (folder / "old.json").read_bytes(), sheet.read_bytes()


def _table() -> str:
    rows = ("".join(f"<td>{cell}</td>" for cell in line.split("  ") if cell) for line in PAGE.splitlines())
    return f"<html><body><table>{''.join(f'<tr>{row}</tr>' for row in rows)}</table></body></html>"


def _png() -> bytes:
    """A white picture: what it shows is another test's; here it is its bytes that are spoilt."""
    import io

    from PIL import Image

    made = io.BytesIO()
    Image.new("L", (64, 64), 255).save(made, "PNG")
    return made.getvalue()
