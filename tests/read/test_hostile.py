"""Files that are broken, and files that are meant to break the reader, as the commands meet them.

Always: one message a fault with its place, status 2, no traceback, nothing written,
little time and little memory whatever the file says of itself.
"""

from __future__ import annotations

import os
import re
import resource
import subprocess
import sys
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from builders.commands import Say
from builders.files import messages, xml

MEMORY = 700 << 20  # bytes of address space: an interpreter with our libraries takes about 200 MB of it
SECONDS = 20  # of processor time; each of these takes well under two
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="resource limits are POSIX")


def limited(folder: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """Run a command as a process of its own that may not take more than its share."""

    def set_limits() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))

    env = {**os.environ, "PYTHONIOENCODING": "utf-8", "OPENBLAS_NUM_THREADS": "1", **environment}
    command = [sys.executable, "-m", "harnesscheck", *words]
    return subprocess.run(
        command, cwd=folder, env=env, capture_output=True, timeout=120, check=False, preexec_fn=set_limits
    )


# -- broken XML and broken tables: each message word for word

HEAD = 'urn:harnesscheck:netlist:1">'
LAUGHS = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
ONE_PLUG = '<harness id="b"/><connector id="C" harness="b" cavities="{}">{}</connector>'

XML: Mapping[str, tuple[str | bytes, list[str]]] = {
    "cut off": (xml("<option id='a'/>")[:-3], ["3:1: read 'unclosed token'; expected well-formed XML"]),
    "two roots": (xml("") + "<a/>", ["4:1: read 'junk after document element'; expected well-formed XML"]),
    "attribute twice": (xml('<option id="a" id="b"/>'), ["2:16: read 'duplicate attribute'; expected well-formed XML"]),
    "no such prefix": (xml("<x:option/>"), ["2:1: read 'unbound prefix'; expected well-formed XML"]),
    "a control character": (
        xml("<option id='&#1;'/>"),
        ["2:13: read 'reference to invalid character number'; expected well-formed XML"],
    ),
    "a zero byte": (b"<netlist xmlns='" + HEAD[:-2].encode() + b"'>\0</netlist>", ["1:45: read 'not well-formed"]),
    "an encoding nobody has": (
        b'<?xml version="1.0" encoding="klingon"?><netlist/>',
        ["1:1: read 'encoding klingon'; expected an encoding that can be read (UTF-8)"],
    ),
    "an encoding that is none of text": (
        b'<?xml version="1.0" encoding="hex"?><netlist/>',
        ["1:1: read 'encoding hex'; expected an encoding that can be read (UTF-8)"],
    ),
    "an encoding of several bytes": (
        b'<?xml version="1.0" encoding="shift_jis"?><netlist/>',
        ["1:1: read 'encoding shift_jis'; expected an encoding that can be read (UTF-8)"],
    ),
    "DOCTYPE": (
        f'<!DOCTYPE netlist>\n{xml("")}',
        ["1:18: read '<!DOCTYPE netlist>'; expected a netlist without DOCTYPE"],
    ),
    "outside DTD": (
        f'<!DOCTYPE n SYSTEM "http://127.0.0.1:9/x.dtd">\n{xml("")}',
        ["1:46: read '<!DOCTYPE n>'; expected a netlist without DOCTYPE"],
    ),
    "outside entity": (
        f'<!DOCTYPE n [<!ENTITY f SYSTEM "file:///etc/passwd">]>\n{xml("&f;")}',
        ["1:13: read '<!DOCTYPE n>'; expected a netlist without DOCTYPE"],
    ),
    "billion laughs": (
        f'<!DOCTYPE n [<!ENTITY a0 "ha">{LAUGHS}]>\n{xml("&a9;")}',
        ["1:13: read '<!DOCTYPE n>'; expected a netlist without DOCTYPE"],
    ),
    "an entity nobody declared": (xml("&nbsp;"), ["2:1: read 'undefined entity'; expected well-formed XML"]),
    "wrong namespace": (
        '<netlist xmlns="urn:harnesscheck:netlist:2"/>',
        [
            "1:1: read '<netlist> in namespace urn:harnesscheck:netlist:2'; expected a netlist: <netlist "
            f'xmlns="{HEAD}',
        ],
    ),
    "an id twice": (
        xml('<harness id="b"/>\n<splice id="S" harness="b"/>\n<ground id="S"/>'),
        [
            "4:1: read 'S'; expected id: one that no other connector, component, splice or ground has "
            "(see FILE:3:1)"
        ],
    ),
    "a cavity beyond the list": (
        xml(ONE_PLUG.format("A1-A4 B1", '<pin cavity="A5"/><pin cavity="b1"/><pin cavity="1"/>')),
        [
            f"2:{column}: read '{name}'; expected cavity: one of the 5 cavities of C (A1 to B1)"
            for column, name in ((68, "A5"), (86, "b1"), (104, "1"))
        ],
    ),
    "numbers that are none": (
        xml("\n".join(f'<component id="k{n}" kind="lamp" amps="{text}"/>' for n, text in enumerate(
            ("NaN", "nan", "inf", "-Infinity", "-5", "0", "1e3", "0x10", "1_000", "٣", "5 A", "9" * 400)
        ))),
        [f"{line}:1: read '" for line in range(2, 14)],
    ),
    "lengths that are none": (
        xml(ONE_PLUG.format(2, "".join(f'<pin cavity="1" length="{text}"/>' for text in ("-1", "nan m", "1 parsec")))),
        ["2:61: read '-1'; expected length", "2:90: read 'nan m'; expect", "2:122: read '1 parsec'; expected length"],
    ),
    "cavities without end": (
        xml(ONE_PLUG.format("999999999", "") + '<connector id="D" harness="b" cavities="1-999999 A1-A999999"/>'),
        [
            "2:18: read '999999999'; expected cavities: at most 1000 cavities",
            "2:81: read '1-999999 A1-A999999'; expected cavities: at most 1000 cavities",
        ],
    ),
    "ids that are markup and paths": (
        xml('<ground id="&lt;script&gt;alert(1)&lt;/script&gt;"/>\n<ground id="../../etc/passwd"/>\n'
            '<ground id="a\'b"/>'),
        [
            "2:1: read '<script>alert(1)</script>'; expected id: a name without white space, control characters, or",
            "3:1: read '../../etc/passwd'; expected id: a name that is not a path",
            "4:1: read 'a'b'; expected id: a name without white space",
        ],
    ),
    "a base that is a path": (
        f'<netlist xmlns="{HEAD[:-2]}" base="/etc/passwd"/>',
        ["1:1: read '/etc/passwd'; expected base: a file beside this one, by a relative path"],
    ),
    "a base that is no netlist": (
        f'<netlist xmlns="{HEAD[:-2]}" base="nobody.xml"/>',
        ["1:1: read 'nobody.xml'; expected base: a file that is there, beside this one"],
    ),
    "an escape sequence": (
        xml("<ground id='\u202egpj.exe'/>"),
        ["2:1: read '\\u202egpj.exe'; expected id: a name without white space, control characters"],
    ),
}  # fmt: skip

TABLES: Mapping[str, tuple[str | bytes, list[str]]] = {
    "no byte": (b"", ["read 'an empty file'; expected a netlist"]),
    "blank lines": (b"\n\n  \n", ["read 'a file without text'; expected a table with a header line"]),
    "only a mark": (b"\xef\xbb\xbf", ["read 'a file without text'; expected a table with a header line"]),
    "binary": (bytes(range(256)), ["read 'a binary file'; expected a table as UTF-8 text"]),
    "UTF-16": (
        "cavity\n1\n".encode("utf-16"),
        ["read 'UTF-16 text'; expected UTF-8 text (save as CSV UTF-8)"],
    ),
    "UTF-32": (
        "cavity\n1\n".encode("utf-32"),
        ["read 'UTF-16 text'; expected UTF-8 text (save as CSV UTF-8)"],
    ),
    "Windows letters": (
        "cavity,function\n1,ok\n2,Lüfter\n".encode("cp1252"),
        ["3:4: read 'byte 0xfc'; expected UTF-8 text (save as CSV UTF-8)"],
    ),
    "colons": (
        b"cavity:circuit\n1:FP\n",
        ["1: read 'cavity:circuit'; expected a header line, its names apart by comma"],
    ),
    "blanks": (b"cavity circuit\n1 FP\n", ["1: read 'cavity circuit'; expected a header line, its names apart by"]),
    "a quote without end": (
        b'cavity,note\n1,"two\nthree\n',
        ["2: read 'a quote that is never closed'; expected cells"],
    ),
    "a quote inside": (b'cavity,note\n1,"two" x\n', ["2: read 'a quote in the middle of a cell'; expected cells"]),
    "a cell as long as a book": (
        b"cavity,note\n1," + b"x" * 140_000,
        ["2: read 'a cell of more than 131072 characters'; expected at most 131072 characters"],
    ),
    "a long cell": (b"cavity,note\n1," + b"x" * 10_001, [f"2 column 'note': read '{'x' * 77}...'; expected note: at"]),
    "many columns": (
        ",".join(f"h{n}" for n in range(2000)).encode() + b"\n1\n",
        ["1: read '2000 cells in one row'; expected at most 1000 columns (a limit, can be raised)"],
    ),
    "a wide row": (
        b"cavity\n1" + b",2" * 2000,
        ["2: read '2001 cells in one row'; expected at most 1000 columns (a limit, can be raised)"],
    ),
    "numbers that are none": (
        b"pin,length\n1,NaN\n2,inf\n3,-1\n4,1e3\n5,=1+1\n",
        [f"{line} column 'length': read '" for line in range(2, 7)],
    ),
    "escape sequences": (
        b"cavity,colour\n1,\x1b[31mred\n",
        ["2 column 'colour': read '\\x1b[31mred'; expected colour"],
    ),
}


@pytest.mark.parametrize("command", ["validate", "convert"])
@pytest.mark.parametrize(("ending", "what"), [(".xml", one) for one in XML] + [(".csv", one) for one in TABLES])
def test_a_broken_file_is_one_message_a_fault(say: Say, tmp_path: Path, ending: str, what: str, command: str) -> None:
    """Place, what was read, what was expected; status 2; nothing written."""
    data, expected = (XML if ending == ".xml" else TABLES)[what]
    name = f"car{ending}"
    (tmp_path / name).write_bytes(data.encode("utf-8") if isinstance(data, str) else data)
    status, out, err = say(command, name, *(("target.xml",) if command == "convert" else ("--json", "target.xml")))
    lines = err.splitlines()

    assert (status, out) == (2, "")
    assert len(lines) == len(expected), err
    for line, start in zip(lines, expected, strict=True):
        shown = start.replace("FILE", name)
        lead = f"{name}: " if start.startswith("read") else f"{name}:"
        assert line.startswith(lead + shown), line
        assert "; expected " in line and line.isprintable()
    assert not (tmp_path / "target.xml").exists()


# -- what is no file


@pytest.mark.parametrize(
    ("name", "read"),
    [
        ("nothing.xml", "No such file or directory"),
        ("folder.xml", "a folder without tables"),
        ("pipe.xml", "a pipe"),
        ("pipe.csv", "a pipe"),
        ("pipe.xlsx", "a pipe"),
        ("pipe", "a pipe"),
        ("loop.csv", "Too many levels of symbolic links"),
        ("loop", "Too many levels of symbolic links"),
        ("/dev/zero", "a device"),
        ("car.xml/car.xml", "Not a directory"),
        ("x" * 300 + ".xml", "File name too long"),
    ],
)
@pytest.mark.parametrize("command", ["validate", "convert", "compare"])
def test_what_is_no_file_is_refused_at_once(say: Say, tmp_path: Path, name: str, read: str, command: str) -> None:
    """Nothing is waited for and nothing is followed in circles."""
    (tmp_path / "car.xml").write_text(xml(""))
    (tmp_path / "folder.xml").mkdir()
    for pipe in ("pipe.xml", "pipe.csv", "pipe.xlsx", "pipe"):
        os.mkfifo(tmp_path / pipe)
    for link in ("loop", "loop.csv"):
        (tmp_path / link).symlink_to(link)
    words = {"validate": (name,), "convert": (name, "target.xml"), "compare": (name, "car.xml")}[command]
    status, out, err = say(command, *words)

    assert (status, out) == (2, "")
    assert re.fullmatch(rf"{re.escape(name)}: read '{read}'; expected .+\n", err)
    assert not (tmp_path / "target.xml").exists()


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser reads everything")
def test_what_may_not_be_read_is_said(say: Say, tmp_path: Path) -> None:
    """A file and a folder without permission."""
    (tmp_path / "car.xml").write_text(xml(""))
    (tmp_path / "car.xml").chmod(0)
    (tmp_path / "folder").mkdir(mode=0)

    assert say("validate", "car.xml")[2].startswith("car.xml: read 'Permission denied'")
    assert say("validate", "folder")[2].startswith("folder: read 'Permission denied'")


def test_a_folder_of_traps(say: Say, tmp_path: Path) -> None:
    """Links in circles, a pipe that is called like a table, a link to itself: each is said, none is entered."""
    folder = tmp_path / "car"
    folder.mkdir()
    (folder / "up").symlink_to("..")
    (folder / "pins-a.csv").symlink_to("pins-a.csv")
    os.mkfifo(folder / "pins-b.csv")
    os.mkfifo(folder / "photo.jpg")
    (folder / "pins-c.csv").mkdir()
    (folder / "pins-d.csv").write_text("connector,cavity,size\nC,1,mud\n")
    status, _, err = say("validate", "car")

    assert status == 2
    assert [line.split("; expected")[0] for line in err.splitlines()] == [
        "car/pins-a.csv: read 'Too many levels of symbolic links'",
        "car/pins-b.csv: read 'a pipe'",
        "car/pins-c.csv: read 'a folder'",
        "car/pins-d.csv:2 column 'size': read 'mud'",
    ]


def test_a_link_to_a_netlist_is_the_netlist(say: Say, tmp_path: Path) -> None:
    """Links as such are no fault."""
    (tmp_path / "car.xml").write_text(xml('<option id="a"/>'))
    (tmp_path / "link.xml").symlink_to("car.xml")

    assert say("convert", "link.xml", "target.xml") == (0, "wrote target.xml\n", "")


# -- a thousand faults


@pytest.mark.parametrize(("count", "more"), [(100, None), (101, "1"), (1000, "900"), (12_000, "more than 9901")])
def test_a_hundred_faults_are_listed_and_the_rest_counted(say: Say, tmp_path: Path, count: int, more: str) -> None:
    """In the order of their places; a file with ten thousand of them is read no further."""
    rows = "\n".join(f'<ground id="a b{n}"/>' for n in range(count))
    (tmp_path / "car.xml").write_text(xml(rows))
    status, _, err = say("validate", "car.xml")
    lines = err.splitlines()

    assert status == 2
    assert [line.split(";")[0] for line in lines[:100]] == [f"car.xml:{n + 2}:1: read 'a b{n}'" for n in range(100)]
    assert lines[100:] == ([f"and {more} more faults"] if more else [])


# -- bombs: in a process of their own, with little memory and little time

TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
SHEETS = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELATED = "http://schemas.openxmlformats.org/package/2006/relationships"
KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
PARTS = {
    "[Content_Types].xml": f'<Types xmlns="{TYPES}"><Default Extension="rels" ContentType="application/vnd.openxml'
    'formats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{KIND}.sheet.main+xml"/>'
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{KIND}.worksheet+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{RELATED}"><Relationship Id="r1" Type="{OFFICE}/officeDocument" '
    'Target="xl/workbook.xml"/></Relationships>',
    "xl/workbook.xml": f'<workbook xmlns="{SHEETS}" xmlns:r="{OFFICE}"><sheets><sheet name="pins" sheetId="1" '
    'r:id="r1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{RELATED}"><Relationship Id="r1" Type="{OFFICE}/worksheet" '
    'Target="worksheets/sheet1.xml"/></Relationships>',
}
HEADER_ROW = '<row r="1"><c r="A1" t="inlineStr"><is><t>cavity</t></is></c></row>'


def package(path: Path, rows: str, **more: str) -> None:
    """A workbook of one sheet, written by hand (ECMA-376, parts 1 and 2)."""
    sheet = f'<worksheet xmlns="{SHEETS}"><sheetData>{rows}</sheetData></worksheet>'
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name, text in (PARTS | {"xl/worksheets/sheet1.xml": sheet} | more).items():
            file.writestr(name, text)


def test_a_workbook_written_by_hand_is_read(say: Say, tmp_path: Path) -> None:
    """What the bombs below are made of is a workbook."""
    package(tmp_path / "C1.xlsx", HEADER_ROW + '<row r="7"><c r="A7"><v>3</v></c></row>')

    assert say("convert", "C1.xlsx", "target.xml")[0] == 0
    assert '<pin cavity="3"/>' in (tmp_path / "target.xml").read_text()


SHEET = "xl/worksheets/sheet1.xml"
BOMBS: Mapping[str, tuple[str, str]] = {
    "hundreds of megabytes": ("x" * (200 << 20), "read 'a workbook that unpacks to 2"),
    "one text of many megabytes": (
        f'<row r="1"><c t="inlineStr"><is><t>{"x" * (60 << 20)}</t></is></c></row>',
        f"read 'a tag or text without end in {SHEET}'; expected tags and texts of at most 1048576 bytes",
    ),
    "depth without end": (
        "<row>" * 2_000_000,
        f"read 'an element at great depth in {SHEET}'; expected at most 100 elements inside each other",
    ),
    "a row without end": (
        f"<row>{'<c/>' * 3_000_000}</row>",
        f"read 'a row without end in {SHEET}'; expected at most 1000000 elements in a row",
    ),
    "the last column": (
        HEADER_ROW + "".join(f'<row r="{n}"><c r="XFD{n}"><v>1</v></c></row>' for n in range(2, 100_000)),
        "[pins]:2: read '16384 cells in one row'; expected at most 1000 columns (a limit, can be raised)",
    ),
    "a row beyond all rows": (
        HEADER_ROW + '<row r="99999999999"><c><v>1</v></c></row>',
        "[pins]:5000001: read 'one more row'; expected at most 5000000 rows (a limit, can be raised)",
    ),
    "a column beyond all columns": (
        HEADER_ROW + '<row r="2"><c r="AAAAAAAA2"><v>1</v></c></row>',
        "read 'a damaged package (",
    ),
    "not well-formed": ("<row>", f"read '{SHEET}:1:"),
}


@pytest.mark.parametrize("what", BOMBS)
def test_a_workbook_that_is_a_bomb_is_refused(tmp_path: Path, what: str) -> None:
    """Before anything keeps it in memory."""
    rows, expected = BOMBS[what]
    package(tmp_path / "car.xlsx", rows)
    done = limited(tmp_path, "validate", "car.xlsx", "--json", "target.json")
    err = done.stderr.decode()

    assert done.returncode == 2, err[-2000:]
    assert err.count("\n") == 1 and err.startswith(f"car.xlsx{'' if expected.startswith('[') else ': '}{expected}"), err
    assert not (tmp_path / "target.json").exists()


def test_a_workbook_with_entities_is_refused(say: Say, tmp_path: Path) -> None:
    """In any part, in any encoding."""
    laughs = f'<!DOCTYPE n [<!ENTITY a0 "ha">{LAUGHS}]><sst xmlns="{SHEETS}"><si><t>&a9;</t></si></sst>'
    package(tmp_path / "car.xlsx", HEADER_ROW, **{"xl/sharedStrings.xml": laughs})
    assert say("validate", "car.xlsx")[2] == (
        "car.xlsx: read 'a DOCTYPE in xl/sharedStrings.xml'; expected a workbook without DOCTYPE\n"
    )


@pytest.mark.parametrize("what", ["empty zip", "no workbook", "cut off", "wrong checksum", "encrypted"])
def test_a_workbook_that_is_damaged_is_said(say: Say, tmp_path: Path, what: str) -> None:
    """One message, whatever the library makes of it."""
    path = tmp_path / "car.xlsx"
    package(path, HEADER_ROW)
    data = bytearray(path.read_bytes())
    if what == "cut off":
        data = data[: len(data) // 2]
    elif what == "wrong checksum":
        data[14] ^= 0xFF  # of the first member's local header; the central one says otherwise
        at = data.index(b"PK\x01\x02")
        data[at + 16] ^= 0xFF
    elif what == "encrypted":
        data[6] |= 1
        data[data.index(b"PK\x01\x02") + 8] |= 1
    path.write_bytes(data)
    if what in ("empty zip", "no workbook"):
        with zipfile.ZipFile(path, "w") as file:
            if what == "no workbook":
                file.writestr("hello.txt", "hello")
    status, out, err = say("validate", "car.xlsx")

    assert (status, out, err.count("\n")) == (2, "", 1)
    assert re.fullmatch(r"car\.xlsx: read '.+'; expected an \.xlsx workbook that is not damaged\n", err), err


XML_BOMBS: Mapping[str, tuple[Callable[[], str], str]] = {
    "depth without end": (
        lambda: xml("<a>" * 1_000_000),
        r"car\.xml:2:1: .+\ncar\.xml:2:46: read '<a>'; .+ at most 16",
    ),
    "an attribute without end": (
        lambda: xml(f'<ground id="{"x" * 60_000_000}"/>'),
        r"car\.xml:2:1: read 'a tag without end'; expected tags of at most 1048576 bytes",
    ),
    "attributes without end": (
        lambda: xml("<ground " + " ".join(f'a{n}=""' for n in range(3_000_000))),
        r"car\.xml:2:1: read 'a tag without end'; expected tags of at most 1048576 bytes",
    ),
    "text without end": (
        lambda: xml("words " * 10_000_000),
        r"car\.xml:2:1: read 'words.*\.\.\.'; expected elements only, no text between them",
    ),
    "a comment without end": (
        lambda: xml(f"<!--{'-x' * 30_000_000}-->"),
        r"car\.xml:2:1: read 'a tag without end'; expected tags of at most 1048576 bytes",
    ),
}


@pytest.mark.parametrize("what", XML_BOMBS)
def test_xml_that_is_a_bomb_is_refused(tmp_path: Path, what: str) -> None:
    """In a share of memory that does not grow with the file."""
    make, expected = XML_BOMBS[what]
    (tmp_path / "car.xml").write_text(make())
    done = limited(tmp_path, "validate", "car.xml", "--json", "target.json")
    err = done.stderr.decode()

    assert done.returncode == 2, err[-2000:]
    assert re.match(expected, err) and "Traceback" not in err, err[-2000:]
    assert not (tmp_path / "target.json").exists()


def test_a_file_beyond_the_limit_is_not_opened_further(say: Say, tmp_path: Path) -> None:
    """A sparse file of a terabyte takes no disk; the limit can be raised on the command line."""
    with (tmp_path / "car.xml").open("wb") as file:
        file.truncate(1 << 40)
    expected = "car.xml: read '1099511627776 bytes'; expected at most {} bytes (a limit, can be raised)\n"

    assert say("validate", "car.xml")[2] == expected.format(512 << 20)
    assert say("validate", "car.xml", "--max-mb", "1024")[2] == expected.format(1 << 30)


# -- consoles and paths


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "cp437"])
def test_a_console_without_the_letters_still_shows_the_faults(tmp_path: Path, encoding: str) -> None:
    """Letters it has not become plain ones."""
    (tmp_path / "Käfig 車 ².xml").write_text(xml('<component id="Lüfter" kind="lamp" ohms="-1 Ω →"/>'), "utf-8")
    done = limited(tmp_path, "validate", "Käfig 車 ².xml", PYTHONIOENCODING=encoding)
    err = done.stderr.decode(encoding)

    assert done.returncode == 2
    assert re.fullmatch(r"K.fig . .\.xml:2:1: read '-1 ohm ->'; expected ohms: a number above 0, in ohm\r?\n", err), err


def test_paths_with_blanks_and_umlauts(say: Say, tmp_path: Path) -> None:
    """In every place a path is taken and named."""
    folder = tmp_path / "Zwölf Wägen (2)"
    folder.mkdir()
    (folder / "ein Käfig.xml").write_text(xml('<harness id="b"/><connector id="C" harness="b" cavities="1"/>'), "utf-8")
    source, tables, again = (f"{folder.name}/{name}" for name in ("ein Käfig.xml", "Tafeln für C", "noch einmal.xml"))

    assert say("convert", source, tables) == (0, f"wrote {tables}\n", "")
    assert say("convert", tables, again) == (0, f"wrote {again}\n", "")
    (folder / "Tafeln für C" / "pins-ä ö.csv").write_text("connector,cavity\nC,9\n", "utf-8")
    assert say("validate", tables)[2] == (
        f"{tables}/pins-ä ö.csv:2: read '9'; expected cavity: one of the 1 cavities of C (1 to 1)\n"
    )


def test_messages_are_one_line_whatever_is_in_the_path(tmp_path: Path) -> None:
    """A line feed in a file's name does not start a line of its own."""
    from harnesscheck.read import read_netlist

    (tmp_path / "a\nb.xml").write_text("<")
    assert messages(read_netlist(tmp_path / "a\nb.xml"))[0].count("\n") == 0
