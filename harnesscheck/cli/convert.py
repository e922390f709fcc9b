"""``harnesscheck convert``."""

from __future__ import annotations

from pathlib import Path

import click

from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import Reading, netlists_and_remarks
from harnesscheck.cli.asked import reads
from harnesscheck.cli.shared import refuse_input, say
from harnesscheck.model.records import Netlist

_NOT_WRITTEN = (".xlsm", ".xls", ".xlsb", ".ods", ".numbers", ".tsv", ".kbl", ".json", ".toml")


@click.command("convert")
@click.argument("source", type=click.Path())
@click.argument("target", type=click.Path())
@reads
def command(source: str, target: str, reading: Reading) -> None:
    """Write the netlist SOURCE as TARGET.

    A TARGET that ends in .xml is written as XML, one that ends in .xlsx as a
    workbook with lists to choose from, one that ends in .csv as a single table
    of pins (where the netlist holds no more), any other as a folder of CSV
    tables. Nothing is lost; the source is never overwritten.
    """
    from harnesscheck.report.blocks.terminal import block_lines
    from harnesscheck.report.how_read import how_read_section

    ((netlist, how),) = netlists_and_remarks([source], reading)
    ending = Path(target).suffix.lower()
    if ending in _NOT_WRITTEN:
        stop_for(
            target, f"a name that ends in {ending}", "a name that ends in .xml, .xlsx or .csv, or that of a folder"
        )
    refuse_input(target, [source, *sorted({row.file.path for row in netlist.rows() if row.file.path})])
    try:
        write_netlist(netlist, target, ending)
    except OSError as error:
        stop_for(target, error.strerror or str(error), "a place that can be written")
    if (told := how_read_section(how)) is not None:
        say("\n".join(block_lines([told])))
    say(f"wrote {target}")


def write_netlist(netlist: Netlist, target: str, ending: str) -> None:
    """Write a netlist as the ending of the name says. Raises OSError."""
    from harnesscheck.report.manual import explained
    from harnesscheck.write.atomic import write_bytes, write_text
    from harnesscheck.write.forms import form_workbook, netlist_forms
    from harnesscheck.write.tables import lone_table, write_tables
    from harnesscheck.write.xml import write_xml

    if ending == ".xml":
        write_xml(netlist, Path(target))
    elif ending == ".xlsx":
        forms = netlist_forms(netlist)
        write_bytes(Path(target), form_workbook(forms, explained({form.sort: form.columns for form in forms})))
    elif ending == ".csv":
        text, lost = lone_table(netlist, Path(target).stem)
        if lost:
            expected = "a name that ends in .xml, or that of a folder: a single CSV holds pins only"
            stop_for(target, f"a netlist that also has {', '.join(lost)}", expected)
        write_text(Path(target), text)
    else:
        write_tables(netlist, Path(target))
