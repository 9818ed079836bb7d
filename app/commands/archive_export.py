"""`gearwitness archive export`: inspections as a folder that any browser opens and a plain script checks."""

import argparse
from pathlib import Path

from app import console
from app.commands.archive_parts import add_home, one_inspection, opened, program
from app.errors import UsageError
from app.inspection.exchange import Listed

HELP = "write inspections into a folder that opens in any browser, with a script that checks it"
INCOMPLETE = 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive export` understands."""
    parser.set_defaults(run=run)
    add_home(parser)
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="a new folder")
    which = parser.add_mutually_exclusive_group(required=True)
    which.add_argument(
        "--inspection", action="append", metavar="ID", help="one inspection, by its id or the id's beginning"
    )
    which.add_argument("--aircraft", metavar="REG", help="all inspections of one aircraft")
    which.add_argument("--all", action="store_true", help="all inspections")
    parser.add_argument(
        "--strip-place", action="store_true",
        help="give copies without place (and without everything else the files carry) for the originals",
    )  # fmt: skip
    parser.add_argument(
        "--blank", action="append", default=[], metavar="PHOTO=X,Y,W,H",
        help="blank a face: beginning of the photo's SHA-256, rectangle in pixels of the upright photo; "
        "may be given often",
    )  # fmt: skip
    parser.add_argument("--zip", action="store_true", help="also write DIR.zip")


def run(options: argparse.Namespace) -> int:
    """Export; return 0 where all that was asked for is in it, else 3.

    Raises
    ------
    UsageError
        The folder is there already, or there is no such inspection, aircraft or photo.
    ArchiveError
        The archive cannot be opened.
    """
    from app.archive.exchange import SqlExchange  # noqa: PLC0415 - brings the database with it
    from app.record.copies import Wishes, read_blanks  # noqa: PLC0415
    from app.record.folder import check_out, export, pack  # noqa: PLC0415

    out: Path = options.out
    check_out(out)
    packed = out.absolute().with_name(f"{out.name}.zip")
    if options.zip and packed.exists():
        msg = f"{packed} is there already and is not written over: move it away, or name another folder"
        raise UsageError(msg)
    wishes = Wishes(options.strip_place, read_blanks(options.blank))
    with opened(options.home) as archive:
        exchange = SqlExchange(archive.records)
        wanted = _wanted(options, exchange.listed())
        done = export(exchange, archive.photos, wanted, out, wishes, program(), _tell)
    if options.zip:
        pack(out, packed)
    for id_, why in done.left_out:
        console.complain(f"not exported: inspection {id_}: {why}")
    copies = f", copies for originals {done.copies}" if done.copies else ""
    console.say(
        f"{out}: inspections {done.inspections}, files byte for byte {done.photos}{copies}\n"
        f"SHA-256 of its list of files: {done.sums}"
    )
    return INCOMPLETE if done.left_out else 0


def _wanted(options: argparse.Namespace, listed: tuple[Listed, ...]) -> list[str]:
    if options.all:
        found = [one.inspection_id for one in listed]
    elif options.aircraft is not None:
        found = [one.inspection_id for one in listed if one.registration == options.aircraft]
        if not found:
            there = ", ".join(sorted({one.registration for one in listed})) or "none"
            msg = f"the archive has no inspection of {options.aircraft!r}; there are: {there}"
            raise UsageError(msg)
    else:
        found = [one_inspection(begins, listed) for begins in dict.fromkeys(options.inspection)]
    if not found:
        msg = "the archive has no inspection yet: there is nothing to export"
        raise UsageError(msg)
    return found


def _tell(done: int, of: int, what: str) -> None:
    console.complain(f"{done} of {of}: {what}")
