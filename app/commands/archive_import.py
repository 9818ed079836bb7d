"""`gearwitness archive import`: inspections of an export, with their ids, hashes and signatures."""

import argparse
from pathlib import Path

from app import console
from app.commands.archive_parts import add_home, opened
from app.inspection.exchange import Taken

HELP = "take in inspections of an export, with their ids, hashes and signatures"
INCOMPLETE = 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive import` understands."""
    parser.set_defaults(run=run)
    add_home(parser)
    parser.add_argument("folder", type=Path, metavar="DIR", help="folder or zip file of an export")
    parser.add_argument("--anchor", default="", metavar="HASH", help="a head that has to be in the export")


def run(options: argparse.Namespace) -> int:
    """Import; return 0 where all of it is in the archive, else 3.

    Raises
    ------
    UsageError
        It is no export.
    ArchiveError
        The export does not verify, or the archive cannot be opened.
    """
    from app.archive.exchange import SqlExchange  # noqa: PLC0415 - brings the database with it
    from app.record.reading import import_folder, unpacked  # noqa: PLC0415

    with unpacked(options.folder) as folder, opened(options.home, new=True) as archive:
        done = import_folder(folder, SqlExchange(archive.records), archive.photos, options.anchor, _tell)
    for id_, why in done.refused:
        console.complain(f"not imported: inspection {id_}: {why}")
    counts = done.done
    console.say(
        f"Inspections: {counts[Taken.NEW]} new, {counts[Taken.LONGER]} gone on since, "
        f"{counts[Taken.THERE]} here already. Files stored: {done.photos}."
    )
    if done.open:
        console.say(f"Of these {done.open} are still open: go on with each in one of the two archives only.")
    return INCOMPLETE if done.refused else 0


def _tell(done: int, of: int, what: str) -> None:
    console.complain(f"{done} of {of}: {what}")
