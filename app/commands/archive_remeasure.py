"""`gearwitness archive remeasure`: the present version over archived photos, and what would change."""

import argparse
import functools
import json
import os
import time
from datetime import UTC, datetime
from pathlib import Path

from app import console
from app.commands.archive_parts import add_home, date, opened
from app.commands.files import make_folder, write_whole
from app.errors import UsageError

HELP = "measure archived photos again with this version and tell what would change; touches no record"
CHANGES = 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive remeasure` understands."""
    parser.set_defaults(run=run)
    add_home(parser)
    parser.add_argument(
        "--since", type=date, required=True, metavar="DATE", help="photos of this day (UTC) or later"
    )
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--processes", type=_count, metavar="N", help="processes on this machine (default: one for each core)"
    )
    where.add_argument("--dask", metavar="ADDRESS", help="a Dask scheduler, e.g. tcp://10.0.0.5:8786")
    parser.add_argument(
        "--out", type=Path, default=Path("remeasured"), metavar="DIR",
        help="folder of the report (default remeasured); what is in it already is not measured again",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Measure again; return 0 where nothing would change, else 3.

    Raises
    ------
    UsageError
        There is nothing to measure, the folder cannot be used, or the cluster cannot be reached.
    ArchiveError
        The archive cannot be opened, or an inspection in it does not verify.
    """
    from app.archive.exchange import SqlExchange  # noqa: PLC0415 - brings the database with it
    from app.measuring.software import software  # noqa: PLC0415
    from app.remeasure import cluster, local, table  # noqa: PLC0415
    from app.remeasure.run import run as run_all  # noqa: PLC0415
    from app.remeasure.tasks import Skipped, tasks  # noqa: PLC0415

    make_folder(options.out)
    version, skipped = software(), Skipped()
    since = datetime.combine(options.since, datetime.min.time(), UTC)
    if options.dask is not None:
        measure = functools.partial(cluster.answers, address=options.dask)
    else:
        measure = functools.partial(local.answers, processes=options.processes or os.cpu_count() or 1)
    with opened(options.home) as archive:
        wanted = list(tasks(SqlExchange(archive.records), since, skipped))
        if not wanted:
            msg = f"the archive has no measured photo since {options.since}: name an earlier day with --since"
            raise UsageError(msg)
        console.complain(f"version {version}, {len(wanted)} photos since {options.since}")
        changes = run_all(wanted, archive.photos, measure, options.out, version, skipped, _Rate())
    told = table.summary(changes, version, skipped)
    report = table.markdown(changes, told)
    as_json = json.dumps(table.as_object(changes, told), indent=1, ensure_ascii=False, allow_nan=False)
    for name, text in (
        ("report.md", report),
        ("report.csv", table.as_csv(changes)),
        ("report.json", as_json),
    ):
        write_whole(options.out / name, text.encode("utf-8"))
    for id_, why in skipped.faulty:
        console.complain(f"not measured again: inspection {id_}: {why}")
    for id_, why in skipped.unreadable:
        console.complain(f"not measured again: try {id_}: {why}")
    console.say(report)
    return CHANGES if told["changed"] or skipped.faulty or skipped.unreadable else 0


def _count(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 256):
        msg = f"{text!r} is no number of processes: give 1 to 256"
        raise argparse.ArgumentTypeError(msg)
    return int(text)


class _Rate:
    """Tells how many are done and how long the rest will take, at most every two seconds."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._told = 0.0
        self._first: int | None = None

    def __call__(self, done: int, of: int) -> None:
        now = time.monotonic()
        if self._first is None:
            self._first = done - 1
        if now - self._told < 2 and done < of:
            return
        self._told = now
        left_s = (now - self._began) / (done - self._first) * (of - done)
        console.complain(f"{done} of {of}, about {left_s:.0f} s left")
