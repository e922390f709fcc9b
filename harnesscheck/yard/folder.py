"""Which netlists lie in a folder."""

from __future__ import annotations

from pathlib import Path

NETLISTS = (".xml", ".xlsx", ".kbl")
TABLES = ("pins.csv", "connectors.csv", "components.csv")


def netlists_in(folder: Path) -> list[Path]:
    """The netlists of a folder, folders of tables in it included, by name. A file of pins alone is one plug, no car."""
    return sorted(one for one in folder.iterdir() if not one.name.startswith((".", "~")) and _is_netlist(one))


def _is_netlist(path: Path) -> bool:
    if path.is_dir():
        return any((path / name).is_file() for name in TABLES)
    return path.suffix.lower() in NETLISTS
