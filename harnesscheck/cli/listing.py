"""The commands, what each does in a line, and an example of each. Imports nothing, so that ``--help`` is quick."""

from __future__ import annotations

import os
import sys

__all__ = ["COMMANDS", "EXAMPLES", "NEXT_STEPS", "help_text"]

COMMANDS = {
    "compare": ("harnesscheck.cli.compare", "Hold two cars, or two plugs, against each other."),
    "decide": ("harnesscheck.cli.decide", "Say which harnesses to swap: work, hours, lists, proof."),
    "draw": ("harnesscheck.cli.draw", "Draw a plug, a circuit, a part or the whole car."),
    "sheets": ("harnesscheck.cli.sheets", "Print the job as a PDF: work sheets, drawings, labels."),
    "trace": ("harnesscheck.cli.trace", "Follow a circuit with a meter, and say what to measure next."),
    "ringout": ("harnesscheck.cli.ringout", "Prove the wiring with a meter; read the filled-in sheet back."),
    "loads": ("harnesscheck.cli.loads", "Say what wires and fuses carry; try a bigger pump on paper."),
    "states": ("harnesscheck.cli.states", "Say which load is on in which key position; take out a ground on paper."),
    "validate": ("harnesscheck.cli.validate", "Check one netlist: broken rules, doubtful wiring."),
    "convert": ("harnesscheck.cli.convert", "Write a netlist in another form: XML or tables."),
    "read-table": ("harnesscheck.cli.read_table", "Read a manual's pin table: text, PDF, web page, workbook, picture."),
    "crosswalk": ("harnesscheck.cli.crosswalk", "Propose which plug of one car is which of the other."),
    "identify": ("harnesscheck.cli.identify", "Name a loose plug by its cavities and wire colours."),
    "find": ("harnesscheck.cli.find", "Find a wire by colour, size, place, part, circuit or words."),
    "which": ("harnesscheck.cli.which", "Say which netlist of a family a car is of, and where to look."),
    "rank": ("harnesscheck.cli.rank", "Say which of a folder of donors fit a shell best."),
    "open": ("harnesscheck.cli.open", "Open a page in the browser: type two plugs, drop two cars."),
    "explain": ("harnesscheck.cli.explain", "Say what a kind of finding means, what to do, how to check."),
    "columns": ("harnesscheck.cli.columns", "Say what the columns of the tables ask for, with examples."),
    "new": ("harnesscheck.cli.new", "Write a form to fill in, or an example, to start from."),
}

EXAMPLES = {  # with the files that `harnesscheck new --example demo` writes
    "compare": "demo/donor.xml demo/shell.xml -o report",
    "decide": "demo/swap.toml --people 2 -o decision",
    "draw": "demo/donor.xml C15 --beside demo/shell.xml",
    "sheets": "demo/swap.toml -o job.pdf --paper letter",
    "trace": 'demo/donor.xml "fuel pump feed"',
    "ringout": "demo/swap.toml -o sheets",
    "loads": "demo/donor.xml --what-if fuel-pump.amps=15",
    "states": "demo/donor.xml --open G8",
    "validate": "demo/donor.xml --next",
    "convert": "demo/donor.xml donor-tables",
    "read-table": "demo/manual-page.pdf -o rows.csv",
    "crosswalk": "demo/donor.xml demo/shell.xml -o proposal.toml",
    "identify": 'demo/donor.xml --cavities 6 --wires "RD/WH,GY,WH"',
    "find": 'demo/donor.xml "violet/red behind the dash"',
    "which": 'demo/yard --model-year 2014 --seen "C15: BN"',
    "rank": "demo/shell.xml demo/yard --best 2",
    "open": "demo/plug-donor.csv demo/plug-shell.csv",
    "explain": "feed-to-ground",
    "columns": "connectors",
    "new": "--plug C12 --cavities 16",
}

NEXT_STEPS = """\
Three ways to start:

  harnesscheck new --example demo
      writes two example cars and a one-plug example into the folder demo
  harnesscheck compare demo/donor.xml demo/shell.xml
      says what happens where the two cars' wiring meets, worst first
  harnesscheck compare demo/plug-donor.csv demo/plug-shell.csv
      the same for one plug you typed into a spreadsheet

harnesscheck --help lists all commands.
"""

_WHAT = (
    "Compare two cars' wiring harnesses: what moves, what is missing, what stays dead, what burns.",
    "Exit status: 0 done, whatever was found; 1 only with --fail-on; 2 could not run.",
)
_OPTIONS = {"--version": "Show the version and exit.", "-h, --help": "Show this message and exit."}
_WIDEST = 80


def help_text() -> str:
    """What ``harnesscheck --help`` prints, as wide as the screen, 80 columns at most."""
    wide = min(_WIDEST, _columns())
    lines = ["Usage: harnesscheck [OPTIONS] [COMMAND] [ARGS]...", ""]
    for text in _WHAT:
        lines += [*_wrapped(text, "  ", "  ", wide), ""]
    lines += ["Options:", *_listed(_OPTIONS, wide), "", "Commands:"]
    lines += _listed({name: words for name, (_, words) in COMMANDS.items()}, wide)
    lines += ["", *_wrapped("harnesscheck COMMAND --help says more of one, with an example.", "", "", wide)]
    return "\n".join(lines) + "\n"


def _columns() -> int:
    """How wide the screen is."""
    said = os.environ.get("COLUMNS", "")
    if said.isdigit() and int(said) > 20:
        return int(said)
    try:
        return os.get_terminal_size(sys.__stdout__.fileno() if sys.__stdout__ else 1).columns or _WIDEST
    except (OSError, ValueError):
        return _WIDEST


def _listed(rows: dict[str, str], wide: int) -> list[str]:
    """Names with their words beside them, wrapped."""
    left = max(map(len, rows)) + 4
    return [line for name, words in rows.items() for line in _wrapped(words, f"  {name}".ljust(left), " " * left, wide)]


def _wrapped(text: str, first: str, later: str, wide: int) -> list[str]:
    """A text in lines; ``textwrap`` would be a third of the time."""
    lines, line = [], first
    for word in text.split():
        blank = "" if line in (first, later) else " "
        if blank and len(line) + 1 + len(word) > wide:
            lines.append(line)
            line, blank = later, ""
        line += blank + word
    return [*lines, line]
