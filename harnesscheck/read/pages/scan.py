"""A picture of a page, from a scanner or a camera: made straight, recognised twice, as words with scores.

Recognition is rapidocr-onnxruntime with the models in its wheel (the extra ``[scan]``);
nothing is fetched. It knows letters without accents. Long runs of ink are lines of the
table and are taken out before words are looked for.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from harnesscheck.model.places import Place
from harnesscheck.model.progress import Told
from harnesscheck.read.faults import Faults
from harnesscheck.read.pages.cells import Box, SourcePage, Word
from harnesscheck.read.pages.words import grids_of, lines_of

if TYPE_CHECKING:
    from harnesscheck.read.pages.pagelimits import PageLimits

INSTALL = "the extra that reads pictures: pip install 'harnesscheck[scan]'"
_LONGEST_SIDE = 2600  # pixels; a bigger picture is made smaller
_SHORTEST_SIDE = 1000  # a smaller one bigger
_MOST_TILT_DEG = 6.0
_RULE = 0.06  # of the page's width: a run of ink that long is a line, and no letter
_PAD = 4


def picture_page(data: bytes, name: str, number: int, faults: Faults, limits: PageLimits, told: Told) -> SourcePage:
    """A picture as a page."""
    engine = _engine()
    if engine is None:
        faults.stop(Place(name, number), "a picture of a page", INSTALL)
    ink = straight(opened(data, name, faults, limits))
    ink, rules = without_rules(ink)
    told(f"{name}: looking for words")
    words = _words(engine, ink, told, name)
    if len(words) > limits.max_words:
        faults.stop(Place(name, number), f"{len(words)} words", f"at most {limits.max_words} words on a page")
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

            return RapidOCR(use_cls=False)
    except ImportError:
        return None


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
    from scipy.ndimage import binary_closing, binary_opening  # type: ignore[import-untyped]  # ships no types

    closed = binary_closing(dark, np.ones((1, 3), bool))
    return binary_opening(closed, np.ones((1, long), bool))


def _words(engine: Any, grey: Any, told: Told, name: str) -> list[Word]:
    """Pieces of text: where they stand by the finder, what they say by the recogniser, twice at two sizes."""
    import numpy as np

    page = np.stack([grey] * 3, axis=-1)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        boxes, _ = engine.text_det(page)
        if boxes is None or not len(boxes):
            return []
        found = sorted((_box(one, grey.shape) for one in boxes), key=lambda box: (box.top, box.left))
        dark = grey < _threshold(grey)
        pieces = [piece for box in found for piece in _pieces(dark, box)]
        paper = int(np.median(grey))
        told(f"{name}: reading {len(pieces)} texts")
        first = _recognised(engine, [_crop(page, box, _PAD, paper) for box in pieces])
        told(f"{name}: reading them a second time")
        second = _recognised(engine, [_crop(page, box, _PAD * 2, paper) for box in pieces])
    words = []
    for box, (text, score), (again, _) in zip(pieces, first, second, strict=True):
        if text.strip():
            words.append(_word(box, _blanks(" ".join(text.split())), score, _blanks(" ".join(again.split()))))
    return words


def _word(box: Box, text: str, score: float, again: str) -> Word:
    """A text by both readings; where only blanks differ the one with more of them, for they are lost and not made."""
    if text.replace(" ", "") == again.replace(" ", ""):
        return Word(max(text, again, key=len), box, score)
    return Word(text, box, score, (again,))


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


def _crop(page: Any, box: Box, pad: int, paper: int) -> Any:
    """A text with some paper around it."""
    import numpy as np

    part = page[int(box.top) : int(box.bottom) + 1, int(box.left) : int(box.right) + 1]
    return np.pad(part, ((pad // 2, pad // 2), (pad, pad), (0, 0)), constant_values=paper)


def _recognised(engine: Any, crops: list[Any]) -> list[tuple[str, float]]:
    found, _ = engine.text_rec(crops)
    return [(one[0], float(one[1])) for one in found]
