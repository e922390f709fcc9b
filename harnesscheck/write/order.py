"""The order rows are written in: by name and place, so that the same netlist is the same file."""

from __future__ import annotations

from collections.abc import Iterable

from harnesscheck.fields import row_sort
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import AnyRecord
from harnesscheck.write.texts import Texts, row_texts


def written_rows(sort: str, rows: Iterable[AnyRecord]) -> list[Texts]:
    """The rows of one sort as texts: natural order of what identifies them, then of all they say."""
    texts = [row_texts(sort, row) for row in rows]
    key = row_sort(sort).key
    return sorted(
        texts,
        key=lambda row: (
            [natural_key(row.get(name, "")) for name in key],
            [(name, natural_key(text)) for name, text in row.items()],
        ),
    )
