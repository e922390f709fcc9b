"""The demo's page of a manual of our own invention: plug C15 of the example donor, as a PDF with text and as a photo.

``PYTHONPATH=.:tests python -m builders.manualpage`` writes both anew into ``harness_demo``.
"""

from __future__ import annotations

import io
from pathlib import Path

from harnesscheck.read import read_netlist

DEMO = Path(__file__).parents[2] / "harness_demo"
TITLE = "Connector C15 (20-way, green), left front pillar"
HEADS = ("Pin", "Circuit", "Colour", "Size mm²", "Function")


def page_rows() -> list[list[str]]:
    """Every cavity of the donor's C15 as a manual prints it."""
    van = read_netlist(DEMO / "donor.xml")
    assert not isinstance(van, list)
    functions = {row.id: row.function or "" for row in van.circuits}
    pins = {pin.cavity: pin for pin in van.pins if pin.connector == "C15"}
    rows = []
    for number in map(str, range(1, 21)):
        pin = pins.get(number)
        if pin is None:
            rows.append([number, "–", "–", "–", "Not used"])
        else:
            assert pin.colour is not None and pin.size is not None and pin.circuit is not None
            rows.append([number, pin.circuit, pin.colour.text, pin.size.text, functions[pin.circuit]])
    return rows


def page_pdf() -> bytes:
    """The page as a PDF, the same bytes whenever it is made."""
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4, invariant=1)
    canvas.setTitle("Example van, body wiring: C15")
    canvas.setFont("Helvetica", 9)
    canvas.drawString(60, 800, "Example library van, body wiring")
    canvas.drawRightString(535, 800, "71-15")
    canvas.setFont("Helvetica-Bold", 13)
    canvas.drawString(60, 765, TITLE)
    lefts = (60, 100, 165, 235, 305, 535)
    top, step = 745, 24
    for number, cells in enumerate([HEADS, *page_rows()]):
        canvas.setFont("Helvetica-Bold" if not number else "Helvetica", 11)
        for left, text in zip(lefts, cells, strict=False):
            canvas.drawString(left + 5, top - number * step - 16, text)
    bottom = top - 21 * step
    for number in range(22):
        canvas.line(lefts[0], top - number * step, lefts[-1], top - number * step)
    for left in lefts:
        canvas.line(left, top, left, bottom)
    canvas.setFont("Helvetica", 8)
    canvas.drawString(60, bottom - 20, "Seen from the wire side. A page of our own invention, about no real car.")
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def page_photo(dpi: int = 150, turn_deg: float = 0.8, seed: int = 7) -> bytes:
    """The same page as a photo: a little turned, a little soft, with some grain."""
    import numpy as np
    from PIL import Image, ImageFilter

    from harnesscheck.read.pages.pdf import page_png

    page = Image.open(io.BytesIO(page_png(page_pdf(), 1, dpi))).convert("L")
    page = page.rotate(turn_deg, Image.Resampling.BICUBIC, fillcolor=250).filter(ImageFilter.GaussianBlur(0.6))
    grain = np.random.default_rng(seed).normal(0, 5, (page.height, page.width))
    grey = np.clip(np.asarray(page, float) * 0.9 + 12 + grain, 0, 255).astype("uint8")
    out = io.BytesIO()
    Image.fromarray(grey).save(out, "JPEG", quality=80)
    return out.getvalue()


if __name__ == "__main__":
    (DEMO / "manual-page.pdf").write_bytes(page_pdf())
    (DEMO / "manual-photo.jpg").write_bytes(page_photo())
