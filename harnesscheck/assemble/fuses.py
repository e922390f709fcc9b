"""Fuses of another rating."""

from __future__ import annotations

import math
from dataclasses import replace

from harnesscheck.assemble.draft import Draft
from harnesscheck.model.edits import SwapFuse
from harnesscheck.network.graph.conduction import FUSES


def swap_fuse(draft: Draft, edit: SwapFuse) -> None:
    """Another rating in the part itself or inside one, and on the lid."""
    if not (math.isfinite(edit.rating) and edit.rating > 0):
        draft.fail("a rating is above 0 A")
    done = False
    for at, row in enumerate(draft.rows("components")):
        if row.id == edit.fuse and row.kind in FUSES:
            draft.change("components", at, replace(row, rating=edit.rating))
            done = True
    for at, row in enumerate(draft.rows("insides")):
        if row.id == edit.fuse and (row.fuse is not None or row.rating is not None):
            slot = "fuse" if row.fuse is not None else "rating"
            draft.change("insides", at, replace(row, **{slot: edit.rating}))
            done = True
    for at, row in enumerate(draft.rows("lid")):
        if row.id == edit.fuse:
            draft.change("lid", at, replace(row, rating=edit.rating))
            done = True
    if not done:
        draft.fail(f"there is no fuse {edit.fuse}")
