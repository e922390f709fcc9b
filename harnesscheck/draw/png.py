"""A scene as a PNG picture: one renderer, one font, no font of the machine, so the same picture everywhere."""

from __future__ import annotations

from struct import pack
from zlib import crc32

from harnesscheck.draw.font import BOLD, FAMILY, REGULAR, drawable, font_file, in_font
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.svg import svg

PRINT_DPI = 200
_MM_PER_INCH = 25.4
_AFTER_HEADER = 8 + 25  # the signature, and the IHDR chunk (PNG specification, 5.2 and 11.2.2)


def png(scene: Scene, dpi: int = PRINT_DPI) -> bytes:
    """The scene as PNG with so many dots an inch, written into the file so that it prints at its size."""
    import resvg_py

    drawn = resvg_py.svg_to_bytes(
        svg_string=svg(scene, embed_font=False, clean=_in_our_font),
        width=pixels(scene.width_mm, dpi),
        height=pixels(scene.height_mm, dpi),
        dpi=float(dpi),
        skip_system_fonts=True,
        font_files=[str(font_file(weight)) for weight in (REGULAR, BOLD)],
        font_family=FAMILY,
        sans_serif_family=FAMILY,
    )
    return _with_resolution(bytes(drawn), dpi)


def pixels(length_mm: float, dpi: int) -> int:
    """A length on paper in dots."""
    return round(length_mm / _MM_PER_INCH * dpi)


def _in_our_font(text: str) -> str:
    return in_font(drawable(text))


def _with_resolution(picture: bytes, dpi: int) -> bytes:
    """Add the pHYs chunk (dots a metre, PNG specification, 11.3.5.3) behind the header."""
    per_metre = round(dpi / _MM_PER_INCH * 1000)
    body = b"pHYs" + pack(">IIB", per_metre, per_metre, 1)
    chunk = pack(">I", len(body) - 4) + body + pack(">I", crc32(body))
    return picture[:_AFTER_HEADER] + chunk + picture[_AFTER_HEADER:]
