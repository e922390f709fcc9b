"""What goes to a terminal holds nothing that a terminal would obey, and a contradiction is asked about."""

import json
from pathlib import Path

import pytest
from builders.commands import Say
from hypothesis import given
from hypothesis import strategies as st

from harnesscheck.model.escapes import escaped, escaped_json

HOSTILE = "\x9b31m\u202eevil\u2066\u2028\u200b\u00ad"  # Unicode: C1 control, direction marks, separators, hidden signs
CAR = """<netlist xmlns="urn:harnesscheck:netlist:1" vehicle="v{0}" volts="12">
<harness id="h"/><component id="b" kind="battery" name="n{0}"><connector id="BA" cavities="2">
<pin cavity="1" terminal="+"/><pin cavity="2" terminal="-"/></connector></component>
<connector id="C1" harness="h" cavities="2" mates="BA"><pin cavity="1" function="feed{0}" colour="RD"/></connector>
</netlist>"""


@pytest.mark.parametrize(
    "command", [("validate", "car.xml"), ("compare", "car.xml", "car.xml"), ("trace", "car.xml", "x")]
)
def test_hostile_signs_are_shown_as_escapes(say: Say, tmp_path: Path, command: tuple[str, ...]) -> None:
    (tmp_path / "car.xml").write_text(CAR.format(HOSTILE), encoding="utf-8")

    _, out, err = say(*command)

    assert not set(HOSTILE) - set("31mevil") & set(out + err)


def test_json_says_the_same_with_its_own_escapes(say: Say, tmp_path: Path) -> None:
    (tmp_path / "car.xml").write_text(CAR.format(HOSTILE), encoding="utf-8")

    _, out, _ = say("validate", "car.xml", "--json", "-")

    assert not set(HOSTILE) - set("31mevil") & set(out)
    assert json.loads(out)["inputs"]["donor"]["vehicle"] == f"v{HOSTILE}"


@given(st.text())
def test_what_is_shown_can_be_seen_and_letters_stay(text: str) -> None:
    shown = escaped(text)

    assert escaped(shown) == shown
    assert all(sign in shown for sign in text if sign.isalnum())
    assert json.loads(escaped_json(json.dumps(text, ensure_ascii=False))) == text or any(
        "\ud800" <= sign <= "\udfff" for sign in text
    )


@pytest.mark.parametrize(("cavities", "wires", "status"), [(1, "RD,BK,GN", 2), (1, "RD,BK", 0), (2, "RD,BK,GN", 0)])
def test_more_wires_than_a_contact_holds_is_asked_about(
    say: Say, tmp_path: Path, cavities: int, wires: str, status: int
) -> None:
    """Two wires may be crimped into one contact: common practice, no source."""
    (tmp_path / "car.xml").write_text(CAR.format(""), encoding="utf-8")

    done, _, err = say("identify", "car.xml", "--cavities", str(cavities), "--wires", wires)

    assert done == status
    assert ("count the cavities again" in err) == (status == 2)
