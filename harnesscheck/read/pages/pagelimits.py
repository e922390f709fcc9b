"""The most that is read of pages, so that time and memory stay bounded whatever the file."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PageLimits:
    """The most that is read of one file of pages."""

    max_pages: int = 40  # at once; more are named with --page
    max_pixels: int = 40_000_000  # of one picture
    max_bytes: int = 200 * 1024 * 1024
    max_words: int = 20_000  # on one page


PAGE_LIMITS = PageLimits()
