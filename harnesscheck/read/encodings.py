"""Which encodings of an XML file can be read: expat's own, and any that has one letter a byte."""

from __future__ import annotations

_EXPATS = ("utf-8", "utf-16", "iso-8859-1", "us-ascii")
EXPECTED = "an encoding that can be read (UTF-8)"


def can_read(encoding: str) -> bool:
    """Whether the XML parser can make text of it; it raises for others, and says less than this."""
    if encoding.lower() in _EXPATS:
        return True
    try:
        return len(bytes(range(256)).decode(encoding, "replace")) == 256
    except (LookupError, ValueError):
        return False
