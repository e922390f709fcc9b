"""The swap sheet: what it may hold, and each fault with the line it stands on."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from harnesscheck.model.swapsheet import BuiltSection, Crew, CrosswalkSection, FoundTap, SwapSheet
from harnesscheck.read.swap import read_swap

FULL = """\
donor = "donor-2016.xml"
shell = "shell-2014.xml"
[parts]
roof-vent-motor = "none"
"lamp-*" = "shell"
[harness]
engine = "donor"
[crosswalk]
connector = { C12 = "D07", "S12S:4" = "S13:9" }
component = { fuel-pump = "pump" }
circuit = { FP = "F1" }
[built.donor]
cut = ["C12:4"]
tap = [{ at = "C12:7", what = "alarm siren feed" }]
bridge = [["C3:1", "C3:2"]]
seen = { "C12:4" = "BK/WH" }
condition = { body = "flooded" }
[built.shell]
cut = ["C1:1", "C1:2"]
[before]
dead = ["rear-wiper"]
[accepted]
a1b2c3 = "seen, can live with it"
[rates]
re-pin = 0.1
splice = [0.2, 0.3, 1]
[crew]
people = 3
hours-per-day = 9
[done]
step-1 = 2.5
"""


def faults(folder: Path, text: str | bytes) -> list[str]:
    """The messages, without the folder."""
    path = folder / "swap.toml"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    found = read_swap(path)
    assert isinstance(found, list), "read without a fault"
    return [str(replace(one, place=replace(one.place, path="swap.toml"))) for one in found]


def sheet(folder: Path, text: str) -> SwapSheet:
    """The sheet; a fault fails the test with its text."""
    path = folder / "swap.toml"
    path.write_text(text, encoding="utf-8")
    found = read_swap(path)
    assert isinstance(found, SwapSheet), "\n".join(map(str, found))
    return found


def test_everything_a_sheet_may_hold(tmp_path: Path) -> None:
    """The example of the format's description, filled up."""
    assert sheet(tmp_path, FULL) == SwapSheet(
        path=str(tmp_path / "swap.toml"),
        donor="donor-2016.xml",
        shell="shell-2014.xml",
        parts={"roof-vent-motor": "none", "lamp-*": "shell"},
        harness={"engine": "donor"},
        crosswalk=CrosswalkSection(
            connector={"C12": "D07", "S12S:4": "S13:9"}, component={"fuel-pump": "pump"}, circuit={"FP": "F1"}
        ),
        built_donor=BuiltSection(
            cut=("C12:4",),
            tap=(FoundTap("C12:7", "alarm siren feed"),),
            bridge=(("C3:1", "C3:2"),),
            seen={"C12:4": "BK/WH"},
            condition={"body": "flooded"},
        ),
        built_shell=BuiltSection(cut=("C1:1", "C1:2")),
        dead_before=("rear-wiper",),
        accepted={"a1b2c3": "seen, can live with it"},
        rates_h={"re-pin": (0.1,), "splice": (0.2, 0.3, 1.0)},
        crew=Crew(people=3, hours_per_day=9.0),
        done_h={"step-1": 2.5},
    )


@pytest.mark.parametrize("text", ["# nothing\n", "[crosswalk]\n", "\ufeff[parts]\r\n", "[built]\n[built.donor]\n"])
def test_every_section_may_be_left_out(tmp_path: Path, text: str) -> None:
    """Also behind a byte order mark, with other line ends."""
    assert sheet(tmp_path, text) == SwapSheet(path=str(tmp_path / "swap.toml"))


ONE_OF = "one of donor, shell, parts, harness, crosswalk, built, before, accepted, rates, crew, done"
CAVITY = "a cavity (C12:4)"
BRIDGE = 'two different cavities (["C3:1", "C3:2"])'
TAP = 'a table of at and what ({ at = "C12:7", what = "alarm siren feed" })'
HOURS = "hours: one number, or [best, likely, worst]"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # what is no TOML
        ("donor = ", "swap.toml:1: read 'Invalid value'; expected a swap sheet in TOML"),
        ("[parts\na = 1", "swap.toml:1:7: read 'Expected ']' at the end of a table declaration'; expected a swap"),
        ('a = "x', "swap.toml:1: read 'Unterminated string'; expected a swap sheet in TOML"),
        ("[parts]\na='donor'\na='shell'", "swap.toml:3: read 'Cannot overwrite a value'; expected a swap sheet"),
        ("<netlist/>", "swap.toml:1:1: read 'Invalid statement'; expected a swap sheet in TOML"),
        # keys nobody knows
        ("[part]\n", f"swap.toml:1: read 'part'; expected {ONE_OF} (parts?)"),
        ("\n[crosswalk]\n\nconector = { }\n", "swap.toml:4: read 'conector'; expected one of connector, component, "
         "circuit (connector?) in [crosswalk]"),
        ("[built.door]\n", "swap.toml:1: read 'door'; expected one of donor, shell (donor?) in [built]"),
        ("[built.donor]\ncuts = []\n", "swap.toml:2: read 'cuts'; expected one of cut, tap, bridge, seen, condition "
         "(cut?) in [built.donor]"),
        ("[before]\nalive = []\n", "swap.toml:2: read 'alive'; expected one of dead in [before]"),
        ("[crew]\nman = 1\n", "swap.toml:2: read 'man'; expected one of people, hours-per-day in [crew]"),
        # values of another sort
        ("donor = 3", "swap.toml:1: read '3'; expected donor: text in quotes"),
        ('shell = " "', "swap.toml:1: read ' '; expected shell: text in quotes"),
        ('parts = "donor"', "swap.toml:1: read 'donor'; expected a table [parts]"),
        ("built = 1", "swap.toml:1: read '1'; expected a table [built]"),
        ("[parts]\nlamp = 'both'", "swap.toml:2: read 'both'; expected parts: one of donor, shell, none"),
        ("[parts]\nlamp = true", "swap.toml:2: read 'true'; expected parts: one of donor, shell, none"),
        ("[parts]\n'a b' = 'donor'", "swap.toml:2: read 'a b'; expected parts: a name without white space, control"),
        ("[parts]\n'../x' = 'donor'", "swap.toml:2: read '../x'; expected parts: a name that is not a path"),
        ("[harness]\nbody = 'none'", "swap.toml:2: read 'none'; expected harness: one of donor, shell"),
        ("[crosswalk]\nconnector = { C1 = 4 }", "swap.toml:2: read '4'; expected crosswalk.connector: a connector, or"),
        ("[crosswalk]\nconnector = { 'C1:4' = 'D1' }", "swap.toml:2: read 'C1:4 = D1'; expected a connector = a "
         "connector, or a cavity (C12:4) = a cavity"),
        ("[crosswalk]\nconnector = { 'C1:4:5' = 'D1:1' }", "swap.toml:2: read 'C1:4:5'; expected crosswalk.connector:"),
        ("[crosswalk]\ncircuit = ['FP']", """swap.toml:2: read '["FP"]'; expected a table [crosswalk.circuit]"""),
        ("[built.donor]\ncut = 'C12:4'", "swap.toml:2: read 'C12:4'; expected cut: a list in square brackets"),
        ("[built.donor]\ncut = ['C12']", f"swap.toml:2: read 'C12'; expected built.donor.cut: {CAVITY}"),
        ("[built.shell]\ncut = [\n'C1:1',\n4]", f"swap.toml:4: read '4'; expected built.shell.cut: {CAVITY}"),
        ("[built.donor]\ntap = [{ at = 'C12:7' }]", f"""read '{{"at": "C12:7"}}'; expected built.donor.tap: {TAP}"""),
        ("[built.donor]\ntap = [{ at = 'C', what = 'x' }]", f"expected built.donor.tap: {TAP}"),
        ("[built.donor]\nbridge = [['C1:1', 'C1:1']]", f"expected built.donor.bridge: {BRIDGE}"),
        ("[built.donor]\nbridge = [['C1:1']]", f"""read '["C1:1"]'; expected built.donor.bridge: {BRIDGE}"""),
        ("[built.donor]\nseen = { C1 = 'BK' }", f"swap.toml:2: read 'C1'; expected built.donor.seen: {CAVITY}"),
        ("[built.donor]\nseen = { 'C1:1' = 7 }", "swap.toml:2: read '7'; expected built.donor.seen: text in quotes"),
        ("[built.donor]\ncondition = { body = '' }", "swap.toml:2: read ''; expected built.donor.condition: text in"),
        ("[before]\ndead = [1]", "swap.toml:2: read '1'; expected before.dead: a name in quotes"),
        ("[accepted]\na1 = true", "swap.toml:2: read 'true'; expected accepted: text in quotes"),
        ("[rates]\nre-pin = -1", f"swap.toml:2: read '-1'; expected rates: {HOURS}"),
        ("[rates]\nre-pin = nan", f"swap.toml:2: read 'NaN'; expected rates: {HOURS}"),
        ("[rates]\nre-pin = inf", f"swap.toml:2: read 'Infinity'; expected rates: {HOURS}"),
        ("[rates]\nre-pin = [1, 2]", f"swap.toml:2: read '[1, 2]'; expected rates: {HOURS}"),
        ("[rates]\nre-pin = [3, 2, 1]", f"swap.toml:2: read '[3, 2, 1]'; expected rates: {HOURS}"),
        ("[rates]\nre-pin = ['a', 1, 2]", f"expected rates: {HOURS}"),
        ("[crew]\npeople = 0", "swap.toml:2: read '0'; expected crew.people: how many people, 1 to 1000"),
        ("[crew]\npeople = 2.5", "swap.toml:2: read '2.5'; expected crew.people: how many people, 1 to 1000"),
        ("[crew]\npeople = true", "swap.toml:2: read 'true'; expected crew.people: how many people, 1 to 1000"),
        ("[crew]\nhours-per-day = 25", "swap.toml:2: read '25'; expected crew.hours-per-day: hours of work a day"),
        ("[done]\nstep = '2 h'", "swap.toml:2: read '2 h'; expected done: hours, 0 to 1000000"),
        ("[done]\nstep = 2024-01-01", "swap.toml:2: read '\"2024-01-01\"'; expected done: hours, 0 to 1000000"),
    ],
)  # fmt: skip
def test_a_fault_is_one_message_with_its_line(tmp_path: Path, text: str, expected: str) -> None:
    """What was read, and what was expected."""
    (found,) = faults(tmp_path, text)

    assert expected in found and found.startswith("swap.toml:")


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    """By line."""
    text = "[parts]\na = 'x'\nb = 'donor'\nc = 1\n[crew]\npeople = 0\n[done]\nd = -1\n"

    assert [one.split(";")[0] for one in faults(tmp_path, text)] == [
        "swap.toml:2: read 'x'",
        "swap.toml:4: read '1'",
        "swap.toml:6: read '0'",
        "swap.toml:8: read '-1'",
    ]


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"", "swap.toml: read 'an empty file'; expected "),
        ("donor = 'Käfig'".encode("cp1252"), "swap.toml:1: read 'byte 0xe4'; expected UTF-8 text"),
        ("donor = 'x'".encode("utf-16"), "swap.toml:1: read 'byte 0xff'; expected UTF-8 text"),
        (b"a = " + b"[" * 100_000, "swap.toml: read 'brackets inside brackets without end'; expected a swap sheet"),
        (b"#" * (5 << 20), "swap.toml: read '5242880 bytes'; expected at most 4194304 bytes"),
        (b"a = 1" + b"0" * 10_000, "swap.toml: read 'a number of thousands of digits'; expected a swap sheet in TOML"),
        (b"[done]\na = 1" + b"0" * 4000, f"swap.toml:2: read '1{'0' * 76}...'; expected done: hours, 0 to 1000000"),
        (
            b"[done]\na = 0x1" + b"0" * 40_000,
            "swap.toml:2: read 'a number of thousands of digits'; expected done: hours",
        ),
        (b'[parts]\n"a\\nb" = "donor"', "swap.toml:1: read 'a\\nb'; expected parts: a name without white space"),
        (b"\0\1\2", "swap.toml:1:1: read 'Invalid statement'; expected a swap sheet in TOML"),
    ],
    ids=range(10),
)
def test_hostile_sheets(tmp_path: Path, data: bytes, expected: str) -> None:
    """Bounded in size and depth."""
    (found,) = faults(tmp_path, data)

    assert found.startswith(expected) and found.count("\n") == 0


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes")
def test_what_is_no_file(tmp_path: Path) -> None:
    """A pipe, a folder, nothing at all."""
    os.mkfifo(tmp_path / "pipe")
    for name, read in (("pipe", "a pipe"), (".", "a folder"), ("none", "No such file or directory")):
        found = read_swap(tmp_path / name)
        assert isinstance(found, list) and found[0].read == read
