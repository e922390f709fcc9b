"""The car at a glance: harnesses as regions, and between them the places where they meet, worst finding marked.

Two harnesses that meet in several plugs share one box with a line for each. A
drawing that does not fit a page says less a line at a time: first only what has
a finding is listed, then only counted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from harnesscheck.draw.font import BOLD, REGULAR, fit, width_mm
from harnesscheck.draw.ink import BLACK, NORMAL, NOT_KNOWN, SMALL_MM, STRONG, TEXT_MM, WASH, WHITE, small
from harnesscheck.draw.layout import Graph, Layout, lay_out
from harnesscheck.draw.marks import SEVERITIES, legend, sign, worst
from harnesscheck.draw.page import A4, Paper, SheetHeading, Stock, page
from harnesscheck.draw.scene import Box, Item, Pen, Polyline, Scene, SceneGroup, Text
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Connector
from harnesscheck.model.vehicle import Vehicle

_NO_HARNESS = "no harness named"
_ROW_MM = 5.4
_HEAD_MM = 6.4
_PAD_MM = 2.0
_SIGN_MM = 6.4
_WIDEST_MM = 62.0
_LEGEND_MM = 8.0
_ALL = 99


@dataclass(frozen=True, slots=True)
class _CardSource:
    """How a harness of one car is marked in a car made of two: a letter, its words, its greys."""

    letter: str
    words: str
    badge: str
    ink: str
    region: str


_SOURCES = {
    "donor": _CardSource("D", "from the donor", BLACK, WHITE, "#e4e4e0"),
    "shell": _CardSource("S", "the shell's own", WHITE, BLACK, WASH),
    "new": _CardSource("N", "made new", WHITE, BLACK, WHITE),
}
_BADGE_MM = 7.0
_LISTED = ((_ALL, _ALL), (6, _ALL), (3, _ALL), (1, _ALL), (0, _ALL), (0, 3), (0, 0))
"""How many plugs a harness's box lists, and how many places a box between harnesses, from most to least."""


@dataclass(frozen=True, slots=True)
class _LoomRow:
    """One plug in a box: its mark, its name, the place in the car."""

    severity: str
    text: str


@dataclass(frozen=True, slots=True)
class _Card:
    """One box of the overview before it is sized."""

    title: str
    rows: tuple[_LoomRow, ...]
    others: str  # the rows that stand for what is not listed
    region: bool
    source: str = ""  # the car a harness comes from, where the car is made of two

    def shown(self, level: tuple[int, int]) -> list[_LoomRow]:
        """The rows drawn at a level of detail: all, or what is marked, worst first."""
        most = level[0] if self.region else level[1]
        if most >= len(self.rows):
            return list(self.rows)
        marked = [row for row in self.rows if row.severity]
        return sorted(marked, key=lambda row: SEVERITIES.index(row.severity))[:most]

    def last_line(self, level: tuple[int, int]) -> str:
        """What is said of the rows that are not drawn."""
        shown = self.shown(level)
        left = [row for row in self.rows if row not in shown]
        marked = sum(1 for row in left if row.severity)
        more = " more" if shown else ""
        if self.region:
            return ", ".join(part for part in (f"{marked}{more} marked" if marked else "", self.others) if part)
        plugs = f"{len(left)}{more or (' plug' if len(left) == 1 else ' plugs')}" if left else ""
        return f"{plugs}, {marked} marked" if marked else plugs


def overview_sheets(
    vehicle: Vehicle,
    marks: Mapping[str, str],
    *,
    digest: str = "",
    sources: Mapping[str, str] | None = None,
    stock: Stock = A4,
) -> list[Scene] | None:
    """The overview of a car; ``marks`` gives the worst severity by connector id (either half of a plug).

    ``sources`` says of a car made of two where each harness comes from: donor, shell or new.
    Returns None where no layout engine answers.
    """
    cards, lines = _cards(vehicle, marks, sources or {})
    for level in _LISTED:
        for paper in (stock.lying, stock.standing):
            for across in (True, False):
                sizes = tuple(_size(card, level) for card in cards)
                layout = lay_out(Graph(sizes, tuple(lines), across))
                if layout is None:
                    return None
                if layout.width_mm <= paper.room and layout.height_mm <= _room(paper):
                    return [_sheet(paper, vehicle, cards, sizes, level, layout, digest)]
    return _lists(vehicle, cards, digest, stock.lying)


def _room(paper: Paper) -> float:
    return paper.bottom - paper.top - _LEGEND_MM


# -- what is drawn


def _cards(
    vehicle: Vehicle, marks: Mapping[str, str], sources: Mapping[str, str]
) -> tuple[list[_Card], list[tuple[int, int]]]:
    """A box for each harness and for each two that meet, and the lines between them by number."""
    plugs: dict[str, list[_LoomRow]] = defaultdict(list)
    meets: dict[tuple[str, str], list[_LoomRow]] = defaultdict(list)
    open_: dict[str, int] = defaultdict(int)
    for row in sorted(vehicle.netlist.connectors, key=lambda each: natural_key(each.id)):
        if row.component is not None:
            continue
        harness = row.harness or _NO_HARNESS
        plugs.setdefault(harness, [])
        mate = vehicle.connectors.get(vehicle.mate_of.get(row.id, ""))
        if mate is None:
            open_[harness] += 1
            plugs[harness].append(_row(row, None, marks))
        elif mate.component is not None:
            plugs[harness].append(_row(row, vehicle.components[mate.component].name or mate.component, marks, mate))
        elif natural_key(row.id) < natural_key(mate.id):
            pair = sorted((harness, mate.harness or _NO_HARNESS), key=natural_key)
            meets[pair[0], pair[1]].append(_row(row, row.at or mate.at, marks, mate, both=True))
    names = sorted({*vehicle.harnesses, *plugs, *(name for pair in meets for name in pair)}, key=natural_key)
    cards = [replace(_region(vehicle, name, plugs[name], open_[name]), source=sources.get(name, "")) for name in names]
    lines: list[tuple[int, int]] = []
    for (a, b), rows in sorted(meets.items(), key=lambda item: tuple(map(natural_key, item[0]))):
        ends = names.index(a), names.index(b)
        lines += [(ends[0], len(cards)), (len(cards), ends[1])] if a != b else [(ends[0], len(cards))]
        cards.append(_Card("", tuple(rows), "", region=False))
    return cards, lines


def _row(
    row: Connector, words: str | None, marks: Mapping[str, str], mate: Connector | None = None, *, both: bool = False
) -> _LoomRow:
    halves = [row.id] if mate is None else [row.id, mate.id]
    name = " / ".join(halves) if both else row.id
    return _LoomRow(worst(marks.get(half, "") for half in halves), f"{name}, {words}" if words else name)


def _region(vehicle: Vehicle, name: str, rows: Sequence[_LoomRow], open_: int) -> _Card:
    """A harness lists the plugs to its parts that have a finding, and counts the rest."""
    harness = vehicle.harnesses.get(name)
    title = harness.name if harness is not None and harness.name else f"{name} harness"
    marked = tuple(row for row in rows if row.severity)
    plain = len(rows) - len(marked)
    others = f"{plain} without a finding" if marked else _count(plain, "plug", "plugs")
    if open_:
        others += f", {open_} with no mate known"
    return _Card(title if name != _NO_HARNESS else _NO_HARNESS, marked, others, region=True)


# -- ink


def _size(card: _Card, level: tuple[int, int]) -> tuple[float, float]:
    rows, last = card.shown(level), card.last_line(level)
    texts = [width_mm(row.text, SMALL_MM) + (_SIGN_MM if _any_marked(rows) else 0.0) for row in rows]
    signs = (_SIGN_MM if _summed(card, level) else 0.0) + (_BADGE_MM if card.source else 0.0)
    texts += [width_mm(card.title, TEXT_MM, BOLD) + signs]
    texts += [width_mm(last, SMALL_MM)]
    height = (_HEAD_MM if card.title or _summed(card, level) else 1.0) + _ROW_MM * (len(rows) + bool(last)) + 1.0
    return min(_WIDEST_MM, max(texts)) + 2 * _PAD_MM, max(height, 7.4)


def _any_marked(rows: Sequence[_LoomRow]) -> bool:
    return any(row.severity for row in rows)


def _summed(card: _Card, level: tuple[int, int]) -> str:
    """The mark that stands for rows which are only counted."""
    listed = card.shown(level)
    return worst(row.severity for row in card.rows if row not in listed)


def _sheet(
    paper: Paper,
    vehicle: Vehicle,
    cards: Sequence[_Card],
    sizes: Sequence[tuple[float, float]],
    level: tuple[int, int],
    layout: Layout,
    digest: str,
) -> Scene:
    left = paper.left + (paper.room - layout.width_mm) / 2
    top = paper.top + _LEGEND_MM + (_room(paper) - layout.height_mm) / 2
    items: list[Item] = list(legend(paper.left, paper.top + 2, _present(cards)))
    items += _source_legend(paper.left + 27 * len(_present(cards)), paper.top + 2, cards)
    for line in layout.lines:
        points = tuple((left + x, top + y) for x, y in line)
        items.append(Polyline(points, Pen(BLACK, 1.1)))
    for card, size, (x, y) in zip(cards, sizes, layout.boxes, strict=True):
        items.append(_card(card, left + x - size[0] / 2, top + y - size[1] / 2, size, level))
    return page(paper, _heading(vehicle, cards, digest), items)


def _present(cards: Sequence[_Card]) -> list[str]:
    return [word for word in SEVERITIES if any(row.severity == word for card in cards for row in card.rows)]


def _source_legend(x: float, y: float, cards: Sequence[_Card]) -> Iterator[Item]:
    """What the letters of the harnesses mean."""
    for name, source in _SOURCES.items():
        if any(card.source == name for card in cards):
            yield from _badge(x, y - 2.4, source)
            yield small(x + _BADGE_MM, y + 0.95, source.words)
            x += 40


def _badge(x: float, y: float, source: _CardSource) -> Iterator[Item]:
    yield Box(x, y, 5.2, 4.8, NORMAL, source.badge, 0.8)
    yield Text(x + 2.6, y + 3.5, source.letter, TEXT_MM, source.ink, BOLD, "middle")


def _heading(vehicle: Vehicle, cards: Sequence[_Card], digest: str) -> SheetHeading:
    regions = sum(1 for card in cards if card.region)
    places = sum(len(card.rows) for card in cards if not card.region)
    words = f"{_count(regions, 'harness', 'harnesses')}, {_count(places, 'place', 'places')} where harnesses meet"
    meaning = "Grey boxes are harnesses, white boxes the plugs between them; marks show the worst finding."
    if any(card.source for card in cards):
        letters = ", ".join(f"{source.letter} {source.words}" for source in _SOURCES.values())
        meaning = f"Boxes with a letter are harnesses ({letters}), the others the plugs between them."
    return SheetHeading(
        f"Overview of {vehicle.name}",
        f"{words}. {meaning}",
        vehicle.name,
        digest,
        f"Overview: {words}.",
    )


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _card(card: _Card, x: float, y: float, size: tuple[float, float], level: tuple[int, int]) -> SceneGroup:
    width, height = size
    rows, last, summed = card.shown(level), card.last_line(level), _summed(card, level)
    source = _SOURCES.get(card.source)
    fill = source.region if source is not None else WASH if card.region else WHITE
    pen = NOT_KNOWN if card.source == "new" else STRONG if card.region else NORMAL
    items: list[Item] = [Box(x, y, width, height, pen, fill, 2 * card.region)]
    line = y + 1.0
    if card.title or summed:
        before = _BADGE_MM if source is not None else 0.0
        room = width - 2 * _PAD_MM - before - (_SIGN_MM if summed else 0.0)
        title = fit(card.title or "meet here", room, TEXT_MM, BOLD)
        items += _badge(x + _PAD_MM - 0.4, line + 0.6, source) if source is not None else ()
        items.append(Text(x + _PAD_MM + before, line + 4.2, title, TEXT_MM, BLACK, BOLD))
        items += sign(x + width - 4.2, line + 3.2, summed) if summed else ()
        line += _HEAD_MM - 1.0
    indent = _SIGN_MM if _any_marked(rows) else 0.0
    for row in rows:
        items += sign(x + _PAD_MM + 2.2, line + 2.8, row.severity) if row.severity else ()
        room = width - 2 * _PAD_MM - indent
        items.append(small(x + _PAD_MM + indent, line + 3.7, fit(row.text, room, SMALL_MM)))
        line += _ROW_MM
    if last:
        items.append(small(x + _PAD_MM, line + 3.7, fit(last, width - 2 * _PAD_MM, SMALL_MM, REGULAR), strong=False))
    return SceneGroup(tuple(items), "", card.title or "meeting places")


def _lists(vehicle: Vehicle, cards: Sequence[_Card], digest: str, paper: Paper) -> list[Scene]:
    """A car too large for one page: its boxes one after the other in columns, without lines between them."""
    bodies: list[list[Item]] = [[]]
    x, y, widest = paper.left, paper.top, 0.0
    for card in cards:
        width, height = _size(card, _LISTED[1])
        if y + height > paper.bottom:
            x, y, widest = x + widest + 4, paper.top, 0.0
        if x + width > paper.right:
            bodies.append([])
            x, y, widest = paper.left, paper.top, 0.0
        bodies[-1].append(_card(card, x, y, (width, height), _LISTED[1]))
        y, widest = y + height + 3, max(widest, width)
    heading = _heading(vehicle, cards, digest)
    return [page(paper, heading, items, at + 1, len(bodies)) for at, items in enumerate(bodies)]
