"""``harnesscheck rank``."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harnesscheck.api.cars import studies
from harnesscheck.api.faults import stop_for
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.cli.progress import progress
from harnesscheck.model.paths import real_path

if TYPE_CHECKING:
    from harnesscheck.yard.allpairs import PairsQuestion
    from harnesscheck.yard.cars import HowToRead
    from harnesscheck.yard.rank import RankQuestion
    from harnesscheck.yard.running import Judge

CARS = "XML files, workbooks, or folders of tables, one a car"


@click.command("rank")
@click.argument("shell", type=click.Path(), metavar="[SHELL]")
@click.argument("folder", type=click.Path(), required=False, metavar="FOLDER")
@click.option("--all-pairs", is_flag=True, help="No shell: which of the cars may exchange their looms.")
@click.option(
    "--best", type=click.IntRange(1), help="How many are judged in full (20); with --all-pairs with each car (3)."
)
@click.option("--decide", "decided", is_flag=True, help="Work out the best plan of each, with its hours: slow.")
@click.option("--processes", type=click.IntRange(1), help="How many work side by side; every core if not given.")
@click.option("--scheduler", metavar="ADDRESS", help="A dask scheduler whose workers judge, such as tcp://host:8786.")
@click.option("--cache", metavar="DIR", help="Where what was worked out is kept for the next time.")
@click.option("--no-cache", is_flag=True, help="Keep nothing, and use nothing that was kept.")
@reports("Write the table as a page and as CSV into a folder.")
def command(
    shell: str,
    folder: str | None,
    all_pairs: bool,
    best: int | None,
    decided: bool,
    processes: int | None,
    scheduler: str | None,
    cache: str | None,
    no_cache: bool,
    asked: Asked,
) -> None:
    """Say which of the donors in FOLDER fit SHELL best, or with --all-pairs which of them may exchange their looms.

    FOLDER holds netlists, one a car. The likest are judged in full; what was judged is kept, so that a run
    that was broken off goes on where it stopped. A file that cannot be read is listed and stops nothing.
    """
    from harnesscheck.yard.allpairs import PairsQuestion
    from harnesscheck.yard.cache import NO_CACHE, Cache, usual_folder
    from harnesscheck.yard.rank import RankQuestion

    if cache is not None and no_cache:
        raise click.UsageError("--cache or --no-cache, not both")
    if asked.reading.overlays:
        stop_for("--with", "a file", "none: each donor would be filled with it")
    if chosen := next(filter(None, (asked.reading.options, asked.reading.without, asked.reading.built)), None):
        stop_for("rank", chosen[0][1], "cars as their files say they are; convert with --option writes a version")
    kept = NO_CACHE if no_cache else Cache(Path(cache) if cache is not None else usual_folder())
    at_once = processes or os.cpu_count() or 1
    if all_pairs:
        if folder is not None or decided:
            raise click.UsageError(f"--all-pairs FOLDER, no {'shell' if folder is not None else '--decide'}")
        pairs = PairsQuestion((), best or 3, _how(asked), kept, at_once)
        _exchanges(pairs, shell, scheduler, asked)
    elif folder is None:
        raise click.UsageError("SHELL and FOLDER, or --all-pairs FOLDER")
    else:
        question = RankQuestion(shell, (), best or 20, decided, _how(asked), kept, at_once)
        _donors(question, folder, scheduler, asked)


def _donors(question: RankQuestion, folder: str, scheduler: str | None, asked: Asked) -> None:
    from harnesscheck.report.rank import rank_document, rank_files, rank_report
    from harnesscheck.yard.rank import rank

    shell, paths = question.shell, _cars_in(folder)
    (study,) = studies([shell], asked.reading)
    donors = tuple(one for one in paths if real_path(one) != real_path(shell))
    if not donors:
        stop_for(folder, "no netlist", CARS)
    with _judge(scheduler) as judge, progress("rank") as told:
        ranking = rank(replace(question, donors=donors), study.vehicle, told, judge)
    report = rank_report(study, ranking)
    files = rank_files(ranking) if asked.out is not None else {}
    asked.hand_out(report, lambda: rank_document(study, ranking), files, [shell, *donors])


def _exchanges(question: PairsQuestion, folder: str, scheduler: str | None, asked: Asked) -> None:
    from harnesscheck.report.allpairs import YardFolder, pairs_document, pairs_folder, pairs_report
    from harnesscheck.yard.allpairs import all_pairs

    paths = _cars_in(folder)
    if len(paths) < 2:
        stop_for(folder, "one netlist", f"two or more: {CARS}")
    with _judge(scheduler) as judge, progress("rank") as told:
        yard = YardFolder(folder, all_pairs(replace(question, cars=paths), told, judge))
    report, files, warnings = pairs_folder(yard) if asked.out is not None else (pairs_report(yard), {}, [])
    asked.hand_out(report, lambda: pairs_document(yard), files, paths, warnings=warnings)


@contextmanager
def _judge(scheduler: str | None) -> Iterator[Judge | None]:
    """The judge that a scheduler's workers are, None for this machine's processes; nobody there ends the command."""
    if scheduler is None:
        yield None
        return
    from harnesscheck.yard.cluster import NoClusterError, cluster

    try:
        with cluster(scheduler) as judge:
            yield judge
    except NoClusterError as error:
        stop_for("--scheduler", error.read, error.expected)


def _cars_in(folder: str) -> tuple[str, ...]:
    """The netlists of a folder by path; none ends the command."""
    from harnesscheck.yard.folder import netlists_in

    if not Path(folder).is_dir():
        stop_for(folder, "no folder", "a folder of netlists, one a car")
    paths = tuple(str(one) for one in netlists_in(Path(folder)))
    if not paths:
        stop_for(folder, "no netlist", CARS)
    return paths


def _how(asked: Asked) -> HowToRead:
    from harnesscheck.yard.cars import HowToRead

    return HowToRead(asked.reading.limits, asked.reading.colour_code)
