"""The digest of a car is of the bytes that were read, all of them, in one reading."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from harnesscheck.fields import NAMESPACE
from harnesscheck.model.records import Netlist
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.read import configure, read_netlist
from harnesscheck.read.swap import read_swap
from harnesscheck.write.spreadsheets import workbook

TABLE = "connector,cavity,colour,circuit\nC1,1,RD,A\nC1,2,BK,G\n"
ROWS = [row.split(",") for row in TABLE.splitlines()]


def xml(base: str = "") -> str:
    """A car of one plug, or the changes to another."""
    return f'<netlist xmlns="{NAMESPACE}" {base}><connector id="C1" harness="?"><pin cavity="1"/></connector></netlist>'


def put(folder: Path, form: str) -> list[Path]:
    """A car in one of the forms: what to read first, then everything that belongs to it in the order of reading."""
    if form == "folder":
        files = {"connectors.csv": "id,cavities,harness\nC1,2,?\n", "pins.csv": TABLE}
        (folder / "car").mkdir()
        for name, text in files.items():
            (folder / "car" / name).write_text(text, encoding="utf-8")
        return [folder / "car", *(folder / "car" / name for name in files)]
    if form == "base":
        (folder / "own.xml").write_text(xml('base="base.xml"'), encoding="utf-8")
        (folder / "base.xml").write_text(xml(), encoding="utf-8")
        return [folder / "own.xml", folder / "own.xml", folder / "base.xml"]
    contents = {"car.xml": xml().encode(), "C1.csv": TABLE.encode(), "car.xlsx": workbook({"pins": ROWS}, {})}
    file = next(folder / name for name in contents if name.endswith(form))
    file.write_bytes(contents[file.name])
    return [file, file]


@pytest.mark.parametrize("form", [".xml", ".csv", ".xlsx", "folder", "base"])
def test_the_digest_is_of_all_that_was_read_and_each_file_is_opened_once(
    form: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SHA-256 by the standard library over the same files; the car keeps it, and equal rows stay equal cars."""
    path, *files = put(tmp_path, form)
    opened: list[Path] = []
    really_open = os.open

    def spying(name: str | Path, *rest: int) -> int:
        opened.append(Path(name))
        return really_open(name, *rest)

    monkeypatch.setattr(os, "open", spying)
    netlist = read_netlist(path)
    assert isinstance(netlist, Netlist), netlist
    assert opened == files
    digest = hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()[:12]
    assert configure(netlist).netlist.digest == netlist.digest == digest


def test_a_change_of_the_base_changes_the_digest(tmp_path: Path) -> None:
    """Readings taken on the car before its base was changed are not taken for readings of the new one."""
    path, _, base = put(tmp_path, "base")
    before = read_netlist(path)
    base.write_text(xml() + "\n", encoding="utf-8")
    after = read_netlist(path)
    assert isinstance(before, Netlist) and isinstance(after, Netlist)
    assert before == after
    assert before.digest != after.digest


def test_a_swap_sheet_has_the_digest_of_its_bytes(tmp_path: Path) -> None:
    """Comments and line ends count: it is the file that is meant."""
    path = tmp_path / "swap.toml"
    path.write_bytes(b'# ours\r\ndonor = "a.xml"\r\n')
    sheet = read_swap(path)
    assert isinstance(sheet, SwapSheet)
    assert sheet.digest == hashlib.sha256(path.read_bytes()).hexdigest()[:12]
