"""The sheet to fill in, one line a reading, with the digest of its inputs in it; and the tables beside it.

Three lines stand before its header: what car it is, the digest of the files it
was made from, and the plan. The reader (``bench.readings.filled``) looks for them.
"""

from __future__ import annotations

from collections.abc import Sequence

from harnesscheck.bench.ringout.measurements import GROUPS, REST, Measurement, Ringout
from harnesscheck.bench.ringout.powerup import Check
from harnesscheck.bench.ringout.underload import BusCheck, FeedCheck
from harnesscheck.bench.ringout.unplugging import Unplugging, Unproven
from harnesscheck.write.spreadsheets import Grid

TITLE, INPUTS, PLAN = "ring-out sheet", "inputs", "plan"
COLUMNS = ("number", "place", "from", "to", "expect", "read", "note")
HEAD_LINES = 3  # above the header of the sheet itself


def reading_table(ringout: Ringout, digest: str) -> Grid:
    """The sheet itself: three lines of what it belongs to, the header, a line a reading."""
    name = ringout.looms.study.vehicle.name
    head = [[TITLE, name], [INPUTS, digest], [PLAN, ringout.plan], list(COLUMNS)]
    return head + [reading_row(one) for one in ringout.measurements]


def reading_row(one: Measurement, read: str = "") -> list[str]:
    """One line of the sheet."""
    note = "; ".join(filter(None, (one.note, "likely" if one.likely else "", one.why)))
    return [str(one.number), one.place, one.from_, one.to, one.expect, read, note]


def tie_table(ringout: Ringout) -> Grid:
    """Where the tie leads go, their group in every test, what beside them is never touched; empty without a kit."""
    if ringout.plan not in (GROUPS, REST):
        return []
    looms = ringout.looms
    tests = ringout.isolation if ringout.plan == GROUPS else ()
    rows = [["net", "tie lead", "place", *(f"test {number}" for number in range(1, len(tests) + 1)), "keep off"]]
    for number, ties in enumerate(ringout.ties):
        bits = [str(number >> bit & 1) for bit in range(len(tests))]
        for tie in ties:
            kept_off = ", ".join(looms.never_probed(looms.connector_of[tie]))
            rows.append([str(number), looms.names[tie], looms.places[tie], *bits, kept_off])
    return rows


def unplug_table(parts: Sequence[Unplugging]) -> Grid:
    """What to unplug, in order."""
    rows = [["number", "sort", "component", "name", "place", "plugs", "do", "reads if left in", "done"]]
    for number, one in enumerate(parts, start=1):
        reads = "" if one.reads_ohm is None else ohms_words(one.reads_ohm)
        do = "; ".join(filter(None, (one.do, one.caution)))
        rows.append([str(number), one.sort, one.component, one.name, one.place, " ".join(one.plugs), do, reads, ""])
    return rows


def ohms_words(ohm: float) -> str:
    """A resistance as a meter would show it, no finer than it is known."""
    return "under 0.1 ohm" if ohm < 0.1 else f"about {float(f'{ohm:.2g}'):g} ohm"


def not_proven_table(left: Sequence[Unproven]) -> Grid:
    """What stays open."""
    return [["sort", "what", "why"], *([one.sort, one.what, one.why] for one in left)]


def load_table(feeds: Sequence[FeedCheck], buses: Sequence[BusCheck]) -> Grid:
    """Feeds to be loaded with a lamp, then the data buses."""
    rows = [["number", "place", "from", "to", "key", "expect", "read", "note"]]
    for one in feeds:
        expect = f"drop {one.limit_v:g} V or less (about {one.drop_v:.2f} V)"
        note = f"{one.part}, from {', '.join(one.fuses[:1]) or 'no fuse'}; 21 W lamp from here to body"
        rows.append([str(len(rows)), one.place, "battery +", one.at, one.key, expect, "", note])
    for bus in buses:
        expect, note = bus_words(bus)
        rows.append([str(len(rows)), bus.place, bus.at, "", "battery off", expect, "", note])
    return rows


def bus_words(bus: BusCheck) -> tuple[str, str]:
    """What a data bus should read across its pair, and on what that rests."""
    if bus.stop:
        return "not measured", f"bus {bus.bus}: {bus.stop}"
    if bus.ohm is None:
        return "not known", f"bus {bus.bus}: the file writes no terminator; 60 ohm with two (ISO 11898-2)"
    doubt = "" if len(bus.terminators) == 2 else "; a bus has two ends, 60 ohm"
    note = f"bus {bus.bus}, modules plugged in: terminators in {', '.join(bus.terminators)}{doubt}"
    return f"{bus.ohm:.0f} ohm", note


def power_up_table(checks: Sequence[Check]) -> Grid:
    """The first power-up."""
    rows = [["number", "step", "do", "place", "at", "key", "expect", "read", "note"]]
    rows += [
        [str(one.number), one.step, one.do, one.place, one.at, one.key, one.expect, "", one.note] for one in checks
    ]
    return rows
