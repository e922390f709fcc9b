"""A little car as a file, for commands that are run on files."""

from __future__ import annotations

from pathlib import Path


def little_car(path: Path, name: str, plus: str) -> None:
    """A battery, a fuse and a lamp behind an in-line plug; ``plus`` is what cavity 1 of the front half carries."""
    path.joinpath(name).write_text(
        f"""<netlist xmlns="urn:harnesscheck:netlist:1" volts="12"><harness id="front"/><harness id="rear"/>
<ground id="G1"/><component id="battery" kind="battery"><connector id="B-A" cavities="2"><pin cavity="1" terminal="+"/>
<pin cavity="2" terminal="-"/></connector></component><component id="F1" kind="fuse" rating="10">
<connector id="F-A" cavities="2"><pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/></connector></component>
<component id="lamp" kind="lamp" watts="5"><connector id="L-A" cavities="2"><pin cavity="1" terminal="+"/>
<pin cavity="2" terminal="-"/></connector></component>
<connector id="B-H" harness="front" cavities="2" mates="B-A"><pin cavity="1" circuit="30" to="F-H:1"/>
<pin cavity="2" circuit="31" to="G1"/></connector><connector id="F-H" harness="front" cavities="2" mates="F-A"/>
<connector id="X" harness="front" cavities="2" mates="XR"><pin cavity="1" circuit="{plus}" to="F-H:2"/></connector>
<connector id="XR" harness="rear" cavities="2"><pin cavity="{"1" if plus == "L" else "2"}" circuit="L" to="L-H:1"/>
{"" if plus == "L" else '<pin cavity="1" circuit="31" to="G1"/>'}</connector>
<connector id="L-H" harness="rear" cavities="2" mates="L-A"><pin cavity="2" circuit="31" to="G1"/></connector>
</netlist>""",
        encoding="utf-8",
    )
