"""Where the example and the rich pair of cars lie."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "harness_demo"
RICH = Path(__file__).parent  # rich-donor.xml and rich-shell.xml
