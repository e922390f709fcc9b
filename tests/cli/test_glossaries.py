"""``explain`` and ``columns``: what a finding means, what a column asks for."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harnesscheck.cli.main import cli
from harnesscheck.compare.finding.kinds import KINDS
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.fields import EXAMPLES, FIELDS, ROWS, example_of, fields_of
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.read.swap import read_swap
from harnesscheck.read.values import Wrong, field_reader
from harnesscheck.report.manual import SWAP_ENTRIES
from harnesscheck.trade.rates import RATE_WORDS, RATES_H


def run(*words: str) -> Result:
    """A command as it is typed."""
    return CliRunner().invoke(cli, words)


def flat(text: str) -> str:
    """A text without its line breaks."""
    return " ".join(text.split())


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_a_kind_is_explained_whole(kind: str) -> None:
    """What it means, what to do, how to check, and how bad it is, in 80 columns."""
    said = run("explain", kind)

    assert said.exit_code == 0
    assert max(map(len, said.output.splitlines())) <= 80
    sentences = SENTENCES[next(one.name for one in KINDS if one.name == kind)]
    assert all(text in flat(said.output) for text in (sentences.means, sentences.do, sentences.check))


def test_a_kind_may_be_written_in_words() -> None:
    """With blanks and capitals, as it stands in a report."""
    assert run("explain", "Feed to ground").output == run("explain", "feed-to-ground").output


def test_all_kinds_are_listed_worst_first() -> None:
    """Without a name every kind has its line, in the order of the registry."""
    text = flat(run("explain").output)
    at = [text.index(f"{kind.name} (") for kind in KINDS]

    assert at == sorted(at)


@pytest.mark.parametrize(("words", "hint"), [(("explain", "crosed"), "crossed?"), (("columns", "pin"), "pins?")])
def test_a_name_that_is_none_is_told_the_nearest(words: tuple[str, ...], hint: str) -> None:
    """One line, status 2."""
    said = run(*words)

    assert said.exit_code == 2
    assert hint in said.output and len(said.output.splitlines()) == 1


@pytest.mark.parametrize("table", [row.table for row in ROWS])
def test_every_column_of_a_table_is_explained(table: str) -> None:
    """By name, with its help, in 80 columns."""
    said = run("columns", table)
    row = next(row for row in ROWS if row.table == table)
    first = {line.split()[0] for line in said.output.splitlines() if line.strip()}

    assert said.exit_code == 0
    assert max(map(len, said.output.splitlines())) <= 80
    assert {one.name for one in fields_of(row.name)} <= first | {"base", "drop"}


@pytest.mark.parametrize("row", [row.name for row in ROWS])
def test_every_example_may_stand_in_its_column(row: str) -> None:
    """The reader of the field takes it."""
    for one in fields_of(row):
        assert not isinstance(field_reader(one)(example_of(row, one)), Wrong), (row, one.name)


def test_the_swap_sheet_s_entries_are_what_it_reads(tmp_path: Path) -> None:
    """All of them together are a sheet; every section the reader knows is among them."""
    lines: dict[str, list[str]] = {}
    for section, entry, _ in SWAP_ENTRIES:
        lines.setdefault(section, []).append(entry)
    text = "".join((f"[{section}]\n" if section else "") + "\n".join(rows) + "\n" for section, rows in lines.items())
    (tmp_path / "swap.toml").write_text(text, encoding="utf-8")
    sheet = read_swap(str(tmp_path / "swap.toml"))

    assert isinstance(sheet, SwapSheet), sheet
    for field in fields(SwapSheet):
        assert getattr(sheet, field.name) or field.name in ("shell", "built_shell"), field.name


def test_every_rate_says_what_it_is_for() -> None:
    """By the same names; the glossary prints them all."""
    said = run("columns", "swap-sheet")

    assert RATE_WORDS.keys() == RATES_H.keys()
    assert said.exit_code == 0 and all(name in said.output for name in RATES_H)
    assert max(map(len, said.output.splitlines())) <= 80


def test_no_example_is_of_a_field_that_is_not() -> None:
    """Every key names a field, or a field of a sort of row."""
    names = {one.name for one in FIELDS} | {f"{row}.{one.name}" for one in FIELDS for row in one.on}

    assert EXAMPLES.keys() <= names
