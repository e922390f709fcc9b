"""Writes shorthand out."""

from __future__ import annotations

from harnesscheck.read.build import Builder


def expand(builder: Builder) -> None:
    """x."""
