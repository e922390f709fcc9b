"""Same circuit, other wire: colour, cross-section, sort of signal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.kinds import KindName
from harnesscheck.compare.plugs.cavities import same_circuit
from harnesscheck.model.records import Circuit, Component, Inside, Pin, Wire
from harnesscheck.network.graph.conduction import LOADS, is_load
from harnesscheck.network.graph.sides import FEEDS, Study
from harnesscheck.network.volts.ratings import rating_of
from harnesscheck.trade.sizes import Size, thinner_by

THINNER_FROM = 0.2  # of resistance; below it two sizes are the same wire under two names


@dataclass(frozen=True, slots=True)
class WireChange:
    """One way in which the wire of a circuit differs between the cars."""

    kind: KindName
    text: str
    suits: bool = False  # a thinner wire that its fuse and load still suit
    sure: bool = True


def wire_changes(ctx: Context, donor: tuple[str, str], shell: tuple[str, str]) -> Iterator[WireChange]:
    """What differs between the wires in two cavities that carry the same circuit."""
    if not same_circuit(ctx, donor, shell):
        return
    ours = ctx.wires(ctx.donor, *donor)
    theirs = ctx.wires(ctx.shell, *shell)
    yield from _recoloured(ours, theirs)
    yield from _thinner(ctx, shell, ours, theirs)
    yield from _signal(ctx, ours, theirs)
    yield from _contacts(ctx, donor, shell)


def _contacts(ctx: Context, donor: tuple[str, str], shell: tuple[str, str]) -> Iterator[WireChange]:
    """Contacts of two sizes that would meet: neither car's own pair is at fault, the mixed one does not go together."""
    own = [_contact_mm(ctx.donor, *spot) for spot in _both(ctx.donor, donor)]
    other = [_contact_mm(ctx.shell, *spot) for spot in _both(ctx.shell, shell)]
    mixed = [(own[0], other[1]), (other[0], own[1])] if ctx.built is None else [(other[0], other[1])]
    if donor[1] != shell[1] or (ctx.built is not None and own[0] != own[1]):
        return  # moved to a cavity of another size on purpose, or so as built
    for a, b in mixed:
        if a is not None and b is not None and abs(a - b) > 0.05:
            yield WireChange("housing-differs", f"contact of {a:g} mm on one half, {b:g} mm on the other")
            return


def _both(study: Study, spot: tuple[str, str]) -> tuple[tuple[str, str], tuple[str, str]]:
    """A cavity and the one that faces it."""
    return spot, (study.vehicle.mate_of.get(spot[0], ""), spot[1])


def _contact_mm(study: Study, connector: str, cavity: str) -> float | None:
    """The size of a contact by its own row, else by its connector's; None where that is no number."""
    rows = (pin for pin in study.vehicle.pins_of.get(connector, ()) if pin.cavity == cavity)
    row = study.vehicle.connectors.get(connector)
    texts = [pin.contact for pin in rows if pin.contact is not None]
    text = texts[0] if texts else row.contact if row is not None else None
    try:
        return float(text) if text is not None else None
    except ValueError:
        return None


def colour_text(rows: Sequence[Pin | Wire]) -> str:
    """The colours of some wires as written, in order of the text."""
    return ", ".join(sorted({row.colour.text for row in rows if row.colour is not None}))


def _recoloured(ours: Sequence[Pin | Wire], theirs: Sequence[Pin | Wire]) -> Iterator[WireChange]:
    a = sorted(row.colour.names for row in ours if row.colour is not None and row.colour.names)
    b = sorted(row.colour.names for row in theirs if row.colour is not None and row.colour.names)
    comparable = len(a) == len(ours) == len(theirs) == len(b)  # a wire more or less is no other colour
    if a and b and a != b and (comparable or not set(a) & set(b)):
        yield WireChange("recoloured", f"{colour_text(ours)} here, {colour_text(theirs)} there")


def _largest(rows: Sequence[Pin | Wire]) -> Size | None:
    sizes = [row.size for row in rows if row.size is not None]
    return max(sizes, key=lambda size: size.area_mm2, default=None)


def _thinner(
    ctx: Context, shell: tuple[str, str], ours: Sequence[Pin | Wire], theirs: Sequence[Pin | Wire]
) -> Iterator[WireChange]:
    a, b = _largest(ours), _largest(theirs)
    lacking = ctx.shell.index.may_lack_wires(shell[0])
    if (lacking and len(theirs) < len(ours)) or any(row.size is None for row in theirs):
        return  # the wire nobody wrote or measured may be the thick one
    if a is None or b is None or round(thinner_by(a, b), 9) < THINNER_FROM:  # 1.2 against 1 mm² is 20 %
        return
    more = round(thinner_by(a, b) * 100)
    text = f"{a.text} mm² here, {b.text} mm² there: {more} % more resistance"
    suits, why = _still_suits(ctx, shell, next(row for row in theirs if row.size is b))
    yield WireChange("thinner-wire", f"{text}; {why}", suits, not lacking)


def _still_suits(ctx: Context, shell: tuple[str, str], row: Pin | Wire) -> tuple[bool, str]:
    """Whether the shell's fuse protects the thinner wire and its load stays within it, and the words for it.

    For its load it counts as it lies; for its fuse as alone, since only its own circuit is at fault then.
    """
    piece = ctx.shell.index.piece(*shell)
    rating = rating_of(ctx.shell, row)
    if piece is None or rating.allowable is None or rating.amps is None or rating.alone_a is None:
        return False, "what it may carry is not known"
    fuse = _fuse_rating_a(ctx.shell, piece)
    load = _load_a(ctx.shell, piece)
    limit = f"good for {rating.amps:.0f} A ({rating.allowable.source})"
    if fuse is None:
        return False, f"{limit}; no fuse rating is known for it"
    if load is None:
        return False, f"{limit}, fused at {fuse:g} A; its load is not known"
    fits = fuse <= rating.alone_a and load <= rating.amps
    return fits, f"{limit}, fused at {fuse:g} A, loaded with {load:.3g} A"


def _fuse_rating_a(study: Study, piece: int) -> float | None:
    ratings = {element.name: element.rating_a for element in study.reach.elements if element.sort == "fuse"}
    side = study.net_side(study.index.net_of[piece])
    names = side.supplies if side.label in FEEDS else ()
    known = [ratings.get(name) for name in names]
    if not known or any(rating is None for rating in known):
        return None
    return max(rating for rating in known if rating is not None)


def _load_a(study: Study, piece: int) -> float | None:
    """The sum of all loads on the net, or None where one of them is not known or none is documented."""
    side = study.net_side(study.index.net_of[piece])
    drawn: dict[tuple[str, str], float | None] = {}
    for terminal in side.terminals:
        component = study.vehicle.components[terminal.component]
        rows = [
            row
            for row in study.vehicle.insides_of.get(component.id, ())
            if is_load(component, row) and terminal.name in (row.from_, row.to)
        ]
        for row in rows:
            drawn[component.id, f"{row.from_}-{row.to}-{row.load}"] = _amps(study, row)
        if not rows and (terminal.role == "supply" or component.kind in LOADS):
            drawn[component.id, ""] = _amps(study, component)
    if not drawn or any(amps is None for amps in drawn.values()):
        return None
    return sum(amps for amps in drawn.values() if amps is not None)


def _amps(study: Study, load: Component | Inside) -> float | None:
    """What a load draws at its own volts, else at the vehicle's, else at 12 V."""
    volts = getattr(load, "volts", None) or study.vehicle.netlist.header.volts or 12.0
    if load.amps is not None:
        return load.amps
    if load.watts is not None:
        return load.watts / volts
    return volts / load.ohms if load.ohms else None


def _signal(ctx: Context, ours: Sequence[Pin | Wire], theirs: Sequence[Pin | Wire]) -> Iterator[WireChange]:
    for name, unit in (("signal", ""), ("level", " V"), ("bus", "")):
        a, b = _said(ctx.donor, ours, name), _said(ctx.shell, theirs, name)
        if a is not None and b is not None and a != b:
            yield WireChange("signal-mismatch", f"{name} {a}{unit} here, {b}{unit} there")
            return


def _said(study: Study, rows: Sequence[Pin | Wire], name: str) -> str | None:
    for row in rows:
        circuit: Circuit | None = study.vehicle.circuits.get(row.circuit or "")
        for holder in (row, circuit):
            value = getattr(holder, name, None)
            if value is not None:
                return f"{value:g}" if isinstance(value, float) else str(value)
    return None
