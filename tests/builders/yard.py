"""Small cars of a yard, as files."""

from __future__ import annotations

from builders.rows import FRONT, TWO, inline, socket

HEAD = '<netlist xmlns="urn:harnesscheck:netlist:1" volts="12" colour-code="iec60757" vehicle="{}">{}</netlist>'


def small(feed: str, colour: str = "RD", more: str = "") -> str:
    """A car of one lamp behind one plug; the cavity of its feed, a colour, further rows."""
    ground = "2" if feed == "1" else "1"
    front = {feed: f'30P>P colour="{colour}"', ground: '31>G1 colour="BN"'}
    rear = {feed: f'30P>SF colour="{colour}"', ground: '31>G1 colour="BN"'}
    load = socket("one", "lamp", TWO, {"1": "30P>SF", "2": "31>G1"}, 'watts="21"', harness="rear")
    return HEAD.format("a car", FRONT + inline(front, rear) + load + more)
