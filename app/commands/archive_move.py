"""`gearwitness archive move`: everything into another database and another place for photos."""

import argparse

from app import console
from app.commands.archive_parts import Steps, add_home, opened
from app.commands.server import chosen
from app.errors import UsageError
from app.settings import PREFIX

HELP = "copy the whole archive into a database server and a bucket, and verify it there"
INCOMPLETE = 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive move` understands."""
    parser.set_defaults(run=run)
    add_home(parser)
    parser.add_argument(
        "--to-database", required=True, metavar="ADDRESS",
        help="postgresql://USER@HOST:PORT/NAME; a password is better left to PGPASSWORD or the password file",
    )  # fmt: skip
    parser.add_argument(
        "--to-photos", required=True, metavar="ADDRESS", help="s3://BUCKET/PREFIX, or a folder"
    )


def run(options: argparse.Namespace) -> int:
    """Copy; return 0 where the new archive is whole and nothing was entered meanwhile, else 3.

    Raises
    ------
    UsageError
        An address cannot be read, or is where the archive is now.
    Conflict
        The new database holds another archive.
    ArchiveError
        One of both cannot be reached.
    """
    from app.archive import Access, anchor_of  # noqa: PLC0415 - brings the database with it
    from app.archive.exchange.moving import copy_archive, open_target  # noqa: PLC0415

    settings = chosen(None, options.home, demo=False)
    if options.to_database == settings.database:
        msg = "the archive is in this database already: name another one with --to-database"
        raise UsageError(msg)
    access = Access(settings.photos_endpoint, settings.photos_key, settings.photos_secret)
    with (
        opened(options.home) as source,
        open_target(source, options.to_database, options.to_photos, access) as target,
    ):
        done = copy_archive(source, target.engine, target.photos, Steps())
        found = target.verify()
        later = source.head() != done.head
    for sha, why in done.missing.items():
        console.complain(f"not copied: {sha}: {why}")
    for fault in found.faults:
        console.complain(str(fault))
    console.say(
        f"{done.rows} rows and {done.photos} photos were copied; the archive here is as it was.\n"
        f"Head of the archive: {anchor_of(done.head)}"
    )
    if found.faults:
        console.say(f"The new archive does not verify: {len(found.faults)} faults, named above.")
        return INCOMPLETE
    if later:
        console.say(
            "Something was entered here while it was copied and is not there: stop the server, "
            "empty the new database, and move again."
        )
        return INCOMPLETE
    console.say(
        "The new archive verifies. To use it, keep the archive's key where it is and set\n"
        f"{PREFIX}DATABASE and {PREFIX}PHOTOS to the two addresses before `gearwitness serve`."
    )
    return 0
