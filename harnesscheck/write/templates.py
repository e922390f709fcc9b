"""Empty tables to fill in: a header line each, by how much one wants to know.

Every level answers more: ``pins`` what differs, ``mates`` what fits and which
circuits are missing, ``components`` what works, ``loads`` drop, fuses and
overload, ``hours`` the decision.
"""

from __future__ import annotations

from harnesscheck.fields import fields_of
from harnesscheck.write.forms import Form

LEVELS = ("pins", "mates", "components", "loads", "hours")

_COLUMNS: dict[str, dict[str, str]] = {
    "pins": {"pin": "connector cavity circuit function colour note"},
    "mates": {
        "netlist": "vehicle model-year built-from built-to colour-code volts",
        "harness": "id name at",
        "connector": "id harness component cavities half keyway housing-colour mates mirror like at "
        "circuits functions colours",
    },
    "components": {
        "pin": "to terminal role",
        "connector": "on kind part ends terminals roles ratings positions loads",
        "circuit": "id function class system critical",
        "splice": "id harness at",
        "ground": "id at on",
        "component": "id kind part name at system polar key with coded safety critical",
        "wire": "harness from to circuit colour",
        "inside": "component when from to",
        "fuse": "id rating type live feeds",
    },
    "loads": {
        "pin": "size length",
        "connector": "sizes lengths",
        "wire": "size length",
        "component": "amps watts ohms rating type duty stall inrush min-volts",
        "inside": "amps watts ohms fuse diode load id",
        "place": "from to length",
    },
    "hours": {"harness": "out-hours in-hours after", "component": "out-hours in-hours after"},
}  # fmt: skip


def level_forms(level: str) -> tuple[Form, ...]:
    """The tables of one of ``LEVELS`` and of those before it. Raises ValueError for any other."""
    columns: dict[str, set[str]] = {}
    for step in LEVELS[: LEVELS.index(level) + 1]:
        for sort, names in _COLUMNS[step].items():
            columns.setdefault(sort, set()).update(names.split())
    return tuple(
        Form(sort, tuple(field.name for field in fields_of(sort) if field.name in names))
        for sort, names in columns.items()
    )
