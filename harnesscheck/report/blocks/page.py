"""A report as one HTML page that stands alone: nothing fetched, no script.

The page is built as a tree by lxml, which escapes every text; drawings come as
finished SVG elements. What is long opens at a touch and is open on paper.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    AnyBlock,
    BriefOrFull,
    Caution,
    FaceGrid,
    Facts,
    Figure,
    FindingCard,
    Folded,
    GridCell,
    Listing,
    MarkedText,
    MarkedTexts,
    Paragraph,
    Passage,
    Report,
    Route,
    RoutePoint,
    RowGroup,
    Section,
    Steps,
    Table,
    TickStep,
    left_out,
    table,
    visible,
)

if TYPE_CHECKING:
    from lxml.etree import _Element

SIGN = {"injury": "I", "damage": "D", "dead": "X", "rework": "R", "note": "N"}
OPEN = (Severity.INJURY.word, Severity.DAMAGE.word)  # cards that are open from the start
WIDE = 60  # characters; a table of more side by side becomes a card a row where the screen is narrow
PRINTED = "On paper without drawings, without what a finding rests on and how to check it: the page has them."
FEW = 2  # so many more are read sooner than opened
_SHORT = re.compile(r"\S{1,10}|[+-]?[0-9][0-9.,]* [a-zA-Z%]{1,2}")


def page_text(report: Report) -> str:
    """The whole page."""
    from lxml.html import tostring

    style = (files("harnesscheck.report.blocks") / "style.css").read_text(encoding="utf-8") + report.font_css
    body = element("body", _top(report), _main(report), _foot(report))
    root = element("html", page_head(report.title, style, "font-src data:"), body, lang="en")
    text: str = tostring(root, encoding="unicode", doctype="<!DOCTYPE html>", pretty_print=False)
    return text + "\n"


def fragment(blocks: Iterable[AnyBlock], level: int = 2) -> str:
    """Some blocks as HTML for a page that has the style already; ``level`` is that of the first headings."""
    from lxml.html import tostring

    return "".join(tostring(one, encoding="unicode") for one in _made(blocks, level))


def element(tag: str, *content: Any, **attributes: str) -> _Element:
    """An element: texts and elements in order; ``class_`` and ``for_`` lose their underscore."""
    from lxml import etree

    named = {name.rstrip("_").replace("_", "-"): visible(value) for name, value in attributes.items() if value}
    made = etree.Element(tag, named)
    for item in content:
        if not isinstance(item, str):
            made.append(item)
        elif len(made):
            made[-1].tail = (made[-1].tail or "") + visible(item)
        else:
            made.text = (made.text or "") + visible(item)
    return made


def page_head(title: str, style: str, *allowed: str) -> _Element:
    """A page's head: nothing is fetched, and of style and script only what the policy names by its digest counts.

    ``allowed`` are further parts of the policy.
    """
    parts = ("default-src 'none'", f"style-src {digest_of(style)}", *allowed, "base-uri 'none'", "form-action 'none'")
    return element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content="; ".join(parts)),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", f"harnesscheck: {title}"),
        element("style", style),
    )


def digest_of(text: str) -> str:
    """A style or script as a Content-Security-Policy (W3C, level 3) names it: by SHA-256 in base 64."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode('utf-8')).digest()).decode()}'"


# -- the frame


def _opening(report: Report) -> tuple[list[AnyBlock], list[AnyBlock]]:
    """What stands above the first section, and the rest."""
    blocks = list(_fully(report.blocks))
    first = next((at for at, block in enumerate(blocks) if isinstance(block, Section)), len(blocks))
    return blocks[:first], blocks[first:]


def _top(report: Report) -> _Element:
    """The answer, where there is one, else what the page is about; cars, cautions, a list of the sections."""
    above, below = _opening(report)
    answer = next((block for block in above if isinstance(block, Answer)), None)
    others = [block for block in above if block is not answer]
    header = element("header")
    if answer is None:
        header.append(element("h1", report.title))
    else:
        header.append(element("p", report.title, class_="kicker"))
        header.append(element("h1", answer.sentence))
        header.extend(_proof(answer))
    header.extend(_digest(below))
    sections = [block for block in below if isinstance(block, Section)]
    counts = answer.counts if answer is not None else ()
    header.extend(_counts(counts, {_id_of(block) for block in sections}))
    header.append(_facts(report.about))
    header.extend(_made(others, 3))
    if len(sections) > 1:
        links = [(_id_of(one), one.title) for one in sections if _id_of(one) not in dict(counts)]
        items = [element("li", element("a", words, href=f"#{name}")) for name, words in links]
        header.append(element("nav", element("ul", *items, class_="contents"), aria_label="On this page"))
    return header


def _digest(blocks: Sequence[AnyBlock]) -> Iterator[_Element]:
    """In print, all that is bad in a line each before anything else."""
    cards = [card for card in _cards(blocks) if card.severity in (one.word for one in Severity if one <= Severity.DEAD)]
    if not cards:
        return
    rows = [
        element(
            "li",
            element("span", SIGN[card.severity], class_="sign"),
            element("b", card.where),
            f" {card.kind.replace('-', ' ')}{f' ({card.doubt})' if card.doubt else ''}",
        )
        for card in cards
    ]
    yield element("div", element("h2", "At a glance"), element("ul", *rows), class_="digest")


def _cards(blocks: Iterable[AnyBlock]) -> Iterator[FindingCard]:
    for block in _fully(blocks):
        if isinstance(block, FindingCard):
            yield block
        elif isinstance(block, Section | Passage | Folded):
            yield from _cards(block.blocks)


def _main(report: Report) -> _Element:
    return element("main", *_made(_opening(report)[1], 2))


def _foot(report: Report) -> _Element:
    """The files that all this rests on."""
    read = list(_inputs(report.inputs))
    digests = [one["digest"] for _, one in read]
    *first, last = digests or [""]
    made_from = f" from inputs {', '.join(first)}{' and ' if first else ''}{last}" if last else ""
    footer = element(
        "footer",
        element("p", f"Made by harnesscheck{made_from}. An aid, not an approval.", class_="soft"),
    )
    if any(True for _ in _cards(report.blocks)):
        footer.append(element("p", PRINTED, class_="paper"))
    if read:
        rows = [(word, _vehicle(one), one["file"], one["digest"]) for word, one in read]
        footer.insert(0, _table(table("Files read", ("as", "vehicle", "file", "digest"), rows)))
    return footer


def _inputs(inputs: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The files read, each with its word; several cars of one word one by one."""
    for word, one in inputs.items():
        yield from (((word.removesuffix("s"), each) for each in one) if isinstance(one, list) else ((word, one),))


def _vehicle(read: Mapping[str, Any]) -> str:
    return " ".join(str(read[name]) for name in ("vehicle", "model-year") if read.get(name))


def _proof(answer: Answer) -> Iterator[_Element]:
    if answer.proof:
        yield element("p", element("strong", answer.proof), class_=f"proof {answer.tone}")


def _counts(counts: Iterable[tuple[str, int]], ids: set[str]) -> Iterator[_Element]:
    """How many there are of each severity, and the way to them."""
    items = []
    for word, number in counts:
        words = [element("span", SIGN[word], class_="sign", aria_hidden="true"), f"{number} {word}"]
        items.append(element("li", *([element("a", *words, href=f"#{word}")] if word in ids else words), class_=word))
    if items:
        yield element("nav", element("ul", *items, class_="counts"), aria_label="Findings by severity")


def _facts(rows: Sequence[tuple[str, str]]) -> _Element:
    pairs = [part for word, text in rows for part in (element("dt", _capital(word)), element("dd", text))]
    return element("dl", *pairs)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _id_of(block: Section) -> str:
    return block.id or re.sub(r"[^a-z0-9]+", "-", block.title.lower()).strip("-")


def _fully(blocks: Iterable[AnyBlock]) -> Iterator[AnyBlock]:
    for block in blocks:
        if isinstance(block, BriefOrFull):
            yield from _fully(block.full)
        else:
            yield block


# -- the blocks


def _made(blocks: Iterable[AnyBlock], level: int) -> Iterator[_Element]:
    """The elements of some blocks; ``level`` is that of the next heading."""
    for block in _fully(blocks):
        yield from _elements(block, level)


def _elements(block: AnyBlock, level: int) -> Iterator[_Element]:
    match block:
        case Paragraph():
            yield element("p", block.text)
        case Listing():
            yield from _listing(block)
        case Facts():
            yield _facts(block.rows)
        case Table():
            yield from _tables(block)
        case Figure():
            yield _figure(block)
        case Steps():
            yield _steps(block)
        case Caution():
            yield _caution(block, level)
        case Answer():
            yield element("p", element("strong", block.sentence))
            yield from _proof(block)
        case FindingCard():
            yield _card(block)
        case Route():
            yield _route(block)
        case MarkedTexts():
            yield _marked(block)
        case Passage():
            yield from [element(f"h{level}", block.head.rstrip(":"))] if block.head else []
            yield from _made(block.blocks, min(6, level + 1) if block.head else level)
        case Folded():
            summary = element("summary", element("b", block.head))
            yield element("details", summary, *_made(block.blocks, level), class_="card")
        case Section():
            title = element(f"h{level}", block.title + (f": {block.says}" if block.says else ""))
            yield element("section", title, *_made(block.blocks, level + 1), id=_id_of(block))


def _listing(block: Listing) -> Iterator[_Element]:
    if block.head:
        yield element("p", block.head, class_="lead")
    tag = "ol" if block.ordered else "ul"
    shown, rest = block.items, block.items[:0]
    if block.most and len(block.items) > block.most + FEW:
        shown, rest = block.items[: block.most], block.items[block.most :]
    boxes = [element("span", class_="tick", role="img", aria_label="to do") for _ in shown if block.tick]
    yield element(tag, *(element("li", *boxes[at : at + 1], text) for at, text in enumerate(shown)))
    if rest:
        summary = element("summary", left_out(len(rest), block.noun))
        more = element(tag, *(element("li", text) for text in rest))
        if block.ordered:
            more.set("start", str(len(shown) + 1))
        yield element("details", summary, more, class_="rest")


def _figure(block: Figure) -> _Element:
    from lxml import etree

    parser = etree.XMLParser(resolve_entities=False, no_network=True)
    drawing = etree.fromstring(block.svg.encode("utf-8"), parser)
    caption = element("figcaption", block.caption)
    told = "gridded" if block.faces else "told" if block.told else ""
    figure = element("figure", drawing, caption, tabindex="0", role="group", aria_label=block.caption, class_=told)
    if not block.faces:
        return figure
    return element("div", figure, *map(_face, block.faces), class_="drawn")


def _face(face: FaceGrid) -> _Element:
    """A face that flows where its drawing is too small; in print only the contacts that differ stand there."""
    plain = sum(not cell.severity for cell in face.cells)
    said = f"{face.title}: {plain} of {len(face.cells)} contacts with no finding of their own"
    cells = (element("li", *_grid_cell(cell), class_=cell.severity or "plain") for cell in face.cells)
    return element("div", element("p", said, class_="lead"), element("ul", *cells), class_="flow")


def _grid_cell(cell: GridCell) -> Iterator[_Element]:
    sign = [element("span", SIGN[cell.severity], class_="sign")] if cell.severity in SIGN else []
    yield element("b", *sign, cell.cavity)
    if cell.paint:
        yield _paint(cell.paint)
    yield element("span", cell.words)
    if cell.text:
        yield element("i", cell.text)


def _paint(colours: Sequence[str]) -> _Element:
    """Base and stripes; a page's policy allows no style of an element's own."""
    base, *stripes = colours
    high = 10 / (2 * len(stripes) + 1)
    bands = [
        element("rect", y=f"{(2 * at + 1) * high:.2f}", width="100", height=f"{high:.2f}", fill=stripe)
        for at, stripe in enumerate(stripes)
    ]
    ground = element("rect", width="100", height="10", fill=base)
    return element(
        "svg", ground, *bands, viewBox="0 0 100 10", preserveAspectRatio="none", class_="paint", aria_hidden="true"
    )


def _caution(block: Caution, level: int) -> _Element:
    head = [element(f"h{level}", block.head)] if block.head else []
    texts = [element("p", text) for text in block.texts]
    return element("section", *head, *texts, class_="caution urgent" if block.urgent else "caution")


# -- tables


def _boxed(label: str, made: _Element, class_: str = "") -> _Element:
    """A table in a box that scrolls by itself where the screen is narrower; ``label`` names it to a reader aloud."""
    return element("div", made, class_=f"box {class_}".strip(), tabindex="0", role="region", aria_label=label)


def _cell(text: str, name: str = "", class_: str = "") -> _Element:
    """A cell; a short word, or a figure with its unit, is never broken."""
    short = "n" if _SHORT.fullmatch(text) else ""
    return element("td", text, class_=f"{class_} {short}".strip(), data_head=name)


def _tables(block: Table) -> Iterator[_Element]:
    """The table; of a long one the first rows, and the rest at a touch."""
    rows = block.rows
    if not block.most or len(rows) <= block.most + FEW or len(block.groups) > 1:
        yield _table(block)
        return
    yield _table(replace(block, groups=(RowGroup("", rows[: block.most]),)))
    rest = replace(block, title=f"{block.title}, the rest", groups=(RowGroup("", rows[block.most :]),))
    summary = element("summary", left_out(len(rest.rows), block.noun))
    yield element("details", summary, _table(rest), class_="rest")


def _table(block: Table) -> _Element:
    names = [head.name.replace("-", " ") for head in block.heads]
    matrix = len(names) > 2 and all(head.number for head in block.heads[1:])
    stacked = not matrix and len(names) > 2 and _characters(block) > WIDE
    head = element(
        "tr",
        *(
            element("th", name, scope="col", class_=_side(at.number))
            for name, at in zip(names, block.heads, strict=True)
        ),
    )
    made = element("table", *([element("thead", head)] if any(names) else []))
    for group in block.groups:
        body = element("tbody")
        if group.head:
            body.append(
                element("tr", element("th", group.head, scope="rowgroup", colspan=str(len(names)), class_="group"))
            )
        for row in group.rows:
            body.append(_table_row(block, row, names if stacked else [""] * len(names), matrix=matrix))
        made.append(body)
    return _boxed(block.title, made, "matrix" if matrix else "stacked" if stacked else "")


def _characters(block: Table) -> int:
    """How many characters the cells of a row need side by side at most."""
    return sum(
        max(map(len, column)) for column in zip(*([head.name for head in block.heads], *block.rows), strict=True)
    )


def _side(number: bool) -> str:
    return "number" if number else ""


def _table_row(block: Table, row: Sequence[str], names: Sequence[str], *, matrix: bool) -> _Element:
    cells = []
    for at, (text, name, head) in enumerate(zip(row, names, block.heads, strict=True)):
        if matrix and not at:
            cells.append(element("th", text, scope="row"))
        elif block.fill and not text:
            cells.append(element("td", element("span", class_="fill"), data_head=name))
        else:
            cells.append(_cell(text, name, _side(head.number)))
    return element("tr", *cells)


def _steps(block: Steps) -> _Element:
    names = ("done", "step", "hours", "who", "initials")
    head = element("tr", *(element("th", name, scope="col") for name in names))
    rows = (_step(step) for step in block.steps)
    return _boxed(block.title, element("table", element("thead", head), element("tbody", *rows)), "sheet")


def _step(step: TickStep) -> _Element:
    said = "done" if step.done else "to do"
    box = element("span", "x" if step.done else "", class_="tick", role="img", aria_label=said)
    text = element("td", step.do, " ", element("code", f"[{step.id}]"))
    if step.needs:
        text.append(element("p", step.needs, class_="soft"))
    initials = element("td", element("span", class_="fill"))
    return element("tr", element("td", box), text, _cell(step.hours), _cell(step.who), initials)


# -- what is of the trade


def _card(block: FindingCard) -> _Element:
    doubt = f" ({block.doubt})" if block.doubt else ""
    summary = element(
        "summary",
        element("span", SIGN[block.severity], class_="sign", aria_hidden="true"),
        element("span", f"{block.severity}: ", class_="word"),
        element("b", f"{block.where} {block.kind.replace('-', ' ')}{doubt}".strip()),
    )
    card = element("details", summary, element("p", block.text), class_=f"card {block.severity}", id=f"f-{block.id}")
    if block.severity in OPEN:
        card.set("open", "open")
    card.extend(map(_figure, block.figures))
    if block.beside and not block.figures:
        link = element("a", "Its drawing is beside another finding of this plug", href=f"#f-{block.beside}")
        card.append(element("p", link, ".", class_="screen"))
    rows = [("What to do", block.do), ("Assumed", block.assumed)]
    card.append(_facts([(word, text) for word, text in rows if text]))
    more = _facts([*block.facts, ("Finding", ", ".join((block.id, *block.also)))])
    more.set("class", "screen")
    card.append(more)
    return card


def _route(block: Route) -> _Element:
    found = any(point.now for point in block.points)
    names = ("", "should read", *(("now",) if found else ()), "place")
    head = element("tr", *(element("th", name, scope="col") for name in names))
    rows = [row for point in block.points for row in _route_rows(point, found=found)]
    return _boxed(block.title, element("table", element("thead", head), element("tbody", *rows)), "route")


def _route_rows(point: RoutePoint, *, found: bool) -> Iterator[_Element]:
    place = element("td", element("b", point.place), *(element("p", text) for text in point.lines))
    now = [_cell(point.now, "now")] if found else []
    yield element("tr", _cell(point.number), _cell(point.reading, "should read"), *now, place)
    if point.between:
        blank = element("td", colspan=str(2 + len(now)))
        yield element("tr", blank, element("td", point.between), class_="between")


def _marked(block: MarkedTexts) -> _Element:
    items = [element("div", *_marked_text(item), id=f"m-{item.mark}") for item in block.items]
    return element("div", *items, class_="marked", role="group", aria_label=block.title)


def _marked_text(item: MarkedText) -> Iterator[_Element]:
    yield element("b", item.mark, class_="mark")
    leads = [element("li", f"{reading}: ", element("a", mark, href=f"#m-{mark}")) for reading, mark in item.leads]
    more = [element("p", item.how, class_="soft")] if item.how else []
    yield element("div", element("p", item.text), *more, *([element("ul", *leads)] if leads else []))
