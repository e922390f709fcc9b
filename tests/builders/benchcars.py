"""Little cars written as XML, with everything a ring-out has to tell apart."""

from __future__ import annotations

from pathlib import Path

from builders.demo import study_at
from harnesscheck.network.graph.sides import Study

HEAD = (
    '<netlist xmlns="urn:harnesscheck:netlist:1" vehicle="Bench car" model-year="2014" colour-code="iec60757" '
    'volts="12">'
)


def study_of(rows: str, folder: Path) -> Study:
    """The car of some rows of XML."""
    file = folder / "car.xml"
    file.write_text(f"{HEAD}{rows}</netlist>", encoding="utf-8")
    return study_at(file)


RESTRAINT = """
<circuit id="SQ" class="restraint"/><circuit id="AB" function="airbag module feed" system="restraint"/>
<circuit id="HV" system="high-voltage"/><circuit id="F"/><circuit id="31"/><circuit id="L"/>
<harness id="body"/><ground id="G1"/>
<component id="battery" kind="battery"><connector id="B" cavities="1"><pin cavity="1" terminal="+" role="source"/>
</connector><pin terminal="-" to="G1"/></component>
<component id="F1" kind="fuse" rating="10"><connector id="FA" cavities="2"><pin cavity="1" terminal="1"/>
<pin cavity="2" terminal="2"/></connector></component>
<component id="F2" kind="fuse" rating="10"><connector id="FB" cavities="2"><pin cavity="1" terminal="1"/>
<pin cavity="2" terminal="2"/></connector></component>
<component id="lamp" kind="lamp" watts="5"><connector id="LA" cavities="2"><pin cavity="1" terminal="+" role="supply"/>
<pin cavity="2" terminal="-" role="ground"/></connector></component>
<component id="bag-module" kind="module" system="restraint"><connector id="M" cavities="4">
<pin cavity="1" terminal="15" role="supply"/><pin cavity="2" terminal="31" role="ground"/>
<pin cavity="3" terminal="S1" role="output"/><pin cavity="4" terminal="S2" role="output"/></connector></component>
<component id="squib" kind="other" system="restraint"><connector id="S" cavities="2"><pin cavity="1" terminal="1"/>
<pin cavity="2" terminal="2"/></connector></component>
<component id="drive" kind="motor"><connector id="D" cavities="2"><pin cavity="1" terminal="+"/>
<pin cavity="2" terminal="-"/></connector></component>
<connector id="BH" harness="body" cavities="1" mates="B"><pin cavity="1" circuit="F" to="FAH:1"/></connector>
<connector id="FAH" harness="body" cavities="2" mates="FA"><pin cavity="1" circuit="F" to="FBH:1"/>
<pin cavity="2" circuit="L" to="LH:1"/></connector>
<connector id="FBH" harness="body" cavities="2" mates="FB"><pin cavity="2" circuit="AB" to="MH:1"/></connector>
<connector id="LH" harness="body" cavities="2" mates="LA"><pin cavity="2" circuit="31" to="G1"/></connector>
<connector id="MH" harness="body" cavities="4" mates="M"><pin cavity="2" circuit="31" to="G1"/>
<pin cavity="3" circuit="SQ" to="SH:1"/><pin cavity="4" circuit="SQ" to="SH:2"/></connector>
<connector id="SH" harness="body" cavities="2" mates="S"/>
<connector id="DH" harness="body" cavities="2" mates="D"><pin cavity="1" circuit="HV" to="X:1"/>
<pin cavity="2" circuit="HV" to="X:2"/></connector>
<connector id="X" harness="body" cavities="2" complete="no"/>
"""
"""A battery, two fuses, a lamp, an airbag module with its squib, a high-voltage drive."""
