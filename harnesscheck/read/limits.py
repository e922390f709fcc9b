"""Limits on what a reader accepts, so that time and memory stay bounded whatever the file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Limits:
    """The largest input that is read; beyond any of these is an input fault that names the limit."""

    max_bytes: int = 512 * 1024 * 1024  # of one file
    max_depth: int = 16  # elements inside elements
    max_rows: int = 5_000_000  # in one netlist
    max_cavities: int = 1000  # in one connector
    max_text: int = 10_000  # characters in one value
    max_files: int = 10_000  # in one folder
    max_columns: int = 1000  # in one table
    max_cells: int = 50_000_000  # in one table
    within: tuple[Path, ...] = ()  # the only folders whose files may be read; none: any

    @property
    def max_unpacked(self) -> int:
        """Bytes a workbook may unpack to: read, they take many times the memory of a text."""
        return self.max_bytes // 4


DEFAULT_LIMITS = Limits()
