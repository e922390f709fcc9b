"""Two plugs as they are typed: each word's meaning, and what happens where they meet."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.records import Netlist
from harnesscheck.read.limits import Limits
from harnesscheck.read.pages.pagelimits import PAGE_LIMITS

if TYPE_CHECKING:
    from harnesscheck.read.pages.read import PagesRead
    from harnesscheck.report.blocks.vocabulary import AnyBlock

MOST_TEXT = 200_000  # characters of one plug
DROPPED = replace(PAGE_LIMITS, max_pages=10, all_s=120.0)  # somebody waits for it
LIMITS = Limits(max_bytes=4 * MOST_TEXT, max_rows=2000)
PLUG = "plug"  # what a plug is called that nobody named


@dataclass(frozen=True, slots=True)
class TypedPlug:
    """One plug's text as a table: the CSV that a netlist is read from, and that netlist or its faults."""

    table: str
    read: Netlist | tuple[InputFault, ...]


@dataclass(frozen=True, slots=True)
class TypedAnswer:
    """What is said of two texts: the answer in a sentence, as bad as ``tone`` says, and all of it as HTML."""

    sentence: str
    tone: str
    html: str


def typed_plug(text: str, colour_code: str | None = None) -> TypedPlug | None:
    """Read what a person typed or pasted: a table as it is saved, lines without a heading, or a page's table.

    None where nothing is typed yet.
    """
    if not text.strip():
        return None
    if len(text) > MOST_TEXT:
        return TypedPlug("", (InputFault(Place(""), f"{len(text)} characters", f"at most {MOST_TEXT}"),))
    from harnesscheck.read.pages.lines import typed_table
    from harnesscheck.read.pages.sources import is_text

    first: TypedPlug | None = None
    for table in filter(None, (typed_table(text, colour_code), text if "," in text else None)):
        plug = TypedPlug(table, _netlist(table, colour_code))
        if isinstance(plug.read, Netlist):
            return plug
        first = first or plug
    from harnesscheck.read.pages import Given, read_pages

    data = text.encode("utf-8", "replace")
    if not is_text(data):
        return first or TypedPlug("", (InputFault(Place(""), "no text", "a plug's lines, or its page dropped here"),))
    plug = _of_pages(read_pages([Given(data, "pasted")], colour_code=colour_code), colour_code)
    return plug if plug.table or first is None else first


def dropped_page(data: bytes, name: str, colour_code: str | None = None) -> TypedPlug:
    """A manual's page, a workbook, a picture that was dropped on a plug, as its table; read in a process of its own."""
    from harnesscheck.read.pages import Given
    from harnesscheck.read.pages.apart import Task, read_apart

    task = Task((Given(data, name),), colour_code=colour_code, page_limits=DROPPED)
    return _of_pages(read_apart(task).read, colour_code)


def _of_pages(read: PagesRead, colour_code: str | None) -> TypedPlug:
    from harnesscheck.write.pagerows import rows_csv

    if read.faults:
        return TypedPlug("", tuple(read.faults))
    table = rows_csv(read)
    return TypedPlug(table, _netlist(table, colour_code))


def _netlist(table: str, colour_code: str | None) -> Netlist | tuple[InputFault, ...]:
    """The table read as any typed table is."""
    from harnesscheck.read import read_netlist

    with tempfile.TemporaryDirectory(prefix="harnesscheck-") as folder:
        path = Path(folder) / f"{PLUG}.csv"
        path.write_text(table, encoding="utf-8")
        read = read_netlist(path, LIMITS, colour_code)
    if isinstance(read, Netlist):
        return read
    return tuple(InputFault(Place("", one.place.line), one.read, one.expected) for one in read)


def typed_answer(donor: str, shell: str, colour_code: str | None = None) -> TypedAnswer:
    """What each word of two plugs was understood as, and, where both can be read, what happens where they meet."""
    from harnesscheck.report.blocks.page import fragment

    plugs = [typed_plug(text, colour_code) for text in (donor, shell)]
    sentence, tone, found = _found(plugs)
    taken = [block for plug, word in zip(plugs, ("donor", "shell"), strict=True) for block in _taken(plug, word)]
    return TypedAnswer(sentence, tone, fragment((*taken, *found)))


def _found(plugs: Sequence[TypedPlug | None]) -> tuple[str, str, tuple[AnyBlock, ...]]:
    from harnesscheck.api.compare import compare
    from harnesscheck.api.faults import InputError
    from harnesscheck.report.blocks.vocabulary import Answer

    cars = [plug.read for plug in plugs if plug is not None and isinstance(plug.read, Netlist)]
    if len(cars) < len(plugs):
        return ("Type both plugs, a line for each cavity.", "", ())
    try:
        result = compare(*cars)
    except InputError as error:
        return (str(error), "", ())
    worst = min((one.severity for one in result.findings if not one.accepted), default=None)
    blocks = tuple(one for one in result.report.blocks if not isinstance(one, Answer))
    return result.verdict.sentence, worst.word if worst is not None else "", blocks


def _taken(plug: TypedPlug | None, word: str) -> Iterator[AnyBlock]:
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.typedplug import faults_block, taken_blocks

    if plug is None:
        return
    if isinstance(plug.read, Netlist):
        yield from taken_blocks(Study(configure(plug.read)), word)
    else:
        yield faults_block(plug.read, word)
