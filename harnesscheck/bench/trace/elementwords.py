"""One element of a way in words, as something that may be broken."""

from __future__ import annotations

from harnesscheck.bench.trace.spots import wire_row
from harnesscheck.bench.trace.ways import WayHop
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch


def element_words(study: Study, hop: WayHop) -> str:
    """A wire by its looks and ends, a contact by both halves, a part by its name and what it fails to do."""
    element = hop.element
    if hop.sort == "contact":
        half = element.name.partition(":")[0]
        return f"the contact {element.name} in {study.vehicle.mate_of[half]}"
    if hop.sort == "wire":
        row = wire_row(hop)
        looks = (row.colour, row.size) if row is not None else ()
        words = " ".join(one.text for one in looks if one is not None)
        return f"the wire {words + ' ' if words else ''}from {' to '.join(hop.names)}"
    if hop.sort == "fuse" and isinstance(element, Branch):
        rating = f" {element.rating_a:g} A" if element.rating_a else ""
        return f"fuse {element.name}{rating} blown or loose in its holder"
    name = named(study, element.component)
    if hop.sort in ("make", "break"):
        return f"relay {name} does not close"
    if hop.sort == "output":
        return f"{name} does not switch {hop.driven}"
    return f"{name} itself" if hop.sort in ("load", "coil") else f"{name}, {element.name}"
