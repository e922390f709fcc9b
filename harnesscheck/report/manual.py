"""The README's chapter on findings, made from the one module that holds the sentences."""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.compare.finding.kinds import KINDS, Kind
from harnesscheck.compare.finding.sentences import SENTENCES

HEADING = "## What the findings mean"


def findings_chapter() -> str:
    """Markdown: one paragraph a kind, worst first, with what it means, what to do, how to check."""
    return "\n".join([HEADING, "", *_intro(), *_paragraphs()]).rstrip() + "\n"


def _intro() -> Iterator[str]:
    yield "Severity says how bad it is: **injury** (burns or hurts somebody), **damage** (destroys a part), **dead**"
    yield "(something does not work), **rework** (goes in after some work), **note**. Certainty says how well it is"
    yield "founded: *known*, *likely* (rests on a name, a rule or a doubtful pair), *not known* (ring it out)."
    yield ""


def _paragraphs() -> Iterator[str]:
    for kind in KINDS:
        sentences = SENTENCES[kind.name]
        yield f"**`{kind.name}`** ({_severities(kind)}). {sentences.means}"
        yield f"*Do:* {sentences.do} *Check:* {sentences.check}"
        yield ""


def _severities(kind: Kind) -> str:
    return " or ".join(severity.word for severity in kind.severities)


if __name__ == "__main__":
    print(findings_chapter(), end="")
