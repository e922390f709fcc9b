"""Writes ``harness_demo/example.ipynb``, and runs a notebook's cells as a kernel would, without one.

``PYTHONPATH=.:tests python -m builders.notebook`` writes it anew.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path

from builders.demo import DEMO

FILE = DEMO / "example.ipynb"
CELLS = (
    "# Two vans, one good one\n\nThe donor is a damaged van of 2016, the shell a van of 2014. Does its wiring "
    "just go in? Start this notebook in the folder that `harnesscheck new --example` wrote.",
    ">import harnesscheck as hc",
    "One plug first: the roof plug of both cars, typed into a spreadsheet.",
    '>plug = hc.compare("plug-donor.csv", "plug-shell.csv")\nplug.verdict.sentence',
    ">[(one.kind, one.severity.word, one.donor.cavity) for one in plug.findings]",
    "Both cars as read: all options and build dates, then the version that their files say they are.",
    '>donor, shell = hc.configure("donor.xml"), hc.configure("shell.xml")\ndonor',
    ">graph = donor.to_networkx()  # needs networkx\nlen(graph), graph.number_of_edges()",
    "What happens where the two cars' wiring meets, worst first. The answer shows itself as a page.",
    ">found = hc.compare(donor, shell)\nfound",
    ">[(one.donor.connector, one.text) for one in found.findings if one.severity is hc.Severity.INJURY]",
    "The worst plug as a drawing: both faces, what differs inked strongly.",
    '>hc.draw(donor, "C15", beside=shell)',
    "At the bench: the fuel pump is dead. Where to put the meter, and what it should read.",
    '>hc.trace(donor, "fuel-pump", symptom="dead")',
    "A loose plug, six cavities, five wires.",
    '>hc.identify([donor, shell], cavities=6, wires="RD/WH,GY,WH,GY/OG,BN").best.plug',
    "Which harnesses to swap, with a donor that fits better: the work is applied on paper and the car judged again.",
    '>plan = hc.decide("yard/van-04.xml", shell)\nplan',
    "A file that cannot be read says every fault with its place.",
    '>try:\n    hc.read("expected.toml")\nexcept hc.InputError as error:\n    faults = error.faults\nfaults[0].place, '
    "faults[0].expected",
)


def notebook_text() -> str:
    """The notebook as JSON, nbformat 4.5, nothing run in it."""
    return (
        json.dumps(
            {
                "cells": [_cell(number, text) for number, text in enumerate(CELLS)],
                "metadata": {
                    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
                    "language_info": {"name": "python"},
                },
                "nbformat": 4,
                "nbformat_minor": 5,
            },
            indent=1,
            ensure_ascii=False,
        )
        + "\n"
    )


def _cell(number: int, text: str) -> dict[str, object]:
    code = text.startswith(">")
    cell: dict[str, object] = {"cell_type": "code" if code else "markdown", "id": f"cell-{number:02}", "metadata": {}}
    cell |= {"execution_count": None, "outputs": []} if code else {}
    return cell | {"source": text.removeprefix(">").splitlines(keepends=True)}


def results(notebook: Path) -> Iterator[object]:
    """Run the code cells one after the other in one namespace; the value of each that ends in an expression."""
    names: dict[str, object] = {}
    for cell in json.loads(notebook.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] != "code":
            continue
        tree = ast.parse("".join(cell["source"]))
        last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
        exec(compile(tree, str(notebook), "exec"), names)  # the notebook is ours
        if isinstance(last, ast.Expr):
            yield eval(compile(ast.Expression(last.value), str(notebook), "eval"), names)


if __name__ == "__main__":
    FILE.write_text(notebook_text(), encoding="utf-8", newline="\n")
