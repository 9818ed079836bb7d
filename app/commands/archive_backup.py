"""`gearwitness archive backup` and `restore`: a copy of a living archive, and back; both verified."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from app import console
from app.commands.archive_parts import Steps, add_home, opened
from app.commands.server import chosen
from app.errors import UsageError

if TYPE_CHECKING:
    from app.archive.exchange.moving import Copied

HELP = "copy the archive, also while it is in use, into a folder of its own, and verify the copy"
INCOMPLETE = 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive backup` understands."""
    parser.set_defaults(run=run)
    add_home(parser)
    parser.add_argument(
        "--out", type=Path, required=True, metavar="DIR", help="a new folder, or an earlier backup's"
    )
    parser.add_argument(
        "--without-key", action="store_true",
        help="leave the archive's private key out; keep a copy of it elsewhere then",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Back up; return 0 where the copy is whole, else 3."""
    from app.archive.exchange.backup import back_up  # noqa: PLC0415 - brings the database with it

    with opened(options.home) as archive:
        done = back_up(archive, options.out, with_key=not options.without_key, tell=Steps())
    return finished(options.out, done)


def finished(folder: Path, done: "Copied") -> int:
    """Verify the copy in a folder, say what was done, and return the exit status."""
    from app.archive import anchor_of, open_archive  # noqa: PLC0415

    with open_archive(folder) as copy:
        found = copy.verify()
        head = copy.head()
    for sha, why in done.missing.items():
        console.complain(f"not copied: {sha}: {why}")
    for fault in found.faults:
        console.complain(str(fault))
    console.say(
        f"{folder}: {done.photos} photos were copied, the others were there.\n"
        f"Head of the archive: {anchor_of(head)}"
    )
    if found.faults:
        console.say(f"The copy does not verify: {len(found.faults)} faults, named above.")
        return INCOMPLETE
    console.say("The copy verifies: every file, row, chain and signature is as it was entered.")
    return 0


class Restore:
    """`gearwitness archive restore`, as the table of commands wants it."""

    HELP = "make a backup an archive again, in a new folder, and verify it"

    @staticmethod
    def configure(parser: argparse.ArgumentParser) -> None:
        """Add what `archive restore` understands."""
        parser.set_defaults(run=_restore)
        parser.add_argument(
            "--home", type=Path, metavar="DIR", help="the new archive's folder (default ~/gearwitness)"
        )
        parser.add_argument(
            "--from", dest="backup", type=Path, required=True, metavar="DIR", help="the backup's folder"
        )


def _restore(options: argparse.Namespace) -> int:
    from app.archive import open_archive  # noqa: PLC0415
    from app.archive.archive import DATABASE  # noqa: PLC0415
    from app.archive.exchange.backup import back_up  # noqa: PLC0415

    home = chosen(None, options.home, demo=False).home
    if home.exists() and any(home.iterdir()):
        msg = f"{home} is not empty, and nothing is written over: move it away, or name another with --home"
        raise UsageError(msg)
    if not (options.backup / DATABASE).is_file():
        msg = f"{options.backup} holds no backup: name the folder that `archive backup` wrote"
        raise UsageError(msg)
    with open_archive(options.backup) as archive:
        done = back_up(archive, home, with_key=True, tell=Steps())
    return finished(home, done)
