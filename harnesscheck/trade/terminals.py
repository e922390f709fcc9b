"""Terminal numbers of DIN 72552 and what they say about a wire.

Two customs share the relay numbers. In DIN 72552 itself 87 is the input of a
change-over contact and 87a, 87b its outputs; on plug-in relays (ISO 7588) 30
is the common contact, 87 the make output and 87a the break output. Both are in
use, so no class is given to relay and switch numbers, and a relay's 30 must not
be taken for battery positive: ask ``feed_class`` about supplies and loads, not
about relay sockets.

References
----------
DIN 72552-2:1971 as listed in public tables; rows say which are from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from harnesscheck.trade.tables import rows


@dataclass(frozen=True, slots=True)
class Terminal:
    """One number of the standard: the group it belongs to, and its meaning."""

    number: str
    group: str
    meaning: str
    status: str


def terminal(number: str) -> Terminal | None:
    """The terminal of that number, in either case (``15A`` is 15a); None where the standard has none."""
    row = _row(number)
    return None if row is None else Terminal(row["terminal"], row["group"], row["meaning"], row["status"])


def feed_class(number: str) -> str | None:
    """permanent, run, accessory, start, ground or feed, where the number alone makes it certain; else None.

    ``feed`` is a lamp or flasher feed: live when something switches it on.
    None among others for 31b (ground through a switch), 15a (behind a
    resistor, live while starting too), D+, and every relay number.
    """
    row = _row(number)
    return None if row is None else row["class"] or None


def _row(number: str) -> Mapping[str, str] | None:
    return _rows().get(number.strip().lower())


@cache
def _rows() -> Mapping[str, Mapping[str, str]]:
    return {row["terminal"].lower(): row for row in rows("terminals")}
