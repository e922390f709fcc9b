"""Imports point down only, every module has a layer, and the quick paths stay quick."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import networkx
import pytest

import harnesscheck

ROOT = Path(harnesscheck.__file__).parent
LAYERS = (  # low to high; what shares a line may not import each other
    ("fields",),
    ("trade",),
    ("model",),
    ("read",),
    ("write",),
    ("network",),
    ("align",),
    ("assemble",),
    ("compare",),
    ("lists",),
    ("decide", "bench"),
    ("yard",),
    ("draw",),
    ("report",),
    ("api",),
    ("serve",),
    ("cli",),
    ("__main__",),
)
ROOMS = {  # the order inside a room, low to high: a folder, or a module of it that stands lower than the rest
    "network": (
        ("graph.conduction", "graph.elements", "graph.index", "graph.reach"),
        ("hands_off",),  # judges over nets and reach, and is kept on the study of a car (graph.sides)
        ("graph",),
        ("volts",),
        ("behaviour",),
    ),
    "compare": (
        ("finding",),
        ("context",),
        ("coverage",),
        ("plugs",),
        ("works",),
        ("carries",),
        ("jobs",),
        ("compare", "doubtful"),
        ("built",),
        ("joined",),
    ),
    "bench": (("trace",), ("symptoms",), ("ringout",), ("readings",)),
}
HEIGHT = {name: height for height, names in enumerate(LAYERS) for name in names}
MODULES = sorted(path for path in ROOT.rglob("*.py") if path != ROOT / "__init__.py")


def imported(tree: ast.AST) -> list[tuple[int, str]]:
    """Every module of ours that a tree imports, with the line."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"line {node.lineno}: relative import"
            found += [(node.lineno, f"{node.module}.{alias.name}") for alias in node.names]
    return [(line, name) for line, name in found if name.startswith("harnesscheck.")]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_imports_point_down(path: Path) -> None:
    """A module imports its own layer's package and lower layers only; an unplaced module fails here, on purpose."""
    layer = path.relative_to(ROOT).parts[0].removesuffix(".py")
    for line, name in imported(ast.parse(path.read_text(encoding="utf-8"))):
        other = name.split(".")[1]
        if other == "__version__":
            continue
        assert HEIGHT[other] < HEIGHT[layer] or other == layer, f"{path}:{line}: {layer} imports {name}"


def height_in(room: str, parts: tuple[str, ...]) -> int:
    """Where a module of a room stands: by its own name, else by its folder's; an unplaced one fails here."""
    heights = {name: height for height, names in enumerate(ROOMS[room]) for name in names}
    own = heights.get(".".join(parts[:2]))
    return heights[parts[0]] if own is None else own


@pytest.mark.parametrize("room", ROOMS)
def test_inside_a_room_imports_point_down(room: str) -> None:
    wrong = []
    for path in MODULES:
        place = path.relative_to(ROOT).with_suffix("").parts
        if place[0] != room or place[1:] == ("__init__",):
            continue
        for line, name in imported(ast.parse(path.read_text(encoding="utf-8"))):
            target = tuple(name.split(".")[1:-1])  # the last is what is imported of the module
            if target[:1] == (room,) and len(target) > 1 and height_in(room, target[1:]) > height_in(room, place[1:]):
                wrong.append(f"{path}:{line}: imports {name}")

    assert wrong == []


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Imports make no circle, whether they stand at the top, in a function or under ``TYPE_CHECKING``."""
    names = {path: ".".join(("harnesscheck", *path.relative_to(ROOT).with_suffix("").parts)) for path in MODULES}
    known = {name.removesuffix(".__init__") for name in names.values()}
    graph: networkx.DiGraph[str] = networkx.DiGraph()
    for path, name in names.items():
        for _, other in imported(ast.parse(path.read_text(encoding="utf-8"))):
            target = other if other in known else other.rpartition(".")[0]
            if target in known and target != name.removesuffix(".__init__"):
                graph.add_edge(name.removesuffix(".__init__"), target)

    assert [sorted(part) for part in networkx.strongly_connected_components(graph) if len(part) > 1] == []


def loaded_by(code: str) -> set[str]:
    """The top-level modules in memory after running some code in a fresh interpreter."""
    script = f"import sys\n{code}\nprint(*sorted({{name.split('.')[0] for name in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=300)
    return set(done.stdout.split())


def test_help_imports_nothing_heavy() -> None:
    """``--help`` needs click and our own tables of commands, nothing else."""
    code = "import click.testing, harnesscheck.cli.main as m\nclick.testing.CliRunner().invoke(m.cli, ['--help'])"

    assert not loaded_by(code) & {"lxml", "networkx", "numpy", "scipy", "openpyxl", "graphviz", "fontTools"}


def test_compare_imports_neither_networkx_nor_scipy(tmp_path: Path) -> None:
    """The compare path of two netlists with names in common stays clear of the slow libraries."""
    demo = Path(__file__).parents[1] / "harness_demo"
    code = (
        "import click.testing, harnesscheck.cli.main as m\n"
        f"r = click.testing.CliRunner().invoke(m.cli, ['compare', {str(demo / 'donor.xml')!r}, "
        f"{str(demo / 'shell.xml')!r}])\nassert r.exit_code == 0, r.output"
    )

    assert not loaded_by(code) & {"networkx", "scipy", "openpyxl", "lxml"}
