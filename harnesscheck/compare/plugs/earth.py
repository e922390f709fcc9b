"""Two cars whose bodies are opposite poles of the battery, or a battery that is turned round in one of them.

Nothing is shorted by the wires; everything that minds its direction is fed backwards. An
alternator's rectifier then joins both poles of the battery through its diodes, with no
fuse on the way (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from harnesscheck.compare.context import Context, plugs_of
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import Finding, make_finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.finding.sentences import OTHER_EARTH, OTHER_EARTH_DO
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.earth import earth_of
from harnesscheck.network.graph.sides import Study

MOST_NAMED = 6  # parts that are fed backwards, in one sentence


def turned_severity(study: Study) -> Severity:
    """What the other pole on the body comes to: electronics burn, and behind an alternator the wires."""
    has_rectifier = any(row.kind == "alternator" for row in study.vehicle.netlist.components)
    return Severity.INJURY if has_rectifier else Severity.DAMAGE


def batteries_turned(ctx: Context) -> tuple[str, str]:
    """The two cars' batteries whose other poles are the body; "" where the bodies are of one pole, or not known."""
    (ours, donor), (theirs, shell) = earth_of(ctx.donor), earth_of(ctx.shell)
    return (donor, shell) if ours and theirs and ours != theirs else ("", "")


def with_other_earth(ctx: Context, found: Sequence[Finding], backwards: Collection[str]) -> list[Finding]:
    """The findings, those at a battery that is turned round told as one; ``backwards`` are parts fed so."""
    donor, shell = batteries_turned(ctx)
    if not donor:
        return list(found)
    spots = plugs_of(ctx, donor, shell)
    at = {spot.connector for spot in spots} - {""}
    words = {
        "part": named(ctx.donor, donor),
        "ours": earth_of(ctx.donor)[0],
        "theirs": earth_of(ctx.shell)[0],
        "what": _what(ctx, sorted(backwards)),
    }
    pair = ctx.pairs.component.get(donor)
    sure = Certainty.KNOWN if pair is None or pair.sure else Certainty.LIKELY
    turned = make_finding(
        "reversed",
        sure,
        *spots,
        words,
        (donor, shell),
        severity=turned_severity(ctx.donor),
        text=OTHER_EARTH.format_map(words),
        do=OTHER_EARTH_DO,
    )
    return [*_elsewhere(found, at, backwards), turned]


def _elsewhere(found: Iterable[Finding], at: set[str], backwards: Collection[str]) -> list[Finding]:
    """What is not told at the battery's plugs, nor of parts that are backwards for its sake alone."""
    return [
        one
        for one in found
        if not (one.donor.connector in at or one.shell.connector in at)
        and not (one.kind == "reversed" and one.donor_component in backwards)
    ]


def _what(ctx: Context, backwards: Sequence[str]) -> str:
    parts = [named(ctx.donor, name) for name in backwards]
    return f" ({shortened(parts, MOST_NAMED)})" if parts else ""
