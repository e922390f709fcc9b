"""``harnesscheck rank``."""

from __future__ import annotations

import os
from pathlib import Path

import click

from harnesscheck.api.cars import studies
from harnesscheck.api.faults import stop_for
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.cli.progress import progress


@click.command("rank")
@click.argument("shell", type=click.Path())
@click.argument("folder", type=click.Path())
@click.option("--best", type=click.IntRange(1), default=20, show_default=True, help="How many are judged in full.")
@click.option("--decide", "decided", is_flag=True, help="Work out the best plan of each, with its hours: slow.")
@click.option("--processes", type=click.IntRange(1), help="How many work side by side; every core if not given.")
@click.option("--cache", metavar="DIR", help="Where what was worked out is kept for the next time.")
@click.option("--no-cache", is_flag=True, help="Keep nothing, and use nothing that was kept.")
@reports("Write the table as a page and as CSV into a folder.")
def command(
    shell: str,
    folder: str,
    best: int,
    decided: bool,
    processes: int | None,
    cache: str | None,
    no_cache: bool,
    asked: Asked,
) -> None:
    """Say which of the donors in FOLDER fit SHELL best.

    FOLDER holds netlists, one a car. The likest are judged in full; what was judged is kept, so that a run
    that was broken off goes on where it stopped. A file that cannot be read is listed and stops nothing.
    """
    from harnesscheck.report.rank import rank_document, rank_files, rank_report
    from harnesscheck.yard.cache import NO_CACHE, Cache, usual_folder
    from harnesscheck.yard.cars import HowToRead
    from harnesscheck.yard.folder import netlists_in
    from harnesscheck.yard.rank import RankQuestion, rank

    if cache is not None and no_cache:
        raise click.UsageError("--cache or --no-cache, not both")
    if not Path(folder).is_dir():
        stop_for(folder, "no folder", "a folder of netlists, one a car")
    (study,) = studies([shell], asked.reading)
    if not (donors := [str(one) for one in netlists_in(Path(folder)) if one.resolve() != Path(shell).resolve()]):
        stop_for(folder, "no netlist", "XML files, workbooks, or folders of tables, one a car")
    if asked.reading.overlays:
        stop_for("--with", "a file", "none: each donor would be filled with it")
    kept = NO_CACHE if no_cache else Cache(Path(cache) if cache is not None else usual_folder())
    how = HowToRead(asked.reading.limits, asked.reading.colour_code)
    question = RankQuestion(shell, tuple(donors), best, decided, how, kept, processes or os.cpu_count() or 1)
    with progress("rank") as told:
        ranking = rank(question, study.vehicle, told)
    report = rank_report(study, ranking)
    files = rank_files(ranking) if asked.out is not None else {}
    asked.hand_out(report, lambda: rank_document(study, ranking), files, [shell, *donors])
