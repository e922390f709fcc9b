"""What differs on restraint and high-voltage parts: told once a part, whatever the order and the ends of the rows."""

from __future__ import annotations

from itertools import permutations

import pytest
from builders.rows import bare, findings

from harnesscheck.compare.finding.findings import Finding
from harnesscheck.network.graph.sides import Study

PARTS = """<circuit id="AB1" class="restraint"/><harness id="floor"/>
<component id="m" kind="module" system="restraint"><connector id="M1" cavities="2"><pin cavity="1" terminal="D1"/>
</connector></component>
<component id="b" kind="other" system="restraint"><connector id="M2" cavities="2"><pin cavity="1" terminal="1"/>
</connector></component>"""


def plugs(order: tuple[int, ...], first: str = "", second: str = "") -> Study:
    """The module's and the airbag's plug in an order; what their pins say beside circuit and cavity."""
    rows = [
        f'<connector id="C1" harness="floor" mates="M1"><pin cavity="1" circuit="AB1" {first}/></connector>',
        f'<connector id="C2" harness="floor" mates="M2"><pin cavity="1" circuit="AB1" {second}/></connector>',
    ]
    return bare(PARTS + "".join(rows[n] for n in order))


def told(donor: Study, shell: Study) -> list[str]:
    """What is said of restraint parts, but that something is not written."""
    return [one.text for one in findings(donor, shell) if one.kind == "restraint-altered" and not_only_unknown(one)]


def not_only_unknown(one: Finding) -> bool:
    """Whether a finding is more than that a file lacks something."""
    return one.certainty.word != "not known"


HERE, THERE = 'to="C2:1" colour="YE" size="0.5"', 'to="C1:1" colour="YE" size="0.5"'


@pytest.mark.parametrize("ends", [(HERE, THERE), (HERE, 'colour="YE"'), ('colour="YE" size="0.5"', THERE), (HERE, "")])
def test_the_order_of_rows_alters_nothing(ends: tuple[str, str]) -> None:
    """A wire written at both ends, or described at its other end, is one wire whichever plug's row comes first."""
    for a, b in permutations([(0, 1), (1, 0)]):
        assert told(plugs(a, *ends), plugs(b, *ends)) == []


def test_one_end_or_both_is_the_same_wire() -> None:
    assert told(plugs((0, 1), HERE, THERE), plugs((1, 0), HERE, 'colour="YE" size="0.5"')) == []


def test_a_contact_is_compared_where_it_is() -> None:
    """The near end's contact is not the far end's."""
    donor = plugs((0, 1), f'{HERE} contact="1.5"', 'colour="YE" contact="0.6"')
    assert told(donor, plugs((1, 0), 'colour="YE" contact="1.5"', f'{THERE} contact="0.6"')) == []
    (text,) = told(donor, plugs((0, 1), f'{HERE} contact="1.5"', 'colour="YE" contact="1.5"'))
    assert "C2:1 contact 0.6 here, 1.5 there" in text


LINE = """<harness id="body"/><harness id="floor"/><ground id="G1"/>
<component id="battery" kind="battery"><connector id="BA" cavities="2"><pin cavity="1" terminal="+"/>
<pin cavity="2" terminal="-"/></connector></component>
<component id="F1" kind="fuse" rating="20"><connector id="FA" cavities="2"><pin cavity="1" terminal="1"/>
<pin cavity="2" terminal="2"/></connector></component>
<component id="wiper" kind="motor" amps="6"><connector id="PA" cavities="2"><pin cavity="1" terminal="+"/>
<pin cavity="2" terminal="-"/></connector></component>
<component id="cluster" kind="module"><connector id="CA" cavities="1"><pin cavity="1" terminal="CANH" role="data"/>
</connector></component>
<component id="m" kind="module" {system}><connector id="RA" cavities="1"><pin cavity="1" terminal="CANH" role="data"/>
</connector></component>
<connector id="B" harness="body" cavities="2" mates="BA"><pin cavity="1" to="F:1"/><pin cavity="2" to="G1"/></connector>
<connector id="F" harness="body" cavities="2" mates="FA"><pin cavity="2" circuit="WP" to="X:{feed}"/></connector>
<connector id="C" harness="body" cavities="1" mates="CA"><pin cavity="1" circuit="CANH" to="X:{line}"/></connector>
<connector id="X" harness="body" cavities="2" mates="Y"/><connector id="Y" harness="floor" cavities="2"/>
<connector id="P" harness="floor" cavities="2" mates="PA"><pin cavity="1" circuit="WP" to="Y:{feed}"/>
<pin cavity="2" to="G1"/></connector>
<connector id="R" harness="floor" cavities="1" mates="RA"><pin cavity="1" circuit="CANH" to="Y:{line}"/></connector>
"""


@pytest.mark.parametrize("system", ['system="restraint"', ""])
def test_a_feed_on_a_shared_data_line_is_told_of_both_the_line_and_the_restraint_module(system: str) -> None:
    """The line is ordinary wiring and keeps its own finding; nothing is said of a motor that is none of either."""
    cars = [bare(LINE.format(system=system, feed=feed, line=3 - feed)) for feed in (1, 2)]
    found = findings(*cars)
    line = [one for one in found if one.kind == "feed-on-signal"]
    altered = [one for one in found if one.kind == "restraint-altered"]

    assert {str(one.donor).partition(" ")[0] for one in line} == {"X:1", "X:2"}
    assert all(one.severity.word == "damage" for one in line)
    assert [one.donor_component for one in altered] == (["m"] if system else [])
    assert all("its CANH at X:" in one.text and "wiper" not in one.text for one in altered)
