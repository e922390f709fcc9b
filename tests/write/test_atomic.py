"""Whole or not at all: killed while writing, a full disk, a name that is taken."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from builders.demo import DEMO
from builders.files import xml

from harnesscheck.write import atomic
from harnesscheck.write.atomic import Results, write_all, write_bytes, write_folder, write_text

posix = pytest.mark.skipif(os.name != "posix", reason="signals and resource limits are POSIX")


def left(folder: Path) -> list[str]:
    """Everything in a folder, hidden files too."""
    return sorted(path.name for path in folder.iterdir())


def python(folder: Path, text: str) -> subprocess.CompletedProcess[bytes]:
    """Run a script of ours in a process of its own."""
    return subprocess.run([sys.executable, "-c", text], cwd=folder, capture_output=True, timeout=300, check=False)


KILL = """
import os, signal
from pathlib import Path
from harnesscheck.write import atomic
from harnesscheck.write.atomic import Results, write_all, write_folder, write_text
def die(*_): os.kill(os.getpid(), signal.SIGKILL)
{where} = die
{what}
"""


@posix
@pytest.mark.parametrize("where", ["os.fsync", "Path.replace"])
def test_killed_while_writing_the_old_file_stands(tmp_path: Path, where: str) -> None:
    """Before the bytes are on the disk, and before the new file takes the old one's name."""
    (tmp_path / "car.xml").write_text("old")
    done = python(tmp_path, KILL.format(where=where, what="write_text(Path('car.xml'), 'new' * 100000)"))

    assert done.returncode == -signal.SIGKILL, done.stderr
    assert (tmp_path / "car.xml").read_text() == "old"
    assert [name for name in left(tmp_path) if not name.startswith(".")] == ["car.xml"]
    write_text(tmp_path / "car.xml", "newer")
    assert (tmp_path / "car.xml").read_text() == "newer"


@posix
@pytest.mark.parametrize("where", ["os.fsync", "Path.rename", "atomic.exchange"])
def test_killed_while_writing_the_old_folder_stands(tmp_path: Path, where: str) -> None:
    """With every file it had."""
    write_folder(tmp_path / "car", {"pins.csv": "old", "wires.csv": "old"}, ("pins.csv", "wires.csv"))
    what = "write_folder(Path('car'), {'pins.csv': 'new', 'grounds.csv': 'new'}, ('pins.csv', 'wires.csv'))"
    done = python(tmp_path, KILL.format(where=where, what=what))

    assert done.returncode == -signal.SIGKILL, done.stderr
    assert left(tmp_path / "car") == ["pins.csv", "wires.csv"]
    assert (tmp_path / "car" / "pins.csv").read_text() == "old"


FULL = """
import resource
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
import sys
sys.argv = ["harnesscheck", "convert", "donor.xml", {target!r}]
from harnesscheck.cli.entry import main
main()
"""


@posix
@pytest.mark.parametrize("target", ["target.xml", "target"])
@pytest.mark.parametrize("was_there", [True, False])
def test_a_disk_that_fails_leaves_what_was_there(tmp_path: Path, target: str, was_there: bool) -> None:
    """A file may not grow beyond 4 KB here: one message, status 2, the old file or folder, and nothing else."""
    (tmp_path / "donor.xml").write_bytes((DEMO / "donor.xml").read_bytes())
    if was_there and target == "target.xml":
        (tmp_path / target).write_text("old")
    elif was_there:
        (tmp_path / target).mkdir()
        (tmp_path / target / "pins.csv").write_text("old")
    before = left(tmp_path)
    done = python(tmp_path, FULL.format(target=target))

    assert done.returncode == 2
    assert done.stderr.decode() == f"{target}: read 'File too large'; expected a place that can be written\n"
    assert left(tmp_path) == before
    if was_there:
        old = tmp_path / target if target == "target.xml" else tmp_path / target / "pins.csv"
        assert old.read_text() == "old"


def test_an_interrupted_write_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C as much as an error."""

    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_text(tmp_path / "car.xml", "new")
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path / "car", {"pins.csv": "new"}, ())
    assert left(tmp_path) == []


def test_a_folder_that_cannot_take_the_name_gives_it_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The old one was moved away already: where two names cannot be exchanged in one step."""
    write_folder(tmp_path / "car", {"pins.csv": "old"}, ("pins.csv",))
    rename, calls = Path.rename, []

    def fail_third(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) == 3:  # over what is there, the old one aside, the new one in its place
            raise PermissionError(1, "no")
        return rename(self, target)

    monkeypatch.setattr(atomic, "exchange", lambda *_: False)  # a system that cannot
    monkeypatch.setattr(Path, "rename", fail_third)
    with pytest.raises(PermissionError):
        write_folder(tmp_path / "car", {"pins.csv": "new"}, ("pins.csv",))
    assert left(tmp_path) == ["car"] and (tmp_path / "car" / "pins.csv").read_text() == "old"


def test_a_folder_with_anything_else_is_never_replaced(tmp_path: Path) -> None:
    """A photo, a folder, a file that is none of ours; an empty folder is."""
    for name in ("photo.jpg", ".hidden", "sub"):
        folder = tmp_path / f"car-{name}"
        folder.mkdir()
        (folder / name).mkdir() if name == "sub" else (folder / name).write_text("mine")
        with pytest.raises(FileExistsError, match="holds something else"):
            write_folder(folder, {"pins.csv": "new"}, ("pins.csv",))
        assert left(folder) == [name]
    (tmp_path / "empty").mkdir()
    write_folder(tmp_path / "empty", {"pins.csv": "new"}, ("pins.csv",))
    assert left(tmp_path / "empty") == ["pins.csv"]
    with pytest.raises(FileExistsError):
        write_bytes(tmp_path / "empty", b"new")


@posix
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """What it leads to is what is written."""
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "car.xml").write_text("old")
    (tmp_path / "car.xml").symlink_to("there/car.xml")
    write_text(tmp_path / "car.xml", "new")

    assert (tmp_path / "car.xml").is_symlink() and (tmp_path / "there" / "car.xml").read_text() == "new"
    assert left(tmp_path / "there") == ["car.xml"]


@posix
def test_convert_writes_nowhere_else(tmp_path: Path) -> None:
    """A device, a pipe and a folder of one's own are refused, whole."""
    (tmp_path / "car.xml").write_text(xml("<ground id='G'/>"))
    os.mkfifo(tmp_path / "pipe.xml")
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "a.jpg").write_text("mine")
    before = left(tmp_path)
    for target in ("/dev/full", "/dev/null", "pipe.xml", "photos", "no/such/folder.xml", "no/such/folder"):
        words = [sys.executable, "-m", "harnesscheck", "convert", "car.xml", target]
        done = subprocess.run(words, cwd=tmp_path, capture_output=True, timeout=300, check=False)
        err = done.stderr.decode()
        assert done.returncode == 2 and err.startswith(f"{target}: read '") and err.count("\n") == 1, err
    assert left(tmp_path) == before and left(tmp_path / "photos") == ["a.jpg"]


# -- a folder of results


def results(folder: Path, run: str = "compare", **contents: str) -> Results:
    """Files by name without their ending."""
    return Results(folder, {f"{name}.svg": text.encode() for name, text in contents.items()}, run)


def test_a_folder_of_results_is_of_one_run(tmp_path: Path) -> None:
    """What the same command wrote before goes; what another wrote, what is somebody's and what was changed stays."""
    out = tmp_path / "a" / "out"
    write_all({}, results(out, one="1", two="2", three="3"))
    write_all({}, results(out, "draw", face="f"))
    (out / "photo.jpg").write_text("mine")
    (out / "three.svg").write_text("my notes in it")
    write_all({}, results(out, one="new"))

    assert left(out) == [".compare.sha256", ".draw.sha256", "face.svg", "one.svg", "photo.jpg", "three.svg"]
    assert (out / "one.svg").read_text() == "new" and (out / "three.svg").read_text() == "my notes in it"
    assert left(out.parent) == ["out"]


def test_a_folder_that_must_stay_is_written_file_by_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One that a shell stands in, one with folders in it: what is new is new, what is gone is gone."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "photos").mkdir()
    before = tmp_path.stat().st_ino
    write_all({}, results(tmp_path, one="1", two="2"))
    write_all({}, results(tmp_path, one="new"))

    assert left(tmp_path) == [".compare.sha256", "one.svg", "photos"] and tmp_path.stat().st_ino == before


@posix
def test_the_list_of_a_run_is_one_that_sha256sum_checks(tmp_path: Path) -> None:
    """GNU coreutils reads it."""
    write_all({}, results(tmp_path / "out", one="1", two="2"))
    command = ["sha256sum", "--check", "--strict", ".compare.sha256"]
    done = subprocess.run(command, cwd=tmp_path / "out", capture_output=True, text=True, check=False)

    assert done.stdout == "one.svg: OK\ntwo.svg: OK\n" and done.returncode == 0


@pytest.mark.parametrize("bad", ["a folder", "nowhere/file.json"])
def test_all_or_none(tmp_path: Path, bad: str) -> None:
    """A file that cannot be written, beside a folder and a file that can: everything is as it was."""
    (tmp_path / "a folder").mkdir()
    (tmp_path / "report.json").write_text("old")
    write_all({}, results(tmp_path / "out", one="old"))
    before = left(tmp_path)
    with pytest.raises(OSError):
        write_all({tmp_path / "report.json": b"new", tmp_path / bad: b"new"}, results(tmp_path / "out", two="new"))

    assert left(tmp_path) == before and left(tmp_path / "out") == [".compare.sha256", "one.svg"]
    assert (tmp_path / "report.json").read_text() == "old"


def test_what_is_in_place_already_is_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The last of three cannot be put in its place: the folder and the first file are the old ones again."""
    (tmp_path / "one.json").write_text("old")
    write_all({}, results(tmp_path / "out", one="old"))
    replace = Path.replace

    def fail(self: Path, target: Path) -> Path:
        if target.name == "two.json":
            raise PermissionError(1, "no")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(PermissionError):
        write_all({tmp_path / "one.json": b"new", tmp_path / "two.json": b"new"}, results(tmp_path / "out", two="new"))

    assert left(tmp_path) == ["one.json", "out"] and (tmp_path / "one.json").read_text() == "old"
    assert left(tmp_path / "out") == [".compare.sha256", "one.svg"]


@posix
@pytest.mark.parametrize("where", ["os.fsync", "os.link", "Path.replace", "atomic.exchange", "Path.rename"])
def test_what_a_killed_run_left_is_put_right_by_the_next(tmp_path: Path, where: str) -> None:
    """Old and whole after the kill; nothing but the new one after the next run."""
    write_all({tmp_path / "report.json": b"old"}, results(tmp_path / "out", one="old"))
    files = "{Path('report.json'): b'new'}, Results(Path('out'), {'two.svg': b'new'}, 'compare')"
    done = python(tmp_path, KILL.format(where=where, what=f"write_all({files})"))

    assert done.returncode == -signal.SIGKILL, done.stderr
    assert left(tmp_path / "out") in ([".compare.sha256", "one.svg"], [".compare.sha256", "two.svg"])
    assert (tmp_path / "report.json").read_text() == "old"
    write_all({tmp_path / "report.json": b"new"}, results(tmp_path / "out", two="new"))
    assert left(tmp_path) == ["out", "report.json"] and left(tmp_path / "out") == [".compare.sha256", "two.svg"]


@posix
def test_a_folder_that_a_kill_left_without_its_name_gets_it_back(tmp_path: Path) -> None:
    """Between the two steps of a system that cannot exchange two names in one."""
    write_folder(tmp_path / "car", {"pins.csv": "old"}, ("pins.csv",))
    what = (
        "atomic.exchange = lambda *_: False\nrename, calls = Path.rename, []\n"
        "def second(self, to):\n    calls.append(to)\n    return die() if len(calls) == 3 else rename(self, to)\n"
        "Path.rename = second\nwrite_folder(Path('car'), {'pins.csv': 'new'}, ('pins.csv',))"
    )
    done = python(tmp_path, KILL.format(where="os.nothing", what=what))
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert not (tmp_path / "car").exists()
    write_folder(tmp_path / "car", {"wires.csv": "new"}, ("pins.csv",))

    assert left(tmp_path) == ["car"] and left(tmp_path / "car") == ["wires.csv"]


# -- names of files

# Microsoft, "Naming Files, Paths, and Namespaces": devices, signs and last letters that no file's name may have.
