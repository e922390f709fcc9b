"""The most that is read of pages, so that time and memory stay bounded whatever the file."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PageLimits:
    """The most that is read of one file of pages.

    Time and memory are kept by ``apart``, which reads in a process of its own; the rest by the readers themselves.
    """

    max_pages: int = 40  # at once; more are named with --page
    max_pixels: int = 40_000_000  # of one picture
    max_bytes: int = 200 * 1024 * 1024
    max_words: int = 10_000  # on one page
    step_s: float = 60.0  # for one page, or one step of reading a picture
    all_s: float = 900.0  # for all that is read at once
    max_memory_bytes: int = 3 * 1024**3  # of the process that reads


PAGE_LIMITS = PageLimits()
