"""Plain words for sides, cavities and places, used inside findings' sentences."""

from __future__ import annotations

from harnesscheck.model.order import natural_key
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.sides import FEEDS, Label, Side, Study


def named(study: Study, component: str) -> str:
    """A component by name and id, as a person would look for it."""
    return study.vehicle.called(component)


def fuse_words(study: Study, names: tuple[str, ...]) -> str:
    """The fuses that feed a side, with their ratings."""
    ratings = {element.name: element.rating_a for element in study.reach.elements if element.sort == "fuse"}
    words = []
    for name in names:
        rating = ratings.get(name)
        words.append("no fuse" if name == "unfused" else f"{name} {rating:g} A" if rating else name)
    return ", ".join(words)


def side_words(study: Study, side: Side) -> str:
    """What a side brings, in a few words: ``run feed FP from F7 15 A``, ``ground G2``, ``Fuel pump +``."""
    if side.label in (Label.EMPTY, Label.NOT_KNOWN) and not (side.circuits or side.functions):
        return "an empty cavity" if side.label is Label.EMPTY else "a contact nobody documented"
    words = "circuit" if side.label is Label.NOT_KNOWN else side.label.value
    circuit = ", ".join(side.circuits[:2]) or ", ".join(f"'{text}'" for text in side.functions[:1])
    if circuit:
        words += f" {circuit}"
    if side.label in FEEDS and side.supplies:
        words += " with no fuse" if side.supplies == ("unfused",) else f" from {fuse_words(study, side.supplies)}"
    if side.label is Label.GROUND and side.grounds:
        words += f" at {side.grounds[0]}"
    ends = end_words(study, side)
    return f"{words} ({ends})" if ends and side.label not in FEEDS and side.label is not Label.GROUND else words


def end_words(study: Study, side: Side) -> str:
    """The component terminals a side leads to, at most two by name."""
    ends = sorted(
        {(t.component, t.name) for t in side.terminals}, key=lambda key: (natural_key(key[0]), natural_key(key[1]))
    )
    return shortened([f"{component}.{terminal}" for component, terminal in ends], 2)


def place_words(study: Study, connector: str | None) -> str:
    """Where a connector is in the car, in brackets; nothing where the file does not say."""
    row = study.vehicle.connectors.get(connector or "")
    return f" ({row.at})" if row is not None and row.at else ""
