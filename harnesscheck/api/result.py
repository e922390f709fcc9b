"""What every answer can do: be read as text, shown in a notebook, taken as data, written as a folder."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from html import escape
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

if TYPE_CHECKING:
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.report.blocks.vocabulary import Report

HEIGHT_PX = 640  # of a page shown in a notebook; it scrolls by itself


class Folder(NamedTuple):
    """A report for a page with drawings, the files beside it by name, a line for all that could not be drawn."""

    report: Report
    files: Mapping[str, bytes]
    warnings: Sequence[str] = ()


class Result(ABC):
    """The answer to one question. ``files`` are those read for it; they are never written over."""

    ROWS: ClassVar[tuple[str, ...]] = ("findings",)  # where in ``to_dict`` the rows of ``to_frame`` stand
    files: tuple[str, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, worst first; () where the question has none."""
        return ()

    @property
    @abstractmethod
    def report(self) -> Report:
        """The answer as blocks, without drawings."""

    @abstractmethod
    def folder(self) -> Folder:
        """The answer with its drawings, and the files beside it."""

    @cached_property
    @abstractmethod
    def _document(self) -> Mapping[str, Any]:
        """The JSON body."""

    def to_dict(self) -> Mapping[str, Any]:
        """The answer as the command's ``--json`` writes it; ``harnesscheck.report.schema`` has its schema."""
        return self._document

    def to_frame(self) -> Any:
        """The answer's rows as a pandas DataFrame, one column a field, ``donor.connector`` for what is inside one.

        Raises ImportError where pandas is missing.
        """
        rows: Any = self.to_dict()
        for key in self.ROWS:
            rows = rows.get(key) or ()
        return frame([dict(_flat(row)) for row in rows])

    def to_html(self) -> str:
        """One page that stands alone, with every drawing; text."""
        from harnesscheck.report.blocks.page import page_text

        return page_text(self.folder().report)

    def save(self, folder: str | Path) -> tuple[Path, ...]:
        """Write page, lists and drawings into a folder, as ``-o`` does; the paths written.

        All are written or none; what an earlier answer to the same question wrote there and this does not goes.
        Raises InputError where one would be an input.
        """
        from harnesscheck.api.writing import write_files
        from harnesscheck.report.blocks.page import page_text

        made = self.folder()
        contents = {"report.html": page_text(made.report).encode("utf-8"), **made.files}
        write_files(str(folder), contents, self.files, run=str(self.to_dict()["command"]))
        return tuple(Path(folder) / name for name in contents)

    def __str__(self) -> str:
        """The report in 80 columns."""
        from harnesscheck.report.blocks.terminal import terminal_text

        return terminal_text(self.report)

    def __repr__(self) -> str:
        title = self.report.title
        return f"<{type(self).__name__}: {title}>"

    def _repr_html_(self) -> str:
        """The page without drawings, in a frame of its own so that its style stays inside."""
        from harnesscheck.report.blocks.page import page_text

        return framed(page_text(self.report), self.report.title)


def framed(page: str, title: str) -> str:
    """A page inside another one, apart from its style."""
    return (
        f'<iframe srcdoc="{escape(page)}" title="{escape(title)}" sandbox="" '
        f'style="width:100%;height:{HEIGHT_PX}px;border:1px solid #ccc"></iframe>'
    )


def frame(rows: Sequence[Mapping[str, Any]]) -> Any:
    """Rows as a pandas DataFrame. Raises ImportError where pandas is missing."""
    return needed("pandas", "to_frame").DataFrame(list(rows))


def needed(library: str, asker: str) -> Any:
    """A library that is only there where somebody installed it. Raises ImportError that says what to do."""
    try:
        return import_module(library)
    except ModuleNotFoundError as error:
        if error.name != library:
            raise
        raise ImportError(f"{asker} needs {library}, which is not installed: pip install {library}") from None


def _flat(row: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """A row's fields, those of a record inside it by both names with a dot between."""
    for name, value in row.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{before}{name}.")
        else:
            yield before + name, value
