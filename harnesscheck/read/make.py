"""Makes records quickly.

A frozen dataclass sets each slot through ``object.__setattr__``, which for a pin
of some thirty slots takes longer than parsing its line. The function made here
fills an unfrozen twin of the same layout and turns it into the record at the
end; the two ways give equal records, and a test holds them together.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, fields
from typing import Any

from harnesscheck.model.records import Record


def maker(record: type[Any]) -> Callable[..., Any]:
    """A function that takes the record's slots by name, as its class does, and makes one."""
    slots = fields(record)
    twin = type(
        f"{record.__name__}Draft",
        (Record,),
        {
            "__slots__": [slot.name for slot in slots if slot.name not in Record.__slots__],
            "__setattr__": object.__setattr__,
            "__delattr__": object.__delattr__,
        },
    )
    names: dict[str, Any] = {"new": object.__new__, "Draft": twin, "Done": record}
    names |= {f"default_{slot.name}": slot.default for slot in slots if slot.default is not MISSING}
    arguments = ", ".join(
        slot.name if slot.default is MISSING else f"{slot.name}=default_{slot.name}" for slot in slots
    )
    lines = [f"def make(*, {arguments}):", "    row = new(Draft)"]
    lines += [f"    row.{slot.name} = {slot.name}" for slot in slots]
    lines += ["    row.__class__ = Done", "    return row"]
    exec("\n".join(lines), names)  # names come from our own classes, as in dataclasses itself
    make: Callable[..., Any] = names["make"]
    return make
