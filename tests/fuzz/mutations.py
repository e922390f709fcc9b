"""Inputs spoilt so that they are still nearly what they were: by byte, by cell, by attribute, by member, by value."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from typing import Any

NASTY = (
    "", " ", "?", "-", "0", "-1", "1e309", "NaN", "9" * 40, "0.000000001", "yes", "no", "../../x", "/etc/passwd", "C1",
    "C1:1", "A", "C-m0", "C-m0:1", "lamp00", "F1", "G1", "=1+1", "@x", "'", '"', "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>", "]]>", "&amp;", "\u202egnp.exe", "\u2028", "\u009b31m", "\x1b[2J", "é", "ß", "Ω",
    "ı", "A" * 5000, "a\nb", "a\tb", "\ufeff", "1-9999999", "1, 2, 3", "1;2", "5-8", "2013-13", "2013-01..2012-01",
    "RD/RD/RD", "permanent feed", "airbag", "none", "null", "true", "[]", "{}",
)  # fmt: skip


def spoilt(name: str, data: bytes, rng: random.Random) -> bytes:
    """The bytes with one to five things changed."""
    for _ in range(rng.choice((1, 1, 1, 2, 5))):
        way = rng.choice((_of_bytes, _by_form(name)))
        data = way(data, rng)
    return data


def _by_form(name: str) -> Any:
    if name.endswith(".xlsx"):
        return _of_members
    if name.endswith(".json"):
        return _of_json
    if name.endswith((".csv", ".txt")):
        return _of_cells
    if name.endswith((".xml", ".kbl", ".html")):
        return _of_elements
    return _of_words


def _of_bytes(data: bytes, rng: random.Random) -> bytes:
    edited = bytearray(data)
    at = rng.randrange(len(edited) + 1)
    end = min(len(edited), at + rng.choice((0, 1, 2, 8, 60, 600)))
    other = rng.randrange(len(edited) + 1)
    put = rng.choice((b"", bytes([rng.randrange(256)]), bytes(edited[other : other + 60]), b"\0", b"\xff\xfe"))
    edited[at:end] = put
    return bytes(edited if rng.random() < 0.97 else edited[:at])


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass" if any("\ud800" <= ch < "\udc80" for ch in text) else "surrogateescape")


def _of_elements(data: bytes, rng: random.Random) -> bytes:
    """An attribute's or a text's value, or a whole element, put in the place of another, doubled or taken out."""
    text = _text(data)
    found = list(re.finditer(r'="([^"<]*)"|>([^<>]+)<|<[a-z_A-Z:]+[^<>]*/>', text))
    if not found:
        return _of_bytes(data, rng)
    one, other = rng.choice(found), rng.choice(found)
    group = next((number for number in (1, 2) if one.group(number) is not None), 0)
    donor = other.group(1) or other.group(2) or ""
    if group:
        raw = rng.choice((rng.choice(NASTY), donor))
        put = raw if rng.random() < 0.1 else raw.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
    else:
        put = rng.choice(("", one.group() * 2, other.group() if other.group().startswith("<") else ""))
    return _bytes(text[: one.start(group)] + put + text[one.end(group) :])


def _of_cells(data: bytes, rng: random.Random) -> bytes:
    """A cell, or a line, of a table."""
    lines = _text(data).split("\n")
    at = rng.randrange(len(lines))
    if rng.random() < 0.2:
        lines[at : at + 1] = rng.choice(([], [lines[at]] * 2, [rng.choice(lines)]))
    else:
        cells = re.split(r"([,;\t]|  +)", lines[at])
        cells[rng.randrange(len(cells))] = rng.choice((rng.choice(NASTY), *cells))
        lines[at] = "".join(cells)
    return _bytes("\n".join(lines))


def _of_words(data: bytes, rng: random.Random) -> bytes:
    """A word, a number or a name between quotation marks."""
    text = data.decode("latin-1")
    found = list(re.finditer(r'"[^"\n]*"|[\w.-]+', text))
    if not found:
        return _of_bytes(data, rng)
    one, other = rng.choice(found), rng.choice(found)
    put = rng.choice((other.group(), rng.choice(NASTY), f'"{rng.choice(NASTY)}"'))
    return text[: one.start()].encode("latin-1") + put.encode("utf-8") + text[one.end() :].encode("latin-1")


def _of_members(data: bytes, rng: random.Random) -> bytes:
    """A part of a workbook, spoilt inside the package."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as old:
            parts = {one.filename: old.read(one) for one in old.infolist()}
    except Exception:  # it is no package any more
        return _of_bytes(data, rng)
    chosen = rng.choice(sorted(parts))
    parts[chosen] = _of_elements(parts[chosen], rng)
    if rng.random() < 0.05:
        del parts[chosen]
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for name, part in parts.items():
            new.writestr(zipfile.ZipInfo(name), part)
    return made.getvalue()


def _of_json(data: bytes, rng: random.Random) -> bytes:
    """A value anywhere in a document."""
    try:
        document = json.loads(data)
    except ValueError:
        return _of_bytes(data, rng)
    here: Any = document
    while True:
        keys = list(here) if isinstance(here, dict) else list(range(len(here))) if isinstance(here, list) else []
        if not keys:
            return _of_bytes(data, rng)
        key = rng.choice(keys)
        if not isinstance(here[key], dict | list) or not here[key] or rng.random() < 0.2:
            here[key] = rng.choice((None, True, -1, 1e30, [], {}, [[]], rng.choice(NASTY)))
            return json.dumps(document).encode()
        here = here[key]
