"""Reports of every block, filled with any text: for tests of what is made of them."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any, get_args

from hypothesis import strategies as st

from builders.browse import HOSTILE
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    AnyBlock,
    BriefOrFull,
    Caution,
    Facts,
    Figure,
    FindingCard,
    Folded,
    Listing,
    MarkedText,
    MarkedTexts,
    Paragraph,
    Passage,
    Report,
    Route,
    RoutePoint,
    Section,
    Steps,
    Table,
    TickStep,
    heads,
    table,
)

BLOCKS = get_args(AnyBlock)
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><title>t</title></svg>'


def blocks_of(text: str, number: int = 0) -> tuple[AnyBlock, ...]:
    """One block of every sort, the text wherever a text can stand; ``number`` keeps ids apart."""
    figure = Figure(text, SVG)
    card = FindingCard(
        f"{number:010x}", "dead", "crossed", text, text, text, text, text, text, text, facts=((text, text),),
        figures=(figure,),
    )  # fmt: skip
    inner: tuple[AnyBlock, ...] = (
        Paragraph(text),
        Listing((text,) * 5, text, most=2, noun=text, where=text),
        Listing((text, text), ordered=True),
        Listing((text,), text, tick=True),
        Facts(((text, text),)),
        table(text, ("#number", "from-cavity", "to", "note"), [(text, text, text, "")] * 2, fill=True),
        table(text, ("", "#a", "#b"), [(text, "x", ".")]),
        Table(text, heads("", "b"), ()),
        figure,
        Steps(text, (TickStep(text, text, "1.5", "2", text), TickStep(text, text, "1", done=True))),
        Caution((text,), text),
        Caution((text,), urgent=True),
        Answer(text, text, "bad", (("injury", 1), ("dead", 0)), 1),
        card,
        Route(text, (RoutePoint("1", text, text, text, (text,), text), RoutePoint("2", text, text))),
        MarkedTexts(text, (MarkedText(f"A{number}", text, text, ((text, f"A{number}"),)),)),
    )
    return (
        *inner,
        Passage((Paragraph(text),), text),
        BriefOrFull((Paragraph(text),), (Paragraph(text),)),
        Folded(text, (Paragraph(text),)),
        Section(text or "Title", (Paragraph(text), Passage(inner[:5], text)), text, f"s{number}"),
    )


def report_of(text: str) -> Report:
    """A report of every block."""
    inputs = {"donor": {"vehicle": text, "model-year": text, "file": text, "digest": "0" * 12}}
    return Report(text, ((text, text),), blocks_of(text), inputs)


def shown_texts(block: Any) -> set[str]:
    """All texts anywhere in a block."""
    if isinstance(block, str):
        return {block}
    if isinstance(block, tuple):
        return set().union(*map(shown_texts, block)) if block else set()
    if is_dataclass(block):
        return set().union(*(shown_texts(getattr(block, one.name)) for one in fields(block)))
    return set()


texts = st.one_of(
    st.sampled_from(
        [HOSTILE, "=cmd|' /C calc'!A0", "\x1b[31mred", "\u202eevil", "a\nb\tc", "]]>", "&lt;", "ü → Ω ² µ", ""]
    ),
    st.text(max_size=40),
    st.text("ab-/ ", max_size=200),
)
