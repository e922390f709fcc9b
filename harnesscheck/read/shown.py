"""Slots and values in the words of the files they came from, for messages."""

from __future__ import annotations


def field_name(slot: str) -> str:
    """The name in files of a record's slot."""
    return slot.removesuffix("_").replace("_", "-")


def shown(value: object) -> str:
    """A value as the file would have it."""
    text = getattr(value, "text", value)
    if isinstance(text, bool):
        return "yes" if text else "no"
    if isinstance(text, tuple):
        return " ".join(map(shown, text))
    return f"{text:g}" if isinstance(text, float) else str(text)
