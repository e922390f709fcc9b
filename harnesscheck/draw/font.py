"""The one typeface of every drawing: how wide a text is, how it is cut to fit, and the subset a file carries.

Widths are sums of the font's own advance widths, in millimetres at a size in
millimetres. A renderer that kerns or joins letters makes a label narrower, so
what fits here fits on paper. The font comes from a package, never from this tree.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any

FAMILY = "Source Sans Pro"  # what the font files call themselves
SUBSET_FAMILY = "Harness Sheet"  # what a subset is called: a changed font may not keep a reserved name
SUBSTITUTE = "◊"  # stands for a character that cannot be drawn

REGULAR, BOLD = 400, 600
_FILES = {REGULAR: "SourceSansPro-Regular.ttf", BOLD: "SourceSansPro-Semibold.ttf"}
_MISSING_EM = 1.0  # a character of another script, drawn in whatever font the reader has
_ELLIPSIS = "…"
_ALWAYS = "".join(map(chr, range(0x20, 0x7F))) + "²°±µ·×äöüßéèΩ–—“”‘’…→←↑↓≤≥≈✓" + SUBSTITUTE


@dataclass(frozen=True)
class Face:
    """Advance widths by character in parts of the em, and how far letters stand above and below the line."""

    advance_em: Mapping[str, float]
    ascent_em: float
    descent_em: float


def font_file(weight: int) -> Path:
    """The font file of a weight (``REGULAR`` or ``BOLD``)."""
    return Path(str(files("font_source_sans_pro") / "files" / _FILES[weight]))


@cache
def face(weight: int) -> Face:
    """The measures of one weight, read once."""
    font = _open(weight)
    advances = font["hmtx"].metrics
    em = font["head"].unitsPerEm
    widths = {chr(code): advances[glyph][0] / em for code, glyph in font.getBestCmap().items()}
    return Face(widths, ascent_em=0.75, descent_em=0.25)  # of letters and accents in use, not of the line box


def _open(weight: int) -> Any:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # fonttools ships no types

    data = BytesIO(font_file(weight).read_bytes())  # no file stays open behind the lazily read tables
    return TTFont(data, lazy=True, recalcTimestamp=False)


def drawable(text: str) -> str:
    """Text on one line with everything that is not printable made visible; nothing else is changed."""
    flat = " ".join(text.split())
    return flat if flat.isprintable() else "".join(ch if ch.isprintable() else SUBSTITUTE for ch in flat)


def in_font(text: str) -> str:
    """The text with characters that the font lacks made visible, for pictures drawn with this font alone."""
    known = face(REGULAR).advance_em
    return "".join(ch if ch in known else SUBSTITUTE for ch in text)


def width_mm(text: str, size_mm: float, weight: int = REGULAR) -> float:
    """The width of a text in mm at a font size in mm."""
    advance = face(weight).advance_em
    return size_mm * sum(advance.get(ch, _MISSING_EM) for ch in text)


def fit(text: str, room_mm: float, size_mm: float, weight: int = REGULAR) -> str:
    """The text, cut with an ellipsis where it is wider than its room; empty where not even that fits."""
    text = drawable(text)
    if width_mm(text, size_mm, weight) <= room_mm:
        return text
    room_mm -= width_mm(_ELLIPSIS, size_mm, weight)
    if room_mm < 0:
        return ""
    advance, used, keep = face(weight).advance_em, 0.0, 0
    for ch in text:
        used += size_mm * advance.get(ch, _MISSING_EM)
        if used > room_mm:
            break
        keep += 1
    return text[:keep].rstrip() + _ELLIPSIS


GLUE = "\u2060"  # the word joiner: stands for a space at which no line is broken


def wrap(text: str, room_mm: float, size_mm: float, lines: int, weight: int = REGULAR) -> list[str]:
    """The text on at most so many lines, broken at spaces (but not at ``GLUE``); the last one is cut to fit."""
    words = [drawable(word.replace(GLUE, " ")) for word in text.split()]
    found: list[str] = []
    line = ""
    for at, word in enumerate(words):
        longer = f"{line} {word}" if line else word
        if line and width_mm(longer, size_mm, weight) > room_mm:
            if len(found) == lines - 1:
                return [*found, fit(" ".join([line, *words[at:]]), room_mm, size_mm, weight)]
            found.append(fit(line, room_mm, size_mm, weight))
            longer = word
        line = longer
    return [*found, fit(line, room_mm, size_mm, weight)] if line else found


def subset_characters(texts: Iterable[str]) -> str:
    """The characters a file with these texts carries: plain Latin letters always, so that files share a font."""
    used = set().union(_ALWAYS, *texts)
    return "".join(sorted(used & face(REGULAR).advance_em.keys()))


@cache
def subset(characters: str, weight: int) -> bytes:
    """A TrueType font that holds only these characters; the same characters give the same bytes.

    Not compressed further: compressors differ from machine to machine, and a
    subset is small.
    """
    from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]  # fonttools ships no types

    options = Options(layout_features=[], hinting=False, notdef_outline=True, name_IDs=[0, 1, 2, 4, 6, 13, 14])
    options.drop_tables += ["DSIG", "GPOS", "GSUB", "GDEF", "BASE"]
    font = _open(weight)
    subsetter = Subsetter(options)
    subsetter.populate(text=characters)
    subsetter.subset(font)
    for record in font["name"].names:
        if record.nameID in (1, 4, 6):
            record.string = SUBSET_FAMILY.replace(" ", "") if record.nameID == 6 else SUBSET_FAMILY
    written = BytesIO()
    font.save(written, reorderTables=True)
    return written.getvalue()
