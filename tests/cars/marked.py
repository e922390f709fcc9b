"""A small van of our invention that can have its restraint or high-voltage part marked in any one way, or in none.

Part ``u1`` (module) and part ``u2`` (what it fires, or drives) are joined by two wires through the in-line plug
``X``/``Y``, which carries the reading lamp's feed beside them; the first goes through splice ``S2``. Unmarked,
nothing tells them from the seat heater's.
"""

from __future__ import annotations

from collections.abc import Mapping

TEXTS: Mapping[str, str] = {
    "header": "",
    "circuit": "",  # attributes of both wires' circuit
    "module": 'name="Unit 1"',
    "part": 'name="Unit 2"',
    "plug": 'housing-colour="natural" at="under the bonnet"',  # attributes of u2's harness plug
    "far": "",  # attributes of the wire's row at u2's end
    "near": "",  # the same at the module's end
    "terminal": "1",
}


def marked_van(**texts: str) -> str:
    """The van's rows, with some texts of ``TEXTS`` in place of the ordinary ones."""
    said = {**TEXTS, **texts}
    return (
        _VAN.replace("{circuit}", said["circuit"])
        .replace("{module}", said["module"])
        .replace("{part}", said["part"])
        .replace("{plug}", said["plug"])
        .replace("{far}", said["far"])
        .replace("{near}", said["near"])
        .replace("{terminal}", said["terminal"])
    )


def _socket(part: str, kind: str, pins: str, more: str = "") -> str:
    rows = "".join(
        f'<pin cavity="{n}" terminal="{name}" role="{role}"/>' if role else f'<pin cavity="{n}" terminal="{name}"/>'
        for n, (name, _, role) in enumerate((text.partition("/") for text in pins.split()), start=1)
    )
    own = f'<connector id="{part}-A" cavities="{len(pins.split())}">{rows}</connector>'
    return f'<component id="{part}" kind="{kind}" {more}>{own}</component>\n'


_VAN = (
    """<harness id="body" name="Body harness"/><harness id="floor" name="Floor harness"/>
<ground id="G1" at="left sill"/>
<splice id="S1" harness="body"/><splice id="S2" harness="floor"/>
<circuit id="W1" {circuit}/><circuit id="W2" {circuit}/><circuit id="15" class="run"/>
<circuit id="30" class="permanent"/>
<circuit id="RL" class="feed"/><circuit id="CH" class="data"/><circuit id="31" class="ground"/>
"""
    + _socket("battery", "battery", "+/source -/ground")
    + _socket("F1", "fuse", "1 2", 'rating="10"')
    + _socket("F2", "fuse", "1 2", 'rating="10"')
    + _socket("radio", "module", "15/supply 31/ground CH/data", 'name="Radio"')
    + _socket("lamp", "lamp", "+/supply -/ground", 'name="Reading lamp" watts="5"')
    + _socket("u1", "module", "15/supply 31/ground CH/data W1 W2", "{module}")
    + _socket("u2", "other", "{terminal} 2", "{part}")
    + """<connector id="BH" harness="body" cavities="2" mates="battery-A"><pin cavity="1" circuit="30" to="S1"/>
<pin cavity="2" circuit="31" to="G1"/></connector>
<connector id="F1H" harness="body" cavities="2" mates="F1-A"><pin cavity="1" circuit="30" to="S1"/>
<pin cavity="2" circuit="15" to="u1H:1"/></connector>
<connector id="F2H" harness="body" cavities="2" mates="F2-A"><pin cavity="1" circuit="30" to="S1"/>
<pin cavity="2" circuit="RL" to="X:3"/></connector>
<connector id="radioH" harness="body" cavities="3" mates="radio-A"><pin cavity="1" circuit="15" to="F1H:2"/>
<pin cavity="2" circuit="31" to="G1"/><pin cavity="3" circuit="CH" to="u1H:3"/></connector>
<connector id="u1H" harness="body" cavities="5" mates="u1-A"><pin cavity="2" circuit="31" to="G1"/>
<pin cavity="4" circuit="W1" colour="GN" size="0.5" length="1.2" to="X:1" {near}/>
<pin cavity="5" circuit="W2" colour="GN/BK" size="0.5" length="1.2" to="X:2" {near}/></connector>
<connector id="X" harness="body" cavities="4" half="pins" mates="Y" at="left sill"/>
<connector id="Y" harness="floor" cavities="4" half="sockets" at="left sill">
<pin cavity="1" circuit="W1" colour="GN" size="0.5" length="0.4" to="S2"/>
<pin cavity="2" circuit="W2" colour="GN/BK" size="0.5" length="0.8" to="u2H:2"/>
<pin cavity="3" circuit="RL" to="lampH:1"/></connector>
<connector id="u2H" harness="floor" cavities="2" mates="u2-A" {plug}>
<pin cavity="1" circuit="W1" colour="GN" size="0.5" length="0.4" to="S2" {far}/></connector>
<connector id="lampH" harness="floor" cavities="2" mates="lamp-A"><pin cavity="2" circuit="31" to="G1"/></connector>
"""
)

SPECIAL_CONTACTS = frozenset(
    f"{plug}:{cavity}"
    for plug, cavities in (("X", "12"), ("Y", "12"), ("u1H", "45"), ("u1-A", "45"), ("u2H", "12"), ("u2-A", "12"))
    for cavity in cavities
)
"""The contacts of the two wires: nobody touches them, however they are marked."""

RESTRAINT_WAYS: Mapping[str, Mapping[str, str]] = {
    "class": {"circuit": 'class="restraint"'},
    "system": {"part": 'name="Unit 2" system="restraint"'},
    "system SRS": {"circuit": 'system="SRS"'},
    "system airbag": {"module": 'system="Airbag"'},
    "name": {"part": 'name="Driver squib"'},
    "German": {"part": 'name="Gurtstraffer vorn links"'},
    "French": {"part": 'name="prétensionneur ceinture conducteur"'},
    "Italian": {"circuit": 'function="cuscino laterale airbag"'},
    "Swedish": {"module": 'name="krockkudde styrenhet"'},
    "Polish": {"part": 'name="poduszka powietrzna pasażera"'},
    "in a long text": {"far": 'function="GN wire from under the seat (side curtain inflator?), see photo 12"'},
    "near end": {"near": 'function="belt tensioner left ?"'},
    "terminal": {"terminal": "SQUIB+"},
    "plug's name": {"plug": 'name="airbag plug, left"'},
}
"""Ways that a file says it in, known at once; words from memory."""

SUSPECTED_WAYS: Mapping[str, Mapping[str, str]] = {
    "yellow under the seat": {"plug": 'housing-colour="yellow" at="under left seat"'},
    "yellow at the wheel": {"plug": 'housing-colour="gelb" at="Lenkrad"'},
    "yellow, twisted": {"plug": 'housing-colour="yellow"', "far": 'pair="t1"'},
}

HIGH_VOLTAGE_WAYS: Mapping[str, Mapping[str, str]] = {
    "class": {"circuit": 'class="high-voltage"'},
    "system HV": {"part": 'system="HV"'},
    "system, two words": {"module": 'system="high voltage"'},
    "name": {"part": 'name="Traction battery"'},
    "German": {"circuit": 'function="Hochvolt Leitung"'},
    "function": {"far": 'function="HV+ to inverter"'},
}
