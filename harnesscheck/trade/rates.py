"""What work at a wiring harness takes, in hours for one person: best, likely, worst.

All are common practice, no source; a swap sheet's ``[rates]`` replaces any of them.
"""

from __future__ import annotations

from collections.abc import Mapping

Hours3 = tuple[float, float, float]  # best, likely, worst

RATES_H: Mapping[str, Hours3] = {
    "re-pin": (0.1, 0.2, 0.4),
    "insulate": (0.05, 0.1, 0.2),
    "splice": (0.15, 0.25, 0.5),
    "contact": (0.05, 0.1, 0.2),
    "new-wire-per-metre": (0.1, 0.2, 0.4),
    "housing": (0.2, 0.35, 0.7),
    "tail": (0.15, 0.25, 0.5),
    "lead": (0.3, 0.5, 1.0),
    "lead-wire": (0.1, 0.2, 0.4),
    "fuse": (0.02, 0.05, 0.1),
    "strap": (0.2, 0.4, 0.8),
    "unplug": (0.02, 0.05, 0.1),
    "part-out": (0.15, 0.3, 0.8),
    "part-in": (0.2, 0.4, 1.0),
    "harness-out": (3.0, 5.0, 8.0),
    "harness-in": (4.0, 6.0, 10.0),
    "ring-out": (0.02, 0.03, 0.06),
}

RATE_WORDS: Mapping[str, str] = {
    "re-pin": "a contact out of its cavity and into another",
    "insulate": "a contact out, covered and tied back",
    "splice": "a joint to a wire that is there, soldered or crimped, and covered",
    "contact": "a new contact on a new wire, and into its cavity",
    "new-wire-per-metre": "a metre laid along a loom that is in place",
    "housing": "another housing, without its contacts",
    "tail": "one wire of a plug cut off with its tail, joined on",
    "lead": "an adapter lead, without its wires",
    "lead-wire": "one wire of it, both contacts",
    "fuse": "a fuse changed",
    "strap": "a ground strap, bare metal under both ends",
    "unplug": "a plug labelled and taken apart",
    "part-out": "a part out, where the netlist gives no out-hours",
    "part-in": "a part in, where the netlist gives no in-hours",
    "harness-out": "a harness out, where the netlist gives no out-hours",
    "harness-in": "a harness in, where the netlist gives no in-hours",
    "ring-out": "one reading with the meter",
}
