"""A plug as somebody types it: what each word was taken for, line by line. Blocks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from harnesscheck.compare.understood import FunctionRead, Look, functions_read
from harnesscheck.model.places import InputFault
from harnesscheck.model.records import Pin
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.vocabulary import AnyBlock, Caution, Folded, Listing, table
from harnesscheck.report.understood import class_words, note_of

_SHOWN = 20  # faults
_COLUMNS = ("cavity", "colour", "function", "taken for", "to look at")


def taken_blocks(study: Study, word: str) -> Iterator[AnyBlock]:
    """A table of every line that was typed, and a caution where it speaks of what only the licensed person touches."""
    said = {(one.text, one.typed): one for one in functions_read(study)}
    classes = {row.id: row.class_ for row in study.vehicle.netlist.circuits}
    rows = [
        _row(pin, said.get((pin.function or "", classes.get(pin.circuit or "")))) for pin in study.vehicle.netlist.pins
    ]
    look = sum(bool(row[-1]) for row in rows)
    title = f"How the {word}'s plug was understood"
    says = f"{len(rows)} line{'s' if len(rows) != 1 else ''}, {look or 'none'} to look at"
    yield Folded(f"{title}: {says}", (table(title, _COLUMNS, rows),))
    if any(one.look is Look.HAZARD or one.out_of_bounds for one in said.values()):
        yield Caution(
            (
                "Restraint or high-voltage wiring is among these lines, or may be: hands off. It is for the licensed "
                "person, by the maker's procedure.",
            ),
            urgent=True,
        )


def _row(pin: Pin, said: FunctionRead | None) -> tuple[str, ...]:
    colour = pin.colour
    names = " with ".join(colour.names) if colour is not None and colour.names else ""
    meant = f" ({names})" if colour is not None and names and names != colour.text.replace("/", " with ") else ""
    notes = [note_of(said)] if said is not None and note_of(said) else []
    if colour is not None and not colour.names:
        notes.insert(0, f"colour not known: {colour.text}")
    written = colour.text if colour is not None else "not given"
    return (
        pin.cavity or "?",
        written + meant,
        pin.function or "not given",
        class_words(said) if said is not None else "",
        "; ".join(notes),
    )


def faults_block(faults: Sequence[InputFault], word: str) -> Listing:
    """What of a plug's text cannot be read."""
    items = tuple(f"line {one.place.line}: {_said(one)}" if one.place.line else _said(one) for one in faults)
    return Listing(items, f"The {word}'s plug cannot be read yet:", most=_SHOWN)


def _said(fault: InputFault) -> str:
    return f"{fault.read}; expected {fault.expected}"
