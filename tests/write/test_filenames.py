"""Names every system can have: no device, no path, none like another but for its case."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.scenes import NASTY
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.write.filenames import apart, numbered, safe_file_name, safe_file_names

# Microsoft, "Naming Files, Paths, and Namespaces": devices, signs and last letters that no file's name may have.
RESERVED = ("CON", "con", "PRN", "AUX", "NUL", "nul.xml", "COM1", "COM9.svg", "LPT1", "Lpt9")
FORBIDDEN = set('<>:"/\\|?*') | {chr(n) for n in range(32)}


@pytest.mark.parametrize(
    "text", [*RESERVED, "..", ".", "", "../../etc/passwd", "/etc/passwd", "C:\\x", "<script>", "a" * 500]
)
def test_a_name_is_no_device_and_no_path(text: str) -> None:
    """Whatever an id is."""
    name = safe_file_name(text)

    assert name != text and not FORBIDDEN & set(name)
    assert name.split(".")[0].upper() not in {one.upper().split(".")[0] for one in RESERVED}
    assert Path(name).name == name and 0 < len(name) <= 100


@settings(max_examples=300, deadline=None)
@given(st.lists(st.text(max_size=30) | st.sampled_from(("C12", "c12", "CON", "C/12", "C\\12", "Ä", "ä")), max_size=8))
def test_names_never_clash(texts: list[str]) -> None:
    """Also where a system does not tell upper from lower case."""
    names = safe_file_names(texts)

    assert set(names) == set(texts)
    assert len({name.casefold() for name in names.values()}) == len(names)
    for name in names.values():
        assert name and not FORBIDDEN & set(name) and not name.endswith((".", " ")) and not name.startswith(".")
        assert len(name.encode()) <= 255


def test_plain_names_stay_as_they_are() -> None:
    """So that somebody finds them."""
    assert safe_file_names(["C12", "left-kick-panel", "F1.2"]) == {
        "C12": "C12", "left-kick-panel": "left-kick-panel", "F1.2": "F1.2",
    }  # fmt: skip


@pytest.mark.parametrize("text", [*NASTY, "x" * 60, "長" * 200])
def test_a_safe_name_is_left_alone_and_short_enough_with_an_ending(text: str) -> None:
    """A drawing's name is made safe where it is drawn and again where it is written."""
    name = safe_file_name(text)

    assert safe_file_name(name) == name
    assert len(f"{name}-12.svg".encode()) <= 255


def test_further_files_of_one_thing_are_numbered_and_the_first_keeps_its_name() -> None:
    """A drawing that grows by a sheet is found where it was."""
    assert numbered("circuit-FP", 1) == ["circuit-FP"]
    assert numbered("circuit-FP", 3) == ["circuit-FP", "circuit-FP-2", "circuit-FP-3"]


def test_names_that_differ_in_case_or_in_replaced_signs_stay_apart() -> None:
    """a/b and a-b have different files; FP and fp get different names when written together."""
    assert safe_file_name("a/b") != safe_file_name("a-b")
    assert apart(["circuit-FP", "circuit-fp", "circuit-FP"]) == ["circuit-FP", "circuit-fp-2", "circuit-FP-3"]
