"""What the functions of a car were taken for, those first that need a look."""

from builders.rows import bare
from click.testing import CliRunner

from harnesscheck.cli.main import cli
from harnesscheck.compare.understood import Look, functions_read
from harnesscheck.report.understood import note_of

TEXTS = ["horn", "switched ground", "zorbel", "permanant feed", "driver airbag", "battery feed"]


def car():
    pins = "".join(f'<pin cavity="{n}" function="{text}"/>' for n, text in enumerate(TEXTS, 1))
    return bare(
        '<circuit id="FP" function="fuel pump ground" class="run"/>',
        f'<connector id="X1" harness="?" cavities="8">{pins}<pin cavity="7" circuit="FP" function="horn"/></connector>',
    )


def test_what_needs_a_look_comes_first():
    found = functions_read(car())

    assert [one.look for one in found] == sorted(one.look for one in found)
    assert {one.text: one.look for one in found if one.typed is None} == {
        "driver airbag": Look.HAZARD, "switched ground": Look.DOUBTED_RAIL, "zorbel": Look.NOT_UNDERSTOOD,
        "permanant feed": Look.MISPRINT, "horn": Look.NONE, "battery feed": Look.NONE,
    }  # fmt: skip


def test_a_typed_class_wins_over_words():
    (typed,) = [one for one in functions_read(car()) if one.text == "fuel pump ground"]

    assert (typed.class_, typed.look) == ("run", Look.OVERRULED)


def test_a_text_on_many_rows_is_one_line():
    found = functions_read(bare('<connector id="X" harness="?" cavities="2">' + "".join(
        f'<pin cavity="{n}" function="horn"/>' for n in (1, 2)) + "</connector>"))  # fmt: skip

    assert [(one.text, one.place, one.rows) for one in found] == [("horn", "X:1", 2)]


def test_validate_prints_the_table(tmp_path):
    file = tmp_path / "plug.csv"
    file.write_text("cavity,function\n1,permanant feed\n2,switched ground\n", encoding="utf-8")
    printed = CliRunner().invoke(cli, ["validate", str(file)]).output

    assert "'permanant' read as 'permanent'" in printed
    assert printed.index("switched ground") < printed.index("permanant feed")
    assert "may be ground: ring it out" in printed


def test_nobody_is_told_to_ring_out_a_plug_that_restraint_wiring_shares():
    """The doubted ground sits beside the airbag's wires: whoever measures it opens that plug."""
    rows = '<connector id="{}" harness="?" cavities="2"><pin cavity="1" function="horn ground"/>{}</connector>'
    shared = functions_read(bare(rows.format("X1", '<pin cavity="2" function="driver airbag"/>')))
    alone = functions_read(bare(rows.format("X2", "")))
    notes = {one.place: note_of(one) for one in (*shared, *alone)}

    assert "ring it out" not in notes["X1:1"] and "licensed person" in notes["X1:1"]
    assert "ring it out" in notes["X2:1"]
