"""The one place where settings become a working house.

`the_house()` is the one of this process: whoever starts the server gives it with
`use(build(settings))`; the screens and routes take it.

question                                           file
what is put together, and what is refused          house.py
an invented aircraft, people and photos            demo.py
the use cases for commands that only look          looking.py
"""

from app.bootstrap.house import House, archive_of, build, is_loopback, require_archive
from app.bootstrap.looking import read_only
from app.errors import UsageError

__all__ = ["House", "archive_of", "build", "is_loopback", "read_only", "require_archive", "the_house", "use"]

_IN_USE: list[House] = []


def use(house: House) -> House:
    """Make a house the one of this process, and return it."""
    _IN_USE[:] = [house]
    return house


def the_house() -> House:
    """Return the house of this process.

    Raises
    ------
    UsageError
        Nobody has given one.
    """
    if not _IN_USE:
        msg = "the server was not started as Gearwitness: use `gearwitness serve` or `gearwitness demo`"
        raise UsageError(msg)
    return _IN_USE[0]
