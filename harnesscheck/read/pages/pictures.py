"""A page as it looks, in the units that the boxes of its cells are in, for a person to look at beside the rows."""

from __future__ import annotations

import io
from dataclasses import dataclass

from harnesscheck.read.faults import Faults
from harnesscheck.read.pages.pagelimits import PAGE_LIMITS
from harnesscheck.read.pages.sources import is_picture

_DPI = 110


@dataclass(frozen=True, slots=True)
class Picture:
    """A PNG, and how many units of the page's boxes it is wide and high."""

    png: bytes
    width: float
    height: float


def picture_of(data: bytes, name: str, page: int, scanned: bool) -> Picture | None:
    """The picture of one page; None for what has none, a text or a workbook.

    ``scanned``: the page was recognised; it is shown as it was made straight, for its boxes are of that.
    """
    from PIL import Image

    if not is_picture(data) and not data[:1024].lstrip().startswith(b"%PDF"):
        return None
    from harnesscheck.read.pages.pdf import SCAN_DPI, page_png

    png = data if is_picture(data) else page_png(data, page, SCAN_DPI if scanned else _DPI)
    if not scanned:
        shown = Image.open(io.BytesIO(png))
        return Picture(png, shown.width * 72 / _DPI, shown.height * 72 / _DPI)
    from harnesscheck.read.pages.scan import opened, straight

    level = Image.fromarray(straight(opened(png, name, Faults(), PAGE_LIMITS)))
    out = io.BytesIO()
    level.save(out, "PNG")
    return Picture(out.getvalue(), level.width, level.height)
