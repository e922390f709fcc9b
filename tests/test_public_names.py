"""The names that programs may rely on: all there, none hidden by a folder, and importing the package stays light."""

from __future__ import annotations

import doctest
import inspect
import os
import subprocess
import sys
from pathlib import Path

import pytest
from builders.demo import ROOT

import harnesscheck as hc

QUESTIONS = ("read", "configure", "compare", "assemble", "decide", "trace", "identify", "loads", "states", "ringout")
QUESTIONS += ("draw", "find", "which")
LIKE_FOLDERS = sorted({path.stem for path in Path(hc.__file__).parent.iterdir()} & set(hc.__all__))


def in_fresh(code: str) -> str:
    """What some code prints in an interpreter of its own."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_every_public_name_is_there() -> None:
    assert all(getattr(hc, name) is not None for name in hc.__all__)
    assert sorted({*hc._PLACES, "__version__"}) == sorted(hc.__all__)
    assert all(inspect.isfunction(getattr(hc, name)) for name in QUESTIONS)


def test_every_public_name_tells_type_checkers_what_it_is() -> None:
    """Each is imported under TYPE_CHECKING from the very place it is loaded from."""
    text = inspect.getsource(hc)
    for name, (module, there) in hc._PLACES.items():
        lines = [line for line in text.splitlines() if line.strip().startswith(f"from harnesscheck.{module} import ")]
        listed = [part.strip() for line in lines for part in line.partition(" import ")[2].split(",")]
        assert (name if name == there else f"{there} as {name}") in listed


@pytest.mark.parametrize("folder_first", [True, False])
def test_a_folder_of_the_same_name_does_not_hide_a_function(folder_first: bool) -> None:
    """Whichever was imported first, each is found where it belongs; so is a module inside the folder."""
    assert {"compare", "read", "assemble", "decide", "draw"} <= set(LIKE_FOLDERS)
    folders = "; ".join(f"import harnesscheck.{name}" for name in LIKE_FOLDERS)
    first, second = (folders, "hc.read, hc.compare") if folder_first else ("hc.read, hc.compare", folders)
    code = (
        f"import sys, inspect, harnesscheck as hc\n{first}\n{second}\n"
        "from harnesscheck.compare.finding.kinds import Severity\nfrom harnesscheck import compare\n"
        "from harnesscheck.read import configure\n"
        f"for name in {LIKE_FOLDERS}:\n"
        "    assert inspect.isfunction(getattr(hc, name)), name\n"
        "    assert inspect.ismodule(sys.modules['harnesscheck.' + name]), name\n"
        "assert compare is hc.compare and Severity is hc.Severity\n"
        "assert configure is sys.modules['harnesscheck.read.configure'].configure\n"
    )
    in_fresh(code)


def test_what_is_no_public_name_is_an_ordinary_attribute() -> None:
    """Another folder becomes an attribute as ever; what is nowhere is an error; names can be looked through."""
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = hc.nothing
    in_fresh("import harnesscheck as hc, harnesscheck.report; assert hc.report.__name__ == 'harnesscheck.report'")
    assert set(hc.__all__) <= set(dir(hc))


def test_importing_the_package_loads_no_part_of_it() -> None:
    code = "import sys, harnesscheck; print(*[name for name in sys.modules if name.startswith('harnesscheck.')])"

    assert in_fresh(code).split() == []


def test_the_example_in_the_package_is_true() -> None:
    before = Path.cwd()
    os.chdir(ROOT)
    try:
        assert doctest.testmod(hc).failed == 0
    finally:
        os.chdir(before)


def test_a_fault_is_an_exception_with_places(tmp_path: Path) -> None:
    file = tmp_path / "pins.csv"
    file.write_text("connector,cavity,size\nC1,1,-4\nC1,2,1.5\nC1,3,1e9\n", encoding="utf-8")

    with pytest.raises(hc.InputError) as caught:
        hc.read(file)

    assert [fault.place.line for fault in caught.value.faults] == [2, 4]
