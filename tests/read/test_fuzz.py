"""Netlists with bytes changed at random, from a seed: a netlist or faults come back, never anything else."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest
from builders.demo import DEMO
from builders.files import good
from builders.samples import everything

from harnesscheck.model.places import InputFault
from harnesscheck.model.records import Netlist
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.read import configure, read_netlist
from harnesscheck.read.swap import read_swap
from harnesscheck.write.tables import table_texts
from harnesscheck.write.xml import xml_text
from read.test_swap import FULL

CASES = 40  # of each form; thousands were run when the reader was written
PIECES = (
    b'"', b"'", b"<", b">", b"&", b"?", b"--", b"=", b",", b";", b"\t", b"\n", b"\r", b"\0", b"\xff", b"/>", b":", b"[",
    b"]", b"{", b"\\", b"1-9999999", b"9" * 30, b"C1", b"C2", b"k", b"yes", b"no", b"C1:1", b' id=""', b' like="C1"',
    b' on="k"', b' mirror="yes"', b' part="relay-make"', b' base="car.xml"', b' drop="yes"', b' mates="C1"',
    b' key="yes"', b'<connector id="Z" like="C1"/>', b'<pin cavity="1"/>', b"\xc3\xa9", b"\xef\xbb\xbf",
)  # fmt: skip


def changed(data: bytes, rng: random.Random) -> bytes:
    """A few places of the bytes with something put in, taken out, put in its place, or there twice."""
    edited = bytearray(data)
    for _ in range(rng.choice((1, 1, 2, 5))):
        at = rng.randrange(len(edited) + 1)
        end = min(len(edited), at + rng.choice((0, 1, 2, 5, 20, 200)))
        other = rng.randrange(len(edited) + 1)
        edited[at:end] = rng.choice((rng.choice(PIECES), b"", edited[other : other + 40], bytes([rng.randrange(256)])))
    return bytes(edited)


def judge_faults(found: list[InputFault]) -> None:
    """Each is one line that any console can show."""
    assert found
    for one in found:
        assert str(one).isprintable() and "; expected " in str(one)


def judge(result: Netlist | list[InputFault], folder: Path) -> bool:
    """Whether it is a netlist; one that is can be configured, and written and read again."""
    if isinstance(result, list):
        judge_faults(result)
        return False
    configure(result)
    text = xml_text(result)
    (folder / "again.xml").write_text(text, encoding="utf-8")
    assert xml_text(good(read_netlist(folder / "again.xml"))) == text
    return True


def xml_file(folder: Path, rng: random.Random) -> bool:
    """One XML file."""
    (folder / "car.xml").write_bytes(changed(everything().encode(), rng))
    return judge(read_netlist(folder / "car.xml"), folder)


def csv_file(folder: Path, rng: random.Random) -> bool:
    """One plug."""
    (folder / "plug.csv").write_bytes(changed((DEMO / "plug-donor.csv").read_bytes(), rng))
    return judge(read_netlist(folder / "plug.csv"), folder)


def tables(folder: Path, rng: random.Random) -> bool:
    """A folder of tables, one of them changed."""
    if not (folder / "car").exists():
        (folder / "whole.xml").write_text(everything(), encoding="utf-8")
        (folder / "car").mkdir()
    texts = table_texts(good(read_netlist(folder / "whole.xml")))
    chosen = rng.choice(sorted(texts))
    for name, text in texts.items():
        data = text.encode()
        (folder / "car" / name).write_bytes(changed(data, rng) if name == chosen else data)
    return judge(read_netlist(folder / "car"), folder)


def swap_sheet(folder: Path, rng: random.Random) -> bool:
    """A swap sheet."""
    (folder / "swap.toml").write_bytes(changed(FULL.encode(), rng))
    result = read_swap(folder / "swap.toml")
    if isinstance(result, list):
        judge_faults(result)
    return isinstance(result, SwapSheet)


@pytest.mark.parametrize("form", [xml_file, csv_file, tables, swap_sheet], ids=lambda form: form.__name__)
def test_a_netlist_or_faults(tmp_path: Path, form: Callable[[Path, random.Random], bool]) -> None:
    """Never an exception; and neither answer is the only one that comes."""
    read = sum(form(tmp_path, random.Random(seed)) for seed in range(CASES))

    assert 0 < read < CASES
