"""What a finding means and what a column asks for: the two glossaries, made of the registries themselves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from harnesscheck.compare.finding.kinds import KINDS, Kind
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.fields import COMMON, Field, RowSort, Type, example_of, fields_of, row_sort
from harnesscheck.report.blocks.vocabulary import Facts, Paragraph, Report, Section, present, section, table
from harnesscheck.trade.rates import RATE_WORDS, RATES_H

SEVERITY = (
    "Severity says how bad it is: injury (burns or hurts somebody), damage (destroys a part), dead (something does not "
    "work), rework (goes in after some work), note. Certainty says how well it is founded: known, likely (rests on a "
    "name, a rule or a doubtful pair), not known (ring it out)."
)
_NAMES = ("column", "what it says", "how it is written", "example")
_READ_AS = {
    Type.ID: "a name; no blanks, no colon", Type.REF: "the id of a row", Type.REFS: "ids, blanks between",
    Type.END: "plug:cavity, a splice or a ground point", Type.CAVITY: "a cavity's name, or a range (1-4)",
    Type.CAVITIES: "a number, or names", Type.COLOUR: "base/stripe, in a code or in words",
    Type.LENGTH: "metres, or with its unit", Type.SIZE: "mm², or a gauge (16 AWG)",
    Type.HOURS: "one number, or best likely worst", Type.YES_NO: "yes or no", Type.MONTH: "year-month",
    Type.YEAR: "a year", Type.WORDS: "words, blanks between", Type.NUMBER: "a number", Type.TEMPERATURE: "°C",
    Type.TEXT: "any words", Type.LIST: "one for each cavity, commas between; empty: nothing in it",
}  # fmt: skip


def kinds_report(kinds: Sequence[Kind] = ()) -> Report:
    """All kinds of finding in a line each, worst first; or some of them whole."""
    if kinds:
        return Report("What findings mean", (), present(*map(_whole, kinds)))
    rows = tuple((f"{kind.name} ({_severities(kind)})", SENTENCES[kind.name].means) for kind in KINDS)
    return Report(
        "What findings mean",
        (),
        present(
            Paragraph(SEVERITY),
            Facts(rows),
            Paragraph("harnesscheck explain KIND says what to do and how to check."),
        ),
    )


def _whole(kind: Kind) -> Section | None:
    sentences = SENTENCES[kind.name]
    said = [("What it means", sentences.means), ("Do", sentences.do), ("How to check", sentences.check)]
    return section(kind.name, Facts((("Severity", _severities(kind)), *said)))


def _severities(kind: Kind) -> str:
    return " or ".join(severity.word for severity in kind.severities)


def columns_report(rows: Iterable[RowSort]) -> Report:
    """What the columns of some tables ask for, each with an example; what every table may have comes last."""
    rows = tuple(rows)
    sections = [section(row.table, table("", _NAMES, _lines(row))) for row in rows]
    common = [(one.name, one.help, _written(one), example_of("pin", one)) for one in _common()]
    sections.append(section("In every table", table("", _NAMES, common)))
    return Report("Tables and their columns", (), present(*sections))


def explained(tables: Mapping[str, Sequence[str]]) -> list[list[str]]:
    """The same of some columns of some tables, by sort of row: what the sheet beside a form says."""
    lines = [["table", *_NAMES]]
    for sort, columns in tables.items():
        row = row_sort(sort)
        fields = {one.name: one for one in fields_of(sort)}
        lines += [[row.table, *_line(row, fields[name])] for name in columns]
    return lines


def swap_sheet_report() -> Report:
    """What a swap sheet may say, entry by entry, and the usual hours of work."""
    rates = [(name, RATE_WORDS[name], " ".join(f"{one:g}" for one in hours)) for name, hours in RATES_H.items()]
    return Report(
        "The swap sheet",
        (),
        present(
            section(
                "The swap sheet, a TOML file",
                Paragraph("All of it may be left out."),
                table("", ("section", "entry", "what it says"), SWAP_ENTRIES),
            ),
            section(
                "Rates",
                Paragraph(
                    "Hours for one person: best, likely, worst. Common practice, no source; [rates] replaces any."
                ),
                table("", ("rate", "for", "usual hours"), rates),
            ),
        ),
    )


SWAP_ENTRIES = (  # section, entry, what it says
    ("", 'donor = "donor.xml"', "The donor's file, seen from where the sheet is; shell likewise."),
    ("harness", 'engine = "donor"', "Fixed by you: donor or shell. What is left out is decided, or is the donor's."),
    (
        "parts",
        '"roof-vent*" = "none"',
        "Donor, shell or none, by name or pattern; left out: the donor's where it has one.",
    ),
    (
        "crosswalk",
        'connector = { C21 = "C31", "S12S:4" = "S13:9" }',
        "Certain knowledge, donor to shell: plugs, cavities.",
    ),
    ("crosswalk", 'component = { horn = "horn-low" }', "The same for parts; circuit for circuits."),
    ("built.donor", 'cut = ["C21H:4"]', "As found: a wire cut at a contact; the same under built.shell."),
    ("built.donor", 'tap = [{ at = "C3:2", what = "radio" }]', "A wire somebody joined on."),
    ("built.donor", 'bridge = [["C3:2", "C3:5"]]', "Two contacts somebody joined."),
    ("built.donor", 'seen = { "C12:4" = "RD/BK" }', "A colour that is not the one in the file."),
    ("built.donor.condition", 'floor = "flooded"', "Flooded, burnt, missing, scrapped: not used."),
    ("before", 'dead = ["radio"]', "What did not work before anything was touched."),
    ("accepted", '3d6d0a31f2 = "why"', "A finding's id, and why you can live with it; never for injury."),
    ("rates", "re-pin = [0.1, 0.2, 0.4]", "Your own hours: one number, or best, likely, worst."),
    ("crew", "people = 3", "Who does the work; hours-per-day likewise."),
    ("done", "out-shell-body = 6.5", "A step that is done, and the hours it took; then run decide again."),
)


def _lines(row: RowSort) -> Iterator[tuple[str, str, str, str]]:
    for one in fields_of(row.name):
        if one.name not in COMMON:
            yield _line(row, one)


def _line(row: RowSort, one: Field) -> tuple[str, str, str, str]:
    needed = "; needed" if row.name in one.required_on else ""
    return one.name, one.help + needed, _written(one), example_of(row.name, one)


def _common() -> Iterator[Field]:
    yield from (one for one in fields_of("pin") if one.name in COMMON)


def _written(field: Field) -> str:
    """How the text of a field is written."""
    if field.choices:
        return "one of " + ", ".join(field.choices)
    unit = f" in {field.unit}" if field.unit and field.type in (Type.NUMBER, Type.HOURS) else ""
    return _READ_AS[field.type] + unit
