"""A finding's evidence as a report writes it, and the one way in which findings are made."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.compare.finding.findings import Evidence, Hybrid, Spot, make_finding
from harnesscheck.compare.finding.kinds import KIND, KINDS, Certainty, KindName, Severity
from harnesscheck.compare.finding.sentences import SENTENCES

ALL_SAID = Evidence(
    hybrid=Hybrid.DONOR_HALF,
    effect=Severity.DAMAGE,
    shown={"volts": 3.0},
    differences=("colour",),
    places=((Spot("C1", "2", "FP"), Spot("D1", "2")),),
    live=True,
    live_key_off=False,
    fuse=(),
    assumed=("1.5 m",),
    read_at=("a.xml:3",),
    repinned_together=True,
    apart=(None, "C2"),
    loads=("lamp: dead-accessory",),
    as_found=True,
)


def test_what_is_not_said_is_not_written() -> None:
    """Nothing said is an empty object: no null, no false, no empty list."""
    assert Evidence().to_json() == {}


def test_evidence_is_written_in_one_order() -> None:
    """The keys and their order are what a report had before evidence was a record."""
    assert list(ALL_SAID.to_json().items()) == [
        ("hybrid", "damage: donor's harness on the shell's half"),
        ("volts", 3.0),
        ("differences", ["colour"]),
        (
            "places",
            [
                {
                    "donor": {"connector": "C1", "cavity": "2", "circuit": "FP"},
                    "shell": {"connector": "D1", "cavity": "2", "circuit": ""},
                }
            ],
        ),
        ("live", True),
        ("live_key_off", False),
        ("fuse", None),
        ("assumed", ["1.5 m"]),
        ("read_at", ["a.xml:3"]),
        ("repinned_together", True),
        ("apart", [None, "C2"]),
        ("loads", ["lamp: dead-accessory"]),
        ("as_found", True),
    ]


def test_a_limit_held_against_the_donor_says_so_after_its_numbers() -> None:
    """What is judged is the wiring; how the donor stands comes beside it."""
    held = Evidence(shown={"amps": 12.0}, read_at=("b.xml:9",), hybrid=Hybrid.WIRING, donor_share=0.8)

    assert list(held.to_json()) == ["amps", "read_at", "hybrid", "donor_share"]


PLACEHOLDERS = (
    "own", "was", "was_within", "now", "fuse", "part", "from", "to", "live", "text", "list", "hazard",
    "state", "why", "before", "volts", "had", "path", "drain", "lost", "burns",
)  # fmt: skip
WORDS = dict.fromkeys(PLACEHOLDERS, "words")


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_a_finding_has_its_kind_s_severity_and_words(kind: KindName) -> None:
    """Whoever makes one names the kind and fills its sentence; all else is the kind's."""
    one = make_finding(kind, Certainty.LIKELY, Spot("C1", "2"), words=WORDS)

    assert (one.severity, one.do) == (KIND[kind].severity, SENTENCES[kind].do)
    assert one.text == SENTENCES[kind].says.format_map(WORDS)


@settings(max_examples=30)
@given(st.sampled_from([kind.name for kind in KINDS]), st.text(max_size=5), st.text(max_size=5), st.text(max_size=5))
def test_evidence_and_words_are_no_part_of_the_name(kind: KindName, connector: str, cavity: str, text: str) -> None:
    """The id is of kind, places and circuits: it outlives another sentence, another certainty, other numbers."""
    spot = Spot(connector, cavity)
    one = make_finding(kind, Certainty.KNOWN, spot, words=WORDS)
    other = make_finding(kind, Certainty.NOT_KNOWN, spot, words=WORDS, evidence=ALL_SAID, text=text, do=text)

    assert one.id == other.id
