"""The one adapter to Graphviz: boxes and lines between them in, places out, all in millimetres.

The engine is the one that comes as a package, else a ``dot`` on the PATH. It is
given sizes and numbers only, never a text of the file. No engine, a time limit
passed, or an exit status other than 0: no layout, and the caller says so.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from shutil import which

PACKAGE = "graphviz-pure"
TIME_LIMIT_S = 10.0
NO_ENGINE = "overview not drawn: no Graphviz engine answered (package graphviz-pure, or dot on the PATH)"
_MM_PER_INCH = 25.4
_CURVE_STEPS = 8  # straight pieces that a curve is drawn with


@dataclass(frozen=True, slots=True)
class Graph:
    """Boxes by width and height, lines between two of them by number; ``across``: ranks from left to right."""

    boxes_mm: tuple[tuple[float, float], ...]
    lines: tuple[tuple[int, int], ...]
    across: bool = True
    gap_mm: float = 5.0
    rank_gap_mm: float = 9.0


@dataclass(frozen=True, slots=True)
class Layout:
    """The middle of every box and the corners of every line, y downwards, and the size of it all."""

    width_mm: float
    height_mm: float
    boxes: tuple[tuple[float, float], ...]
    lines: tuple[tuple[tuple[float, float], ...], ...]


def lay_out(graph: Graph) -> Layout | None:
    """Places for a graph, or None where no engine can give them."""
    source = _source(graph)
    for engine in engines():
        text = _run(engine, source)
        if text is not None:
            return _read(text, graph)
    return None


def engines() -> Iterator[Path]:
    """The programs that may do it, the package's first."""
    try:
        files = distribution(PACKAGE).files or []
    except PackageNotFoundError:
        files = []
    for file in files:
        if file.stem == PACKAGE and file.suffix in ("", ".exe"):
            program = Path(str(file.locate())).resolve()
            if program.is_file():
                yield program
    found = which("dot")
    if found is not None:
        yield Path(found)


def _source(graph: Graph) -> str:
    import graphviz  # type: ignore[import-untyped]  # graphviz ships no types

    made = graphviz.Graph(engine="dot")
    made.attr(rankdir="LR" if graph.across else "TB", outputorder="edgesfirst")
    made.attr(nodesep=_inches(graph.gap_mm), ranksep=_inches(graph.rank_gap_mm))
    made.attr("node", shape="box", fixedsize="true", label="", fontname="DejaVu Sans")
    for number, (width, height) in enumerate(graph.boxes_mm):
        made.node(f"n{number}", width=_inches(width), height=_inches(height))
    for a, b in graph.lines:
        made.edge(f"n{a}", f"n{b}")
    return str(made.source)


def _inches(length_mm: float) -> str:
    return f"{length_mm / _MM_PER_INCH:.4f}"


def _run(engine: Path, source: str) -> str | None:
    from graphviz.backend import dot_command  # type: ignore[import-untyped]  # graphviz ships no types

    dot_command.DOT_BINARY = engine
    command = dot_command.command("dot", "plain")
    try:
        done = subprocess.run(command, input=source.encode(), capture_output=True, timeout=TIME_LIMIT_S, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return None
    return done.stdout.decode("utf-8", "replace") if done.returncode == 0 else None


def _read(text: str, graph: Graph) -> Layout | None:
    """The plain format: lengths in inches, y upwards; names are ours."""
    size = (0.0, 0.0)
    boxes: dict[int, tuple[float, float]] = {}
    lines: dict[tuple[int, int], list[tuple[tuple[float, float], ...]]] = {}
    for words in (line.split() for line in text.splitlines()):
        if words[:1] == ["graph"]:
            size = float(words[2]) * _MM_PER_INCH, float(words[3]) * _MM_PER_INCH
        elif words[:1] == ["node"]:
            boxes[int(words[1][1:])] = _point(words[2:4], size[1])
        elif words[:1] == ["edge"]:
            count = int(words[3])
            points = [_point(words[at : at + 2], size[1]) for at in range(4, 4 + 2 * count, 2)]
            lines.setdefault((int(words[1][1:]), int(words[2][1:])), []).append(_curve(points))
    if len(boxes) != len(graph.boxes_mm):
        return None
    placed = tuple(boxes[number] for number in range(len(boxes)))
    drawn = [lines[pair].pop(0) if lines.get(pair) else (placed[pair[0]], placed[pair[1]]) for pair in graph.lines]
    return Layout(*size, placed, tuple(drawn))


def _point(words: Sequence[str], height_mm: float) -> tuple[float, float]:
    return float(words[0]) * _MM_PER_INCH, height_mm - float(words[1]) * _MM_PER_INCH


def _curve(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """A chain of cubic Bézier curves as a line with corners."""
    found = [points[0]]
    for at in range(0, len(points) - 3, 3):
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points[at : at + 4]
        for step in range(1, _CURVE_STEPS + 1):
            t = step / _CURVE_STEPS
            a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
            found.append((round(a * x0 + b * x1 + c * x2 + d * x3, 3), round(a * y0 + b * y1 + c * y2 + d * y3, 3)))
    return tuple(found)
