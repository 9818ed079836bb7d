"""`gearwitness archive …`: what is done to a whole archive, each in a file of its own.

Whoever can run this on the archive's machine can read its files too, so it asks
for no sign-in.
"""

import argparse

from app.commands import (
    archive_backup,
    archive_delete,
    archive_export,
    archive_import,
    archive_move,
    archive_record,
    archive_remeasure,
    archive_verify,
)

HELP = "check, and look after, the archive as a whole"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive` understands."""
    commands = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    for name, module in (
        ("verify", archive_verify), ("record", archive_record),
        ("export", archive_export), ("import", archive_import), ("delete-photos", archive_delete),
        ("backup", archive_backup), ("restore", archive_backup.Restore), ("move", archive_move),
        ("remeasure", archive_remeasure),
    ):  # fmt: skip
        module.configure(
            commands.add_parser(name, help=module.HELP, description=module.HELP, allow_abbrev=False)
        )
