"""A picture of a page, from a scanner or a camera: made straight, recognised, as words with scores.

Recognition is rapidocr-onnxruntime with the models in its wheel (the extra ``[scan]``);
nothing is fetched. It knows letters without accents. Long runs of ink are lines of the
table and are taken out before words are looked for. Every text is read twice, at two
sizes, and where that differs a third time: what two of them agree on is taken.
"""

from __future__ import annotations

import io
import os
import re
import warnings
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from harnesscheck.model.places import Place
from harnesscheck.model.progress import Told
from harnesscheck.read.faults import Faults
from harnesscheck.read.pages.cells import Box, SourcePage, Word, source_words
from harnesscheck.read.pages.words import grids_of, lines_of

if TYPE_CHECKING:
    from harnesscheck.read.pages.pagelimits import PageLimits

INSTALL = "the extra that reads pictures: pip install 'harnesscheck[scan]'"
_LONGEST_SIDE = 2600  # pixels; a bigger picture is made smaller
_SHORTEST_SIDE = 1000  # a smaller one bigger
_MOST_TILT_DEG = 6.0
_RULE = 0.06  # of the page's width: a run of ink that long is a line, and no letter
_PADS = (4, 8, 6)  # pixels of paper beside a text, each time it is read
_PADS_OF_ONE = (2, 3, 1)  # beside one sign alone
_ONE_SIGN = 1.6  # of its height, a text that is less wide is one sign or two
_WIDE = {0xFF00 + code: 0x20 + code for code in range(1, 0x5F)}  # the recogniser's other form of our signs
_FIND_SIDE = 1750  # pixels of a page's longer side in which words are looked for: 150 dpi of an A4 page
_MARGIN = 20  # pixels of paper left around the ink
_NARROWEST = 160  # pixels that a text is filled up to, at a height of 48
_MOST_THREADS = 4  # memory grows with them


def picture_page(data: bytes, name: str, number: int, faults: Faults, limits: PageLimits, told: Told) -> SourcePage:
    """A picture as a page."""
    where = source_words(name, number)
    told(f"{where}: opening")
    engine = _engine()
    if engine is None:
        faults.stop(Place(name), "a picture of a page", INSTALL)
    ink = straight(opened(data, name, faults, limits))
    ink, rules = without_rules(ink)
    words = _words(engine, ink, told, where)
    if len(words) > limits.max_words:
        faults.stop(Place(where), f"{len(words)} words", f"at most {limits.max_words} words on a page")
    grids = grids_of(words, name, number, rules, scanned=True)
    return SourcePage(
        name, number, tuple(grids), len(lines_of(words)), drawn=not grids and len(rules) > 3, scanned=True
    )


@cache
def _engine() -> Any:
    """The recogniser; None where it is not installed."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of libraries about each other
            from rapidocr_onnxruntime import RapidOCR  # type: ignore[import-untyped]

            engine = RapidOCR(use_cls=False, intra_op_num_threads=min(_MOST_THREADS, os.cpu_count() or 1))
    except ImportError:
        return None
    # A short text is filled up to this shape before it is read: less of it is less time, and cells are short.
    engine.text_rec.rec_image_shape = [3, 48, _NARROWEST]
    engine.text_det.limit_side_len = 32  # the picture is already of the size in which words are looked for
    return engine


def opened(data: bytes, name: str, faults: Faults, limits: PageLimits) -> Any:
    """The picture as grey levels from 0 (black) to 255, of a size that can be read."""
    import numpy as np
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            picture = Image.open(io.BytesIO(data), formats=("PNG", "JPEG"))
            width, height = picture.size
            if width * height > limits.max_pixels:
                faults.stop(Place(name), f"{width} x {height} pixels", f"at most {limits.max_pixels} pixels")
            grey = ImageOps.exif_transpose(picture).convert("L")
    except Image.DecompressionBombError:
        faults.stop(Place(name), "a picture of more pixels", f"at most {limits.max_pixels} pixels")
    except (OSError, ValueError, SyntaxError) as error:
        faults.stop(Place(name), " ".join(str(error).split())[:80], "a PNG or JPEG that is not damaged")
    side = max(grey.size)
    scale = min(1.0, _LONGEST_SIDE / side) if side > _LONGEST_SIDE else max(1.0, min(4.0, _SHORTEST_SIDE / side))
    if scale != 1.0:
        size = (max(1, round(grey.width * scale)), max(1, round(grey.height * scale)))
        grey = grey.resize(size, Image.Resampling.LANCZOS)
    return np.asarray(grey)


def straight(grey: Any) -> Any:
    """The page turned so that its lines lie level: by the turn at which rows of ink and of paper differ the most."""
    import numpy as np
    from PIL import Image

    small = Image.fromarray(grey)
    small.thumbnail((800, 800))
    dark = (np.asarray(small) < _threshold(np.asarray(small))).astype(np.uint8) * 255
    base = Image.fromarray(dark)

    def sharpness(angle_deg: float) -> float:
        """How unlike the rows are at a turn."""
        rows = np.asarray(base.rotate(angle_deg, Image.Resampling.BILINEAR)).sum(axis=1).astype(float)
        return float(((rows[1:] - rows[:-1]) ** 2).sum())

    best = max(np.arange(-_MOST_TILT_DEG, _MOST_TILT_DEG + 0.1, 0.5), key=sharpness)
    best = max(np.arange(best - 0.4, best + 0.41, 0.1), key=sharpness)
    if abs(best) < 0.15:
        return grey
    paper = int(np.median(grey))
    turned = Image.fromarray(grey).rotate(float(best), Image.Resampling.BICUBIC, expand=False, fillcolor=paper)
    return np.asarray(turned)


def _threshold(grey: Any) -> float:
    """Between ink and paper: the paper's level less a part of the darkest."""
    import numpy as np

    paper, ink = float(np.median(grey)), float(np.percentile(grey, 1))
    return ink + 0.6 * (paper - ink)


def without_rules(grey: Any) -> tuple[Any, list[float]]:
    """The page without the lines of its table, and the heights of those that lie across it."""
    import numpy as np

    dark = grey < _threshold(grey)
    long = max(60, int(grey.shape[1] * _RULE))
    across, down = _runs(dark, long), _runs(dark.T, max(60, long)).T
    rows = across.sum(axis=1)
    least = grey.shape[1] / 4
    at = np.flatnonzero(rows > least)
    heights = [float(group.mean()) for group in np.split(at, np.flatnonzero(np.diff(at) > 3) + 1) if len(group)]
    gone = across | down
    wide = gone.copy()
    wide[1:] |= gone[:-1]
    wide[:-1] |= gone[1:]
    wide[:, 1:] |= gone[:, :-1]
    wide[:, :-1] |= gone[:, 1:]
    cleaned = grey.copy()
    cleaned[wide] = int(np.median(grey))
    return cleaned, heights


def _runs(dark: Any, long: int) -> Any:
    """Which dark pixels lie in a run of at least so many along a row; a hole of one pixel is no end."""
    import numpy as np

    high, wide = dark.shape
    if wide <= long:
        return np.zeros_like(dark)
    closed = dark.copy()
    closed[:, 1:-1] |= dark[:, :-2] & dark[:, 2:]
    count = np.zeros((high, wide + 1), np.int32)
    np.cumsum(closed, axis=1, out=count[:, 1:])
    begins = (count[:, long:] - count[:, :-long]) == long
    steps = np.zeros((high, wide + 1), np.int8)
    steps[:, : wide - long + 1] += begins
    steps[:, long:] -= begins
    return np.cumsum(steps[:, :wide], axis=1, dtype=np.int32) > 0


def _words(engine: Any, grey: Any, told: Told, where: str) -> list[Word]:
    """Pieces of text: where they stand by the finder, what they say by the recogniser."""
    import numpy as np

    told(f"{where}: looking for words")
    dark = grey < _threshold(grey)
    found = sorted(_found(engine, grey, dark), key=lambda box: (box.top, box.left))
    pieces = [piece for box in found for piece in _pieces(dark, box)]
    page = np.stack([grey] * 3, axis=-1)
    paper = int(np.median(grey))
    told(f"{where}: reading {len(pieces)} texts")
    first = _recognised(engine, [_crop(page, box, 0, paper) for box in pieces])
    told(f"{where}: reading {len(pieces)} texts a second time")
    second = _recognised(engine, [_crop(page, box, 1, paper) for box in pieces])
    unlike = [at for at, pair in enumerate(zip(first, second, strict=True)) if not _same(*(text for text, _ in pair))]
    told(f"{where}: reading {len(unlike)} texts a third time")
    third = dict(zip(unlike, _recognised(engine, [_crop(page, pieces[at], 2, paper) for at in unlike]), strict=True))
    words = []
    for at, box in enumerate(pieces):
        readings = [first[at], second[at], *([third[at]] if at in third else [])]
        if first[at][0]:
            words.append(_word(box, readings))
    return words


def _same(one: str, other: str) -> bool:
    return one.replace(" ", "") == other.replace(" ", "")


def _word(box: Box, readings: Sequence[tuple[str, float]]) -> Word:
    """A text by all its readings: what two agree on, else the first, with the others.

    Of readings in which only blanks differ it is the one with the most of them, for they are lost and not made.
    """
    for text, _ in readings:
        alike = [(other, sure) for other, sure in readings if _same(text, other)]
        if len(alike) > 1:
            return Word(max((other for other, _ in alike), key=len), box, max(sure for _, sure in alike))
    text, score = readings[0]
    return Word(text, box, score, tuple(dict.fromkeys(other for other, _ in readings[1:])))


def _found(engine: Any, grey: Any, dark: Any) -> list[Box]:
    """Where the finder sees text; it looks at what is inked, in a size in which letters are still told apart."""
    import numpy as np
    from PIL import Image

    down, across = (np.flatnonzero(dark.sum(axis=axis) > 1) for axis in (1, 0))
    if not len(down) or not len(across):
        return []
    top, left = max(0, int(down[0]) - _MARGIN), max(0, int(across[0]) - _MARGIN)
    part = grey[top : int(down[-1]) + _MARGIN, left : int(across[-1]) + _MARGIN]
    scale = min(1.0, _FIND_SIDE / max(grey.shape))
    size = (max(32, round(part.shape[1] * scale)), max(32, round(part.shape[0] * scale)))
    small = np.asarray(Image.fromarray(part).resize(size, Image.Resampling.BOX))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        boxes, _ = engine.text_det(np.stack([small] * 3, axis=-1))
    if boxes is None:
        return []
    wide, high = part.shape[1] / size[0], part.shape[0] / size[1]
    corners = [np.asarray(one) * (wide, high) + (left, top) for one in boxes]
    return [_box(one, grey.shape) for one in corners]


def _blanks(text: str) -> str:
    """A blank behind a comma and a colon, none before them: a recogniser loses the narrow ones."""
    return (
        re.sub(r"\s*([,:])\s*(?=[^\W\d])", r"\1 ", text) if re.search(r"[a-z]{3}[,:]|[,:]\s?[a-z]{3}", text) else text
    )


def _box(corners: Any, shape: Sequence[int]) -> Box:
    left, top = corners.min(axis=0)
    right, bottom = corners.max(axis=0)
    return Box(max(0.0, float(left)), max(0.0, float(top)), min(shape[1], float(right)), min(shape[0], float(bottom)))


def _pieces(dark: Any, box: Box) -> list[Box]:
    """A box parted where there is a gap as wide as between two columns."""
    import numpy as np

    part = dark[int(box.top) : int(box.bottom) + 1, int(box.left) : int(box.right) + 1]
    if part.size == 0:
        return []
    filled = part.any(axis=0)
    at = np.flatnonzero(filled)
    if not len(at):
        return [box]
    wide = max(8.0, 0.75 * box.height)
    groups = np.split(at, np.flatnonzero(np.diff(at) > wide) + 1)
    if len(groups) == 1:
        return [box]
    edges = [(max(0, group[0] - 3), group[-1] + 3) for group in groups]
    return [Box(box.left + float(low), box.top, box.left + float(high), box.bottom) for low, high in edges]


def _crop(page: Any, box: Box, time: int, paper: int) -> Any:
    """A text with some paper around it, each time another amount; one sign alone bears less of it."""
    import numpy as np

    pad = (_PADS_OF_ONE if box.width < _ONE_SIGN * box.height else _PADS)[time]
    part = page[int(box.top) : int(box.bottom) + 1, int(box.left) : int(box.right) + 1]
    return np.pad(part, ((pad // 2, pad // 2), (pad, pad), (0, 0)), constant_values=paper)


def _recognised(engine: Any, crops: list[Any]) -> list[tuple[str, float]]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found, _ = engine.text_rec(crops) if crops else ([], 0.0)
    return [(_blanks(" ".join(one[0].translate(_WIDE).split())), float(one[1])) for one in found]
