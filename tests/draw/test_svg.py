"""SVG and PNG: escaped, closed in themselves, the same bytes every time."""

from __future__ import annotations

import os
import re
import struct
import subprocess
import sys
from base64 import b64decode
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree
from zlib import crc32

import pytest
from builders.scenes import NASTY, small_van

from harnesscheck.draw.font import BOLD, REGULAR, face, font_file, subset, subset_characters, width_mm
from harnesscheck.draw.ink import BLACK
from harnesscheck.draw.page import LYING, SheetHeading, page
from harnesscheck.draw.png import pixels, png
from harnesscheck.draw.scene import Box, Pen, Scene, SceneGroup, Text
from harnesscheck.draw.svg import font_css, svg
from harnesscheck.draw.targets import draw_target

SVG = "{http://www.w3.org/2000/svg}"


def nasty_scene(text: str) -> Scene:
    items = [SceneGroup((Text(20, 60, text, 3.0, BLACK),), id=text, title=text)]
    return page(LYING, SheetHeading(text, text, text, text, text), items)


@pytest.mark.parametrize("text", NASTY)
def test_text_of_a_file_stays_text(text: str) -> None:
    """Title, description, labels, ids: well-formed, no element or attribute of the text's making."""
    document = svg(nasty_scene(text))

    root = ElementTree.fromstring(document)
    assert {node.tag.removeprefix(SVG) for node in root.iter()} <= {
        "svg", "title", "desc", "style", "rect", "g", "text", "line",
    }  # fmt: skip
    assert not any(name.startswith("on") or "href" in name for node in root.iter() for name in node.attrib)
    assert "<script" not in document


def test_nothing_is_fetched() -> None:
    """The only addresses are the namespace and the font inside; no import, no link."""
    document = svg(nasty_scene("C12"))

    addresses = re.findall(r"(?:https?:|url\(|@import|href)[^\"')]*", document)
    assert [found[:20] for found in addresses] == [
        "http://www.w3.org/20",
        "url(data:font/ttf;ba",
        "url(data:font/ttf;ba",
    ]


def test_a_sheet_has_title_and_description_for_who_cannot_see_it() -> None:
    """role=img, named by its title and its description; the prefix keeps several on one page apart."""
    root = ElementTree.fromstring(svg(nasty_scene("Connector C12"), prefix="one-"))

    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "one-title one-description"
    assert root.findtext(f"{SVG}title") == "Connector C12"
    assert root.find(f"{SVG}rect").get("fill") == "#ffffff"  # type: ignore[union-attr]
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("297mm", "210mm", "0 0 297 210")


def test_ids_are_ids_whatever_they_are_made_of() -> None:
    """A group's id holds letters, digits, dashes and codes."""
    document = svg(Scene(10, 10, "", "", (SceneGroup((Box(1, 1, 2, 2, Pen(BLACK, 0.1)),), id='a:"<b> ü'),)))

    assert 'id="a.3a.22.3cb.3e.20.fc"' in document


def test_the_font_inside_is_a_subset_that_measures_the_same() -> None:
    """Only what is shown and plain Latin; same advance widths; not under its reserved name (OFL 1.1, 3)."""
    from fontTools.ttLib import TTFont

    [regular, _] = re.findall(r"base64,([^)]*)\)", font_css(["Ω ж"]))
    font = TTFont(BytesIO(b64decode(regular)))

    codes = font.getBestCmap()
    assert {ord("Ω"), ord("ж"), ord("A")} <= codes.keys() and ord("и") not in codes
    assert "GPOS" not in font and "GSUB" not in font
    em = font["head"].unitsPerEm
    assert font["hmtx"][codes[ord("W")]][0] / em == pytest.approx(face(REGULAR).advance_em["W"])
    names = {record.nameID: str(record) for record in font["name"].names}
    assert "Source" not in names[1] + names[4] + names[6]
    assert "Open Font License" in names[13]


def test_widths_are_the_font_s_own() -> None:
    """A hundred digits are a hundred times one digit's advance; bold is the semibold file."""
    from fontTools.ttLib import TTFont

    for weight in (REGULAR, BOLD):
        font = TTFont(font_file(weight))
        advance = font["hmtx"][font.getBestCmap()[ord("7")]][0] / font["head"].unitsPerEm
        assert width_mm("7" * 100, 3.0, weight) == pytest.approx(300 * advance)
    for needed in "Ω²°µ→✓":
        assert needed in face(REGULAR).advance_em and needed in face(BOLD).advance_em


def test_the_same_characters_give_the_same_font() -> None:
    """Bytes, cached or not."""
    characters = subset_characters(["C12"])

    first = subset(characters, BOLD)
    subset.cache_clear()
    assert subset(characters, BOLD) == first


def test_same_scene_same_bytes_under_any_hash_seed() -> None:
    """SVG and PNG of the small van's sheets, in processes of their own."""
    code = (
        "import hashlib,sys; sys.path.insert(0,'tests')\n"
        "from builders.scenes import small_van\n"
        "from harnesscheck.draw.targets import draw_target, DrawingAsked\n"
        "from harnesscheck.draw.svg import svg\nfrom harnesscheck.draw.png import png\n"
        "targets = ('FP', '31', 'C1', 'pump', 'overview')\n"
        "sheets = [s for t in targets for s in draw_target(small_van(), t, asked=DrawingAsked(digest='ab'))]\n"
        "digest=hashlib.sha256()\n"
        "for s in sheets: digest.update(svg(s.scene).encode()); digest.update(png(s.scene,40))\n"
        "print(len(sheets), digest.hexdigest())"
    )
    root = Path(__file__).parents[2]
    printed = {
        subprocess.run(
            [sys.executable, "-c", code], cwd=root, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True,
            text=True, check=True,
        ).stdout
        for seed in ("0", "1", "77")
    }  # fmt: skip

    assert len(printed) == 1
    assert printed.pop().startswith("5 ")


def test_png_opens_and_has_the_size_of_the_page() -> None:
    """Signature, IHDR, pHYs with the dots a metre, every checksum right (PNG specification, 5.3, 11.2.2, 11.3.5.3)."""
    sheets = draw_target(small_van(), "C1")
    assert isinstance(sheets, list)

    picture = png(sheets[0].scene, 100)

    chunks = _chunks(picture)
    assert struct.unpack(">II", chunks["IHDR"][:8]) == (pixels(297, 100), pixels(210, 100)) == (1169, 827)
    assert struct.unpack(">IIB", chunks["pHYs"]) == (3937, 3937, 1)
    assert "IEND" in chunks and len(chunks["IDAT"]) > 1000
    assert picture == png(sheets[0].scene, 100)


def _chunks(picture: bytes) -> dict[str, bytes]:
    assert picture[:8] == b"\x89PNG\r\n\x1a\n"
    found: dict[str, bytes] = {}
    at = 8
    while at < len(picture):
        length = int.from_bytes(picture[at : at + 4])
        name, body = picture[at + 4 : at + 8], picture[at + 8 : at + 8 + length]
        assert int.from_bytes(picture[at + 8 + length : at + 12 + length]) == crc32(name + body)
        found[name.decode()] = found.get(name.decode(), b"") + body
        at += 12 + length
    return found


@pytest.mark.parametrize("text", NASTY)
def test_any_text_can_be_drawn_as_a_picture(text: str) -> None:
    """The renderer takes whatever a file may hold."""
    assert png(nasty_scene(text), 30).startswith(b"\x89PNG")
