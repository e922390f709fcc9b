"""What work at a wiring harness takes, in hours for one person: best, likely, worst.

All are common practice, no source; a swap sheet's ``[rates]`` replaces any of them.
"""

from __future__ import annotations

from collections.abc import Mapping

Hours3 = tuple[float, float, float]  # best, likely, worst

RATES_H: Mapping[str, Hours3] = {
    "re-pin": (0.1, 0.2, 0.4),  # a contact out of its cavity and into another
    "insulate": (0.05, 0.1, 0.2),  # a contact out, covered and tied back
    "splice": (0.15, 0.25, 0.5),  # a joint to a wire that is there, soldered or crimped, and covered
    "contact": (0.05, 0.1, 0.2),  # a new contact on a new wire, and into its cavity
    "new-wire-per-metre": (0.1, 0.2, 0.4),  # laid along a loom that is in place
    "housing": (0.2, 0.35, 0.7),  # another housing, without its contacts
    "tail": (0.15, 0.25, 0.5),  # one wire of a plug cut off with its tail, joined on
    "lead": (0.3, 0.5, 1.0),  # an adapter lead, without its wires
    "lead-wire": (0.1, 0.2, 0.4),  # one wire of it, both contacts
    "fuse": (0.02, 0.05, 0.1),
    "strap": (0.2, 0.4, 0.8),  # a ground strap, bare metal under both ends
    "unplug": (0.02, 0.05, 0.1),
    "part-out": (0.15, 0.3, 0.8),
    "part-in": (0.2, 0.4, 1.0),
    "harness-out": (3.0, 5.0, 8.0),
    "harness-in": (4.0, 6.0, 10.0),
    "ring-out": (0.02, 0.03, 0.06),  # one reading
}


def rate_name(text: str) -> str:
    """A rate as a person writes it: ``new wire per metre`` is ``new-wire-per-metre``.

    >>> rate_name("New wire per metre")
    'new-wire-per-metre'
    """
    return "-".join(text.casefold().replace("_", " ").replace("-", " ").split())
