"""How long reading a netlist takes, and how much memory.

Run by hand: ``python tests/benchmarks/bench_read.py [CAVITIES]``.

Prints the time of ``read_netlist`` as a ratio to ``lxml.etree.parse`` of the same file
(goal: at most 6), and to ``csv.reader`` over the same car as tables (no goal), and the
most memory taken, by cavity (goal: at most 4 KB). Every measurement is a process of its
own; times are processor times, medians of three; memory is what the process takes at
most beyond what it takes with everything imported. Last comes a workbook of 5,000 rows,
its library's import included (goal: at most 1 s).
"""

from __future__ import annotations

import csv
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from harnesscheck.fields import NAMESPACE  # noqa: E402  the path is set above
from harnesscheck.model.records import Netlist  # noqa: E402  the path is set above
from harnesscheck.read import read_netlist  # noqa: E402  the path is set above

CAVITIES = 1_000_000
WAYS = 20  # cavities of one plug
PLUGS = 50  # of one harness
RUNS = 3
BOOK_ROWS = 5000
MOST_BOOK_S = 1.0
MOST_TIMES = 6.0
MOST_BYTES = 4096
COLOURS = ("BK", "RD", "BU/WH", "GN/YE", "BN", "GY/RD", "VT", "OG/BK")
SIZES = ("0.5", "0.75", "1.0", "1.25", "1.5", "2.5", "4")
KB = 1024 if sys.platform != "darwin" else 1  # of ru_maxrss


def pins(plug: int) -> Iterator[dict[str, str]]:
    """The wires of one plug: to the plug before in the same harness, or to a splice."""
    for way in range(1, WAYS + 1):
        number = plug * WAYS + way
        to = f"C{plug - 1}:{way}" if plug % PLUGS % 2 else f"S{plug // PLUGS}.{way}"
        yield {
            "cavity": str(way),
            "circuit": f"N{number // 3}",
            "colour": COLOURS[number % len(COLOURS)],
            "size": SIZES[number % len(SIZES)],
            "to": to,
            "length": f"{number % 700 / 100 + 0.1:.2f}",
        }


def xml_lines(plugs: int) -> Iterator[str]:
    """A car of so many plugs, as the writer would write it."""
    yield f'<netlist xmlns="{NAMESPACE}" vehicle="made-up car" colour-code="iec60757" volts="12">'
    for harness in range(-(-plugs // PLUGS)):
        yield f'  <harness id="H{harness}"/>'
        yield from (f'  <splice id="S{harness}.{way}" harness="H{harness}"/>' for way in range(1, WAYS + 1))
    for plug in range(plugs):
        mates = f' mates="C{plug + PLUGS}"' if plug // PLUGS % 2 == 0 and plug + PLUGS < plugs else ""
        yield f'  <connector id="C{plug}" harness="H{plug // PLUGS}" cavities="{WAYS}" keyway="A"{mates}>'
        for pin in pins(plug):
            attributes = " ".join(f'{name}="{text}"' for name, text in pin.items())
            yield f"    <pin {attributes}/>"
        yield "  </connector>"
    yield "</netlist>"


def write_car(folder: Path, plugs: int) -> None:
    """The car as XML and as a folder of tables."""
    with (folder / "car.xml").open("w", encoding="utf-8") as file:
        file.writelines(f"{line}\n" for line in xml_lines(plugs))
    tables = folder / "tables"
    tables.mkdir()
    harnesses = range(-(-plugs // PLUGS))
    (tables / "harnesses.csv").write_text("id\n" + "".join(f"H{one}\n" for one in harnesses))
    splices = (f"S{one}.{way},H{one}\n" for one in harnesses for way in range(1, WAYS + 1))
    (tables / "splices.csv").write_text("id,harness\n" + "".join(splices))
    connectors = (f"C{plug},H{plug // PLUGS},{WAYS}\n" for plug in range(plugs))
    (tables / "connectors.csv").write_text("id,harness,cavities\n" + "".join(connectors))
    with (tables / "pins.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("connector", *next(pins(0))))
        writer.writerows((f"C{plug}", *pin.values()) for plug in range(plugs) for pin in pins(plug))


def write_workbook(path: Path) -> None:
    """A workbook of pins, 5,000 rows, as people send them."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet("pins")
    sheet.append(["connector", *next(pins(0))])
    for plug in range(BOOK_ROWS // WAYS):
        for pin in pins(plug):
            told = {name: text for name, text in pin.items() if name not in ("to", "length")}
            sheet.append([f"C{plug}", *(told.get(name, "") for name in pin)])
    book.save(path)


def parse_with_lxml(folder: Path) -> None:
    """The whole tree, as a program would that has nothing else."""
    from lxml import etree

    etree.parse(str(folder / "car.xml"), etree.XMLParser(huge_tree=True))


def read_with_csv(folder: Path) -> None:
    """Every row of every table as a list of texts."""
    for file in sorted((folder / "tables").iterdir()):
        with file.open(encoding="utf-8", newline="") as stream:
            list(csv.reader(stream))


def read(path: Path) -> None:
    """Our reader; a fault would make the measurement worthless."""
    netlist = read_netlist(path)
    assert isinstance(netlist, Netlist), netlist[:3]


WORK: dict[str, Callable[[Path], None]] = {
    "lxml": parse_with_lxml,
    "xml": lambda folder: read(folder / "car.xml"),
    "csv": read_with_csv,
    "tables": lambda folder: read(folder / "tables"),
    "workbook": lambda folder: read(folder / "book.xlsx"),
}


def measure(what: str, folder: Path) -> tuple[float, float]:
    """Seconds (median) and most bytes (least of the runs: the system adds its own) of work in fresh processes."""
    command = [sys.executable, __file__, "--work", what, str(folder)]
    runs = [
        tuple(map(float, subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()))
        for _ in range(RUNS)
    ]
    return statistics.median(run[0] for run in runs), min(run[1] for run in runs)


def work(what: str, folder: Path) -> None:
    """Do it once, and print seconds and bytes."""
    from lxml import etree  # noqa: F401  imported before memory is looked at

    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    WORK[what](folder)
    took = time.process_time() - start
    print(took, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * KB)


def main(cavities: int) -> None:
    """Print the table."""
    plugs = max(2, cavities // WAYS)
    count = plugs * WAYS
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_car(folder, plugs)
        write_workbook(folder / "book.xlsx")
        measured = {what: measure(what, folder) for what in WORK}
        megabytes = (folder / "car.xml").stat().st_size / 1e6
    print(f"{count} cavities, {megabytes:.0f} MB of XML")
    for what, baseline, label, goal in (
        ("lxml", "lxml", "lxml.etree.parse", ""),
        ("xml", "lxml", "read_netlist of the XML file", f"<= {MOST_TIMES:g} x, <= {MOST_BYTES} bytes a cavity"),
        ("csv", "csv", "csv.reader", ""),
        ("tables", "csv", "read_netlist of the tables", f"<= {MOST_BYTES} bytes a cavity"),
    ):
        took, most = measured[what]
        ratio = took / measured[baseline][0]
        print(f"{label:30} {took:7.2f} s {ratio:6.2f} x {most / count:7.0f} bytes a cavity  {goal}")
    print(f"{f'a workbook of {BOOK_ROWS} rows':30} {measured['workbook'][0]:7.2f} s  <= {MOST_BOOK_S:g} s")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--work"]:
        work(sys.argv[2], Path(sys.argv[3]))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else CAVITIES)
