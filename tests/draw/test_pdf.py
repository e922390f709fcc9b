"""Drawings as PDF: on a page of their own size, text that is text, nothing too small, the same bytes always.

pdfplumber reads the finished file back.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pytest
from builders.lampcars import pair
from click.testing import CliRunner

from harnesscheck.cli.main import cli
from harnesscheck.draw.font import BOLD
from harnesscheck.draw.ink import BLACK
from harnesscheck.draw.scene import Box, Scene, Text
from harnesscheck.draw.typeset import pdf
from harnesscheck.write.xml import write_xml

POINTS_PER_MM = 72 / 25.4
HOSTILE = "#panic() $x$ *b* <a> \\ #image(\"/etc/hostname\") 'q' \u202eabc 丙"
SCENE = Scene(
    297,
    210,
    HOSTILE,
    "",
    (Box(9, 9, 100, 40), Text(20, 30, HOSTILE, 2.8, BLACK), Text(20, 50, "Ω ² µ →", 5, BLACK, BOLD)),
)


def test_a_drawing_is_one_page_of_its_size_with_its_texts_as_text() -> None:
    """A4 lying is 297 mm by 210 mm (ISO 216); signs of the typesetter's language stay signs."""
    with pdfplumber.open(io.BytesIO(pdf([SCENE]))) as found:
        (page,) = found.pages
        assert (float(page.width), float(page.height)) == pytest.approx((297 * POINTS_PER_MM, 210 * POINTS_PER_MM))
        said = page.extract_text()
        assert "#panic() $x$ *b* <a> \\ #image(\"/etc/hostname\") 'q' ◊abc ◊" in said
        assert "Ω ² µ →" in said
        assert min(char["size"] for char in page.chars) == pytest.approx(2.8 * POINTS_PER_MM)
        assert {char["fontname"].partition("+")[2] for char in page.chars} == {
            "SourceSansPro-Regular",
            "SourceSansPro-Semibold",
        }
        assert "CreationDate" not in found.metadata


def test_draw_writes_pdf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """``--format pdf`` writes one file a sheet."""
    monkeypatch.chdir(tmp_path)
    write_xml(pair(5)[0].vehicle.netlist, tmp_path / "donor.xml")

    done = CliRunner().invoke(cli, ["draw", "donor.xml", "overview", "--format", "pdf", "-o", "drawn"])

    assert done.exit_code == 0, done.output
    assert (tmp_path / "drawn" / "overview.pdf").read_bytes().startswith(b"%PDF-")


def test_the_same_bytes_whatever_the_machine_says() -> None:
    """Hash seed, time zone and language of the machine change nothing."""
    ask = "import sys; from draw.test_pdf import SCENE, pdf; sys.stdout.buffer.write(pdf([SCENE]))"
    here = pdf([SCENE])
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Kiritimati", "LC_ALL": "tr_TR.UTF-8"}
    env["PYTHONPATH"] = os.pathsep.join(path for path in sys.path if path)

    there = subprocess.run([sys.executable, "-c", ask], env=env, capture_output=True, check=True).stdout

    assert there == here
