"""Paragraphs for a terminal of 80 columns, and for paper."""

from __future__ import annotations

import textwrap

WIDTH = 80


def wrapped(text: str, indent: str = "", more: str | None = None) -> list[str]:
    """A paragraph as lines of 80 columns at most; ``more`` indents all lines but the first."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent if more is None else more,
        break_long_words=False,
        break_on_hyphens=False,
    )
