"""The names that programs may rely on: all there, none hidden by a folder, and importing the package stays light."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from builders.demo import DEMO

import harnesscheck


def test_every_public_name_is_there() -> None:
    assert all(getattr(harnesscheck, name) is not None for name in harnesscheck.__all__)
    assert sorted({*harnesscheck._PLACES, "__version__"}) == sorted(harnesscheck.__all__)


def test_none_is_called_like_a_folder_or_module() -> None:
    """A folder that was imported would stand in place of the name."""
    beside = {path.stem for path in Path(harnesscheck.__file__).parent.iterdir()}

    assert not beside & set(harnesscheck.__all__) - {"__init__"}


def test_another_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = harnesscheck.nothing


def test_importing_the_package_loads_no_part_of_it() -> None:
    code = "import sys, harnesscheck; print(*[name for name in sys.modules if name.startswith('harnesscheck.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.split() == []


def test_the_main_job_with_public_names_only() -> None:
    """Read, configure, study, align, compare: the example has findings that hurt."""
    donor, shell = (
        harnesscheck.Study(harnesscheck.configure(harnesscheck.read_netlist(DEMO / f"{name}.xml")))
        for name in ("donor", "shell")
    )
    result = harnesscheck.compare_cars(donor, shell, harnesscheck.align_cars(donor, shell))

    assert {one.kind for one in result.findings if one.severity is harnesscheck.Severity.INJURY}
