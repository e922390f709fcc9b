"""Which fingerprints are most like one, or each like each: one product of sparse matrices.

Rare words count more: a word's weight is the logarithm of how few cars have it (inverse document frequency; K. Sparck
Jones, Journal of Documentation 28, 1972). Likeness is the cosine of the weighted counts, 0 to 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from harnesscheck.yard.fingerprint import Fingerprint


class Library:
    """The fingerprints of many cars as one sparse matrix, a row a car, of length 1 or empty."""

    def __init__(self, cars: Sequence[Fingerprint]) -> None:
        import numpy as np

        sparse: Any = import_module("scipy.sparse")
        words = np.concatenate([car.words for car in cars]) if cars else np.zeros(0, dtype=np.uint64)
        counts = np.concatenate([car.counts for car in cars]) if cars else np.zeros(0, dtype=np.float32)
        self._vocabulary, column = np.unique(words, return_inverse=True)
        start = np.cumsum([0, *(len(car.words) for car in cars)])
        cars_with = np.bincount(column, minlength=len(self._vocabulary))
        self._weight = (np.log((1 + len(cars)) / (1 + cars_with)) + 0.1).astype(np.float32)
        data = (1 + np.log(counts)) * self._weight[column]
        row = np.repeat(np.arange(len(cars)), np.diff(start))
        length = np.sqrt(np.bincount(row, weights=data**2, minlength=len(cars)))
        data = data / np.maximum(length[row], 1e-12)
        shape = (len(cars), len(self._vocabulary))
        self._rows: Any = sparse.csr_matrix((data.astype(np.float32), column, start), shape=shape)

    def likeness(self, car: Fingerprint) -> NDArray[np.float64]:
        """How much each car of the library is like one, 0 to 1; a word that none of them has makes it less like all."""
        import numpy as np

        at = np.minimum(np.searchsorted(self._vocabulary, car.words), max(len(self._vocabulary) - 1, 0))
        known = self._vocabulary[at] == car.words if len(self._vocabulary) else np.zeros(len(car.words), dtype=bool)
        rarest = np.log(1 + self._rows.shape[0]) + 0.1
        weight = np.where(known, self._weight[at] if len(self._weight) else 0, rarest)
        data = (1 + np.log(car.counts)) * weight
        question = np.zeros(len(self._vocabulary), dtype=np.float32)
        question[at[known]] = data[known]
        length = float(np.sqrt(np.sum(data**2)))
        return np.asarray(self._rows @ question, dtype=np.float64) / max(length, 1e-12)

    def alike(self, most: int, block: int = 512) -> list[list[int]]:
        """For each car its ``most`` likest others, likest first; worked out in blocks, so that memory stays bounded."""
        import numpy as np

        found: list[list[int]] = []
        across = self._rows.T.tocsr()
        for start in range(0, self._rows.shape[0], block):
            dense = (self._rows[start : start + block] @ across).toarray()
            for offset, line in enumerate(dense):
                line[start + offset] = -1
                best = np.lexsort((np.arange(len(line)), -np.round(line, 6)))[:most]
                found.append([int(one) for one in best if line[one] >= 0])
        return found


def likest(likeness: NDArray[np.float64], most: int) -> list[int]:
    """The ``most`` likest cars by row, likest first; equal ones in the library's order."""
    import numpy as np

    order = np.lexsort((np.arange(len(likeness)), -np.round(likeness, 9)))
    return [int(one) for one in order[:most]]
