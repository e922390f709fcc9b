"""A netlist into the form that the ending of a name says: XML, a workbook, one table of pins, or a folder of tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from harnesscheck.model.records import Netlist
from harnesscheck.write.atomic import write_bytes

Explain = Callable[[Mapping[str, Sequence[str]]], list[list[str]]]
"""Makes the sheet beside a form: what each column of some tables says."""


class Lost(ValueError):
    """Raised where the form holds less than the netlist; ``told`` is what was read and what was expected."""

    def __init__(self, lost: Sequence[str]) -> None:
        super().__init__(", ".join(lost))
        expected = "a name that ends in .xml, or that of a folder: a single CSV holds pins only"
        self.told = (f"a netlist that also has {', '.join(lost)}", expected)


def netlist_contents(netlist: Netlist, target: Path, explain: Explain) -> bytes | Mapping[str, bytes]:
    """What is written under a name: a file's bytes, or by name those of a folder's files.

    Raises ``Lost`` for a netlist that a single CSV cannot hold.
    """
    from harnesscheck.write.forms import form_workbook, netlist_forms
    from harnesscheck.write.tables import lone_table, table_texts
    from harnesscheck.write.xml import xml_text

    ending = target.suffix.lower()
    if ending == ".xml":
        return xml_text(netlist).encode("utf-8")
    if ending == ".xlsx":
        forms = netlist_forms(netlist)
        return form_workbook(forms, explain({form.sort: form.columns for form in forms}))
    if ending == ".csv":
        text, lost = lone_table(netlist, target.stem)
        if lost:
            raise Lost(lost)
        return text.encode("utf-8")
    return {name: text.encode("utf-8") for name, text in table_texts(netlist).items()}


def write_netlist(netlist: Netlist, target: Path, explain: Explain) -> None:
    """Write a netlist, whole or not at all. Raises OSError, and ``Lost`` for one that a single CSV cannot hold."""
    from harnesscheck.write.tables import write_tables

    made = netlist_contents(netlist, target, explain)
    if isinstance(made, bytes):
        write_bytes(target, made)
    else:
        write_tables(netlist, target)
