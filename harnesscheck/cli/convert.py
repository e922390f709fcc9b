"""``harnesscheck convert``."""

from __future__ import annotations

from pathlib import Path

import click

from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import Reading, netlists_and_remarks
from harnesscheck.cli.asked import reads
from harnesscheck.cli.shared import refuse_input, say, write_out

_NOT_WRITTEN = (".xlsm", ".xls", ".xlsb", ".ods", ".numbers", ".tsv", ".kbl", ".json", ".toml")


@click.command("convert")
@click.argument("source", type=click.Path())
@click.argument("target", type=click.Path(), default="-")
@reads
def command(source: str, target: str, reading: Reading) -> None:
    """Write the netlist SOURCE as TARGET.

    A TARGET that ends in .xml is written as XML, one that ends in .xlsx as a
    workbook with lists to choose from, one that ends in .csv as a single table
    of pins (where the netlist holds no more), any other as a folder of CSV
    tables. Without one, or with -, the XML is printed; SOURCE - is what is piped
    in. Rows are written in one order, however they stood: a row that only moved
    is no difference. Nothing is lost; the source is never overwritten.
    """
    from harnesscheck.report.blocks.terminal import block_lines
    from harnesscheck.report.how_read import how_read_section
    from harnesscheck.report.manual import explained
    from harnesscheck.write.netlist import Lost, write_netlist
    from harnesscheck.write.xml import xml_text

    ((netlist, how),) = netlists_and_remarks([source], reading)
    ending = Path(target).suffix.lower()
    if ending in _NOT_WRITTEN:
        stop_for(
            target, f"a name that ends in {ending}", "a name that ends in .xml, .xlsx or .csv, or that of a folder"
        )
    if target == "-":
        write_out(target, xml_text(netlist), [source])
        return
    refuse_input(target, [source, *sorted({row.file.path for row in netlist.rows() if row.file.path})])
    try:
        write_netlist(netlist, Path(target), explained)
    except Lost as error:
        stop_for(target, *error.told)
    except OSError as error:
        stop_for(target, error.strerror or str(error), "a place that can be written")
    if (told := how_read_section(how)) is not None:
        say("\n".join(block_lines([told])))
    say(f"wrote {target}")
