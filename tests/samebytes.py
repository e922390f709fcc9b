"""Which outputs of two checkouts differ? Run by hand: ``python tests/samebytes.py BEFORE AFTER [--pairs N]``.

For a change that must not change answers. Every command runs in both checkouts on the
same inputs: the example of BEFORE, its tables, its one-plug tables, and pairs of made-up
cars, half of them with names in common. What is printed and every file that is written
are held against each other byte by byte; the names that differ are listed and the
status is 1. The folder with both sets of outputs is kept, to be looked at with ``diff -r``.

Both run with the libraries of the Python that runs this; a checkout needs none of its own.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from zipfile import ZipFile

SYMPTOMS = ("dead", "dim", "always-on", "blows-fuse", "drains", "charge")
COMMANDS_S = 3600


@dataclass(frozen=True)
class Case:
    """Two cars, the swap sheet that names them, and what is traced and drawn, relative to the inputs' folder."""

    name: str
    donor: str
    shell: str
    sheet: str
    targets: tuple[str, ...]
    symptoms: tuple[str, ...]


def made_pairs(folder: Path, count: int) -> Iterator[Case]:
    """Write pairs of made-up cars: from the same car twice to a third of all wires edited, renamed or not."""
    from cars import Mix, make_car, mutate, netlist_of

    from harnesscheck.write.xml import write_xml

    for seed in range(count):
        mix = Mix(edits=(0.0, 0.1, 0.3)[seed % 3], renamed=seed % 2 == 1)
        donor, shell, _ = mutate(make_car(seed, 60 if seed % 10 == 9 else 20), seed, mix)
        name = f"pair-{seed}"
        (folder / name).mkdir()
        for file, car in (("donor.xml", donor), ("shell.xml", shell)):
            write_xml(netlist_of(car, file.removesuffix(".xml")), folder / name / file)
        (folder / name / "swap.toml").write_text('donor = "donor.xml"\nshell = "shell.xml"\n', encoding="utf-8")
        yield case_of(folder, name, (SYMPTOMS[seed % len(SYMPTOMS)],))


def case_of(folder: Path, name: str, symptoms: tuple[str, ...]) -> Case:
    """The pair in a folder, with one plug and one load of the donor to look at."""
    text = (folder / name / "donor.xml").read_text(encoding="utf-8")
    plugs = re.findall(r'<connector id="([^"]+)"', text)
    loads = re.findall(r'<component id="([^"]+)" kind="(?:lamp|motor)"', text)
    targets = (*plugs[len(plugs) // 2 :][:1], *loads[len(loads) // 2 :][:1])
    return Case(name, *(f"{name}/{file}" for file in ("donor.xml", "shell.xml", "swap.toml")), targets, symptoms)


def commands(case: Case) -> Iterator[tuple[str, ...]]:
    """What is typed for one pair; ``@name`` is a file or folder to write."""
    donor, shell, sheet = case.donor, case.shell, case.sheet
    yield "compare", donor, shell, "--notes", "--json", "@compare.json", "-o", "@compare"
    yield "compare", sheet, "--json", "@swap.json"
    yield "decide", sheet, "--json", "@decide.json", "-o", "@decide"
    for name in ("ringout", "loads", "states"):
        yield name, donor, "--json", f"@{name}.json", "-o", f"@{name}"
        yield name, sheet
    yield "validate", donor, "--json", "@validate.json"
    yield "crosswalk", donor, shell
    yield "identify", donor, shell, "--cavities", "6", "--wires", "BK,RD", "--json", "@identify.json"
    yield "convert", donor, "@tables"
    yield "convert", shell, "@shell.xml"
    yield "compare", "@tables", "@shell.xml"
    for target in (*case.targets, "overview"):
        yield "draw", donor, target, "-o", "@draw"
        yield "draw", donor, target, "--beside", shell, "-o", "@beside"
    for target in case.targets:
        yield "trace", donor, target, "--json", f"@{target}.json"
        for symptom in case.symptoms:
            yield "trace", sheet, target, "--symptom", symptom, "-o", f"@{target}-{symptom}"


def run_all(cases: list[Case], out: Path) -> None:
    """Run every command in this process; what each printed goes into ``printed``, what it wrote beside it."""
    from click.testing import CliRunner

    from harnesscheck.cli.main import cli

    for case in cases:
        folder = out / case.name
        folder.mkdir(parents=True)
        lines = []
        for words in commands(case):
            typed = [(folder / word[1:]).as_posix() if word.startswith("@") else word for word in words]
            ran = CliRunner().invoke(cli, typed)
            broken = "" if isinstance(ran.exception, SystemExit | None) else f"{ran.exception!r}\n"
            lines.append(f"$ {' '.join(typed)}\n{ran.output}{broken}status {ran.exit_code}\n")
        (out / f"{case.name}.txt").write_text("\n".join(lines), encoding="utf-8", newline="\n")


def content(path: Path) -> bytes:
    """The bytes of a file; of a workbook those of its parts, for the packing knows the clock."""
    if path.suffix != ".xlsx":
        return path.read_bytes()
    with ZipFile(path) as book:
        return b"".join(name.encode() + book.read(name) for name in sorted(book.namelist()))


def differing(before: Path, after: Path) -> tuple[int, list[str]]:
    """How many outputs there are, and those that differ or that only one has."""
    ours, theirs = ({p.relative_to(root) for p in root.rglob("*") if p.is_file()} for root in (before, after))
    told = [f"only {'before' if one in ours else 'after'}: {one}" for one in sorted(ours ^ theirs)]
    same = sorted(ours & theirs)
    told += [f"differs: {one}" for one in same if content(before / one) != content(after / one)]
    return len(ours | theirs), told


def run_checkout(checkout: Path, inputs: Path, work: Path, pairs: int) -> None:
    """Run the commands with one checkout's package, in a folder of its own that holds a copy of the inputs."""
    shutil.copytree(inputs, work)
    path = os.pathsep.join((str(checkout.resolve()), str(Path(__file__).parent)))
    environment = {**os.environ, "PYTHONPATH": path, "PYTHONHASHSEED": "0", "COLUMNS": "80"}
    command = [sys.executable, str(Path(__file__).resolve()), "--run", str(pairs)]
    subprocess.run(command, check=True, cwd=work, env=environment)


def all_cases(folder: Path, pairs: int) -> list[Case]:
    """The example and the made-up pairs that lie in a folder."""
    example = Case("demo", *(f"demo/{n}" for n in ("donor.xml", "shell.xml", "swap.toml")), ("C12", "FP"), SYMPTOMS)
    names = [f"pair-{seed}" for seed in range(pairs)]
    return [example, *(case_of(folder, name, (SYMPTOMS[n % len(SYMPTOMS)],)) for n, name in enumerate(names))]


def main() -> int:
    """Make the inputs, run both, say what differs."""
    parser = argparse.ArgumentParser(description="Which outputs of two checkouts differ?")
    parser.add_argument("checkouts", nargs="*", type=Path, metavar="CHECKOUT", help="before and after")
    parser.add_argument("--pairs", type=int, default=8, help="how many made-up pairs (8)")
    parser.add_argument("--run", type=int, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.run is not None:
        run_all(all_cases(Path(), asked.run), Path("outputs"))
        return 0
    if len(asked.checkouts) != 2:
        parser.error("two checkouts: before and after")
    base = Path(tempfile.mkdtemp(prefix="samebytes-"))
    inputs = base / "inputs"
    shutil.copytree(asked.checkouts[0] / "harness_demo", inputs / "demo")
    list(made_pairs(inputs, asked.pairs))
    for name, checkout in zip(("before", "after"), asked.checkouts, strict=True):
        run_checkout(checkout, inputs, base / name, asked.pairs)
    count, told = differing(base / "before" / "outputs", base / "after" / "outputs")
    print("\n".join((*told, f"{count} outputs, {len(told)} differ; kept in {base}")))
    return 1 if told else 0


if __name__ == "__main__":
    sys.exit(main())
