"""Scenes as they were: a text file each. ``UPDATE_GOLDEN=1`` writes them anew; look at the difference before."""

from __future__ import annotations

import os
from pathlib import Path

_HERE = Path(__file__).parent


def same(name: str, text: str) -> None:
    """Fail where a scene is not what its file says."""
    path = _HERE / f"{name}.txt"
    if os.environ.get("UPDATE_GOLDEN") == "1":
        path.write_text(text, encoding="utf-8", newline="\n")
    assert path.read_text(encoding="utf-8") == text
