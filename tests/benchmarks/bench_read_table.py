"""How well pictures of tables are read: ``PYTHONPATH=.:tests python tests/benchmarks/bench_read_table.py [PAGES]``.

Every page is made from known rows, so every cell has a truth. Prints the share of cells that are right, asked, and
wrong without a question, functions whose class changed, and seconds a page. Blanks are not counted.
"""

from __future__ import annotations

import io
import random
import sys
import time
from collections import Counter

import numpy as np
from PIL import Image, ImageFilter
from reportlab.pdfgen.canvas import Canvas

from harnesscheck.read.pages import Given, read_pages
from harnesscheck.read.pages.pdf import page_png
from harnesscheck.trade.lexicon import understand

COLOURS = ["red", "brown", "black", "white", "blue", "green", "yellow", "grey", "violet", "orange"]
FUNCTIONS = [
    "permanent feed",
    "ground",
    "accessory feed (fuse 10)",
    "ignition feed",
    "dash illumination",
    "fuel gauge",
    "oil pressure lamp",
    "charge lamp",
    "main beam lamp",
    "left indicator lamp",
    "speed signal",
    "horn relay control",
    "rear fog lamp",
    "brake lamp feed",
    "sensor ground",
    "starter signal",
    "reverse lamp",
    "temperature gauge",
]
SIZES = ("0.35", "0.5", "0.75", "1", "1.5", "2.5", "4")
FIELDS = ("colour", "size", "function")
KINDS = {"200 dpi, clean": (200, 0.0, 0.0, 0.0), "200 dpi, tilted and noisy": (200, 1.5, 0.8, 8.0)}


def made(rng: random.Random) -> tuple[bytes, dict[str, tuple[str, ...]]]:
    """A page as a PDF, and its rows."""
    rows = {}
    for number in range(1, rng.randint(12, 24)):
        colour = rng.choice(COLOURS)
        other = rng.choice([one for one in COLOURS if one != colour])
        text = f"{colour}/{other}" if rng.random() < 0.7 else colour
        rows[str(number)] = (text, rng.choice(SIZES), rng.choice(FUNCTIONS))
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(595, 842), invariant=1)
    font = rng.choice(("Helvetica", "Times-Roman", "Courier"))
    size, step, ruled = rng.choice((9, 10, 11)), rng.choice((18, 22, 26)), rng.random() < 0.6
    lefts = (50, 95, 215, 280)
    canvas.setFont(font, size + 3)
    canvas.drawString(50, 790, "Connector C15, 26-way, left kick panel")
    canvas.setFont(font, size)
    printed = [("Pin", "Colour", "Size", "Function"), *((key, *row) for key, row in rows.items())]
    for at, row in enumerate(printed):
        for left, text in zip(lefts, row, strict=True):
            canvas.drawString(left + 5, 770 - at * step - step * 0.7, text)
    for at in range(len(printed) + 1) if ruled else ():
        canvas.line(50, 770 - at * step, 540, 770 - at * step)
    for left in (*lefts, 540) if ruled else ():
        canvas.line(left, 770, left, 770 - len(printed) * step)
    canvas.save()
    return out.getvalue(), rows


def spoiled(pdf: bytes, dpi: int, tilt: float, blur: float, noise: float, rng: random.Random) -> bytes:
    """The page as a picture."""
    page = Image.open(io.BytesIO(page_png(pdf, 1, dpi))).convert("L")
    page = page.rotate(rng.uniform(-tilt, tilt), Image.Resampling.BICUBIC, fillcolor=255)
    grey = np.asarray(page.filter(ImageFilter.GaussianBlur(blur)), float)
    grey += np.random.default_rng(rng.randrange(1 << 30)).normal(0, noise, grey.shape)
    out = io.BytesIO()
    Image.fromarray(np.clip(grey, 0, 255).astype("uint8")).save(out, "JPEG" if noise else "PNG", quality=80)
    return out.getvalue()


def judged(data: bytes, rows: dict[str, tuple[str, ...]]) -> Counter[str]:
    """How many cells are right, asked, wrong; a cavity that is not there at all is asked for each of its cells."""
    read = read_pages([Given(data, "page")])
    by_cavity = {row.text("cavity"): row for row in read.rows if row.text("cavity")}
    count: Counter[str] = Counter({"wrong": len(by_cavity.keys() - rows.keys())})
    for cavity, truth in rows.items():
        row = by_cavity.get(cavity)
        count["right" if row is not None else "asked"] += 1
        for name, true in zip(FIELDS, truth, strict=True):
            cell = row.cells.get(name) if row is not None else None
            text = cell.text if cell is not None else ""
            same = text.replace(" ", "").casefold() == true.replace(" ", "").casefold()
            count["asked" if not text else "right" if same else "wrong"] += 1
            if text and not same:
                print(f"   {cavity} {name}: {true!r} read as {text!r}")
            if name == "function" and text and understand(text).class_ != understand(true).class_:
                count["class changed"] += 1
    return count


def main() -> None:
    """Print a line for each kind of picture."""
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    for kind, (dpi, tilt, blur, noise) in KINDS.items():
        rng, count, spent = random.Random(20), Counter[str](), 0.0
        for _ in range(pages):
            pdf, rows = made(rng)
            picture = spoiled(pdf, dpi, tilt, blur, noise, rng)
            start = time.perf_counter()
            count += judged(picture, rows)
            spent += time.perf_counter() - start
        total = count["right"] + count["asked"] + count["wrong"]
        shares = ", ".join(f"{name} {count[name] / total:.4f}" for name in ("right", "asked", "wrong"))
        print(f"{kind}: {total} cells: {shares}; class changed {count['class changed']}; {spent / pages:.1f} s a page")


if __name__ == "__main__":
    main()
