"""What the archive's commands share: which archive, and which version of the program does it."""

import argparse
import datetime
import getpass
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

from app import console
from app.commands.server import chosen
from app.errors import UsageError

if TYPE_CHECKING:
    from app.archive import Archive
    from app.inspection.exchange import Listed


def add_home(parser: argparse.ArgumentParser) -> None:
    """Add the option that says which archive."""
    parser.add_argument(
        "--home", type=Path, metavar="DIR", help="folder of the archive (default ~/gearwitness)"
    )


@contextmanager
def opened(home: Path | None, *, new: bool = False) -> "Iterator[Archive]":
    """Open the archive that the settings and `--home` name.

    Parameters
    ----------
    new : bool
        Whether it may be one that is not there yet.

    Raises
    ------
    UsageError
        There is no archive in this folder.
    ArchiveError
        It cannot be opened.
    """
    from app.bootstrap import archive_of, require_archive  # noqa: PLC0415 - brings the database with it

    settings = chosen(None, home, demo=False)
    if not new:
        # Opening would make one, and a mistyped name would then be an empty archive.
        require_archive(settings)
    with archive_of(settings) as archive:
        yield archive


def program() -> str:
    """Return this program's version, as it stands in exports."""
    try:
        return version("gearwitness")
    except PackageNotFoundError:  # run from a clone that was never installed
        return "unknown"


def date(text: str) -> datetime.date:
    """Return a day as the command line names it, e.g. 2024-05-31."""
    try:
        return datetime.date.fromisoformat(text)
    except ValueError as error:
        msg = f"{text!r} is no day: write year, month and day, e.g. 2024-05-31"
        raise argparse.ArgumentTypeError(msg) from error


def asked_password(name: str) -> str:
    """Return a person's password, or the first line of standard input where nobody sits before it."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    return getpass.getpass(f"Password of {name}: ")


class Steps:
    """Tells progress on standard error: the first and last step of each kind, and every so many between."""

    def __init__(self, every: int = 50) -> None:
        self._every = every

    def __call__(self, what: str, done: int, of: int) -> None:
        """Tell one step."""
        if done == of or (done and done % self._every == 0):
            console.complain(f"{what}: {done} of {of}")


def one_inspection(begins: str, listed: "Sequence[Listed]") -> str:
    """Return the id that begins like this.

    Raises
    ------
    UsageError
        None does, or several do.
    """
    found = [one.inspection_id for one in listed if one.inspection_id.startswith(begins.lower())]
    if len(found) != 1 or not begins:
        many = "several inspections begin" if found else "no inspection begins"
        msg = f"{many} with {begins!r}: give the id as it stands on the inspection's page"
        raise UsageError(msg)
    return found[0]
