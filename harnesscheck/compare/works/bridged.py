"""A contact whose circuit is where it was, and joined to another one: nothing is crossed there, and nothing to move.

What such a bridge does is told by the load that is on when it should not be.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.works.function import GAINING, FunctionChange


def without_bridged(ctx: Context, found: Sequence[Finding], changes: Iterable[FunctionChange]) -> list[Finding]:
    """The findings but for contacts called crossed that only bring a load what it is told to be lit by."""
    lit = {one.donor_component for one in changes if one.kind in GAINING and one.severity <= Severity.DEAD}
    moved = {one.donor for one in found if one.kind == "moved-pin"}
    return [one for one in found if not (lit and one.donor not in moved and _is_bridged(ctx, one, lit))]


def _is_bridged(ctx: Context, finding: Finding, lit: set[str]) -> bool:
    if finding.kind != "crossed" or finding.severity < Severity.DEAD or not finding.shell.connector:
        return False
    before = ctx.donor.index.net(finding.donor.connector, finding.donor.cavity)
    after = ctx.shell.index.net(finding.shell.connector, finding.shell.cavity)
    if before is None or after is None:
        return False
    was, now = ctx.donor.net_side(before), ctx.shell.net_side(after)
    kept = ctx.donor_key(was)
    is_whole = len(kept) > 1 and kept < ctx.shell_key(now)
    return is_whole and any(end.component in lit for end in was.terminals)
