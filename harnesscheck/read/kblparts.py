"""What the elements of a KBL file say in our terms: sizes, lengths, colours, names."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from harnesscheck.read.kbltree import Element
from harnesscheck.read.values import MAX_NAME, range_length
from harnesscheck.trade.sizes import read_size

_BAD = re.compile(r"""[\s:<>"'&\\]+""")
_PREFIX = {"milli": 1e-3, "centi": 1e-2, "micro": 1e-6, "kilo": 1e3, None: 1.0}
_LENGTHS = ("production", "contract", "drawing", "dmu")  # of types that are on as many wires the cut length first
_BASE = ("base colour", "base color", "grundfarbe")
_LABEL = ("label identification",)  # printed on the wire: no colour of it


def number_text(value: float, digits: int = 6) -> str:
    """A number as files write it; what exporters add behind the twelfth place of a double goes."""
    return f"{round(value, digits):.{digits}f}".rstrip("0").rstrip(".")


def _number(element: Element | None) -> float | None:
    text = element.said("Value_component") if element is not None else None
    try:
        value = float(text) if text is not None else 0.0
    except ValueError:
        return None
    return value if 0 < value < 1e9 else None


def _scale(element: Element, units: Mapping[str, Element], dimension: str | None) -> float | None:
    """Metres (or square metres) in one of the element's unit; None where it is of something else."""
    unit = units.get(element.said("Unit_component") or "")
    if unit is None or unit.said("Si_unit_name") != "metre" or unit.said("Si_dimension") != dimension:
        return None
    scale = _PREFIX.get(unit.said("Si_prefix"))
    return scale if scale is None or dimension is None else scale**2


def size_text(part: Element | None, units: Mapping[str, Element]) -> str:
    """The cross-section of a wire or core in mm²; empty where it gives none that a wire can have."""
    area = part.one("Cross_section_area") if part is not None else None
    value, scale = _number(area), _scale(area, units, "square") if area is not None else None
    text = number_text(value * scale * 1e6) if value is not None and scale is not None else ""
    return text if text and not isinstance(read_size(text), str) else ""


def length_type(wires: Iterable[Element]) -> str | None:
    """The one type of length to take in a file, for only lengths of one type may be compared: that of most wires."""
    found = Counter(
        kind for wire in wires for kind in {one.said("Length_type") for one in wire.all("Length_information")} if kind
    )
    ranked = {kind: at for at, kind in enumerate(reversed(_LENGTHS))}
    return max(found, key=lambda kind: (found[kind], ranked.get(kind.lower(), -1), kind), default=None)


def length_m(wire: Element, kind: str | None, units: Mapping[str, Element]) -> float | None:
    """A wire's length of that type in metres; 0 stands for not known."""
    for one in wire.all("Length_information"):
        value = one.one("Length_value")
        if value is not None and one.said("Length_type") == kind:
            number, scale = _number(value), _scale(value, units, None)
            return number * scale if number is not None and scale is not None else None
    return None


def colour_text_of(part: Element | None, name: str) -> str:
    """The colours of a wire (``Cover_colour``) or core (``Core_colour``), the base first."""
    colours = list(part.all(name)) if part is not None else []
    kinds = [((one.said("Colour_type") or "").lower(), one.said("Colour_value")) for one in colours]
    base = [text for kind, text in kinds if text and kind in _BASE]
    stripes = [text for kind, text in kinds if text and kind not in _BASE and kind not in _LABEL]
    return "/".join([*base, *stripes])


def slot_names(slots: Sequence[str | None], cavities: Sequence[Sequence[str]]) -> list[list[str]]:
    """What the cavities of a housing are called, slot by slot: with the slot's name where there are several.

    >>> slot_names(["A", "B"], [["1A"], ["1"]])
    [['A-1A'], ['B-1']]
    """
    if len(slots) == 1:
        return [[clean(name) for name in cavities[0]]]
    called = []
    for number, (slot, names) in enumerate(zip(slots, cavities, strict=True), 1):
        before = clean(slot or str(number))
        sign = "." if any(range_length(f"{before}-{clean(name)}") > 1 for name in names) or before.isdigit() else "-"
        sign = "." if len(before) == 1 and any(len(name) == 1 and name.isalpha() for name in names) else sign
        called.append([f"{before}{sign}{clean(name)}" for name in names])
    return called


def clean(text: str) -> str:
    """A text as the name of a row: what a name may not hold becomes an underscore.

    >>> clean("X 1:a")
    'X_1_a'
    """
    name = "".join(sign if sign.isprintable() else "_" for sign in _BAD.sub("_", text.strip()))
    return (name if name.strip(".") else f"_{name}")[: MAX_NAME - 10]


class Names:
    """Gives each thing a name of its own, its own one wherever nothing else has it."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def give(self, text: str) -> str:
        """The name, or that with a number behind."""
        name = plain = clean(text)
        number = 1
        while name in self._taken:
            number += 1
            name = f"{plain}.{number}"
        self._taken.add(name)
        return name
