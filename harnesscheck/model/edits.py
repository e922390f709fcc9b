"""What can be done to a car's wiring, as a closed union of edits.

An edit is one piece of bench work, or of what an earlier owner did. It says what
is done, not how rows change; ``assemble.apply`` does it and says why it cannot be
done. Ends are written as in a netlist: ``C12:4``, a splice, a ground point.

Every edit has an inverse: ``assemble.apply.inverse`` gives the ``Restore`` that
puts the rows back as they were, to the last one and its position.
"""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.model.records import AnyRecord
from harnesscheck.trade.colours import Colour
from harnesscheck.trade.sizes import Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Conductor:
    """What a new wire is made of; length in m. What is not given is not known."""

    circuit: str | None = None
    function: str | None = None
    colour: Colour | None = None
    size: Size | None = None
    length: float | None = None
    insulation: str | None = None


PLAIN = Conductor()


@dataclass(frozen=True, slots=True, kw_only=True)
class Housing:
    """The shell of a plug half, with its cavities in their order; ``contact`` is its contacts' size in mm."""

    cavities: tuple[str, ...]
    half: str | None = None
    keyway: str | None = None
    housing_colour: str | None = None
    part_number: str | None = None
    contact: str | None = None
    sealed: bool | None = None


@dataclass(frozen=True, slots=True)
class MovePin:
    """Re-pin: a contact with all its wires goes to an empty cavity of the same harness or component."""

    connector: str
    cavity: str
    to_connector: str
    to_cavity: str

    def __str__(self) -> str:
        """In words."""
        return f"move the contact {self.connector}:{self.cavity} to {self.to_connector}:{self.to_cavity}"


@dataclass(frozen=True, slots=True)
class Cut:
    """Wires cut: all that end at ``end``, or the one from there to ``other``. Both new ends lead nowhere.

    At a contact a stub stays in the cavity. The ends are splices called after the
    place: ``C12.4.stub`` on the contact's side, ``C12.4.cut`` on the other.
    """

    end: str
    other: str | None = None

    def __str__(self) -> str:
        """In words."""
        return f"cut the wire from {self.end} to {self.other}" if self.other else f"cut the wire at {self.end}"


@dataclass(frozen=True, slots=True)
class Recolour:
    """The wire in a contact has another colour than was written."""

    connector: str
    cavity: str
    colour: Colour

    def __str__(self) -> str:
        """In words."""
        return f"give the wire in {self.connector}:{self.cavity} the colour {self.colour.text}"


@dataclass(frozen=True, slots=True)
class Insulate:
    """A contact is taken out, insulated and tied back; its cavity is empty then.

    The end is a splice called ``C12.4.tied-back``. Where no row says where the wire
    goes, it is a plug of one cavity, so that the wire stays what it was.
    """

    connector: str
    cavity: str

    def __str__(self) -> str:
        """In words."""
        return f"take the contact {self.connector}:{self.cavity} out, insulate it and tie it back"


@dataclass(frozen=True, slots=True)
class AddWire:
    """A new wire between free cavities, splices and ground points of one harness.

    ``harness`` is needed only where no end tells it; a wire between two ground
    points that names none is a strap of the body.
    """

    start: str
    end: str
    conductor: Conductor = PLAIN
    harness: str | None = None

    def __str__(self) -> str:
        """In words."""
        return f"lay a wire from {self.start} to {self.end}"


@dataclass(frozen=True, slots=True)
class Tap:
    """A wire tapped onto the wire in a contact, leading to another end; two contacts so joined are bridged.

    Between two harnesses it is a wire in either, plugged together at ``C12.7.link``.
    Without ``to`` nobody knows where it goes: it ends in a plug called
    ``C12.7.tap`` that carries ``what`` as its name.
    """

    at: str
    to: str | None = None
    conductor: Conductor = PLAIN
    what: str | None = None

    def __str__(self) -> str:
        """In words."""
        return f"tap the wire at {self.at} for {self.to or self.what or 'something nobody knows'}"


@dataclass(frozen=True, slots=True)
class Lay:
    """One wire of something newly made: its cavity, and where it leads."""

    cavity: str
    to: str
    conductor: Conductor = PLAIN


@dataclass(frozen=True, slots=True)
class AddLead:
    """An adapter lead between two halves; every wire leads from a cavity of ``first`` to one of ``second``.

    It is a harness of its own called ``id``. Its plugs mirror the two halves, which
    are unplugged from each other if they were mated.
    """

    id: str
    first: str
    second: str
    wires: tuple[Lay, ...]
    name: str | None = None

    def __str__(self) -> str:
        """In words."""
        return f"put the adapter lead {self.id} between {self.first} and {self.second}"


CUT_END, STUB, TIED_BACK = "cut end", "stub", "tied back"
LOOSE_ENDS = frozenset({CUT_END, STUB, TIED_BACK})
"""Names of the splices that edits leave where a wire now ends: one does not start there, and looks no further."""


@dataclass(frozen=True, slots=True)
class AddTail:
    """A plug with its tail joined to a harness; every wire leads to a splice, a ground point or a free cavity."""

    id: str
    harness: str
    housing: Housing
    wires: tuple[Lay, ...]
    mates: str | None = None
    at: str | None = None

    def __str__(self) -> str:
        """In words."""
        return f"join the plug {self.id} with its tail to the harness {self.harness}"


@dataclass(frozen=True, slots=True)
class SwapHousing:
    """The contacts go into another housing; ``moves`` pairs old and new cavities, the rest keep their names.

    A half that no longer fits its mate is left unplugged.
    """

    connector: str
    housing: Housing
    moves: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        """In words."""
        return f"put the contacts of {self.connector} into another housing"


@dataclass(frozen=True, slots=True)
class SwapFuse:
    """A fuse of another rating (A) in the same holder: a component, or a fuse inside one."""

    fuse: str
    rating: float

    def __str__(self) -> str:
        """In words."""
        return f"replace the fuse {self.fuse} by one of {self.rating:g} A"


@dataclass(frozen=True, slots=True)
class PlugIn:
    """Two halves are plugged together."""

    connector: str
    mate: str

    def __str__(self) -> str:
        """In words."""
        return f"plug {self.connector} into {self.mate}"


@dataclass(frozen=True, slots=True)
class Unplug:
    """Two halves are taken apart."""

    connector: str

    def __str__(self) -> str:
        """In words."""
        return f"unplug {self.connector}"


@dataclass(frozen=True, slots=True)
class RowChange:
    """One row of a table at its position: changed, new (no ``before``) or gone (no ``after``)."""

    table: str
    at: int
    before: AnyRecord | None
    after: AnyRecord | None

    @property
    def undone(self) -> RowChange:
        """The change that takes this one back."""
        return RowChange(self.table, self.at, self.after, self.before)


@dataclass(frozen=True, slots=True)
class Restore:
    """Rows put back as they were, in this order: the inverse of any edit."""

    changes: tuple[RowChange, ...]

    def __str__(self) -> str:
        """In words."""
        return f"put {len(self.changes)} rows back as they were"


Edit = (
    MovePin
    | Cut
    | Recolour
    | Insulate
    | AddWire
    | Tap
    | AddLead
    | AddTail
    | SwapHousing
    | SwapFuse
    | PlugIn
    | Unplug
    | Restore
)
