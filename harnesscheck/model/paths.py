"""Where a path leads."""

from __future__ import annotations

import os
from pathlib import Path


def real_path(path: str | os.PathLike[str]) -> Path:
    """Where a path leads through links, absolute; a link that leads to itself is left as it is, and never raises."""
    return Path(os.path.realpath(path))
