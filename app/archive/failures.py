"""What the database refuses or cannot do, in our own words: what happened, what was changed, what to do.

No sentence holds an address or a password: the driver's own words, which may, stay
in the chained error and are never shown.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import NamedTuple

from sqlalchemy.exc import DBAPIError, IntegrityError

from app.errors import ArchiveError, Conflict

BUSY_MS = 20_000
"""How long a writer waits for another one before it gives up."""


class Phase:
    """How far a transaction is; once it is being committed, a lost connection leaves its end unknown."""

    committing = False


@contextmanager
def told() -> Iterator[Phase]:
    """Turn what the database raises within the block into the application's errors.

    Raises
    ------
    Conflict
        A constraint allows one only, and somebody else was first.
    ArchiveError
        The database is busy, full, read-only or gone.
    """
    phase = Phase()
    try:
        yield phase
    except IntegrityError as error:
        if not is_duplicate(error):
            raise
        msg = "Somebody else was faster, so nothing was changed: look again at what is there now."
        raise Conflict(msg) from error
    except DBAPIError as error:
        sentence = _sentence(error, phase)
        if sentence is None:
            raise
        raise ArchiveError(sentence) from error


def is_duplicate(error: IntegrityError) -> bool:
    """Return whether a constraint refused a second one of what there may be only one."""
    names = ("SQLITE_CONSTRAINT_UNIQUE", "SQLITE_CONSTRAINT_PRIMARYKEY")
    return _sqlite_name(error) in names or _state(error) == "23505"  # unique_violation


class _Cause(NamedTuple):
    """How SQLite's name or PostgreSQL's SQLSTATE of an error begins, and the sentence for it."""

    sqlite: tuple[str, ...]
    states: tuple[str, ...]
    sentence: str


_REFUSED = (
    "The database refuses this name or password, or is not there, so nothing was changed: check its address."
)
_CAUSES = (
    _Cause(
        ("SQLITE_BUSY", "SQLITE_LOCKED"),
        ("55P03",),  # lock_not_available
        f"The archive was busy for {BUSY_MS // 1000} seconds, so nothing was changed: try again.",
    ),
    _Cause(
        ("SQLITE_FULL", "SQLITE_IOERR"),
        ("53100", "53200", "58030"),  # disk_full, out_of_memory, io_error
        "The archive's database cannot be written, as on a full disk, so nothing was changed: "
        "make room and try again.",
    ),
    _Cause(
        ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM"),
        ("25006", "42501"),  # read_only_sql_transaction, insufficient_privilege
        "The archive's database may not be written to, so nothing was changed: "
        "give this program's account the right to write there.",
    ),
    _Cause(
        ("SQLITE_CORRUPT", "SQLITE_NOTADB"),
        ("XX001", "XX002"),  # data_corrupted, index_corrupted
        "The archive's database is damaged: restore it from a backup.",
    ),
    _Cause(
        (),
        ("40001", "40P01"),  # serialization_failure, deadlock_detected
        "Others wrote at the same moment, so nothing was changed: try again.",
    ),
    _Cause(
        (),
        ("28", "3D000"),  # invalid authorization, no such database
        _REFUSED,
    ),
)


def _sentence(error: DBAPIError, phase: Phase) -> str | None:
    name, state = _sqlite_name(error), _state(error)
    for cause in _CAUSES:
        if (name and name.startswith(cause.sqlite)) or (state and state.startswith(cause.states)):
            return cause.sentence
    if not state and not name and _is_refused(error):
        return _REFUSED
    return _gone(phase) if _is_gone(error, state) else None


def _is_refused(error: DBAPIError) -> bool:
    """Whether the server refused who asked: while connecting, the driver tells that in words alone."""
    words = str(error.orig)
    return any(
        said in words for said in ("authentication failed", '" does not exist', "no password supplied")
    )


def _is_gone(error: DBAPIError, state: str) -> bool:
    unreachable = type(error.orig).__name__ in ("OperationalError", "InterfaceError") and not state
    is_sqlite = type(error.orig).__module__ == "sqlite3"
    # 08 connection exceptions, 57P0x the server stops or starts, 53300 too many connections
    by_state = state.startswith(("08", "57P")) or state == "53300"
    return error.connection_invalidated or by_state or (unreachable and not is_sqlite)


def _gone(phase: Phase) -> str:
    if phase.committing:
        return (
            "The database went away while the last step was being entered, so it may be there or not: "
            "look at what is there before you do it again."
        )
    return "The database cannot be reached, so nothing was changed: try again, and see that it runs."


def _sqlite_name(error: DBAPIError) -> str:
    return str(getattr(error.orig, "sqlite_errorname", ""))


def _state(error: DBAPIError) -> str:
    return str(getattr(error.orig, "sqlstate", None) or "")
