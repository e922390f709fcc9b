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

from harnesscheck.write.atomic import write_bytes, write_folder, write_text

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
from harnesscheck.write.atomic import write_folder, write_text
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
@pytest.mark.parametrize("where", ["os.fsync", "Path.rename"])
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
from harnesscheck.cli.main import main
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
    """The old one was moved away already."""
    write_folder(tmp_path / "car", {"pins.csv": "old"}, ("pins.csv",))
    rename, calls = Path.rename, []

    def fail_second(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) == 2:
            raise PermissionError(1, "no")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", fail_second)
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


# -- names of files

# Microsoft, "Naming Files, Paths, and Namespaces": devices, signs and last letters that no file's name may have.
