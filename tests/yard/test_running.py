"""Where cars are judged: processes that are killed, workers that are lost, runs that are broken off or meet."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from builders.yard import small
from click.testing import CliRunner

import harnesscheck.yard.running as running
from harnesscheck.cli.main import cli
from harnesscheck.yard.cache import Cache
from harnesscheck.yard.cars import PLAINLY
from harnesscheck.yard.judge import Outcome, Task
from harnesscheck.yard.running import in_processes, in_this_process

COLOURS = ("RD", "YE", "GN", "BU")


@pytest.fixture(scope="module")
def tasks(tmp_path_factory: pytest.TempPathFactory) -> list[Task]:
    """Eight donors for one shell."""
    folder = tmp_path_factory.mktemp("cars")
    (folder / "shell.xml").write_text(small("1"), encoding="utf-8")
    for at in range(8):
        (folder / f"{at}.xml").write_text(small("12"[at % 2], COLOURS[at // 2]), encoding="utf-8")
    return [Task(str(folder / f"{at}.xml"), str(folder / "shell.xml"), PLAINLY) for at in range(8)]


@pytest.fixture(scope="module")
def expected(tasks: list[Task]) -> dict[int, Outcome | list[str]]:
    return dict(in_this_process(tasks))


def test_a_killed_process_loses_no_outcome(
    tasks: list[Task], expected: dict[int, Outcome | list[str]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The first process to come to the fourth car kills itself."""
    monkeypatch.setattr(running, "judged", DiesOnce(tasks[3].donor, str(tmp_path / "died"), once=True))

    assert dict(in_processes(2)(tasks)) == expected
    assert (tmp_path / "died").exists()


def test_a_car_that_kills_every_process_is_said(
    tasks: list[Task], expected: dict[int, Outcome | list[str]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(running, "judged", DiesOnce(tasks[1].donor, str(tmp_path / "died"), once=False))

    found = dict(in_processes(1)(tasks[:2]))

    assert found[0] == expected[0]
    assert isinstance(found[1], list) and "1.xml" in found[1][0] and "ended" in found[1][0]


class DiesOnce:
    """Judges, but ends its process without a word over one car; once, or each time."""

    def __init__(self, donor: str, mark: str, *, once: bool) -> None:
        self.donor, self.mark, self.once = donor, mark, once

    def __call__(self, task: Task) -> Outcome | list[str]:
        from harnesscheck.yard.judge import judged

        if task.donor == self.donor and not (self.once and Path(self.mark).exists()):
            Path(self.mark).touch()
            os._exit(9)
        return judged(task)


# -- runs that are broken off, or meet

WORDS = ("--processes", "1", "--json", "-")


def _started(yard: Path, cache: Path) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "harnesscheck", "rank", str(yard / "shell.xml"), str(yard)]
    return subprocess.Popen([*command, "--cache", str(cache), *WORDS], stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def _entries(cache: Path) -> Iterator[Path]:
    return (one for one in cache.rglob("*") if one.is_file())


def _wait_for(count: int, cache: Path, run: subprocess.Popen[bytes]) -> None:
    """Until so many entries are kept; the run must not be done before."""
    while sum(1 for _ in _entries(cache)) < count:
        assert run.poll() is None, run.stderr.read().decode() if run.stderr is not None else ""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="processes are not killed so here")
def test_a_run_that_is_killed_goes_on_and_two_at_once_agree(tasks: list[Task], tmp_path: Path) -> None:
    """Killed (SIGKILL) after the first outcomes; then two runs at the same time with what it left."""
    yard, cache = Path(tasks[0].shell).parent, tmp_path / "cache"
    killed = _started(yard, cache)
    _wait_for(9 + 2, cache, killed)  # every fingerprint and an outcome or two
    os.kill(killed.pid, signal.SIGKILL)
    killed.communicate()
    left = {one: one.stat().st_mtime_ns for one in _entries(cache) if Cache(cache).get(one.parent.name + one.name)}
    assert len(left) >= 10

    both = [_started(yard, cache) for _ in range(2)]
    told = [run.communicate(timeout=300)[0] for run in both]

    fresh = CliRunner().invoke(cli, ["rank", str(yard / "shell.xml"), str(yard), "--no-cache", *WORDS])
    assert told == [fresh.stdout.encode()] * 2
    assert {one: one.stat().st_mtime_ns for one in left} == left  # nothing that was whole is made again
    assert sum(Cache(cache).get(one.parent.name + one.name) is not None for one in _entries(cache)) == 9 + 8


# -- a cluster


@pytest.mark.filterwarnings("ignore")  # of the library, when a worker is lost
def test_a_lost_worker_loses_no_outcome(tasks: list[Task], expected: dict[int, Outcome | list[str]]) -> None:
    """Two workers, of which one is killed once the first outcome is there; all outcomes as judged here."""
    distributed = pytest.importorskip("distributed")
    from harnesscheck.yard.cluster import cluster

    options = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None, "silence_logs": 50}
    with distributed.LocalCluster(host="127.0.0.1", **options) as made, cluster(made.scheduler_address) as judge:
        found: dict[int, Outcome | list[str]] = {}
        for at, outcome in judge(tasks):
            if not found:
                with distributed.Client(made.scheduler_address, set_as_default=False) as client:
                    os.kill(min(client.run(os.getpid).values()), signal.SIGTERM)
            found[at] = outcome

    assert found == expected


def test_no_scheduler_is_one_message(tasks: list[Task], monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    import harnesscheck.yard.cluster as module

    monkeypatch.setattr(module, "WAIT_S", 0.5)
    yard = str(Path(tasks[0].shell).parent)
    done = CliRunner().invoke(cli, ["rank", "--all-pairs", yard, "--no-cache", "--scheduler", "tcp://127.0.0.1:9"])

    assert (done.exit_code, done.stdout) == (2, "")
    assert "no scheduler at tcp://127.0.0.1:9" in done.stderr and "Traceback" not in done.stderr
