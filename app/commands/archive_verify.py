"""`gearwitness archive verify`: does the archive still hold what was entered."""

import argparse
import time
from pathlib import Path
from typing import TYPE_CHECKING

from app import console
from app.commands.server import chosen

if TYPE_CHECKING:
    from app.archive import Progress, Verification

HELP = "check every file, row, chain and signature of the archive"
CLEAN, FAULTS = 0, 3
_EVERY_S = 5.0


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive verify` understands."""
    parser.set_defaults(run=run)
    parser.add_argument(
        "--anchor", action="append", default=[], metavar="HEAD",
        help="a head that was kept elsewhere, as printed: NUMBER:HASH or the hash; may be given again",
    )  # fmt: skip
    parser.add_argument(
        "--home", type=Path, metavar="DIR", help="folder of the archive (default ~/gearwitness)"
    )


def run(options: argparse.Namespace) -> int:
    """Check all and say what is wrong; return 0 where all is as it was entered, else 3.

    Raises
    ------
    UsageError
        An anchor is none, or there is no archive in the folder.
    ArchiveError
        The archive cannot be opened or read.
    """
    from app.bootstrap import archive_of, require_archive  # noqa: PLC0415 - brings the database with it

    settings = chosen(None, options.home, demo=False)
    require_archive(settings)
    with archive_of(settings) as archive:
        found = archive.verify(options.anchor, _Teller())
    for line in _lines(found):
        console.say(line)
    return FAULTS if found.faults else CLEAN


class _Teller:
    """Tells on standard error how far it is, every few seconds."""

    def __init__(self) -> None:
        self._told = time.monotonic()

    def __call__(self, progress: "Progress") -> None:
        if time.monotonic() - self._told < _EVERY_S:
            return
        self._told = time.monotonic()
        of = f" of {progress.total}" if progress.total else ""
        console.complain(f"{progress.stage}: {progress.done}{of}")


def _lines(found: "Verification") -> list[str]:
    from app.archive import anchor_of  # noqa: PLC0415 - brings the database with it

    lines = []
    for fault in found.faults:
        lines.append(f"FAULT {fault.where}: {fault.what}")
        if fault.began:
            lines.append(f"      began {fault.began}")
    lines += [f"deleted by an act: photo {sha}" for sha in found.deleted]
    lines += [f"no row refers to {name}: harmless, it was never acknowledged" for name in found.orphans]
    lines += [f"note: {note}" for note in found.notes]
    checked = ", ".join(f"{count} {what}" for what, count in found.checked.items())
    lines.append(f"Checked {checked or 'nothing'}.")
    lines.append(f"Head of the archive's chain: {anchor_of(found.head)}")
    count = len(found.faults)
    lines.append(
        "All is as it was entered." if not count else f"{count} fault{'s' if count > 1 else ''} found."
    )
    return lines
