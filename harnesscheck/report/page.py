"""The page a person looks at first: one HTML file with everything in it, nothing fetched, no script.

The page is built as a tree by lxml, which escapes every text; drawings come as
finished SVG elements. Cards are ``details`` elements, so a keyboard opens them.
"""

from __future__ import annotations

import base64
import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from harnesscheck.compare.compare import Comparison
from harnesscheck.compare.findings import Finding, natural
from harnesscheck.compare.kinds import Certainty, Severity
from harnesscheck.compare.sentences import SAFETY, SENTENCES
from harnesscheck.report.pairing import said_first, said_last
from harnesscheck.report.verdict import Verdict, verdict_of

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
    from lxml import etree
    from lxml.html import tostring

    verdict = verdict_of(result.findings, len(result.pairs.connectors))
    style = (files("harnesscheck.report") / "style.css").read_text(encoding="utf-8") + pictures.font_css
    root = _el("html", _head(f"{result.donor.vehicle.name} and {result.shell.vehicle.name}", style), lang="en")
    body = etree.SubElement(root, "body")
    body.append(_top(result, verdict, digests))
    main = etree.SubElement(body, "main")
    for part in _sections(result, pictures, fuses):
        main.append(part)
    body.append(_foot(result, digests))
    text: str = tostring(root, encoding="unicode", doctype="<!DOCTYPE html>", pretty_print=False)
    return text + "\n"


def _el(tag: str, *content: Any, **attributes: str) -> _Element:
    """An element: texts and elements in order; ``class_`` and ``for_`` lose their underscore."""
    from lxml import etree

    element = etree.Element(tag, {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()})
    for item in content:
        if not isinstance(item, str):
            element.append(item)
        elif len(element):
            element[-1].tail = (element[-1].tail or "") + _clean(item)
        else:
            element.text = (element.text or "") + _clean(item)
    return element


def _clean(text: str) -> str:
    """Control characters, which no HTML text may hold, become a visible mark."""
    return "".join(ch if ch in "\n\t" or (ch.isprintable() or ch == "\u00a0") else "\ufffd" for ch in text)


def _head(title: str, style: str) -> _Element:
    sheet = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{sheet}'; font-src data:; base-uri 'none'; form-action 'none'"
    return _el(
        "head",
        _el("meta", charset="utf-8"),
        _el("meta", http_equiv="Content-Security-Policy", content=policy),
        _el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        _el("title", f"harnesscheck: {title}"),
        _el("style", style),
    )


def _top(result: Comparison, verdict: Verdict, digests: Sequence[str]) -> _Element:
    counts = [
        _el(
            "li",
            _el("a", _el("span", SIGN[severity], class_="sign", aria_hidden="true"),
                f"{verdict.counts[severity.word]} {severity.word}", href=f"#{severity.word}"),
            f" {SIGN_MEANS[severity]}",
            class_=severity.word,
        )
        for severity in Severity
    ]  # fmt: skip
    rows = [
        _el("tr", _el("th", word, scope="row"), _el("td", study.vehicle.name),
            _el("td", _el("code", study.vehicle.netlist.header.file.path)), _el("td", _el("code", digest)))
        for word, study, digest in zip(("donor", "shell"), (result.donor, result.shell), digests, strict=True)
    ]  # fmt: skip
    header = _row("th", "", "vehicle", "file", "digest")
    return _el(
        "header",
        _el("h1", verdict.sentence),
        _el("nav", _el("ul", *counts, class_="counts"), aria_label="Findings by severity"),
        _el("div", _el("table", _el("thead", header), _el("tbody", *rows)), class_="scroll", tabindex="0"),
        _cautions(),
    )


def _row(cell: str, *texts: str) -> _Element:
    return _el("tr", *(_el(cell, text, scope="col") if cell == "th" else _el(cell, text) for text in texts))


def _cautions() -> _Element:
    head = "Before you touch anything: battery off, negative first; restraint and high voltage are out of bounds"
    return _el(
        "details",
        _el("summary", _el("b", head)),
        _el("ul", *(_el("li", text) for text in SAFETY)),
        class_="caution",
    )


def _sections(result: Comparison, pictures: Pictures, fuses: Sequence[Mapping[str, str]]) -> Iterable[_Element]:
    if pictures.overview:
        yield _el("section", _el("h2", "The car"), *(_figure(picture) for picture in pictures.overview))
    for severity in Severity:
        chosen = [one for one in result.findings if one.severity is severity and not one.accepted]
        yield _severity_section(result, severity, chosen, pictures)
    accepted = [one for one in result.findings if one.accepted]
    if accepted:
        cards = [_card(result, one, pictures) for one in accepted]
        yield _el("section", _el("h2", "Accepted"), *cards)
    if fuses:
        yield _fuse_section(fuses)
    yield _pairs_section(result)
    yield _not_known(result)


def _severity_section(
    result: Comparison, severity: Severity, findings: Sequence[Finding], pictures: Pictures
) -> _Element:
    section = _el("section", _el("h2", f"{severity.word.capitalize()}: {SIGN_MEANS[severity]}"), id=severity.word)
    if not findings:
        section.append(_el("p", "None found.", class_="soft"))
    elif severity is Severity.NOTE:
        section.append(_note_table(findings))
    else:
        for place, group in _by_place(result, findings).items():
            section.append(_el("h3", place))
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
        for row in (
            vehicle.connectors.get(spot.connector),
            vehicle.grounds.get(spot.connector),
            vehicle.components.get(component),
        ):
            if row is not None and row.at:
                return row.at[:1].upper() + row.at[1:]
    return ELSEWHERE


def _card(result: Comparison, finding: Finding, pictures: Pictures) -> _Element:
    word = finding.severity.word
    doubt = "" if finding.certainty is Certainty.KNOWN else f" ({finding.certainty.word})"
    place = finding.donor if finding.donor.connector else finding.shell
    where = str(place) if place.connector else finding.donor_component or finding.shell_component
    sentences = SENTENCES[finding.kind]
    rows = [
        ("Donor here", _spot_text(finding.donor.connector, finding.donor.cavity, finding.donor.circuit)),
        ("Shell there", _spot_text(finding.shell.connector, finding.shell.cavity, finding.shell.circuit)),
        ("What this means", sentences.means),
        ("What to do", finding.do),
        ("How to check", sentences.check),
        *_evidence(finding),
    ]
    listed = [item for name, text in rows if text for item in (_el("dt", name), _el("dd", text))]
    card = _el(
        "details",
        _el(
            "summary",
            _el("span", SIGN[finding.severity], class_="sign", aria_hidden="true"),
            _el("span", f"{word}: ", class_=f"word {word}"),
            _el("b", f"{where} {finding.kind.replace('-', ' ')}{doubt}"),
        ),
        _el("p", finding.text),
        class_=f"card {word}",
        id=f"f-{finding.id}",
    )
    if finding.severity <= Severity.DAMAGE:
        card.set("open", "open")
    card.extend(_figure(picture) for picture in pictures.by_finding.get(finding.id, ()))
    other = pictures.beside.get(finding.id)
    if other is not None and finding.id not in pictures.by_finding:
        card.append(_el("p", _el("a", "Its drawing is beside another finding of this plug", href=f"#f-{other}"), "."))
    card.append(_el("dl", *listed))
    return card


def _spot_text(connector: str, cavity: str, circuit: str) -> str:
    place = f"{connector} cavity {cavity}" if cavity else connector
    return f"{place}, circuit {circuit}" if place and circuit else place or circuit


def _evidence(finding: Finding) -> list[tuple[str, str]]:
    rows = []
    if finding.evidence.get("hybrid"):
        rows.append(("Judged for", str(finding.evidence["hybrid"])))
    if finding.evidence.get("differences"):
        rows.append(("What differs", "; ".join(map(str, finding.evidence["differences"]))))
    if finding.evidence.get("live"):
        rows.append(("Live", "with the key off" if finding.evidence.get("live_key_off") else "with the key on"))
    if finding.evidence.get("read_at"):
        rows.append(("Read at", ", ".join(map(str, finding.evidence["read_at"]))))
    if finding.accepted:
        rows.append(("Accepted", finding.accepted))
    return [*rows, ("Finding", finding.id)]


def _figure(picture: Picture) -> _Element:
    from lxml import etree

    parser = etree.XMLParser(resolve_entities=False, no_network=True)
    drawing = etree.fromstring(picture.svg.encode("utf-8"), parser)
    return _el(
        "figure", drawing, _el("figcaption", picture.caption), tabindex="0", role="group", aria_label=picture.caption
    )


def _note_table(findings: Sequence[Finding]) -> _Element:
    ordered = sorted(findings, key=lambda one: (one.kind, natural(one.donor.connector), natural(one.donor.cavity)))
    rows = [_row("td", one.kind.replace("-", " "), _where(one), one.text, one.certainty.word) for one in ordered]
    table = _el("table", _el("thead", _row("th", "kind", "where", "what", "certainty")), _el("tbody", *rows))
    return _el("div", table, class_="scroll", tabindex="0", role="region", aria_label="Notes")


def _where(finding: Finding) -> str:
    place = finding.donor if finding.donor.connector else finding.shell
    return str(place) if place.connector else finding.donor_component or finding.shell_component or "-"


def _fuse_section(fuses: Sequence[Mapping[str, str]]) -> _Element:
    """The fuses that are not the same in the shell; all of them are in the file beside the page."""
    section = _el("section", _el("h2", "Which fuse is which"))
    changed = [one for one in fuses if one["same"] != "yes" or one["old-slot"] != one["new-slot"]]
    section.append(_el("p", f"{len(changed)} of {len(fuses)} fuses differ; fuse-map.csv has them all."))
    if changed:
        rows = [
            _row(
                "td", one["old-slot"], f"{one['old-rating']} A", one["new-slot"] or "none",
                f"{one['new-rating']} A" if one["new-rating"] else "", one["feeds"],
            )
            for one in changed
        ]  # fmt: skip
        head = _row("th", "donor", "rating", "shell", "rating", "feeds")
        table = _el("table", _el("thead", head), _el("tbody", *rows))
        section.append(_el("div", table, class_="scroll", tabindex="0", role="region", aria_label="Fuses"))
    return section


def _pairs_section(result: Comparison) -> _Element:
    donor, shell = result.donor.vehicle, result.shell.vehicle
    section = _el("section", _el("h2", "Which plug is which"))
    for group in (*said_first(result.pairs), *said_last(result.pairs, donor, shell)):
        section.append(_el("p", group.head))
        more = [f"and {group.left} more (harnesscheck crosswalk lists them all)"] if group.left else []
        if group.lines:
            section.append(_el("ul", *(_el("li", text) for text in (*group.lines, *more))))
    return section


def _not_known(result: Comparison) -> _Element:
    coverage = result.coverage
    rows = [
        _row(
            "td",
            word,
            f"{car.documented} of {car.cavities} ({car.percent} %)",
            str(car.connectors),
            str(car.components),
        )
        for word, car in (("donor", coverage.donor), ("shell", coverage.shell))
    ]
    head = _row("th", "", "cavities documented", "plug halves", "components")
    return _el(
        "section",
        _el("h2", "What this rests on, and what is not known"),
        _el("div", _el("table", _el("thead", head), _el("tbody", *rows)), class_="scroll", tabindex="0"),
        _el("ul", *(_el("li", text) for text in coverage.unjudged)),
    )


def _foot(result: Comparison, digests: Sequence[str]) -> _Element:
    text = f"Made by harnesscheck from inputs {digests[0]} and {digests[1]}. An aid, not an approval."
    return _el("footer", _el("p", text, class_="soft"))
