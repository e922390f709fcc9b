"""Where something was read, and what was wrong there.

A row keeps a line, a column and a shared ``Source``; a ``Place`` is made only
when somebody asks. Readers gather every ``InputFault`` before they stop; only
the command line turns them into an exit status.
"""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.model.escapes import escaped_line


@dataclass(frozen=True, slots=True)
class Source:
    """A file, or one sheet of a workbook, that rows were read from."""

    path: str
    sheet: str = ""

    @property
    def name(self) -> str:
        """The path as it was given, and the sheet where there is one."""
        return f"{self.path}[{self.sheet}]" if self.sheet else self.path


NOWHERE = Source("")


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in a file. Line and column count from 1; 0 is not known. ``field`` names a table's column."""

    path: str
    line: int = 0
    column: int = 0
    sheet: str = ""
    field: str = ""

    def __str__(self) -> str:
        """As editors and compilers write it, so that a click leads there."""
        text = escaped_line(f"{self.path}[{self.sheet}]" if self.sheet else self.path)
        if self.line:
            text += f":{self.line}"
            if self.column and not self.field:
                text += f":{self.column}"
        return text + (f" column '{escaped_line(self.field)}'" if self.field else "")


@dataclass(frozen=True, slots=True)
class InputFault:
    """One broken rule of the file format: place, what was read, what was expected."""

    place: Place
    read: str
    expected: str
    other: Place | None = None  # the row it disagrees with

    def __str__(self) -> str:
        """One line; what was read is shortened and shown with its control characters escaped."""
        shown = self.read if len(self.read) <= 80 else self.read[:77] + "..."
        text = f"{self.place}: read {ascii_safe(shown)}; expected {self.expected}"
        return f"{text} (see {self.other})" if self.other is not None else text


def ascii_safe(text: str) -> str:
    """Quote text for one line of a message; letters of any script stay, control characters are escaped."""
    return f"'{escaped_line(text)}'"
