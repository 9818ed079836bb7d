"""`gearwitness archive record`: a visit's work record as PDF/A, record.json inside."""

import argparse
from datetime import UTC, datetime
from pathlib import Path

from app import console
from app.commands.archive_parts import add_home, one_inspection, opened, program
from app.errors import UsageError

HELP = "write a visit's work record as PDF/A, with the same as JSON inside"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive record` understands."""
    parser.set_defaults(run=run)
    add_home(parser)
    parser.add_argument("inspection", metavar="ID", help="the inspection, by its id or the id's beginning")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE.pdf", help="a new file")


def run(options: argparse.Namespace) -> int:
    """Write the record; return 0.

    Raises
    ------
    UsageError
        The file is there already or cannot be written, or there is no such inspection.
    ArchiveError
        The archive cannot be opened, or is damaged.
    """
    from app.archive.exchange import SqlExchange  # noqa: PLC0415 - brings the database with it
    from app.bootstrap import read_only  # noqa: PLC0415
    from app.record.work import work_record  # noqa: PLC0415

    out: Path = options.out
    if out.exists():
        msg = f"{out} is there already: give another name, so that no record is overwritten"
        raise UsageError(msg)
    with opened(options.home) as archive:
        exchange = SqlExchange(archive.records)
        id_ = one_inspection(options.inspection, exchange.listed())
        told = read_only(archive).record(id_)
        data = work_record(told, exchange, archive.photos, program(), datetime.now(UTC))
    try:
        out.write_bytes(data)
    except OSError as error:
        msg = f"{out} cannot be written ({error.strerror}): give another place"
        raise UsageError(msg) from error
    signed = "signed off" if "sign_off" in told else "not signed off: as it stands now"
    console.say(f"{out}: work record of {told['aircraft']['registration']}, {signed}")
    return 0
