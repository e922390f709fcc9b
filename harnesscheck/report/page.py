"""The page a person looks at first: one HTML file with everything in it, nothing fetched, no script.

The page is built as a tree by lxml, which escapes every text; drawings come as
finished SVG elements. Cards are ``details`` elements, so a keyboard opens them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from harnesscheck.compare.built import BuiltComparison
from harnesscheck.compare.compare import Comparison
from harnesscheck.compare.finding.findings import Finding, natural
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.finding.sentences import SAFETY, SENTENCES
from harnesscheck.report.built import built_lines
from harnesscheck.report.html import element, figure, page_text, row
from harnesscheck.report.pairing import said_first, said_last
from harnesscheck.report.stops import stop_elements
from harnesscheck.report.verdict import Verdict, verdict_for

if TYPE_CHECKING:
    from lxml.etree import _Element

SIGN = {
    Severity.INJURY: "I",
    Severity.DAMAGE: "D",
    Severity.DEAD: "X",
    Severity.REWORK: "R",
    Severity.NOTE: "N",
}
SIGN_MEANS = {
    Severity.INJURY: "burns or hurts somebody",
    Severity.DAMAGE: "destroys a part",
    Severity.DEAD: "does not work",
    Severity.REWORK: "goes in after some work",
    Severity.NOTE: "worth knowing",
}
ELSEWHERE = "Whole car"


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing on the page: a caption, and the SVG text (without a font of its own)."""

    caption: str
    svg: str


@dataclass(frozen=True, slots=True)
class Pictures:
    """The drawings of a report: by the id of the finding that shows them first, the overview, and their font.

    ``beside`` names, for a finding drawn together with an earlier one, that finding's id.
    """

    by_finding: Mapping[str, Sequence[Picture]]
    overview: Sequence[Picture] = ()
    font_css: str = ""
    beside: Mapping[str, str] = field(default_factory=dict)


def comparison_page(
    result: Comparison, pictures: Pictures, digests: Sequence[str], fuses: Sequence[Mapping[str, str]] = ()
) -> str:
    """The whole report of a compare as one HTML text; ``digests`` are the donor's and the shell's.

    ``fuses`` are the rows of the fuse map, as ``report.fuses`` makes them.
    """
    title = f"{result.donor.vehicle.name} and {result.shell.vehicle.name}"
    main = element("main", *_sections(result, pictures, fuses))
    return page_text(
        title, (_top(result, verdict_for(result), digests), main, _foot(result, digests)), pictures.font_css
    )


def _top(result: Comparison, verdict: Verdict, digests: Sequence[str]) -> _Element:
    counts = [
        element(
            "li",
            element("a", element("span", SIGN[severity], class_="sign", aria_hidden="true"),
                f"{verdict.counts[severity.word]} {severity.word}", href=f"#{severity.word}"),
            f" {SIGN_MEANS[severity]}",
            class_=severity.word,
        )
        for severity in Severity
    ]  # fmt: skip
    of_car = digests[0], " + ".join(digests[1:])  # a built car's: the shell's and the swap sheet's
    rows = [
        element("tr", element("th", word, scope="row"), element("td", study.vehicle.name),
            element("td", element("code", study.vehicle.netlist.header.file.path)),
            element("td", element("code", digest)))
        for word, study, digest in zip(("donor", result.word), (result.donor, result.shell), of_car, strict=True)
    ]  # fmt: skip
    header = row("th", "", "vehicle", "file", "digest")
    return element(
        "header",
        element("h1", verdict.sentence),
        *stop_elements(result.donor, result.shell),
        element("nav", element("ul", *counts, class_="counts"), aria_label="Findings by severity"),
        element(
            "div", element("table", element("thead", header), element("tbody", *rows)), class_="scroll", tabindex="0"
        ),
        *([_built(result)] if isinstance(result, BuiltComparison) else []),
        _cautions(),
    )


def _built(result: BuiltComparison) -> _Element:
    return element("ul", *(element("li", text) for text in built_lines(result)))


def _cautions() -> _Element:
    head = "Before you touch anything: battery off, negative first; restraint and high voltage are out of bounds"
    return element(
        "details",
        element("summary", element("b", head)),
        element("ul", *(element("li", text) for text in SAFETY)),
        class_="caution",
    )


def _sections(result: Comparison, pictures: Pictures, fuses: Sequence[Mapping[str, str]]) -> Iterable[_Element]:
    if pictures.overview:
        yield element(
            "section",
            element("h2", "The car"),
            *(figure(picture.caption, picture.svg) for picture in pictures.overview),
        )
    for severity in Severity:
        chosen = [one for one in result.findings if one.severity is severity and not one.accepted]
        yield _severity_section(result, severity, chosen, pictures)
    accepted = [one for one in result.findings if one.accepted]
    if accepted:
        cards = [_card(result, one, pictures) for one in accepted]
        yield element("section", element("h2", "Accepted"), *cards)
    if fuses:
        yield _fuse_section(fuses)
    yield _pairs_section(result)
    yield _not_known(result)


def _severity_section(
    result: Comparison, severity: Severity, findings: Sequence[Finding], pictures: Pictures
) -> _Element:
    section = element(
        "section", element("h2", f"{severity.word.capitalize()}: {SIGN_MEANS[severity]}"), id=severity.word
    )
    if not findings:
        section.append(element("p", "None found.", class_="soft"))
    elif severity is Severity.NOTE:
        section.append(_note_table(findings))
    else:
        for place, group in _by_place(result, findings).items():
            section.append(element("h3", place))
            section.extend(_card(result, finding, pictures) for finding in group)
    return section


def _by_place(result: Comparison, findings: Sequence[Finding]) -> dict[str, list[Finding]]:
    """Findings by where in the car they are, in the findings' own order; those of no place at the end."""
    groups: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        groups[_place(result, finding)].append(finding)
    last = groups.pop(ELSEWHERE, None)
    if last:
        groups[ELSEWHERE] = last
    return dict(groups)


def _place(result: Comparison, finding: Finding) -> str:
    for vehicle, spot, component in (
        (result.donor.vehicle, finding.donor, finding.donor_component),
        (result.shell.vehicle, finding.shell, finding.shell_component),
    ):
        for place in (
            vehicle.connectors.get(spot.connector),
            vehicle.grounds.get(spot.connector),
            vehicle.components.get(component),
        ):
            if place is not None and place.at:
                return place.at[:1].upper() + place.at[1:]
    return ELSEWHERE


def _card(result: Comparison, finding: Finding, pictures: Pictures) -> _Element:
    word = finding.severity.word
    doubt = "" if finding.certainty is Certainty.KNOWN else f" ({finding.certainty.word})"
    place = finding.donor if finding.donor.connector else finding.shell
    where = str(place) if place.connector else finding.donor_component or finding.shell_component
    sentences = SENTENCES[finding.kind]
    rows = [
        ("Donor here", _spot_text(finding.donor.connector, finding.donor.cavity, finding.donor.circuit)),
        (
            f"{result.word.capitalize()} there",
            _spot_text(finding.shell.connector, finding.shell.cavity, finding.shell.circuit),
        ),
        ("What this means", sentences.means),
        ("What to do", finding.do),
        ("How to check", sentences.check),
        *_evidence(finding),
    ]
    listed = [item for name, text in rows if text for item in (element("dt", name), element("dd", text))]
    card = element(
        "details",
        element(
            "summary",
            element("span", SIGN[finding.severity], class_="sign", aria_hidden="true"),
            element("span", f"{word}: ", class_=f"word {word}"),
            element("b", f"{where} {finding.kind.replace('-', ' ')}{doubt}"),
        ),
        element("p", finding.text),
        class_=f"card {word}",
        id=f"f-{finding.id}",
    )
    if finding.severity <= Severity.DAMAGE:
        card.set("open", "open")
    card.extend(figure(picture.caption, picture.svg) for picture in pictures.by_finding.get(finding.id, ()))
    other = pictures.beside.get(finding.id)
    if other is not None and finding.id not in pictures.by_finding:
        card.append(
            element("p", element("a", "Its drawing is beside another finding of this plug", href=f"#f-{other}"), ".")
        )
    card.append(element("dl", *listed))
    return card


def _spot_text(connector: str, cavity: str, circuit: str) -> str:
    place = f"{connector} cavity {cavity}" if cavity else connector
    return f"{place}, circuit {circuit}" if place and circuit else place or circuit


def _evidence(finding: Finding) -> list[tuple[str, str]]:
    rows, evidence = [], finding.evidence
    if evidence.judged_for:
        rows.append(("Judged for", evidence.judged_for))
    if evidence.differences:
        rows.append(("What differs", "; ".join(evidence.differences)))
    if evidence.live:
        rows.append(("Live", "with the key off" if evidence.live_key_off else "with the key on"))
    if evidence.read_at:
        rows.append(("Read at", ", ".join(evidence.read_at)))
    if finding.accepted:
        rows.append(("Accepted", finding.accepted))
    return [*rows, ("Finding", finding.id)]


def _note_table(findings: Sequence[Finding]) -> _Element:
    ordered = sorted(findings, key=lambda one: (one.kind, natural(one.donor.connector), natural(one.donor.cavity)))
    rows = [row("td", one.kind.replace("-", " "), _where(one), one.text, one.certainty.word) for one in ordered]
    table = element("table", element("thead", row("th", "kind", "where", "what", "certainty")), element("tbody", *rows))
    return element("div", table, class_="scroll", tabindex="0", role="region", aria_label="Notes")


def _where(finding: Finding) -> str:
    place = finding.donor if finding.donor.connector else finding.shell
    return str(place) if place.connector else finding.donor_component or finding.shell_component or "-"


def _fuse_section(fuses: Sequence[Mapping[str, str]]) -> _Element:
    """The fuses that are not the same in the shell; all of them are in the file beside the page."""
    section = element("section", element("h2", "Which fuse is which"))
    changed = [one for one in fuses if one["same"] != "yes" or one["old-slot"] != one["new-slot"]]
    section.append(element("p", f"{len(changed)} of {len(fuses)} fuses differ; fuse-map.csv has them all."))
    if changed:
        rows = [
            row(
                "td", one["old-slot"], f"{one['old-rating']} A", one["new-slot"] or "none",
                f"{one['new-rating']} A" if one["new-rating"] else "", one["feeds"],
            )
            for one in changed
        ]  # fmt: skip
        head = row("th", "donor", "rating", "shell", "rating", "feeds")
        table = element("table", element("thead", head), element("tbody", *rows))
        section.append(element("div", table, class_="scroll", tabindex="0", role="region", aria_label="Fuses"))
    return section


def _pairs_section(result: Comparison) -> _Element:
    donor, shell = result.donor.vehicle, result.shell.vehicle
    section = element("section", element("h2", "Which plug is which"))
    for group in (*said_first(result.pairs), *said_last(result.pairs, donor, shell, result.word)):
        section.append(element("p", group.head))
        more = [f"and {group.left} more (harnesscheck crosswalk lists them all)"] if group.left else []
        if group.lines:
            section.append(element("ul", *(element("li", text) for text in (*group.lines, *more))))
    return section


def _not_known(result: Comparison) -> _Element:
    coverage = result.coverage
    rows = [
        row(
            "td",
            word,
            f"{car.documented} of {car.cavities} ({car.percent} %)",
            str(car.connectors),
            str(car.components),
        )
        for word, car in (("donor", coverage.donor), (result.word, coverage.shell))
    ]
    head = row("th", "", "cavities documented", "plug halves", "components")
    return element(
        "section",
        element("h2", "What this rests on, and what is not known"),
        element(
            "div", element("table", element("thead", head), element("tbody", *rows)), class_="scroll", tabindex="0"
        ),
        element("ul", *(element("li", one.text) for one in coverage.unjudged)),
    )


def _foot(result: Comparison, digests: Sequence[str]) -> _Element:
    text = f"Made by harnesscheck from inputs {' and '.join(digests)}. An aid, not an approval."
    return element("footer", element("p", text, class_="soft"))
